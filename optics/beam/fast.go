package beam

import (
	"math"

	"fathomlux/scene/space"
)

// negligible is the share of the peak below which the tables leave the main light out, and within which they
// take the innermost part as flat.
const negligible = 1e-8

// negligibleZ is ln(1/negligible).
var negligibleZ = -math.Log(negligible)

// gentle is the power m below which cos^m is tabulated over the cosine (or what stands for it) rather than over the
// angle squared: near 90 degrees its slope is then too steep for the latter.
const gentle = 8

// Ways to find a table's place from a direction.
const (
	byCosine   = iota // round: cos(theta)
	byVersine         // round: 1 - cos(theta)
	byTilt            // elliptical: scaled tilt squared
	byEdge            // elliptical: (pi/2)^2 less scaled tilt squared
	byTwoTilts        // elliptical with a p that depends on the azimuth
)

// fast is the table form of a profile.
type fast struct {
	way      int
	table    logTable  // intensity; for byTwoTilts log2 of the scaled tilt over half, squared
	tilt2    evenTable // (theta/sin(theta))^2 over cos(theta)
	drop     evenTable // byTwoTilts: 2^(-2^s) over s
	kx2, ky2 float64
	p, turn  float64 // byTwoTilts: p across and p along less it, both halved
}

// dimmest and brightest are the ends of drop's table: 2^(-2^s) is within 1e-7 of 1 below, and of 0 above.
const (
	brightest = -24.0
	dimmest   = 5.0
)

func newFast(s profile, round bool) fast {
	t := fast{kx2: s.kx * s.kx, ky2: s.ky * s.ky}
	switch {
	case round && s.cosine:
		t.makeRoundCosine(s)
	case round:
		t.way = byVersine
		low, high := s.tiltAt(negligible, s.alongP), math.Min(s.tiltAt(negligibleZ, s.alongP), math.Pi/2)
		t.table = newLogTable(versine(low), versine(high), finer(s.alongP),
			func(v float64) float64 { return s.at(arc(v), s.alongP) })
	case s.cosine:
		t.makeTiltCosine(s)
	default:
		t.makeTilt(s)
	}
	if !round {
		t.tilt2 = tiltSquared()
	}
	return t
}

func (t *fast) makeRoundCosine(s profile) {
	if s.m < gentle {
		t.way = byCosine
		t.table = newLogTable(math.Pow(negligible, 1/s.m), 1, 5, func(c float64) float64 { return math.Pow(c, s.m) })
		t.table.below = 0
		return
	}
	t.way = byVersine
	high := -math.Expm1(-negligibleZ / s.m)
	t.table = newLogTable(negligible/s.m, high, 5, func(v float64) float64 { return math.Pow(math.Max(1-v, 0), s.m) })
}

func (t *fast) makeTiltCosine(s profile) {
	if s.m < gentle {
		t.way = byEdge
		low := math.Pi * math.Pow(negligible, 1/s.m) // y = (pi/2 + tilt)*(pi/2 - tilt), and cos(tilt) is near pi/2 - tilt
		t.table = newLogTable(low, edge, 5, func(y float64) float64 { return math.Pow(cosineFromEdge(y), s.m) })
		t.table.below = 0
		return
	}
	t.way = byTilt
	high := square(s.tiltAt(negligibleZ, 0))
	t.table = newLogTable(negligible/s.m, high, 5, func(q float64) float64 { return s.at(math.Sqrt(q), 0) })
}

func (t *fast) makeTilt(s profile) {
	farthest := math.Max(s.kx, s.ky) * math.Pi / 2
	steep, flat := math.Max(s.alongP, s.acrossP), math.Min(s.alongP, s.acrossP)
	high := square(math.Min(s.tiltAt(negligibleZ, flat), farthest))
	if s.alongP == s.acrossP {
		t.way = byTilt
		t.table = newLogTable(square(s.tiltAt(negligible, flat)), high, finer(steep),
			func(q float64) float64 { return s.at(math.Sqrt(q), steep) })
		return
	}
	t.way = byTwoTilts
	t.p, t.turn = s.acrossP/2, (s.alongP-s.acrossP)/2
	low := square(s.half) * math.Exp2(brightest*2/flat)
	t.table = newLogTable(low, high, finer(4), func(q float64) float64 { return math.Log2(q / square(s.half)) })
	t.table.above = math.Inf(1)
	t.drop = newEvenTable(brightest, dimmest, 16*(dimmest-brightest),
		func(x float64) float64 { return math.Exp2(-math.Exp2(x)) })
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

// Fast is PerLumen from tables, within 2e-6 of the peak intensity, for inner loops: no power or arc function, and for
// shapes no root. local must have length 1. The edge of elliptical cos^m beams above 150 degrees is placed to 1e-6 rad
// only, and so is a step between two angles of a measured table.
func (b *Beam) Fast(local space.Vector) float64 {
	if !(local.Z > 0) {
		return 0
	}
	stray := b.stray * local.Z
	if b.table != nil {
		return b.table.quick(local, b.peak) + stray
	}
	switch b.fast.way {
	case byCosine:
		return b.peak*b.fast.table.at(local.Z) + stray
	case byVersine: // sin^2/(1+cos) keeps its digits near the axis
		return b.peak*b.fast.table.at((local.X*local.X+local.Y*local.Y)/(1+local.Z)) + stray
	default:
		return b.peak*b.fast.elliptical(local) + stray
	}
}

// elliptical returns the intensity of an elliptical main light over its peak.
func (t *fast) elliptical(local space.Vector) float64 {
	x2, y2 := t.kx2*local.X*local.X, t.ky2*local.Y*local.Y
	tilt2 := t.tilt2.at(local.Z) * (x2 + y2)
	switch t.way {
	case byTilt:
		return t.table.at(tilt2)
	case byEdge:
		return t.table.at(edge - tilt2)
	}
	if tilt2 == 0 {
		return 1
	}
	s := t.table.at(tilt2) * (t.p + t.turn*(x2/(x2+y2)))
	if s <= brightest {
		return 1
	}
	if s >= dimmest {
		return 0
	}
	return t.drop.at(s)
}
