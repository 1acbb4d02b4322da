package trace

import (
	"math"

	"fathomlux/optics/model"
	"fathomlux/optics/walls"
	"fathomlux/scene/form"
	"fathomlux/scene/space"
)

// What a flight in a shaped tank ends at, behind the faces of the hood: a ground that is not level, a solid, and the
// walls by edge of the outline.
const (
	onSlope = allFaces + iota
	onSolid
	firstWall
)

// shaped is what a flight may meet in a tank that is no upright box with a level ground and boxes in it.
type shaped struct {
	fence   *form.Fence
	walls   []face       // by edge
	numbers []model.Side // of the walls among the model's faces, by edge
	ground  *form.Ground // nil where it is level
	solids  []model.Solid
	matt    []face // of the solids, whose normals are those of each hit

	patches [][]int // number of the first patch of each piece of each solid
	count   int     // of patches
}

// newShaped lays the walls and what stands between them out, in a tank with water of some index.
func newShaped(m *model.Model, index float64) *shaped {
	s := &shaped{fence: form.NewFence(m.Outline()), ground: m.Ground, solids: m.Solids}
	list, numbers := m.WallFaces()
	for i, f := range list {
		wall, own := newFace(f, index), &m.Faces[numbers[i]]
		wall.corner, wall.along = own.Outline[0], own.Along() // from where, and which way, it is counted
		s.walls = append(s.walls, wall)
	}
	s.numbers = numbers
	for _, one := range m.Solids {
		s.matt = append(s.matt, newFace(model.Face{Outline: []space.Point{{}}, Normal: space.Vector{Z: 1},
			Material: walls.Wall{Kind: walls.Diffuse, Reflectance: one.Reflectance}}, index))
		var first []int
		for k := range one.Solids {
			first = append(first, s.count)
			s.count += one.Solids[k].PatchCount()
		}
		s.patches = append(s.patches, first)
	}
	return s
}

// fence returns the walls seen from above, nil in an upright box.
func (w *world) fence() *form.Fence {
	if w.shaped == nil {
		return nil
	}
	return w.shaped.fence
}

// face returns the face of a side that a photon has come to.
func (t *tracer) face(side model.Side) *face {
	switch {
	case side < allFaces:
		return &t.faces[side]
	case side < firstWall:
		return &t.hit
	}
	return &t.shaped.walls[side-firstWall]
}

// entry is the entry of what a side keeps.
func (t *tracer) entry(side model.Side) *light {
	switch side {
	case model.Ground, onSlope:
		return &t.balance.Floor
	case onSolid:
		return &t.balance.Obstacles
	}
	if t.through != nil && t.face(side).clear {
		return t.through
	}
	return &t.balance.Walls
}

// shapedAhead returns how far a photon under water flies in a shaped tank until it meets surface, ground, a wall or a
// solid, and which.
func (t *tracer) shapedAhead(p *photon) (s float64, what model.Side) {
	w := t.shaped
	s, what = math.MaxFloat64, atSurface
	if p.d.Z > 0 {
		s = (t.depthM - p.at.Z) / p.d.Z
	} else if p.d.Z < 0 && w.ground == nil {
		s, what = -p.at.Z/p.d.Z, model.Ground
	}
	if way, edge := w.fence.Next(p.at, p.d, s, false); edge >= 0 {
		s, what = way, firstWall+model.Side(edge)
	}
	if w.ground != nil {
		if way, n := w.ground.First(p.at, p.d, s); way < s {
			s, what = way, onSlope
			t.strike(&t.faces[model.Ground], p, s, n)
		}
	}
	if way := t.solidAhead(p, s); way < s {
		s, what = way, onSolid
	}
	return s, what
}

// solidAhead returns how far a photon flies until it meets a solid, math.MaxFloat64 where it meets none within a way of
// withinM, and readies the face.
func (t *tracer) solidAhead(p *photon, withinM float64) float64 {
	w, s := t.shaped, math.MaxFloat64
	for i := range w.solids {
		if way, k, face := w.solids[i].Find(p.at, p.d, min(s, withinM)); way < s {
			s, t.on = way, spot{i, k, face}
		}
	}
	if s < math.MaxFloat64 {
		at := space.Point{X: p.at.X + s*p.d.X, Y: p.at.Y + s*p.d.Y, Z: p.at.Z + s*p.d.Z}
		t.strike(&w.matt[t.on.solid], p, s, w.solids[t.on.solid].Solids[t.on.piece].Normal(t.on.face, at))
	}
	return s
}

// spot is a face of a piece of one of the model's solids.
type spot struct{ solid, piece, face int }

// tellLanded counts a photon that has come to a face which is counted.
func (t *tracer) tellLanded(p *photon, what model.Side) {
	switch {
	case what == onSlope:
		t.tally.land(p, OnGround, 0)
	case what == onSolid:
		of := &t.shaped.solids[t.on.solid].Solids[t.on.piece]
		t.tally.land(p, OnSolids, t.shaped.patches[t.on.solid][t.on.piece]+of.PatchAt(t.on.face, p.at))
		if t.walls != nil {
			t.walls.landSkin(p, &t.on)
		}
	case t.walls == nil:
	case what < model.Ground:
		t.walls.landWall(p, what, &t.faces[what])
	case what >= firstWall:
		t.walls.landWall(p, t.shaped.numbers[what-firstWall], t.face(what))
	}
}

// strike readies the face that a photon comes to after a way of s metres: what it is made of, and its normal there.
func (t *tracer) strike(of *face, p *photon, s float64, n space.Vector) {
	t.hit = *of
	t.hit.Normal = n
	t.hit.OffsetM = n.X*(p.at.X+s*p.d.X) + n.Y*(p.at.Y+s*p.d.Y) + n.Z*(p.at.Z+s*p.d.Z)
	t.hit.right, t.hit.up = across(n)
}

// beside tells whether a place is beside the tank, as seen by who goes on from there in a direction.
func (w *world) beside(at space.Point, d space.Vector) bool {
	if w.shaped == nil {
		return w.Outside(at)
	}
	return !w.shaped.fence.Holds(at, d)
}

// nextDry is model.Tank.NextWall for any tank. Who leaves over the rim and gets in over it again meets no wall there.
func (w *world) nextDry(at space.Point, d space.Vector, within float64) (s float64, side model.Side) {
	if w.shaped == nil {
		return w.NextWall(at, d, within)
	}
	fence, out, left := w.shaped.fence, w.beside(at, d), false
	s, side = within, -1
	for way := 0.0; ; {
		on, edge := fence.Next(at, d, within-way, out)
		if edge < 0 {
			return s, side
		}
		at, way = space.Point{X: at.X + on*d.X, Y: at.Y + on*d.Y, Z: at.Z + on*d.Z}, way+on
		switch over := at.Z >= w.rimM; {
		case over && !out && !fence.Convex():
			s, side, out, left = way, firstWall+model.Side(edge), true, true
		case over && left:
			s, side, out, left = within, -1, false, false
		default:
			return way, firstWall + model.Side(edge)
		}
	}
}

// atWall is model.Tank.AtWall for any tank.
func (t *tracer) atWall(p *photon, side model.Side) (enters, lost bool) {
	if t.shaped == nil {
		return t.AtWall(p.at, p.d, side, t.rimM)
	}
	n := &t.face(side).Normal
	enters = p.d.X*n.X+p.d.Y*n.Y > 0
	return enters, enters != (p.at.Z >= t.rimM)
}

// The faces of a hood's inside, behind those of the tank: its sides by model.Side, and its top.
const (
	hoodSides = model.Ground + 1
	hoodTop   = hoodSides + model.Ground
	allFaces  = hoodTop + 1
)

// newHood lays the inside of a hood out: matt faces of one reflectance.
func (w *world) newHood(h *model.Hood) {
	if h == nil {
		return
	}
	w.hood = &h.Box
	inside := walls.Wall{Kind: walls.Diffuse, Reflectance: h.Reflectance}
	at := func(normal space.Vector, corner space.Point) model.Face {
		return model.Face{Outline: []space.Point{corner}, Normal: normal, Material: inside}
	}
	for i, f := range []model.Face{at(space.Vector{X: 1}, h.Min), at(space.Vector{X: -1}, h.Max),
		at(space.Vector{Y: 1}, h.Min), at(space.Vector{Y: -1}, h.Max), at(space.Vector{Z: -1}, h.Max)} {
		w.faces[hoodSides+model.Side(i)] = newFace(f, w.index)
	}
}

// onFaceM is how far rounding may put a photon beside the face that it is on.
const onFaceM = 1e-9

// ceiling is up to where a photon in the air flies that meets no cover.
func (w *world) ceiling(p *photon) float64 {
	if w.hood != nil && p.at.Z < w.hood.Min.Z {
		return w.hood.Min.Z
	}
	return math.MaxFloat64
}

// inHood tells whether a photon is in the hood, or about to enter it from below.
func (w *world) inHood(p *photon) bool {
	h := w.hood
	return h != nil && (p.at.Z > h.Min.Z || p.at.Z == h.Min.Z && p.d.Z > 0) && p.at.Z <= h.Max.Z+onFaceM &&
		p.at.X >= h.Min.X-onFaceM && p.at.X <= h.Max.X+onFaceM &&
		p.at.Y >= h.Min.Y-onFaceM && p.at.Y <= h.Max.Y+onFaceM
}

// flyHood follows a photon in the hood until it leaves through the open underside or ends. What its faces keep is lost
// as if there were no hood.
func (t *tracer) flyHood(p *photon, things model.Obstacles) {
	for p.in != ended && t.inHood(p) {
		s, side := (t.hood.Min.Z-p.at.Z)/p.d.Z, model.Side(-1)
		if p.d.Z > 0 {
			s, side = (t.hood.Max.Z-p.at.Z)/p.d.Z, hoodTop
		} else if p.d.Z == 0 {
			s = math.MaxFloat64
		}
		if sx, f := model.Gap(p.at.X, p.d.X, &[2]float64{t.hood.Max.X, t.hood.Min.X}); sx < s {
			s, side = sx, hoodSides+model.Left+f
		}
		if sy, f := model.Gap(p.at.Y, p.d.Y, &[2]float64{t.hood.Max.Y, t.hood.Min.Y}); sy < s {
			s, side = sy, hoodSides+model.Front+f
		}
		if things != nil && things.First(p.at, p.d, s) < s {
			t.end(p, &t.balance.Obstacles)
			return
		}
		if p.flights++; p.flights > mostFlights || s >= math.MaxFloat64 {
			t.gone(p)
			return
		}
		p.at = space.Point{X: p.at.X + p.d.X*s, Y: p.at.Y + p.d.Y*s, Z: p.at.Z + p.d.Z*s}
		if side < 0 {
			p.at.Z = t.hood.Min.Z
			return
		}
		t.faces[side].Turn(&p.at, &p.d)
		if entry := t.outside(p); t.straightOnly {
			t.end(p, entry)
		} else {
			t.bounce(p, t.faces[side].matt[p.in].Share, side, entry)
		}
	}
}
