package beam

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"

	"fathomlux/scene/space"
)

// profile is the main light's shape over the scaled tilt, 1 on the axis and 0.5 at the tilt half.
type profile struct {
	cosine          bool    // cos^m; otherwise exp(-ln2 (tilt/half)^p)
	m               float64 // of cos^m
	alongP, acrossP float64 // p of the other form
	half            float64 // geometric mean of the two half beam angles
	kx, ky          float64 // half over the half beam angle along and across; kx*ky = 1
}

// newProfile takes a checked shape; with sameP the field across has the same ratio to its beam as the one along.
func newProfile(s Shape, sameP bool) profile {
	p := profile{half: math.Sqrt(s.BeamRad*s.BeamAcrossRad) / 2, kx: 1, ky: 1}
	if s.BeamRad != s.BeamAcrossRad {
		p.kx = math.Sqrt(s.BeamAcrossRad / s.BeamRad)
		p.ky = 1 / p.kx
	}
	if s.FieldRad == 0 {
		p.cosine = true
		p.m = math.Log(0.5) / math.Log(math.Cos(p.half))
		return p
	}
	p.alongP = steepness(s.BeamRad, s.FieldRad)
	p.acrossP = p.alongP
	if !sameP {
		p.acrossP = steepness(s.BeamAcrossRad, s.FieldAcrossRad)
	}
	return p
}

// steepness is the p that makes the intensity a tenth at field/2.
func steepness(beam, field float64) float64 {
	return math.Log(math.Ln10/math.Ln2) / math.Log(field/beam)
}

// at returns the intensity at a scaled tilt, with the p of its azimuth.
func (s profile) at(tilt, p float64) float64 {
	if !s.cosine {
		return math.Exp(-math.Ln2 * math.Pow(tilt/s.half, p))
	}
	if tilt >= math.Pi/2 {
		return 0
	}
	return math.Pow(math.Cos(tilt), s.m)
}

// exact returns the intensity over directions, whose sine to the aim is not 0.
func (s profile) exact(round bool) func(local space.Vector, sin float64) float64 {
	return func(local space.Vector, sin float64) float64 {
		if round && s.cosine { // the cosine itself keeps its digits near 90 degrees
			return math.Pow(math.Min(local.Z, 1), s.m)
		}
		return s.at(s.scaled(math.Atan2(sin, local.Z), local.X/sin, local.Y/sin))
	}
}

// scaled returns the scaled tilt of a direction theta from the aim, whose azimuth has the given cosine and sine, and
// its p.
func (s profile) scaled(theta, cosPhi, sinPhi float64) (tilt, p float64) {
	x2, y2 := square(s.kx*cosPhi), square(s.ky*sinPhi)
	return theta * math.Sqrt(x2+y2), s.blend(x2 / (x2 + y2))
}

// blend returns p where the squared cosine of the scaled azimuth is along.
func (s profile) blend(along float64) float64 { return s.acrossP + (s.alongP-s.acrossP)*along }

// fluxWithin integrates the intensity over the cone of the half angle limit <= pi/2 about the aim, in lm for 1 cd on
// the axis, to 1e-10 of its value.
//
// In polar coordinates (tilt, psi) of the scaled tilts, theta = tilt/kappa with 1/kappa^2 = cos^2(psi)/kx^2 +
// sin^2(psi)/ky^2, and as kx*ky = 1 the solid angle is kappa*sin(tilt/kappa) d tilt d psi: smooth for narrow beams
// of any shape, where it nears tilt d tilt d psi.
func (s profile) fluxWithin(limit float64) float64 {
	if s.kx == 1 && s.alongP == s.acrossP {
		if s.cosine {
			return 2 * math.Pi / (s.m + 1) * -math.Expm1((s.m+1)*math.Log(math.Cos(limit)))
		}
		return 2 * math.Pi * s.ring(0, limit)
	}
	f := func(psi float64) float64 { return s.ring(psi, limit) }
	whole := quad.Fixed(f, 0, math.Pi/2, azimuthNodes, quad.Legendre{}, 0)
	return 4 * halve(f, piece{0, math.Pi / 2, whole}, 1e-11*whole, 20)
}

// azimuthNodes is the number of Legendre nodes over one piece of the azimuth.
const azimuthNodes = 16

// piece is an interval and the integral over it as Legendre's nodes have it.
type piece struct{ from, to, sum float64 }

// halve cuts a piece in two until that changes its integral by less than tolerance, or depth times. The azimuth needs
// it where one beam angle is many times the other, and where the edge of cos^m at 90 degrees of tilt crosses the
// limit, which is a kink.
func halve(f func(float64) float64, p piece, tolerance float64, depth int) float64 {
	middle := (p.from + p.to) / 2
	left := piece{p.from, middle, quad.Fixed(f, p.from, middle, azimuthNodes, quad.Legendre{}, 0)}
	right := piece{middle, p.to, quad.Fixed(f, middle, p.to, azimuthNodes, quad.Legendre{}, 0)}
	if sum := left.sum + right.sum; depth == 0 || math.Abs(sum-p.sum) < tolerance {
		return sum
	}
	return halve(f, left, tolerance, depth-1) + halve(f, right, tolerance, depth-1)
}

// ring integrates the intensity over the tilt at one scaled azimuth.
func (s profile) ring(psi, limit float64) float64 {
	sin, cos := math.Sincos(psi)
	kappa := 1 / math.Hypot(cos/s.kx, sin/s.ky)
	p := s.blend(cos * cos)
	end := kappa * limit
	if s.cosine {
		end = math.Min(end, math.Pi/2)
	}
	f := func(tilt float64) float64 { return s.at(tilt, p) * kappa * math.Sin(tilt/kappa) }
	sum, from := 0.0, 0.0
	for _, to := range s.rungs(p, end) {
		sum += quad.Fixed(f, from, to, 12, quad.Legendre{}, 0)
		from = to
	}
	return sum
}

// rungs returns tilts up to end between which the intensity is smooth enough for twelve Legendre nodes: z, the
// logarithm of 1/intensity, at most doubles from one to the next, and cos changes by no more than a factor e. Beyond
// z = 64 the light is nil, and so is what is left where cos has fallen by e^40.
func (s profile) rungs(p, end float64) []float64 {
	var tilts []float64
	z, step := 1e-12, math.Inf(1)
	if s.cosine {
		z, step = math.Min(0.5, s.m), s.m
	}
	for ; z < 64 && z < 40*step; z += math.Min(z, step) {
		tilt := s.tiltAt(z, p)
		if tilt >= end {
			break
		}
		tilts = append(tilts, tilt)
	}
	return append(tilts, end)
}

// tiltAt returns the scaled tilt at which the intensity has fallen to exp(-z).
func (s profile) tiltAt(z, p float64) float64 {
	if s.cosine {
		return math.Acos(math.Exp(-z / s.m))
	}
	return s.half * math.Pow(z/math.Ln2, 1/p)
}

func square(x float64) float64 { return x * x }

// negligible is the share of the peak below which the tables leave the main light out, and within which they
// take the innermost part as flat.
const negligible = 1e-8

// negligibleZ is ln(1/negligible).
var negligibleZ = -math.Log(negligible)

// gentle is the power m below which cos^m is tabulated over the cosine (or what stands for it) rather than over the
// angle squared: near 90 degrees its slope is then too steep for the latter.
const gentle = 8

// dimmest and brightest are the ends of a table of 2^(-2^s), which is within 1e-7 of 1 below, and of 0 above.
const (
	brightest = -24.0
	dimmest   = 5.0
)

// newFast tabulates a profile: over the cosine of the angle to the aim or over its versine where it is round, else over
// the scaled tilt squared, or over what that leaves to (pi/2)^2.
func newFast(s profile, round bool) func(local space.Vector) float64 {
	if round && s.cosine && s.m < gentle {
		t := newLogTable(math.Pow(negligible, 1/s.m), 1, 5, func(c float64) float64 { return math.Pow(c, s.m) })
		t.below = 0
		return func(local space.Vector) float64 { return t.at(local.Z) }
	}
	if round {
		t := s.overVersine() // sin^2/(1+cos) keeps its digits near the axis
		return func(l space.Vector) float64 { return t.at((l.X*l.X + l.Y*l.Y) / (1 + l.Z)) }
	}
	kx2, ky2, squared := s.kx*s.kx, s.ky*s.ky, tiltSquared()
	tilt2 := func(l space.Vector) float64 { return squared.at(l.Z) * (kx2*l.X*l.X + ky2*l.Y*l.Y) }
	switch {
	case s.cosine && s.m < gentle:
		low := math.Pi * math.Pow(negligible, 1/s.m) // y = (pi/2 + tilt)*(pi/2 - tilt), and cos(tilt) is near pi/2 - tilt
		t := newLogTable(low, edge, 5, func(y float64) float64 { return math.Pow(cosineFromEdge(y), s.m) })
		t.below = 0
		return func(local space.Vector) float64 { return t.at(edge - tilt2(local)) }
	case s.cosine:
		t := newLogTable(negligible/s.m, square(s.tiltAt(negligibleZ, 0)), 5,
			func(q float64) float64 { return s.at(math.Sqrt(q), 0) })
		return func(local space.Vector) float64 { return t.at(tilt2(local)) }
	case s.alongP == s.acrossP:
		t := newLogTable(square(s.tiltAt(negligible, s.alongP)), s.farthest(), finer(s.alongP),
			func(q float64) float64 { return s.at(math.Sqrt(q), s.alongP) })
		return func(local space.Vector) float64 { return t.at(tilt2(local)) }
	}
	return s.twoTilts(kx2, ky2, squared)
}

// overVersine tabulates a round profile over 1 - cos(theta).
func (s profile) overVersine() logTable {
	if s.cosine {
		return newLogTable(negligible/s.m, -math.Expm1(-negligibleZ/s.m), 5,
			func(v float64) float64 { return math.Pow(math.Max(1-v, 0), s.m) })
	}
	low, high := s.tiltAt(negligible, s.alongP), math.Min(s.tiltAt(negligibleZ, s.alongP), math.Pi/2)
	return newLogTable(versine(low), versine(high), finer(s.alongP),
		func(v float64) float64 { return s.at(arc(v), s.alongP) })
}

// farthest is the square of the scaled tilt at which an elliptical profile ends or is negligible.
func (s profile) farthest() float64 {
	return square(math.Min(s.tiltAt(negligibleZ, math.Min(s.alongP, s.acrossP)), math.Max(s.kx, s.ky)*math.Pi/2))
}

// twoTilts is an elliptical profile whose p depends on the azimuth: 2^(-2^s) with s the logarithm of (tilt/half)^p.
func (s profile) twoTilts(kx2, ky2 float64, squared evenTable) func(local space.Vector) float64 {
	p, turn := s.acrossP/2, (s.alongP-s.acrossP)/2
	low := square(s.half) * math.Exp2(brightest*2/math.Min(s.alongP, s.acrossP))
	octaves := newLogTable(low, s.farthest(), finer(4), func(q float64) float64 { return math.Log2(q / square(s.half)) })
	octaves.above = math.Inf(1)
	drop := newEvenTable(brightest, dimmest, 16*(dimmest-brightest),
		func(x float64) float64 { return math.Exp2(-math.Exp2(x)) })
	return func(local space.Vector) float64 {
		x2, y2 := kx2*local.X*local.X, ky2*local.Y*local.Y
		tilt2 := squared.at(local.Z) * (x2 + y2)
		if tilt2 == 0 {
			return 1
		}
		switch at := octaves.at(tilt2) * (p + turn*(x2/(x2+y2))); {
		case at <= brightest:
			return 1
		case at >= dimmest:
			return 0
		default:
			return drop.at(at)
		}
	}
}

// edge is (pi/2)^2, the scaled tilt squared at which cos^m ends.
const edge = math.Pi * math.Pi / 4

// cosineFromEdge is cos(tilt) from y = (pi/2)^2 - tilt^2, without cancellation where y is small. It goes on for the
// tilts whose square is negative, where the last cell of a table ends.
func cosineFromEdge(y float64) float64 {
	if y > edge {
		return math.Cosh(math.Sqrt(y - edge))
	}
	return math.Sin(y / (math.Pi/2 + math.Sqrt(edge-y)))
}

// versine is 1 - cos(theta), exact for small angles.
func versine(theta float64) float64 { return 2 * square(math.Sin(theta/2)) }

// arc is the angle whose versine is v; it takes a v just below 0 as the positive one.
func arc(v float64) float64 { return 2 * math.Asin(math.Sqrt(math.Abs(v)/2)) }

// finer returns the number of bits that cuts an octave into cells which hold exp(-z), z growing as the square root of
// the p-th power, to 1e-7: at least 6p cells.
func finer(p float64) uint { return uint(max(5, math.Ceil(math.Log2(6*p)))) }

// cubic is a polynomial over one cell of a table: a + u*(b + u*(c + u*d)).
type cubic struct{ a, b, c, d float64 }

func (k *cubic) at(u float64) float64 { return k.a + u*(k.b+u*(k.c+u*k.d)) }

// fit returns the cubic in u that meets f(x0 + u*dx) at the four Chebyshev nodes of 0 <= u <= width. Its error is at
// most the fourth derivative over u times width^4/3072.
func fit(f func(x float64) float64, x0, dx, width float64) cubic {
	var u, y [4]float64
	for i := range u {
		u[i] = width * (1 - math.Cos((2*float64(i)+1)*math.Pi/8)) / 2
		y[i] = f(x0 + u[i]*dx)
	}
	for order := 1; order < 4; order++ { // divided differences
		for i := 3; i >= order; i-- {
			y[i] = (y[i] - y[i-1]) / (u[i] - u[i-order])
		}
	}
	k := cubic{a: y[3]} // Newton's form to powers
	for i := 2; i >= 0; i-- {
		k = cubic{a: y[i] - u[i]*k.a, b: k.a - u[i]*k.b, c: k.b - u[i]*k.c, d: k.c}
	}
	return k
}

// evenTable is a function over 0 <= x - from < cells/scale in cells of one width.
type evenTable struct {
	from, scale float64
	cells       []cubic
}

func newEvenTable(from, to float64, count int, f func(x float64) float64) evenTable {
	t := evenTable{from: from, scale: float64(count) / (to - from), cells: make([]cubic, count)}
	for i := range t.cells {
		t.cells[i] = fit(f, from+float64(i)/t.scale, 1/t.scale, 1)
	}
	return t
}

// at returns the function at x; outside the table the end cell is carried on.
func (t *evenTable) at(x float64) float64 {
	x = (x - t.from) * t.scale
	i := min(max(int(x), 0), len(t.cells)-1)
	return t.cells[i].at(x - float64(i))
}

// logTable is a function over positive x in cells that are narrow where x is small: each power of two is cut into
// 2^bits equal cells. The cell is found from the bits of x, without a logarithm.
type logTable struct {
	first, mask  uint64
	shift        uint
	cells        []cubic
	low          float64 // where the cells begin
	below, above float64 // values outside them
}

const one = 0x3FF << 52 // the bits of 1.0, with an empty mantissa

// newLogTable tabulates f from about low to about high, both positive. Below, it answers with f(low); above, with 0.
func newLogTable(low, high float64, bits uint, f func(x float64) float64) logTable {
	t := logTable{shift: 52 - bits, mask: 1<<(52-bits) - 1}
	t.first = math.Float64bits(low) >> t.shift
	t.cells = make([]cubic, math.Float64bits(high)>>t.shift-t.first+1)
	t.low = math.Float64frombits(t.first << t.shift)
	t.below = f(low)
	width := 1 / float64(uint64(1)<<bits)
	for i := range t.cells {
		x := math.Float64frombits((t.first + uint64(i)) << t.shift)
		_, e := math.Frexp(x)
		t.cells[i] = fit(f, x, math.Ldexp(1, e-1), width)
	}
	return t
}

// at returns the function at x. A NaN counts as too large.
func (t *logTable) at(x float64) float64 {
	bits := math.Float64bits(x)
	i := bits>>t.shift - t.first
	if i >= uint64(len(t.cells)) {
		if x < t.low {
			return t.below
		}
		return t.above
	}
	return t.cells[i].at(math.Float64frombits(bits&t.mask|one) - 1)
}
