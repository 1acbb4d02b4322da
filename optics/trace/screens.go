package trace

import (
	"math"
	"slices"
	"sort"
	"sync"

	"fathomlux/optics/model"
	"fathomlux/optics/result"
	"fathomlux/scene/space"
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
	parts int       // among which histories are dealt
	pool  sync.Pool // of *crew
}

// on returns the screen of a plane.
func (s *screens) on(plane int) *screen { return &s.list[s.of[plane]] }

// cut returns the cells of a plane among those of all.
func (s *screens) cut(cells []light, plane int) []light {
	one := s.on(plane)
	return cells[one.from:][:one.mesh.cells()]
}

// crew is a tracer for each part of some histories.
type crew struct{ tracers []*tracer }

// crew returns one in a world, whose tracers note what crosses the screens. It is to be released.
func (s *screens) crew(t *Transfer, w *world, count [2]bool) *crew {
	c, _ := s.pool.Get().(*crew)
	if c == nil {
		c = &crew{make([]*tracer, s.parts)}
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

// newSoft makes the soft screens for patches of about sideM.
func (t *Transfer) newSoft(sideM float64) {
	t.cellM = sideM / cellsOfPatch
	t.soft = t.newScreens(t.cellM, softReach)
	t.soft.parts = t.parts()
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

// leastParts is into how many parts histories are dealt at least, for several processors.
const leastParts = 4

// fineScreens returns the screens of a grain.
func (t *Transfer) fineScreens(grain int) *screens {
	t.lock.Lock()
	defer t.lock.Unlock()
	if t.fine[grain] == nil {
		t.fine[grain] = t.newScreens(t.fineM(grain), fineReach)
		t.fine[grain].parts = max(leastParts, t.parts())
	}
	return t.fine[grain]
}

// Lattice is the box about the water in cells, NX by NY by NZ, in which the light on its way is counted. A cell has the
// index (iz*NY + iy)*NX + ix.
type Lattice struct {
	Size       space.Vector // of the box, whose lowest corner is the origin, m
	NX, NY, NZ int
}

// Cells is how many cells there are.
func (l *Lattice) Cells() int { return l.NX * l.NY * l.NZ }

// Flow is the light in a cell of the water: its scalar illuminance, which counts light from all sides alike, and the
// vector sum of the same, both in lx. The length of the vector over the scalar is the mean cosine about its direction.
type Flow struct {
	Lux float64
	Net space.Vector
}

// add adds lumens times metres along a direction.
func (f *Flow) add(k float64, d space.Vector) {
	f.Lux += k
	f.Net.X, f.Net.Y, f.Net.Z = f.Net.X+k*d.X, f.Net.Y+k*d.Y, f.Net.Z+k*d.Z
}

// flows is the tally of light on its way: of the straight light and of the rest.
type flows struct {
	*Lattice
	per   space.Vector // cells a metre
	cells [2][]Flow
}

func newFlows(l *Lattice) *flows {
	f := &flows{Lattice: l, per: space.Vector{X: float64(l.NX) / l.Size.X, Y: float64(l.NY) / l.Size.Y,
		Z: float64(l.NZ) / l.Size.Z}}
	for i := range f.cells {
		f.cells[i] = make([]Flow, l.Cells())
	}
	return f
}

func (f *flows) clear() {
	if f != nil {
		clear(f.cells[0])
		clear(f.cells[1])
	}
}

// add adds what other flows have counted.
func (f *flows) add(o *flows) {
	if f == nil {
		return
	}
	for part := range f.cells {
		for i := range f.cells[part] {
			to, from := &f.cells[part][i], &o.cells[part][i]
			to.Lux += from.Lux
			to.Net.X, to.Net.Y, to.Net.Z = to.Net.X+from.Net.X, to.Net.Y+from.Net.Y, to.Net.Z+from.Net.Z
		}
	}
}

// fly shares a way of s metres among the cells that it passes: lumens times metres over the volume of a cell are its
// scalar illuminance. Source of the estimator by lengths of track: J. Spanier, E. M. Gelbard 1969, Monte Carlo
// Principles and Neutron Transport Problems, chapter 2.
func (f *flows) fly(p *photon, s float64) {
	cells := f.cells[p.rest]
	x, ix, stepX := f.axis(p.at.X*f.per.X, p.d.X*f.per.X, f.NX)
	y, iy, stepY := f.axis(p.at.Y*f.per.Y, p.d.Y*f.per.Y, f.NY)
	z, iz, stepZ := f.axis(p.at.Z*f.per.Z, p.d.Z*f.per.Z, f.NZ)
	perX, perY, perZ := math.Abs(1/(p.d.X*f.per.X)), math.Abs(1/(p.d.Y*f.per.Y)), math.Abs(1/(p.d.Z*f.per.Z))
	for from := 0.0; ; {
		to := min(x, y, z, s)
		weight := p.w * fade(p.colour.absorb*(p.pathM+(from+to)/2)) * (to - from)
		cells[(iz*f.NY+iy)*f.NX+ix].add(weight, p.d)
		switch from = to; {
		case to >= s:
			return
		case to == x:
			if ix += stepX; ix < 0 || ix >= f.NX {
				ix, stepX, x = ix-stepX, 0, math.MaxFloat64
				continue
			}
			x += perX
		case to == y:
			if iy += stepY; iy < 0 || iy >= f.NY {
				iy, stepY, y = iy-stepY, 0, math.MaxFloat64
				continue
			}
			y += perY
		default:
			if iz += stepZ; iz < 0 || iz >= f.NZ {
				iz, stepZ, z = iz-stepZ, 0, math.MaxFloat64
				continue
			}
			z += perZ
		}
	}
}

// axis is where along a way the next edge of a cell is, in which cell of n the way begins, and where it goes.
func (f *flows) axis(at, d float64, n int) (way float64, cell, step int) {
	cell = min(max(int(at), 0), n-1)
	switch {
	case d > 0:
		return max(0, (float64(cell+1)-at)/d), cell, 1
	case d < 0:
		return max(0, (float64(cell)-at)/d), cell, -1
	}
	return math.MaxFloat64, cell, 0
}

// flowing turns what was counted into light.
func (r *run) flowing() (list [2][]Flow) {
	if r.flows == nil {
		return list
	}
	l := r.flows.Lattice
	k := r.perHistory() * float64(l.Cells()) / (l.Size.X * l.Size.Y * l.Size.Z)
	for part, cells := range r.flows.cells {
		for i := range cells {
			c := &cells[i]
			*c = Flow{k * c.Lux, space.Vector{X: k * c.Net.X, Y: k * c.Net.Y, Z: k * c.Net.Z}}
		}
		list[part] = cells
	}
	return list
}
