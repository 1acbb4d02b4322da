package trace

import (
	"math"
	"slices"

	"fathomlux/optics/beam"
	"fathomlux/optics/model"
	"fathomlux/optics/result"
	"fathomlux/optics/walls"
	"fathomlux/scene/space"
)

// world is a model laid out for flights. Heights count from the floor, as in package space. Faces go by number; a
// flight finds the next of them by the quick way of an upright box.
type world struct {
	model.Tank
	depthM, rimM     float64 // rimM is where walls end
	index            float64 // of the water, relative to air
	faces            [allFaces]face
	hood             *space.Box // nil where none reflects
	shaped           *shaped    // nil for an upright box
	leaves           []model.Leaves
	floating         model.Floating
	slope            float64    // of the surface, see model.Model
	acrossX, acrossY [2]float64 // the high and the low plane across each axis
	surface          boundary
	cover            cover
	wet, dry, over   model.Obstacles // under water, between water and cover or over open water, and over the cover
	asymmetry        float64
	lamps            []lamp
	flux             float64            // lm of all lamps that goes into their front hemispheres
	before           result.Ends[light] // what the optics keep, and what they send backwards, of all that is emitted
}

// face is one face of the tank's inside. table is nil for one that mirrors nothing, matt, by where a photon is, for one
// without anything matt.
type face struct {
	model.Plane
	right, up space.Vector // in the face
	corner    space.Point  // the first of its outline
	along     space.Vector // to the second, of unit length
	table     *walls.Table
	matt      [ended]*walls.Matt
	clean     float64 // what dirt leaves of what comes back
	clear     bool    // whether what it does not mirror goes out into the room
}

// newFace lays a face of the model out, in a tank with water of some index.
func newFace(f model.Face, index float64) face {
	out := face{Plane: f.Plane(), corner: f.Outline[0], along: f.Along(),
		clear: f.Material.Kind == walls.Glass}
	out.right, out.up = across(f.Normal)
	if out.clean = 1 - f.Material.Lost; f.Material.Mirrors() || !f.Material.Matt() {
		out.table = walls.NewTable(f.Material, index)
	}
	if f.Material.Matt() {
		air := f.Material.NewMatt(1)
		out.matt = [ended]*walls.Matt{above: air, under: air, wet: f.Material.NewMatt(index)}
	}
	return out
}

// across returns two directions in a face: right is level, up is steepest.
func across(n space.Vector) (right, up space.Vector) {
	level := math.Hypot(n.X, n.Y)
	if level == 0 {
		return space.Vector{X: 1}, space.Vector{Y: 1}
	}
	side := math.Copysign(1/level, n.X-n.Y)
	return space.Vector{X: -side * n.Y, Y: side * n.X},
		space.Vector{X: -n.Z * n.X / level, Y: -n.Z * n.Y / level, Z: level}
}

// cover is the pane; there is none where present is false.
type cover struct {
	present               bool
	bottomM, topM, thickM float64
	boundary              boundary
	hollow                bool
	scatter, asymmetry    float64 // what is thrown aside of the light through it
}

// lamp is one source: its lens, its colours, and its share of the flux.
type lamp struct {
	source  *model.Source
	lens    *lens
	palette []colour
	flux    float64
}

// newWorld lays a model out as it is seen from some planes.
func newWorld(m *model.Model, planes []Plane) *world {
	tank, err := m.Tank()
	if err != nil {
		tank = m.Around()
	}
	w := newTank(tank, m.DepthM, m.Water.Index())
	if err != nil {
		w.shaped, w.faces[model.Ground] = newShaped(m, w.index), newFace(m.Faces[len(m.Faces)-1], w.index)
	}
	w.rimM, w.asymmetry = m.DepthM+tank.WallsEndM(m.Cover), m.Water.Asymmetry()
	if c := m.Cover; c != nil {
		bottom := m.DepthM + c.UndersideM
		w.cover = cover{present: true, bottomM: bottom, topM: bottom + c.ThicknessM, thickM: c.ThicknessM,
			boundary: newBoundary(c.Index), hollow: c.Hollow, scatter: c.Scatter, asymmetry: c.Asymmetry}
	}
	depths := make([]float64, len(planes))
	for i, p := range planes {
		depths[i] = p.DepthM
	}
	w.leaves, w.floating, w.slope = m.Leaves, m.Floating, m.Slope
	w.newHood(m.Hood)
	w.wet, w.dry, w.over = m.Layers(depths...)
	w.makeLamps(m)
	return w
}

// newTank lays an open tank of water of some depth and index out.
func newTank(t model.Tank, depthM, index float64) *world {
	w := &world{Tank: t, depthM: depthM, rimM: depthM + t.RimM, index: index, surface: newBoundary(index)}
	w.acrossX[0], w.acrossY[0] = t.LengthM, t.WidthM
	for i, f := range t.Faces(depthM) {
		w.faces[i] = newFace(f, index)
	}
	return w
}

// makeLamps makes the lamps.
func (w *world) makeLamps(m *model.Model) {
	w.makeLampsWith(m, map[*beam.Beam]*lens{}, map[int][]colour{})
}

// makeLampsWith makes the lamps with lenses, and palettes by spectrum, that are kept.
func (w *world) makeLampsWith(m *model.Model, lenses map[*beam.Beam]*lens, palettes map[int][]colour) {
	for i := range m.Sources {
		src := &m.Sources[i]
		one := light{1, m.Spectra[src.Spectrum].PPFDPerLux()}
		w.before.Emitted.addPart(one, src.EmittedLm)
		w.before.Optic.addPart(one, src.EmittedLm-src.LeavingLm)
		if src.LeavingLm == 0 {
			continue
		}
		shape := m.Beams[src.Beam]
		if lenses[shape] == nil {
			lenses[shape] = newLens(shape)
		}
		if palettes[src.Spectrum] == nil {
			palettes[src.Spectrum] = palette(m.Spectra[src.Spectrum], m)
		}
		// a measured optic may send light behind the module
		before := src.LeavingLm * shape.ShareWithin(math.Pi/2)
		w.lamps = append(w.lamps, lamp{source: src, lens: lenses[shape], palette: palettes[src.Spectrum], flux: before})
		w.flux += before
		w.before.Spill.addPart(one, src.LeavingLm-before)
	}
}

// turn is a way to lay a tank that is its own mirror image onto itself: where patches and cells of soft screens go. Of
// patches that go onto each other light is traced from the first alone, with the photons of all.
type turn struct{ patches, cells []int }

// findTurns lists the turns of a tank; the first leaves all where it is.
func (t *Transfer) findTurns() {
	x, y := t.model.Mirrors()
	for _, flips := range [][2]bool{{}, {true, false}, {false, true}, {true, true}} {
		if flips[0] && !x || flips[1] && !y {
			continue
		}
		one := turn{t.patches.turned(flips), t.soft.turned(flips)}
		if one.patches != nil && one.cells != nil {
			t.turns = append(t.turns, one)
		}
	}
}

// flipped is the number of one of some nodes or cells in a row, flipped or not.
func flipped(i, n int, flip bool) int {
	if flip {
		return n - 1 - i
	}
	return i
}

// flips tells whether an axis is its own mirror image.
func (a *axis) flips() bool {
	n := len(a.edges)
	for i := range a.edges {
		if math.Abs(a.edges[i]+a.edges[n-1-i]-a.edges[n-1]) > leastGapM/2 {
			return false
		}
	}
	return true
}

// turned returns where patches go where the tank is flipped along x or y, and nil where some are not where others were.
func (p *patches) turned(flips [2]bool) []int {
	to := make([]int, len(p.list))
	for side := range p.regions {
		other, u, v := model.Side(side), flips[0], flips[1]
		if other < model.Front {
			u = flips[1]
		}
		if other != model.Ground {
			v = false
			if across := flips[other/model.Front]; across {
				other ^= 1
			}
		}
		for in := range p.regions[side] {
			from, onto := &p.regions[side][in], &p.regions[other][in]
			nu, nv := len(from.x.edges), len(from.y.edges)
			if !slices.Equal(from.x.edges, onto.x.edges) || !slices.Equal(from.y.edges, onto.y.edges) ||
				u && !from.x.flips() || v && !from.y.flips() {
				return nil
			}
			for i := range nu * nv {
				to[from.from+i] = onto.from + flipped(i/nu, nv, v)*nu + flipped(i%nu, nu, u)
			}
		}
	}
	return to
}

// turned returns where cells go where the tank is flipped along x or y, and nil where some are not where others were.
func (s *screens) turned(flips [2]bool) []int {
	to := make([]int, s.cells)
	for i := range s.list {
		m := s.list[i].mesh
		if flips[0] && !m.x.flips() || flips[1] && !m.y.flips() {
			return nil
		}
		nx, ny := m.x.cells(), m.y.cells()
		for k := range nx * ny {
			to[s.list[i].from+k] = s.list[i].from + flipped(k/nx, ny, flips[1])*nx + flipped(k%nx, nx, flips[0])
		}
	}
	return to
}

// orbit lists the patches onto which a patch goes, each once; its own number comes first where it is the first.
func (t *Transfer) orbit(j int) (list []int) {
	for _, one := range t.turns {
		if to := one.patches[j]; !slices.Contains(list, to) {
			list = append(list, to)
		}
	}
	return list
}
