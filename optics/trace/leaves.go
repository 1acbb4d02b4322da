package trace

import (
	"math"

	"fathomlux/optics/model"
	"fathomlux/scene/space"
)

// leafAhead returns how far a photon under water flies until it meets a leaf, of a way of at most withinM, and of which
// box; -1 where it meets none. Boxes may overlap: leaves of all of them are met by chance, and the first counts.
func (t *tracer) leafAhead(p *photon, withinM float64) (s float64, box int) {
	s, box = withinM, -1
	for i := range t.leaves {
		l := &t.leaves[i]
		from, to := l.Span(p.at, p.d, s)
		if from >= to {
			continue
		}
		if way := from + wait(1-t.random.unit())/l.PerM(); way < to {
			s, box = way, i
		}
	}
	return s, box
}

// meetLeaf is what happens at a leaf: it sends a photon back or on, or ends it.
func (t *tracer) meetLeaf(p *photon) {
	l, entry := &t.leaves[t.leaf], &t.balance.Leaves
	share := l.Reflect + l.Transmit
	if share == 0 {
		t.end(p, entry)
		return
	}
	copies := t.keep(p, share, entry)
	if copies == 0 {
		return
	}
	for range copies - 1 {
		c := *p
		t.leave(&c, l)
		t.stack = append(t.stack, c)
	}
	t.leave(p, l)
}

// leave gives a photon a direction away from a leaf. Leaves of all directions alike are met in proportion to what they
// show of their area, so that the cosine to a leaf's normal is the root of an even draw; either side is matt.
func (t *tracer) leave(p *photon, l *model.Leaves) {
	n := t.cosines(space.Vector{X: -p.d.X, Y: -p.d.Y, Z: -p.d.Z})
	if t.random.unit()*(l.Reflect+l.Transmit) >= l.Reflect {
		n = space.Vector{X: -n.X, Y: -n.Y, Z: -n.Z}
	}
	p.d = t.cosines(n)
	t.free(p)
}

// cosines draws a direction about another one in proportion to the cosine between them.
func (t *tracer) cosines(about space.Vector) space.Vector {
	u := t.random.unit()
	sp, cp := around(t.random.unit())
	sin := math.Sqrt(u)
	return turned(about, sin*cp, sin*sp, math.Sqrt(1-u))
}

// floats ends a photon that comes to the surface, from either side, where a floating leaf lies.
func (t *tracer) floats(p *photon) bool {
	if hidden := t.floating.Hides(p.at.X, p.at.Y); hidden > 0 && t.random.unit() < hidden {
		t.end(p, &t.balance.Leaves)
	}
	return p.in == ended
}

// throwAside turns a share of what has come through the cover, as drops under it do and the webs of a hollow sheet.
func (t *tracer) throwAside(p *photon) {
	share := t.cover.scatter
	switch {
	case share == 0 || p.in == ended:
		return
	case t.sure(p):
		c := *p
		c.w, c.rest = p.w*share, 1
		t.turnAside(&c)
		t.stack = append(t.stack, c)
		p.w *= 1 - share
		return
	case t.random.unit() >= share:
		return
	case p.rest == 0:
		copies, weight := t.fork(p, 1)
		p.w, p.rest = weight, 1
		for range copies - 1 {
			c := *p
			t.turnAside(&c)
			t.stack = append(t.stack, c)
		}
	}
	t.turnAside(p)
}

// turnAside turns a photon after Henyey and Greenstein; what would turn back goes on as if mirrored.
func (t *tracer) turnAside(p *photon) {
	ahead := p.d.Z
	cos := particleCosine(t.cover.asymmetry, t.random.unit())
	sp, cp := around(t.random.unit())
	sin := math.Sqrt(max(0, 1-cos*cos))
	p.d = turned(p.d, sin*cp, sin*sp, cos)
	p.d.Z = math.Copysign(p.d.Z, ahead)
	t.polarise(p)
}

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
