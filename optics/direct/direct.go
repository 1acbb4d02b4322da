// Package direct is the deterministic engine: optical model in, light on planes out. It sums, for every cell, the
// unscattered light of every die and of its mirror images in the walls, in lx and in umol/m2/s, as means over cells.
// What bounces diffusely or is scattered it does not follow; its flux balance says how much that is.
// Next: package model for what it reads, stack for the path of one ray, walls for what a crossing costs.
package direct

import (
	"context"
	"math"
	"slices"
	"sync"

	"fathomlux/optics/model"
	"fathomlux/optics/parallel"
	"fathomlux/optics/result"
	"fathomlux/optics/stack"
	"fathomlux/optics/walls"
	"fathomlux/optics/water"
	"fathomlux/scene/form"
	"fathomlux/scene/space"
)

// Engine is a model made ready for sums. It is safe for use by several goroutines after New.
type Engine struct {
	model    *model.Model
	tank     model.Tank
	fence    *form.Fence                   // nil for an upright box; else tank is the box about it, with black walls
	planes   [model.Ground + 1]model.Plane // of its faces
	rimM     float64                       // height over the floor at which walls end
	kind     water.Attenuation
	workers  int
	progress func(work int64)
	rays     int
	lamps    []lamp                // one a spectrum
	sides    [4]*walls.Table       // of walls, by model.Side
	matt     [4]float64            // what comes back from what is matt of each under water
	balance  [2]result.FluxBalance // of lumens and photons
	orders   Orders
	cut      float64 // share of the arriving light that the images beyond orders would bring
	mirrored float64 // share of the light arriving at the floor straight that walls mirror on the way

	wet, dry, over model.Obstacles // as seen from the floor, see model.Layers
	tracks         *tracks
	raysLock       *sync.Mutex
	raysOf         map[int][]aim // by beam, of sampleRays
}

// lamp is what the engine needs of one spectrum: the panes as lumens and as photons see them, and the water's tables.
type lamp struct {
	luminous, photon stack.Pane
	kept             *water.Table // what a straight ray keeps of its lumens and photons
	unabsorbed       *water.Table // what it would keep if nothing were scattered
	ppfdPerLux       float64
}

// Options tune an engine.
type Options struct {
	Workers     int               // goroutines, 0 for one; never changes a result
	Attenuation water.Attenuation // what a straight ray loses in the water
	// told, by any of the goroutines, what has been summed since, in the unit of Work; may be nil
	Progress func(work int64)
	Rays     int // rays that fill the flux balance, over all sources; 0 for 200 000, below 0 for none
	Rough    int // so many times fewer rays than usual, above 1
}

// New readies a model: it builds the tables that all planes share, traces the bundle of rays that fills the luminous
// flux balance of lumens, and chooses how many mirror images are needed.
func New(ctx context.Context, st *model.Model, o Options) (*Engine, error) {
	tank, err := st.Tank()
	var fence *form.Fence
	if err != nil {
		tank, fence = st.Around(), form.NewFence(st.Outline())
	}
	own := *st
	own.Boxes = slices.Clone(st.Boxes)
	e := &Engine{model: &own, tank: tank, fence: fence, rimM: st.DepthM + tank.WallsEndM(st.Cover), kind: o.Attenuation,
		workers: max(1, o.Workers), progress: o.Progress, rays: o.Rays, raysLock: &sync.Mutex{}, raysOf: map[int][]aim{},
		tracks: &tracks{list: map[planeTrack]func() *track{}}}
	if e.rays == 0 {
		e.rays = usualRays / max(1, o.Rough)
	}
	for i, w := range tank.Walls {
		if e.sides[i] = walls.NewTable(w, st.Water.Index()); w.Matt() {
			e.matt[i] = w.NewMatt(st.Water.Index()).Share
		}
	}
	for i, f := range tank.Faces(st.DepthM) {
		e.planes[i] = f.Plane()
	}
	e.wet, e.dry, e.over = st.Layers(st.DepthM)
	for i := range st.Spectra {
		e.lamps = append(e.lamps, e.lamp(i))
	}
	if err := e.fillBalance(ctx); err != nil {
		return nil, err
	}
	if err := e.chooseOrders(ctx); err != nil {
		return nil, err
	}
	return e, nil
}

// Balance returns where the lumens of the model end, as far as unscattered light goes.
func (e *Engine) Balance() result.FluxBalance { return e.balance[0] }

// Photons is Balance of the photons from 400 to 700 nm, umol/s.
func (e *Engine) Photons() result.FluxBalance { return e.balance[1] }

// Orders returns the highest orders of mirror images that the engine counts.
func (e *Engine) Orders() Orders { return e.orders }

// CutShare returns the share of the light arriving at the floor that lies beyond the counted images.
func (e *Engine) CutShare() float64 { return e.cut }

// MirroredShare returns the share of the light arriving at the floor straight that walls mirror on the way.
func (e *Engine) MirroredShare() float64 { return e.mirrored }

// lamp weighs pane and water with one spectrum. The pane's absorption is a single figure for lumens and one for
// photons; the water is weighed with the spectrum that the pane lets through, so that what both take from the red
// counts once.
func (e *Engine) lamp(i int) lamp {
	s := e.model.Spectra[i]
	var l lamp
	if c := e.model.Cover; c != nil {
		through := func(nm float64) float64 { return math.Exp(-c.AbsorbPerM(nm) * c.ThicknessM) }
		l.luminous = stack.Pane{ThicknessM: c.ThicknessM, Index: c.Index, Hollow: c.Hollow, Scatter: c.Scatter,
			AbsorbPerM: -math.Log(s.LuminousShare(through)) / c.ThicknessM}
		l.photon = stack.Pane{ThicknessM: c.ThicknessM, Index: c.Index, Hollow: c.Hollow, Scatter: c.Scatter,
			AbsorbPerM: -math.Log(s.PhotonShare(through)) / c.ThicknessM}
		s = s.Filtered(through)
	}
	reach := 8 * e.model.DepthM // a ray in water is at most 1.52 times as long as it is deep; the rest is spare
	l.kept = e.model.Water.Table(s, e.kind, reach)
	l.unabsorbed = e.model.Water.Table(s, water.Absorbed, reach)
	l.ppfdPerLux = e.model.Spectra[i].PPFDPerLux()
	return l
}

// columns returns the layers under a point heightM above the water down to depthM, for lumens and for photons.
func (e *Engine) columns(spectrum int, heightM, depthM float64) (luminous, photon stack.Column) {
	l := e.lamps[spectrum]
	air := heightM - l.luminous.ThicknessM
	luminous = stack.Column{AirM: air, Pane: l.luminous, WaterM: depthM, WaterIndex: e.model.Water.Index()}
	photon = luminous
	photon.Pane = l.photon
	return luminous, photon
}

// Light is the light on one plane: the whole, and each module's share of it where it was asked for.
type Light struct {
	Whole   result.Field
	Modules []result.Field
}

// Plane returns the light on the plane depthM below the surface, in the grid's cells. With perModule, the field of each
// module is kept apart; the whole is always their sum in the modules' order.
func (e *Engine) Plane(ctx context.Context, depthM float64, g result.Grid, perModule bool) (Light, error) {
	if e.fence != nil {
		return e.sight(depthM, measured).byPlane(ctx, g, perModule)
	}
	s := e.prepare(depthM)
	light := Light{Whole: newField(g)}
	cuts, factors := make([]cutting, len(s.boards)), map[int][]float64{}
	for i, board := range s.boards {
		n := s.pieces(g, board)
		list, ok := factors[n]
		if !ok {
			list = OpenFactors(e.model, depthM, g, fineLines*n)
			factors[n] = list
		}
		cuts[i] = s.cuttingOf(g, board, list != nil)
	}
	if perModule {
		light.Modules = make([]result.Field, e.model.Modules())
		for m := range light.Modules {
			light.Modules[m] = newField(g)
		}
	}
	err := parallel.ForEach(ctx, e.workers, g.NY, func(iy int) {
		row := rowIn(light.Whole, iy)
		for _, m := range light.Modules {
			row.modules = append(row.modules, rowIn(m, iy))
		}
		s.addLine(row, rowOf(g, iy), func(board int) (cutting, []float64) {
			if list := factors[cuts[board].near]; list != nil {
				return cuts[board], list[iy*g.NX:][:g.NX]
			}
			return cuts[board], nil
		})
		e.tell(g.NX)
	})
	return light, err
}

// tell tells that some cells have been summed.
func (e *Engine) tell(cells int) {
	if e.progress != nil {
		e.progress(int64(cells) * e.Work())
	}
}

func newField(g result.Grid) result.Field {
	return result.Field{Grid: g, Illuminance: make([]float64, g.Cells()), PPFD: make([]float64, g.Cells())}
}

// transposed returns the model with x and y exchanged, so that rows along y are summed by the code for rows along x.
func transposed(s *model.Model, t model.Tank) (*model.Model, model.Tank) {
	m := *s
	t.LengthM, t.WidthM = t.WidthM, t.LengthM
	w := s.Faces
	t.Walls = [4]walls.Wall{w[model.Front].Material, w[model.Back].Material,
		w[model.Left].Material, w[model.Right].Material}
	m.Faces = t.Faces(m.DepthM)
	m.Sources = slices.Clone(s.Sources)
	for i := range m.Sources {
		src := &m.Sources[i]
		src.Position.X, src.Position.Y = src.Position.Y, src.Position.X
		f := src.Frame
		src.Frame = space.Frame{Along: swapped(f.Along), Across: swapped(f.Across), Aim: swapped(f.Aim)}
	}
	m.Boxes = slices.Clone(s.Boxes)
	for i := range m.Boxes {
		b := &m.Boxes[i]
		b.Min.X, b.Min.Y = b.Min.Y, b.Min.X
		b.Max.X, b.Max.Y = b.Max.Y, b.Max.X
	}
	return &m, t
}

func swapped(v space.Vector) space.Vector { return space.Vector{X: v.Y, Y: v.X, Z: v.Z} }

// mirror returns the table of a wall, nil where the wall mirrors nothing.
func (e *Engine) mirror(side model.Side) *walls.Table {
	if !e.tank.Walls[side].Mirrors() {
		return nil
	}
	return e.sides[side]
}

// Bench is a plane made ready for modules that come one after another: it keeps what they share. The model's own
// sources do not count here. It is for one goroutine at a time.
type Bench struct {
	sum  *sum
	grid result.Grid
	lock sync.Mutex
	open map[int][]float64 // OpenFactors by pieces

	known  numbers
	rows   []map[cellRow]*laneRow // by row of the grid, of lanes that reach as far as said
	reachM float64
}

// Bench readies the plane depthM below the surface on a grid. Spectra and beams of the sources to come are those of
// the model.
func (e *Engine) Bench(depthM float64, g result.Grid) *Bench {
	b := &Bench{sum: e.empty(depthM, measured), grid: g, open: map[int][]float64{}}
	b.forget(0)
	return b
}

// factors are those of cells that are summed in pieces.
func (b *Bench) factors(pieces int) []float64 {
	b.lock.Lock()
	defer b.lock.Unlock()
	list, ok := b.open[pieces]
	if !ok {
		list = OpenFactors(b.sum.engine.model, b.sum.depthM, b.grid, fineLines*pieces)
		b.open[pieces] = list
	}
	return list
}

// WithSources returns the engine with other sources in the same tank, whose beams and spectra are those of its model,
// and their images up to some orders. The flux balance stays that of the sources that it was made for.
func (e *Engine) WithSources(sources []model.Source, o Orders) *Engine {
	other, st := *e, *e.model
	other.orders = o
	st.Sources = sources
	other.model = &st
	return &other
}
