package trace

import (
	"math"

	"fathomlux/optics/model"
	"fathomlux/optics/stack"
)

// launch starts a history at a lamp.
func (t *tracer) launch(p *photon, l *lamp) {
	d := l.source.Frame.World(l.lens.draw(&t.random))
	p.x, p.y, p.z, p.dx, p.dy, p.dz = l.source.Position.X, l.source.Position.Y, l.source.Position.Z, d.X, d.Y, d.Z
	p.w, p.pathM, p.module, p.flights, p.rest, p.met, p.entered = 1, 0, int32(l.source.Module), 0, 0, false, false
	if p.in = under; t.cover.present {
		p.in = above
	}
	if d.Z > -1e-6 { // level or upwards
		t.end(p, &t.books.Spill)
		return
	}
	p.colour = &l.palette[t.random.bits()%colours]
	p.micro, p.thinM = p.colour.microPerLumen, p.colour.thinAfterM
	t.polarise(p)
}

// flyAbove follows a photon over the cover.
func (t *tracer) flyAbove(p *photon) {
	for p.in == above {
		if t.fly(p, t.cover.topM, math.MaxFloat64, &t.overCover) {
			t.coverFromAbove(p)
		}
	}
}

// flyUnder follows a photon between cover and water, or over open water.
func (t *tracer) flyUnder(p *photon) {
	for p.in == under {
		ceiling := math.MaxFloat64
		if t.cover.present {
			ceiling = t.cover.bottomM
		}
		switch {
		case !t.fly(p, t.depthM, ceiling, &t.dry):
		case p.dz < 0:
			t.surfaceFromAbove(p)
		default:
			t.coverFromBelow(p)
		}
	}
}

// fly takes a photon through air to the next face: it returns true at the level face below or above it, and false where a
// wall, one of the boxes or the open has dealt with it. Outside the tank only the planes count by which a photon looks in.
func (t *tracer) fly(p *photon, low, high float64, shades *boxes) bool {
	s, level := (low-p.z)/p.dz, low
	if p.dz > 0 {
		s, level = (high-p.z)/p.dz, high
	} else if p.dz == 0 {
		s = math.MaxFloat64
	}
	face := model.Side(-1)
	sx, faceX := gap(p.x, p.dx, &t.acrossX)
	sy, faceY := gap(p.y, p.dy, &t.acrossY)
	if t.outside(p) {
		sx, faceX = plane(p.x, p.dx, &t.acrossX)
		sy, faceY = plane(p.y, p.dy, &t.acrossY)
	}
	if sx < s {
		s, face = sx, model.Left+faceX
	}
	if sy < s {
		s, face = sy, model.Front+faceY
	}
	if len(shades.list) > 0 && shades.first(p, s) < s {
		t.end(p, &t.books.Obstacles)
		return false
	}
	if p.flights++; face < 0 && level == math.MaxFloat64 || s >= math.MaxFloat64 || p.flights > mostFlights {
		t.gone(p)
		return false
	}
	p.x += p.dx * s
	p.y += p.dy * s
	if face < 0 {
		p.z = level
		return true
	}
	p.z += p.dz * s
	t.wallDry(p, face)
	return false
}

// plane returns the way to the next wall plane across one axis, and whether it is the low (0) or the high one (1).
func plane(at, d float64, across *[2]float64) (s float64, face model.Side) {
	high := across[0]
	switch {
	case d != 0 && at >= 0 && at <= high:
		return gap(at, d, across)
	case d > 0 && at < 0:
		return -at / d, 0
	case d < 0 && at > high:
		return (high - at) / d, 1
	}
	return math.MaxFloat64, 0
}

// outside tells whether a photon is beside the tank.
func (t *tracer) outside(p *photon) bool {
	return p.x < 0 || p.x > t.lengthM || p.y < 0 || p.y > t.widthM
}

// besideFace tells whether a photon in the plane of a wall is beside the wall itself.
func (t *tracer) besideFace(p *photon, face model.Side) bool {
	if face >= model.Front {
		return p.x < 0 || p.x > t.lengthM
	}
	return p.y < 0 || p.y > t.widthM
}

// wallDry plays a wall plane met in the air: above the rim there is none, from outside below it no way in.
func (t *tracer) wallDry(p *photon, face model.Side) {
	inward := (face == model.Left && p.dx > 0) || (face == model.Right && p.dx < 0) || (face == model.Front && p.dy > 0) || (face == model.Back && p.dy < 0)
	if inward != (p.z >= t.rimM) || !inward && t.besideFace(p, face) { // out over the rim, against the outside of a wall, or past it
		t.gone(p)
		return
	}
	dx, dy := p.dx, p.dy
	cos := t.turn(p, face)
	if inward { // over the rim and in
		p.dx, p.dy = dx, dy
		return
	}
	w := &t.sides[face]
	if w.table == nil {
		t.bounce(p, w.share, face, &t.books.Walls)
	} else if t.random.unit() >= w.table.Air(cos) {
		t.side = face
		t.end(p, &t.books.Walls)
	}
}

// pane returns what the cover transmits and reflects of a photon's lumens and of its photons, and the way through it in parts
// of its thickness.
func (t *tracer) pane(p *photon, cosAir float64) (lumens, micro shares, long float64) {
	cosPane := t.cover.face.beyond(cosAir)
	long = 1 / cosPane
	r := t.cover.face.reflect(cosAir, cosPane, p.parallel)
	lumens.through, lumens.back = stack.Plate(r, fade(p.colour.paneLumens*long))
	micro.through, micro.back = stack.Plate(r, fade(p.colour.panePhotons*long))
	return lumens, micro, long
}

// shares of light that meets the cover.
type shares struct{ through, back float64 }

// coverFromAbove plays the cover's upper side: what it reflects is lost to it, what it lets through is shifted sideways.
func (t *tracer) coverFromAbove(p *photon) {
	beside := t.outside(p)
	if beside && !t.getsIn(p) {
		t.gone(p)
		return
	}
	lumens, micro, long := t.pane(p, -p.dz)
	if t.random.unit() >= lumens.through {
		t.end(p, &t.books.Cover)
		return
	}
	p.micro *= over(micro.through, lumens.through)
	p.z, p.in = t.cover.bottomM, under
	shift := t.cover.shift(long)
	toX, toY := p.x+p.dx*shift, p.y+p.dy*shift
	if !beside && toX >= 0 && toX <= t.lengthM && toY >= 0 && toY <= t.widthM {
		p.x, p.y = toX, toY
		return
	}
	t.shift(p, p.x, toX, t.lengthM, model.Left)
	if p.in == under {
		t.shift(p, p.y, toY, t.widthM, model.Front)
	}
}

// shift returns how far a ray gets sideways in the pane for each unit of that in its direction, m; long is its way there in parts of
// the thickness.
func (c *cover) shift(long float64) float64 { return c.thickM * c.face.inverse * long }

// getsIn tells whether a photon that meets the cover beside the tank will be over its plan where the walls' upper end is, or the
// water. What never gets in is spill, all of it: a real cover does not reach out there.
func (t *tracer) getsIn(p *photon) bool {
	end := max(t.rimM, t.depthM)
	if end > t.cover.bottomM {
		return false
	}
	way := t.cover.shift(1/t.cover.face.beyond(-p.dz)) - (t.cover.bottomM-end)/p.dz
	x, y := p.x+p.dx*way, p.y+p.dy*way
	return x >= 0 && x <= t.lengthM && y >= 0 && y <= t.widthM
}

// shift moves a photon sideways along one axis inside the cover, past a wall plane if need be.
func (t *tracer) shift(p *photon, from, to, length float64, low model.Side) {
	coordinate := &p.x
	if low == model.Front {
		coordinate = &p.y
	}
	*coordinate = to
	switch was, is := from >= 0 && from <= length, to >= 0 && to <= length; {
	case was == is:
	case is: // from outside
		if p.z < t.rimM {
			t.gone(p)
		}
	default:
		face, mirrored := low, -to
		if to > length {
			face, mirrored = low+1, 2*length-to
		}
		if t.wallDry(p, face); p.in == under && t.sides[face].table != nil {
			*coordinate = mirrored
		}
	}
}

// coverFromBelow plays the cover's underside: it may send light down again; what goes through is gone.
func (t *tracer) coverFromBelow(p *photon) {
	lumens, micro, _ := t.pane(p, p.dz)
	switch u := t.random.unit(); {
	case u < lumens.back:
		p.micro *= over(micro.back, lumens.back)
		p.dz = -p.dz
	case u < lumens.back+lumens.through:
		t.gone(p)
	default:
		t.end(p, &t.books.Cover)
	}
}

// surfaceFromAbove plays the water surface: what it reflects goes up again as part of the rest.
func (t *tracer) surfaceFromAbove(p *photon) {
	if t.outside(p) {
		t.gone(p)
		return
	}
	p.met = true
	cos := -p.dz
	cosWater := t.surface.beyond(cos)
	if t.random.unit() < t.surface.reflect(cos, cosWater, p.parallel) {
		p.dz = cos
		t.join(p)
		return
	}
	p.dx, p.dy = p.dx*t.surface.inverse, p.dy*t.surface.inverse
	p.dz = -cosWater
	p.in = wet
	if !p.entered {
		t.books.Entered += p.w
		p.entered = true
	}
	t.free(p)
}
