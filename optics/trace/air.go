package trace

import (
	"math"

	"fathomlux/optics/stack"
	"fathomlux/optics/stage"
)

// launch starts a history at a lamp.
func (t *tracer) launch(l *lamp) {
	d := l.source.Frame.World(l.lens.draw(&t.random))
	p := photon{x: l.source.Position.X, y: l.source.Position.Y, z: l.source.Position.Z, dx: d.X, dy: d.Y, dz: d.Z,
		w: 1, module: int32(l.source.Module), in: under}
	if t.cover.present {
		p.in = above
	}
	if d.Z > -1e-6 { // level or upwards
		t.end(&p, &t.books.Spill)
		return
	}
	p.colour = &l.palette[t.random.bits()%uint64(len(l.palette))]
	p.micro, p.thinM = p.colour.microPerLumen, p.colour.thinAfterM
	t.polarise(&p)
	t.play(p)
}

// flyAbove follows a photon over the cover.
func (t *tracer) flyAbove(p *photon) {
	for p.in == above {
		if t.fly(p, t.cover.topM, math.MaxFloat64) {
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
		case !t.fly(p, t.depthM, ceiling):
		case p.dz < 0:
			t.surfaceFromAbove(p)
		default:
			t.coverFromBelow(p)
		}
	}
}

// fly takes a photon through air to the next face: it returns true at the level face below or above it, and false where a
// wall, a box or the open has dealt with it. Outside the tank only the planes count by which a photon looks in.
func (t *tracer) fly(p *photon, low, high float64) bool {
	s, level := (low-p.z)/p.dz, low
	if p.dz > 0 {
		s, level = (high-p.z)/p.dz, high
	} else if p.dz == 0 {
		s = math.MaxFloat64
	}
	face := stage.Side(-1)
	if sx, f := plane(p.x, p.dx, t.lengthM); sx < s {
		s, face = sx, stage.Left+f
	}
	if sy, f := plane(p.y, p.dy, t.widthM); sy < s {
		s, face = sy, stage.Front+f
	}
	if len(t.dry) > 0 {
		if firstBox(t.dry, p) < s {
			t.end(p, &t.books.Obstacles)
			return false
		}
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
func plane(at, d, high float64) (s float64, face stage.Side) {
	switch {
	case d > 0 && at < 0:
		return -at / d, 0
	case d > 0 && at <= high:
		return (high - at) / d, 1
	case d < 0 && at > high:
		return (high - at) / d, 1
	case d < 0 && at >= 0:
		return -at / d, 0
	}
	return math.MaxFloat64, 0
}

// outside tells whether a photon is beside the tank.
func (t *tracer) outside(p *photon) bool {
	return p.x < 0 || p.x > t.lengthM || p.y < 0 || p.y > t.widthM
}

// wallDry plays a wall plane met in the air: above the rim there is none, from outside below it no way in.
func (t *tracer) wallDry(p *photon, face stage.Side) {
	inward := (face == stage.Left && p.dx > 0) || (face == stage.Right && p.dx < 0) || (face == stage.Front && p.dy > 0) || (face == stage.Back && p.dy < 0)
	if inward != (p.z >= t.rimM) { // out over the rim, or against the outside of a wall
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

// pane returns what the cover transmits and reflects of a photon's lumens and of its photons.
func (t *tracer) pane(p *photon, cosAir float64) (lumens, micro shares) {
	face := t.face(t.cover.index, cosAir, p.parallel)
	long := 1 / math.Sqrt(1-(1-cosAir*cosAir)/(t.cover.index*t.cover.index))
	lumens.through, lumens.back = stack.Plate(face, fade(p.colour.paneLumens*long))
	micro.through, micro.back = stack.Plate(face, fade(p.colour.panePhotons*long))
	return lumens, micro
}

// shares of light that meets the cover.
type shares struct{ through, back float64 }

// coverFromAbove plays the cover's upper side: what it reflects is lost to it, what it lets through is shifted sideways.
func (t *tracer) coverFromAbove(p *photon) {
	lumens, micro := t.pane(p, -p.dz)
	if t.random.unit() >= lumens.through {
		t.end(p, &t.books.Cover)
		return
	}
	p.micro *= over(micro.through, lumens.through)
	p.z, p.in = t.cover.bottomM, under
	n2 := t.cover.index * t.cover.index
	shift := t.cover.thickM / math.Sqrt(n2-(1-p.dz*p.dz))
	toX, toY := p.x+p.dx*shift, p.y+p.dy*shift
	t.shift(p, p.x, toX, t.lengthM, stage.Left)
	if p.in == under {
		t.shift(p, p.y, toY, t.widthM, stage.Front)
	}
}

// shift moves a photon sideways along one axis inside the cover, past a wall plane if need be.
func (t *tracer) shift(p *photon, from, to, length float64, low stage.Side) {
	coordinate := &p.x
	if low == stage.Front {
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
	lumens, micro := t.pane(p, p.dz)
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
	n, cos := t.index, -p.dz
	if t.random.unit() < t.face(n, cos, p.parallel) {
		p.dz = cos
		t.join(p)
		return
	}
	p.dx, p.dy = p.dx/n, p.dy/n
	p.dz = -math.Sqrt(1 - (p.dx*p.dx + p.dy*p.dy))
	p.in = wet
	if !p.entered {
		t.books.Entered += p.w
		p.entered = true
	}
	t.free(p)
}
