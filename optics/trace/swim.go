package trace

import (
	"math"

	"fathomlux/optics/model"
	"fathomlux/scene/space"
)

// What a flight under water ends at, beside the faces of the tank.
const (
	atSurface = model.Ground + 1 + iota
	atParticle
	atBox
	atLeaf
)

// swim follows a photon under water until it leaves or ends.
func (t *tracer) swim(p *photon) {
	for p.in == wet {
		s, what := (t.depthM-p.at.Z)/p.d.Z, atSurface
		if t.shaped != nil {
			s, what = t.shapedAhead(p)
		} else {
			if p.d.Z < 0 {
				s, what = -p.at.Z/p.d.Z, model.Ground
			} else if p.d.Z == 0 {
				s = math.MaxFloat64
			}
			if sx, f := model.Gap(p.at.X, p.d.X, &t.acrossX); sx < s {
				s, what = sx, model.Left+f
			}
			if sy, f := model.Gap(p.at.Y, p.d.Y, &t.acrossY); sy < s {
				s, what = sy, model.Front+f
			}
		}
		if t.row != nil {
			if t.row.reach(p, min(s, p.freeM)); p.in == ended {
				return
			}
		}
		if p.freeM < s {
			s, what = p.freeM, atParticle
		}
		if t.wet != nil {
			if sb := t.wet.First(p.at, p.d, s); sb < s {
				s, what = sb, atBox
			}
		}
		if t.leaves != nil {
			if sl, box := t.leafAhead(p, s); box >= 0 {
				s, what, t.leaf = sl, atLeaf, box
			}
		}
		if t.sure(p) {
			t.scatterAside(p, s)
		}
		t.tally.fly(p, s, what)
		p.at.X += p.d.X * s
		p.at.Y += p.d.Y * s
		p.at.Z += p.d.Z * s
		p.pathM += s
		p.freeM -= s
		p.flights++
		t.meetWet(p, what)
	}
}

// meetWet is what happens at the end of a flight under water.
func (t *tracer) meetWet(p *photon, what model.Side) {
	switch what {
	case atSurface:
		t.surfaceFromBelow(p)
	case atParticle:
		t.scatter(p)
	case atBox:
		t.end(p, &t.balance.Obstacles)
	case atLeaf:
		t.meetLeaf(p)
	default:
		t.tellLanded(p, what)
		f, kept, past := t.face(what), 0.0, 0.0
		if cos := f.Turn(&p.at, &p.d) * t.index; f.table == nil {
			past = f.clean
		} else if kept = f.table.Water(cos); f.matt[wet] != nil {
			past = f.table.PastWater(cos, kept)
		}
		t.meet(p, what, kept, past)
	}
	if p.in == ended {
		return
	}
	if p.pathM > p.thinM {
		t.thin(p)
	}
	if p.flights > mostFlights {
		t.end(p, &t.balance.Water)
	}
}

// surfaceFromBelow mirrors a photon at the surface or lets it out into the air. Each polarisation counts as half.
func (t *tracer) surfaceFromBelow(p *photon) {
	p.at.Z = t.depthM
	if t.floats(p) {
		return
	}
	if t.slope > 0 {
		t.facetFromBelow(p)
		return
	}
	n, cos := t.index, p.d.Z
	out2 := 1 - n*n*(1-cos*cos)
	if out2 <= 0 {
		p.d.Z = -cos
		return
	}
	out := math.Sqrt(out2)
	t.polarise(p)
	if t.random.unit() < t.surface.reflect(out, cos, p.parallel) {
		p.d.Z = -cos
		return
	}
	p.d.X, p.d.Y, p.d.Z = p.d.X*n, p.d.Y*n, out
	p.in = under
}

// boundary is a level face between air and an index of at least 1.
type boundary struct {
	inverse float64       // 1/index
	weights [2][2]float64 // of the cosines on both sides in Fresnel's equations, by polarisation
}

func newBoundary(index float64) boundary {
	return boundary{inverse: 1 / index, weights: [2][2]float64{{1, index}, {index, 1}}}
}

// beyond is the cosine behind the face of a ray with cosAir in the air.
func (f *boundary) beyond(cosAir float64) float64 {
	return math.Sqrt(1 - f.inverse*f.inverse*(1-cosAir*cosAir))
}

// reflect is the face's reflectance, from either side, for one polarisation: one of the two of stack.Fresnel.
func (f *boundary) reflect(cosAir, cosBeyond float64, parallel uint8) float64 {
	w := &f.weights[parallel&1]
	a, b := w[0]*cosAir, w[1]*cosBeyond
	r := (a - b) / (a + b)
	return r * r
}

// scatter turns a photon at a molecule or a particle.
func (t *tracer) scatter(p *photon) {
	if p.rest == 0 {
		p.rest = 1
		copies, weight := t.fork(p, 1)
		p.w = weight
		for range copies - 1 {
			c := *p
			t.deflect(&c)
			t.stack = append(t.stack, c)
		}
	}
	t.deflect(p)
}

// scatterAside lets the part of straight light that is scattered on a way of s metres go on alone, from one place of
// it, and the rest of it go straight on.
func (t *tracer) scatterAside(p *photon, s float64) {
	depth := p.colour.scatter * s
	if depth == 0 {
		return
	}
	straight := fade(depth)
	way := wait(1-t.draw()*(1-straight)) * p.colour.meanFreeM
	c := *p
	c.at = space.Point{X: p.at.X + p.d.X*way, Y: p.at.Y + p.d.Y*way, Z: p.at.Z + p.d.Z*way}
	c.pathM, c.rest, c.w = c.pathM+way, 1, p.w*(1-straight)
	t.deflect(&c)
	t.stack = append(t.stack, c)
	p.w *= straight
}

// draw is the next of the even draws for what is scattered aside first, then one by chance.
func (t *tracer) draw() float64 {
	if len(t.aside) == 0 {
		return t.random.unit()
	}
	u := t.aside[0]
	t.aside = t.aside[1:]
	return u
}

// deflect draws who scatters, by how much, and the way to the next time.
func (t *tracer) deflect(p *photon) {
	c := p.colour
	var cos float64
	if c.molecular > 0 && t.random.unit() < c.molecular {
		p.micro *= c.byMolecule
		cos = t.moleculeCosine()
	} else {
		p.micro *= c.byParticle
		cos = particleCosine(t.asymmetry, t.draw())
	}
	sp, cp := around(t.draw())
	sin := math.Sqrt(max(0, 1-cos*cos))
	p.d = turned(p.d, sin*cp, sin*sp, cos)
	t.free(p)
}

// turned returns the direction with components a and b across d and c along it, of unit length.
func turned(d space.Vector, a, b, c float64) space.Vector {
	side2 := d.X*d.X + d.Y*d.Y
	if side2 < 1e-12 {
		sign := math.Copysign(1, d.Z)
		return space.Vector{X: a, Y: sign * b, Z: sign * c}
	}
	side := math.Sqrt(side2)
	k := a / side
	x := d.X*c + k*d.X*d.Z - b*d.Y/side
	y := d.Y*c + k*d.Y*d.Z + b*d.X/side
	z := d.Z*c - a*side
	f := 1.5 - 0.5*(x*x+y*y+z*z) // keeps rounding from growing over many scatterings
	return space.Vector{X: x * f, Y: y * f, Z: z * f}
}
