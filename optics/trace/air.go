package trace

import (
	"math"

	"fathomlux/optics/model"
	"fathomlux/optics/stack"
	"fathomlux/scene/space"
)

// launch starts a history at a lamp.
func (t *tracer) launch(p *photon, l *lamp) {
	t.launchAlong(p, l, l.source.Frame.World(l.lens.draw(&t.random)), t.random.bits()%colours)
}

// launchAlong starts a history of one colour in a direction.
func (t *tracer) launchAlong(p *photon, l *lamp, d space.Vector, colour uint64) {
	p.at, p.d = l.source.Position, d
	p.w, p.pathM, p.module, p.flights, p.rest, p.met, p.entered = 1, 0, int32(l.source.Module), 0, 0, false, false
	if p.in = under; t.cover.present {
		p.in = above
	}
	p.colour = &l.palette[colour]
	p.micro, p.thinM = p.colour.microPerLumen, p.colour.thinAfterM
	if d.Z > -1e-6 && !t.inHood(p) { // level or upwards
		t.end(p, &t.balance.Spill)
		return
	}
	t.polarise(p)
}

// flyAbove follows a photon over the cover.
func (t *tracer) flyAbove(p *photon) {
	for p.in == above {
		switch t.flyHood(p, t.over); {
		case p.in != above || !t.fly(p, t.cover.topM, t.ceiling(p), t.over):
		case p.d.Z < 0:
			t.coverFromAbove(p)
		case !t.inHood(p):
			t.gone(p)
		}
	}
}

// flyUnder follows a photon between cover and water, or over open water.
func (t *tracer) flyUnder(p *photon) {
	for p.in == under {
		ceiling := t.cover.bottomM
		if !t.cover.present {
			t.flyHood(p, t.dry)
			ceiling = t.ceiling(p)
		}
		switch {
		case p.in != under || !t.fly(p, t.depthM, ceiling, t.dry):
		case p.d.Z < 0:
			t.surfaceFromAbove(p)
		case t.cover.present:
			t.coverFromBelow(p)
		case !t.inHood(p):
			t.gone(p)
		}
	}
}

// fly takes a photon through air to the next face: it returns true at the level face below or above it, and false
// where a wall, one of the boxes or the open has dealt with it. Outside the tank only the planes count by which a
// photon looks in.
func (t *tracer) fly(p *photon, low, high float64, things model.Obstacles) bool {
	s, level := (low-p.at.Z)/p.d.Z, low
	if p.d.Z > 0 {
		s, level = (high-p.at.Z)/p.d.Z, high
	} else if p.d.Z == 0 {
		s = math.MaxFloat64
	}
	face := model.Side(-1)
	if t.shaped != nil || t.Outside(p.at) {
		s, face = t.nextDry(p.at, p.d, s)
	} else {
		if sx, f := model.Gap(p.at.X, p.d.X, &t.acrossX); sx < s {
			s, face = sx, model.Left+f
		}
		if sy, f := model.Gap(p.at.Y, p.d.Y, &t.acrossY); sy < s {
			s, face = sy, model.Front+f
		}
	}
	if t.struckDry(p, s, things) {
		return false
	}
	if p.flights++; face < 0 && level == math.MaxFloat64 || s >= math.MaxFloat64 || p.flights > mostFlights {
		t.gone(p)
		return false
	}
	p.at.X += p.d.X * s
	p.at.Y += p.d.Y * s
	if face < 0 {
		p.at.Z = level
		return true
	}
	p.at.Z += p.d.Z * s
	t.wallDry(p, face)
	return false
}

// struckDry ends a photon at one of some boxes, or turns it back at a solid, that it meets in the air within a way of s;
// it tells whether it has met one.
func (t *tracer) struckDry(p *photon, s float64, things model.Obstacles) bool {
	box := math.MaxFloat64
	if things != nil {
		box = things.First(p.at, p.d, s)
	}
	if t.shaped != nil {
		if way := t.solidAhead(p, min(s, box)); way < min(s, box) {
			p.at = space.Point{X: p.at.X + p.d.X*way, Y: p.at.Y + p.d.Y*way, Z: p.at.Z + p.d.Z*way}
			p.flights++
			t.tellLanded(p, onSolid)
			t.meet(p, onSolid, 0, 1)
			return true
		}
	}
	if box < s {
		t.end(p, &t.balance.Obstacles)
	}
	return box < s
}

// wallDry is what happens at a wall plane met in the air; it tells whether the photon goes on in or is mirrored there.
func (t *tracer) wallDry(p *photon, side model.Side) (onward bool) {
	enters, lost := t.atWall(p, side)
	if lost {
		t.gone(p)
		return false
	}
	f, kept, past := t.face(side), 0.0, 0.0
	if cos := f.Turn(&p.at, &p.d); enters {
		return true
	} else if f.table == nil {
		past = f.clean
	} else if kept = f.table.Air(cos); f.matt[p.in] != nil {
		past = f.table.PastAir(cos, kept)
	}
	return t.meet(p, side, kept, past)
}

// pane returns what the cover transmits and reflects of a photon's lumens and of its photons, and the way through it
// in parts of its thickness.
func (t *tracer) pane(p *photon, cosAir float64) (lumens, micro shares, long float64) {
	cosPane := t.cover.boundary.beyond(cosAir)
	long = 1 / cosPane
	r := t.cover.boundary.reflect(cosAir, cosPane, p.parallel)
	lumens.through, lumens.back = stack.Sheet(r, fade(p.colour.paneLumens*long), t.cover.hollow)
	micro.through, micro.back = stack.Sheet(r, fade(p.colour.panePhotons*long), t.cover.hollow)
	return lumens, micro, long
}

// shares of light that meets the cover.
type shares struct{ through, back float64 }

// coverFromAbove is what happens at the cover's upper side: what it reflects is lost to it unless a hood is over it,
// what it lets through is shifted sideways.
func (t *tracer) coverFromAbove(p *photon) {
	if t.beside(p.at, p.d) && !t.getsIn(p) {
		t.gone(p)
		return
	}
	lumens, micro, long := t.pane(p, -p.d.Z)
	back := 0.0
	if t.hood != nil && !t.straightOnly {
		back = lumens.back
	}
	if t.sure(p) {
		if back > 0 {
			c := *p
			c.d.Z, c.rest, c.w = -p.d.Z, 1, p.w*back
			t.tint(&c, over(micro.back, back))
			t.stack = append(t.stack, c)
		}
		t.lose(p, p.w*(1-lumens.through-back), &t.balance.Cover)
		p.w *= lumens.through
	} else if u := t.random.unit(); u >= lumens.through+back {
		t.end(p, &t.balance.Cover)
		return
	} else if u >= lumens.through {
		t.tint(p, over(micro.back, back))
		p.d.Z = -p.d.Z
		t.join(p)
		return
	}
	t.tint(p, over(micro.through, lumens.through))
	p.at.Z, p.in = t.cover.bottomM, under
	t.drift(p, space.Vector{X: p.d.X, Y: p.d.Y}, t.cover.shift(long))
	t.throwAside(p)
}

// drift moves a photon sideways inside the cover by a way along v, from wall plane to wall plane. What is matt ends the
// way.
func (t *tracer) drift(p *photon, v space.Vector, way float64) {
	for p.in == under {
		s, side := t.nextDry(p.at, v, way)
		p.at.X, p.at.Y = p.at.X+s*v.X, p.at.Y+s*v.Y
		if side < 0 {
			return
		}
		if way -= s; !t.wallDry(p, side) {
			return
		}
		t.face(side).Turn(&p.at, &v)
	}
}

// shift returns how far a ray gets sideways in the pane for each unit of that in its direction, m; long is its way
// there in parts of the thickness.
func (c *cover) shift(long float64) float64 { return c.thickM * c.boundary.inverse * long }

// getsIn tells whether a photon that meets the cover beside the tank will be over its plan where the walls' upper end
// is, or the water. What never gets in is spill, all of it: a real cover does not reach out there.
func (t *tracer) getsIn(p *photon) bool {
	end := max(t.rimM, t.depthM)
	if end > t.cover.bottomM {
		return false
	}
	way := t.cover.shift(1/t.cover.boundary.beyond(-p.d.Z)) - (t.cover.bottomM-end)/p.d.Z
	return !t.beside(space.Point{X: p.at.X + p.d.X*way, Y: p.at.Y + p.d.Y*way}, p.d)
}

// coverFromBelow is what happens at the cover's underside: it may send light down again; what goes through is gone
// unless a hood is over it.
func (t *tracer) coverFromBelow(p *photon) {
	lumens, micro, _ := t.pane(p, p.d.Z)
	switch u := t.random.unit(); {
	case u < lumens.back:
		t.tint(p, over(micro.back, lumens.back))
		p.d.Z = -p.d.Z
	case u < lumens.back+lumens.through && t.hood == nil:
		t.gone(p)
	case u < lumens.back+lumens.through:
		t.tint(p, over(micro.through, lumens.through))
		p.at.Z, p.in = t.cover.topM, above
		t.throwAside(p)
	default:
		t.end(p, &t.balance.Cover)
	}
}

// surfaceFromAbove is what happens at the water surface: what it reflects goes up again as part of the rest.
func (t *tracer) surfaceFromAbove(p *photon) {
	if t.beside(p.at, p.d) {
		t.gone(p)
		return
	}
	p.met = true
	if t.floats(p) {
		return
	}
	if t.slope > 0 {
		t.join(p)
		t.facetFromAbove(p)
		return
	}
	cos := -p.d.Z
	cosWater := t.surface.beyond(cos)
	back := t.surface.reflect(cos, cosWater, p.parallel)
	if t.sure(p) {
		t.reflected(*p, cos, p.w*back)
		p.w *= 1 - back
	} else if t.random.unit() < back {
		p.d.Z = cos
		t.join(p)
		return
	}
	p.d.X, p.d.Y = p.d.X*t.surface.inverse, p.d.Y*t.surface.inverse
	p.d.Z = -cosWater
	t.enter(p)
}

// enter takes a photon from the air into the water.
func (t *tracer) enter(p *photon) {
	p.in = wet
	if !p.entered {
		t.balance.Entered.add(light{p.w, p.w * p.micro})
		p.entered = true
	}
	t.free(p)
}

// reflectedOf is of how many parts that the surface reflects one is followed: little of them comes back.
const reflectedOf = 8

// reflected lets what the surface reflects of straight light go up alone, for all of as many parts one of them by
// chance. The flux balance stays whole: what is not followed is lost at the surface, and what is followed instead is
// taken from there.
func (t *tracer) reflected(p photon, cos, weight float64) {
	t.balance.Surface.addPart(light{1, p.micro}, weight)
	if t.random.unit()*reflectedOf < 1 {
		p.d.Z, p.rest, p.w = cos, 1, weight*reflectedOf
		t.balance.Surface.addPart(light{1, p.micro}, -p.w)
		t.stack = append(t.stack, p)
	}
}
