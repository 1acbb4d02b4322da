package trace

import (
	"math"

	"fathomlux/scene/space"
)

// A surface that moves is the mean over time: at each passage a photon meets a facet of its own, whose slopes along x
// and y are drawn after Gauss, weighted with what the photon sees of such a facet, (-d.n)/n_z. So all that comes to the
// surface meets it, nothing twice and nothing never. What a facet sends on towards the surface meets it again.

// facet draws the normal, upwards, of the surface where a photon meets it from either side.
func (t *tracer) facet(d space.Vector) space.Vector {
	c, h := math.Abs(d.Z), math.Hypot(d.X, d.Y)
	along, aside := t.slopes(c, h)
	if d.Z > 0 {
		along = -along
	}
	ux, uy := 1.0, 0.0
	if h > 0 {
		ux, uy = d.X/h, d.Y/h
	}
	k := 1 / math.Sqrt(1+along*along+aside*aside)
	return space.Vector{X: -k * (along*ux - aside*uy), Y: -k * (along*uy + aside*ux), Z: k}
}

// slopes draws the slope towards a photon of the cosine c and sine h to the vertical, in proportion to the Gaussian
// times c + h slope where that is above 0, and the slope across, after Gauss. It is the sum of two draws: a Gaussian
// with the weight c, thinned where the slope is below 0, and for the rest, h slope above 0, Rayleigh's distribution.
func (t *tracer) slopes(c, h float64) (along, across float64) {
	flat, rest := c, h*t.slope/math.Sqrt(2*math.Pi)
	for {
		length := t.slope * math.Sqrt(2*wait(1-t.random.unit()))
		s, k := around(t.random.unit())
		along, across = length*k, length*s
		switch {
		case t.random.unit()*(flat+rest) >= flat:
			_, k = around(t.random.unit())
			return length, t.slope * math.Sqrt(2*wait(1-t.random.unit())) * k
		case along >= 0 || t.random.unit()*c < c+h*along:
			return along, across
		}
	}
}

// facetFromAbove is surfaceFromAbove for a surface that moves.
func (t *tracer) facetFromAbove(p *photon) {
	n := t.facet(p.d)
	cos := -p.d.Dot(n)
	cosWater := t.surface.beyond(cos)
	t.regard(p, upright, n)
	if t.random.unit() < t.surface.reflect(cos, cosWater, p.parallel) {
		p.d = plus3(p.d, 1, n, 2*cos)
		t.regard(p, n, upright)
		return
	}
	p.d = plus3(p.d, t.surface.inverse, n, cos*t.surface.inverse-cosWater)
	t.enter(p)
}

// facetFromBelow is surfaceFromBelow for a surface that moves.
func (t *tracer) facetFromBelow(p *photon) {
	n := t.facet(p.d)
	cos := p.d.Dot(n)
	out2 := 1 - t.index*t.index*(1-cos*cos)
	t.polarise(p)
	if out2 <= 0 || t.random.unit() < t.surface.reflect(math.Sqrt(out2), cos, p.parallel) {
		p.d = plus3(p.d, 1, n, -2*cos)
		return
	}
	p.d = plus3(p.d, t.index, n, math.Sqrt(out2)-t.index*cos)
	t.regard(p, n, upright)
	p.in = under
}

var upright = space.Vector{Z: 1}

// regard turns the polarisation of a photon, which is known in the plane of its direction and of one normal, to that of
// another: the share of the squared cosine stays as it is.
func (t *tracer) regard(p *photon, of, to space.Vector) {
	a, b := cross(p.d, of), cross(p.d, to)
	both := a.Dot(a) * b.Dot(b)
	if dot := a.Dot(b); t.random.unit()*both >= dot*dot {
		p.parallel ^= 1
	}
}

func cross(a, b space.Vector) space.Vector {
	return space.Vector{X: a.Y*b.Z - a.Z*b.Y, Y: a.Z*b.X - a.X*b.Z, Z: a.X*b.Y - a.Y*b.X}
}

// plus3 returns k a + l b.
func plus3(a space.Vector, k float64, b space.Vector, l float64) space.Vector {
	return space.Vector{X: k*a.X + l*b.X, Y: k*a.Y + l*b.Y, Z: k*a.Z + l*b.Z}
}
