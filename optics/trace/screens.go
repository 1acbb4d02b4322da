package trace

import (
	"math"
	"slices"
	"sort"
	"sync"

	"fathomlux/optics/model"
	"fathomlux/optics/result"
)

// screen is one level plane to be lit, in cells of its own.
type screen struct {
	heightM float64
	ground  bool // whether it lies on a ground that is not level
	mesh    *mesh
	density *density
	from    int // its first cell among those of all screens
}

// screens are level planes from above to below, with the number of each by its plane's number.
type screens struct {
	list  []screen
	of    []int
	cells int
	faces int       // patches of solids
	pool  sync.Pool // of *crew
}

// on returns the screen of a plane.
func (s *screens) on(plane int) *screen { return &s.list[s.of[plane]] }

// cut returns the cells of a plane among those of all.
func (s *screens) cut(cells []light, plane int) []light {
	one := s.on(plane)
	return cells[one.from:][:one.mesh.cells()]
}

// crew is a tracer for each batch of a transfer.
type crew struct{ tracers []*tracer }

// crew returns one in a world, whose tracers note what crosses the screens. It is to be released.
func (s *screens) crew(t *Transfer, w *world, count [2]bool) *crew {
	c, _ := s.pool.Get().(*crew)
	if c == nil {
		c = &crew{make([]*tracer, t.parts())}
		for b := range c.tracers {
			c.tracers[b] = t.tracer(w, &crossings{s, make([]light, s.cells), count, make([]light, s.faces)})
		}
	}
	for _, tr := range c.tracers {
		if tr.world = w; w.shaped != nil && len(w.lamps) > 0 {
			tr.usual = w.usualRest()
		}
	}
	return c
}

// release takes a crew back for others to use.
func (s *screens) release(c *crew) {
	for _, tr := range c.tracers {
		clear(tr.cells())
		clear(tr.onPatches())
		tr.balance = result.Ends[light]{}
	}
	s.pool.Put(c)
}

// onPatches is what a tracer has noted on patches; those of solids in a shaped tank.
func (t *tracer) onPatches() []light {
	if t.lands == nil {
		return t.tally.(*crossings).faces
	}
	return t.lands.light
}

// cells are what a tracer has noted of crossings.
func (t *tracer) cells() []light { return t.tally.(*crossings).light }

// The densities of a screen are fitted to cells within a reach, in parts of a cell's side.
const (
	softReach = 4
	fineReach = 3
	wallReach = 4.5
)

// newScreens cuts all planes into cells of about cellM.
func (t *Transfer) newScreens(cellM, usual float64) *screens {
	s := &screens{}
	order := make([]int, len(t.options.DepthsM))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool { return t.options.DepthsM[order[a]] < t.options.DepthsM[order[b]] })
	s.of = make([]int, len(order))
	w := t.world
	if w.shaped != nil {
		s.faces = w.shaped.count
	}
	var before []cutBox // that the plane above cuts
	var filled *filling
	for k, i := range order {
		// A flight's end does not count as crossed, its start does: a plane on the floor is lifted by a hair.
		one := screen{heightM: min(max(w.depthM-t.options.DepthsM[i], 1e-9*w.depthM), w.depthM), from: s.cells}
		one.ground = t.model.OnGround(t.options.DepthsM[i])
		cut, x, y := cutBy(t.boxes, one.heightM)
		was := filled
		if filled = t.fill(t.options.DepthsM[i]); k > 0 && slices.Equal(cut, before) && filled == nil && was == nil {
			one.mesh, one.density = s.list[k-1].mesh, s.list[k-1].density
		} else {
			one.mesh = &mesh{newAxis(w.LengthM, cellM, x, true), newAxis(w.WidthM, cellM, y, true)}
			one.density = newDensity(one.mesh, reach{usual * cellM, wallReach * cellM}, cut, w.fence(), filled,
				t.options.Workers)
		}
		before = cut
		s.list, s.of[i] = append(s.list, one), k
		s.cells += one.mesh.cells()
	}
	return s
}

// crossings is the tally of what crosses screens on its way down.
type crossings struct {
	*screens
	light []light // of all screens' cells
	count [2]bool // whether crossings count: of the straight light, of the rest
	faces []light // all light on the patches of solids
}

func (t *crossings) land(p *photon, on Place, patch int) {
	if on == OnSolids && patch < len(t.faces) {
		note(p, &t.faces[patch], p.pathM)
	}
	for i := range t.list {
		if h := &t.list[i]; on == OnGround && h.ground && t.count[p.rest] {
			note(p, &t.light[h.from+h.mesh.at(p.at.X, p.at.Y)], p.pathM)
		}
	}
}

func (t *crossings) fly(p *photon, s float64, _ model.Side) {
	if !(p.d.Z < 0 && t.count[p.rest]) {
		return
	}
	low, perM := p.at.Z+p.d.Z*s, 1/p.d.Z
	for i := range t.list {
		h := &t.list[i]
		if h.heightM > p.at.Z {
			continue
		}
		if h.heightM <= low || h.ground { // no other lies lower
			return
		}
		way := (h.heightM - p.at.Z) * perM
		path := p.pathM + way
		note(p, &t.light[h.from+h.mesh.at(p.at.X+p.d.X*way, p.at.Y+p.d.Y*way)], path)
	}
}

// spotCells is how many cells of a fine screen the radius of a lamp's spot has, and finest how many times finer than
// soft ones they may be.
const (
	spotCells = 3.0
	finest    = 5 // steps of the root of two
)

// grain chooses how fine the screens of a lamp are whose spot has some radius: by how many steps of the root of two.
func (t *Transfer) grain(radiusM float64) int {
	steps := math.Ceil(2 * math.Log2(t.cellM*spotCells/radiusM))
	return int(min(max(steps, 0), finest))
}

// fineM is the side of cells of screens of a grain.
func (t *Transfer) fineM(grain int) float64 { return t.cellM * math.Pow(2, -float64(grain)/2) }

// fineScreens returns the screens of a grain.
func (t *Transfer) fineScreens(grain int) *screens {
	t.lock.Lock()
	defer t.lock.Unlock()
	if t.fine[grain] == nil {
		t.fine[grain] = t.newScreens(t.fineM(grain), fineReach)
	}
	return t.fine[grain]
}
