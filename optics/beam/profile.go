package beam

import (
	"math"

	"fathomlux/scene/space"

	"gonum.org/v1/gonum/integrate/quad"
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
