package optics

import (
	"context"
	"math"

	"fathomlux/optics/direct"
	"fathomlux/optics/parallel"
	"fathomlux/optics/result"
	"fathomlux/optics/stage"
	"fathomlux/optics/water"
	"fathomlux/scene"
)

// unitFields keeps the light of single modules of 1 lm on one plane of one tank, so that scenes that differ in where their
// modules sit and how bright they are can be added up from them. Everything is linear in flux.
type unitFields struct {
	builder   builder
	grid      result.Grid
	depthM    float64
	solid     result.Solid // cells inside obstacles
	symmetric bool         // whether the tank is its own mirror image from left to right
	index     map[fieldKey]int
	keys      []fieldKey
	sources   [][]stage.Source
	fields    []result.Field
}

// fieldKey tells apart modules with different light: what they are and where they sit, in nanometres and nanoradians.
type fieldKey struct {
	part, optic, spectrum string
	x, y, height, tilt    int64
}

// lit is one module of a scene: whose field, how many lumens, and whether the field is to be mirrored.
type lit struct {
	field    int
	lumens   float64
	mirrored bool
}

func newUnitFields(sc *scene.Scene, depthM float64, g result.Grid) *unitFields {
	st := emptyStage(sc)
	return &unitFields{builder: newBuilder(st, sc), grid: g, depthM: depthM, solid: solidCells(st, depthM, g), symmetric: symmetric(st), index: map[fieldKey]int{}}
}

// symmetric tells whether walls and boxes of a stage are the same from the left as from the right.
func symmetric(st *stage.Stage) bool {
	if st.Walls[stage.Left] != st.Walls[stage.Right] {
		return false
	}
	for _, b := range st.Boxes {
		found := false
		for _, o := range st.Boxes {
			found = found || (sameM(b.Min.X, st.LengthM-o.Max.X) && sameM(b.Max.X, st.LengthM-o.Min.X) && b.Min.Y == o.Min.Y && b.Max.Y == o.Max.Y && b.Min.Z == o.Min.Z && b.Max.Z == o.Max.Z)
		}
		if !found {
			return false
		}
	}
	return true
}

func sameM(a, b float64) bool { return math.Abs(a-b) < 1e-9 }

func nano(v float64) int64 { return int64(math.Round(v * 1e9)) }

// add notes the modules of a scene and returns them as a list for sum. Fields are computed later, all at once.
func (u *unitFields) add(sc *scene.Scene) ([]lit, error) {
	var list []lit
	for _, rm := range modulesOf(sc) {
		one, err := u.module(rm)
		if err != nil {
			return nil, err
		}
		list = append(list, one)
	}
	return list, nil
}

func (u *unitFields) module(rm railModule) (lit, error) {
	m, r := *rm.module, rm.rail
	out := lit{lumens: m.FluxLm()}
	if u.symmetric && m.Optic.File == "" && m.XM > u.builder.stage.LengthM/2 {
		out.mirrored = true
		m.XM = u.builder.stage.LengthM - m.XM
	}
	key := fieldKey{part: m.Part.Name, optic: m.Optic.Name, spectrum: m.Part.Spectrum, x: nano(m.XM), y: nano(r.YM), height: nano(r.AboveWaterM), tilt: nano(r.TiltRad)}
	at, ok := u.index[key]
	if !ok {
		sources, err := u.builder.sources(0, railModule{rail: r, module: &m}, 1)
		if err != nil {
			return lit{}, err
		}
		at = len(u.keys)
		u.index[key], u.keys, u.sources = at, append(u.keys, key), append(u.sources, sources)
	}
	out.field = at
	return out, nil
}

// compute fills all fields that were noted. step is told after each.
func (u *unitFields) compute(ctx context.Context, workers int, step func()) error {
	if err := checkFields(len(u.keys), workers, u.grid); err != nil {
		return err
	}
	engine, err := u.engine(ctx, workers)
	if err != nil {
		return err
	}
	bench := engine.Bench(u.depthM, u.grid)
	u.fields = make([]result.Field, len(u.keys))
	return parallel.ForEach(ctx, workers, len(u.keys), func(i int) {
		u.fields[i] = bench.Field(u.sources[i])
		step()
	})
}

// engine readies the tank with as many images as any of the modules needs.
func (u *unitFields) engine(ctx context.Context, workers int) (*direct.Engine, error) {
	return direct.New(ctx, u.scouts(), direct.Options{Workers: workers, Attenuation: water.Direct, Rays: 1, EachAlone: true})
}

// scouts is the stage with a few of the sources: of each kind the leftmost, the one next to the middle and the rightmost,
// which between them need the most images.
func (u *unitFields) scouts() *stage.Stage {
	type kind struct {
		part, optic     string
		y, height, tilt int64
	}
	left, middle, right := map[kind]int{}, map[kind]int{}, map[kind]int{}
	var order []kind
	half := nano(u.builder.stage.LengthM / 2)
	for i, k := range u.keys {
		g := kind{k.part, k.optic, k.y, k.height, k.tilt}
		if _, ok := left[g]; !ok {
			order = append(order, g)
			left[g], middle[g], right[g] = i, i, i
		}
		if k.x < u.keys[left[g]].x {
			left[g] = i
		}
		if k.x > u.keys[right[g]].x {
			right[g] = i
		}
		if distance(k.x, half) < distance(u.keys[middle[g]].x, half) {
			middle[g] = i
		}
	}
	st := u.builder.stage
	st.Sources = nil
	for _, g := range order {
		st.Sources = append(st.Sources, u.sources[left[g]][0], u.sources[middle[g]][0], u.sources[right[g]][0])
	}
	return st
}

func distance(a, b int64) int64 {
	if a > b {
		return a - b
	}
	return b - a
}

// sum adds up the light of some modules into lux and ppfd, which it sets to zero first.
func (u *unitFields) sum(list []lit, lux, ppfd []float64) {
	clear(lux)
	clear(ppfd)
	for _, m := range list {
		f := &u.fields[m.field]
		for iy := range u.grid.NY {
			from, to := iy*u.grid.NX, (iy+1)*u.grid.NX
			add := addRow
			if m.mirrored {
				add = addMirrored
			}
			add(lux[from:to], f.Illuminance[from:to], m.lumens)
			add(ppfd[from:to], f.PPFD[from:to], m.lumens)
		}
	}
}

func addRow(to, from []float64, scale float64) {
	from = from[:len(to)]
	for i := range to {
		to[i] += float64(scale * from[i])
	}
}

func addMirrored(to, from []float64, scale float64) {
	from = from[:len(to)]
	last := len(to) - 1
	for i := range to {
		to[i] += float64(scale * from[last-i])
	}
}
