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
