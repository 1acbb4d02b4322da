package optics

import (
	"context"
	"math"

	"fathomlux/optics/direct"
	"fathomlux/optics/model"
	"fathomlux/optics/parallel"
	"fathomlux/optics/result"
	"fathomlux/optics/water"
	"fathomlux/scene"
)

// ModuleFields keeps the light of single modules of 1 lm on one plane of one tank, so that scenes that differ in where their
// modules sit and how bright they are can be added up from them. Everything is linear in flux.
type ModuleFields struct {
	builder   builder
	Grid      result.Grid
	depthM    float64
	Solid     result.Solid // cells inside obstacles
	Symmetric bool         // whether the tank is its own mirror image from left to right
	index     map[fieldKey]int
	keys      []fieldKey
	sources   [][]model.Source
	lists     [][]Contribution // of the scenes that were added
	orders    []direct.Orders
	books     []result.Books // of each of the lists, by few rays
	wishes    []fieldWish
	fields    []result.Field // by wish
}

// fieldWish is the field of one key with the images of some orders: as many as the direct engine follows for the scene that it is for.
type fieldWish struct {
	key    int
	orders direct.Orders
}

// fieldKey tells apart modules with different light: what they are and where they sit, in nanometres and nanoradians.
type fieldKey struct {
	part, optic, spectrum string
	x, y, height, tilt    int64
}

// Contribution is one module of a scene: whose field (whose key, until fields are wished for), how many lumens, and whether the field is to
// be mirrored.
type Contribution struct {
	field    int
	Lumens   float64
	Mirrored bool
}

func NewModuleFields(sc *scene.Scene, depthM float64, g result.Grid) *ModuleFields {
	st := emptyModel(sc)
	return &ModuleFields{builder: newBuilder(st, sc), Grid: g, depthM: depthM, Solid: SolidCells(st, depthM, g), Symmetric: symmetric(st), index: map[fieldKey]int{}}
}

// symmetric tells whether walls and boxes of a model are the same from the left as from the right.
func symmetric(st *model.Model) bool {
	if st.Walls[model.Left] != st.Walls[model.Right] {
		return false
	}
	for _, b := range st.Boxes {
		found := false
		for _, o := range st.Boxes {
			found = found || (SameM(b.Min.X, st.LengthM-o.Max.X) && SameM(b.Max.X, st.LengthM-o.Min.X) && b.Min.Y == o.Min.Y && b.Max.Y == o.Max.Y && b.Min.Z == o.Min.Z && b.Max.Z == o.Max.Z)
		}
		if !found {
			return false
		}
	}
	return true
}

func SameM(a, b float64) bool { return math.Abs(a-b) < 1e-9 }

func nano(v float64) int64 { return int64(math.Round(v * 1e9)) }

// Add notes the modules of a scene and returns them as a list for sum. Fields are computed later, all at once.
func (u *ModuleFields) Add(sc *scene.Scene) ([]Contribution, error) {
	var list []Contribution
	for _, rm := range Modules(sc) {
		one, err := u.Module(rm)
		if err != nil {
			return nil, err
		}
		list = append(list, one)
	}
	u.lists = append(u.lists, list)
	return list, nil
}

func (u *ModuleFields) Module(rm Mounted) (Contribution, error) {
	m, r := *rm.Module, rm.Rail
	out := Contribution{Lumens: m.FluxLm()}
	if u.Symmetric && m.Optic.File == "" && m.XM > u.builder.model.LengthM/2 {
		out.Mirrored = true
		m.XM = u.builder.model.LengthM - m.XM
	}
	key := fieldKey{part: m.Part.Name, optic: m.Optic.Name, spectrum: m.Part.Spectrum, x: nano(m.XM), y: nano(r.YM), height: nano(r.AboveWaterM), tilt: nano(r.TiltRad)}
	at, ok := u.index[key]
	if !ok {
		sources, err := u.builder.sources(0, Mounted{Rail: r, Module: &m}, 1)
		if err != nil {
			return Contribution{}, err
		}
		at = len(u.keys)
		u.index[key], u.keys, u.sources = at, append(u.keys, key), append(u.sources, sources)
	}
	out.field = at
	return out, nil
}

// Compute fills all fields that were noted. step is told after each.
func (u *ModuleFields) Compute(ctx context.Context, workers int, step func()) error {
	engine, err := u.engine(ctx, workers)
	if err != nil {
		return err
	}
	if err := CheckFields(len(u.wishes), workers, u.Grid); err != nil {
		return err
	}
	bench := engine.Bench(u.depthM, u.Grid)
	u.fields = make([]result.Field, len(u.wishes))
	return parallel.ForEach(ctx, workers, len(u.wishes), func(i int) {
		w := u.wishes[i]
		u.fields[i] = bench.Field(u.sources[w.key], w.orders)
		step()
	})
}

// engine readies the tank, and wishes for fields: each scene that was added gets the images that the direct engine follows for it,
// modules that stand in none get those of each alone.
func (u *ModuleFields) engine(ctx context.Context, workers int) (*direct.Engine, error) {
	if err := CheckFields(len(u.keys), workers, u.Grid); err != nil {
		return nil, err
	}
	engine, err := direct.New(ctx, u.builder.model, direct.Options{Workers: workers, Attenuation: water.Direct})
	if err != nil {
		return nil, err
	}
	landings, books := make([]*direct.Landing, len(u.keys)), make([]result.Books, len(u.keys))
	if err := parallel.ForEach(ctx, workers, len(landings), func(i int) { landings[i], books[i] = engine.Landing(u.sources[i]) }); err != nil {
		return nil, err
	}
	if u.lists == nil {
		for i, l := range landings {
			o, _ := l.Orders()
			u.wishes = append(u.wishes, fieldWish{i, o})
		}
	}
	index := map[fieldWish]int{}
	for _, list := range u.lists {
		var all direct.Landing
		var ends result.Books
		for _, m := range list {
			all.Add(landings[m.field], m.Lumens)
			ends = ends.Plus(books[m.field], m.Lumens)
		}
		o, _ := all.Orders()
		u.orders, u.books = append(u.orders, o), append(u.books, ends)
		for i := range list {
			w := fieldWish{list[i].field, o}
			if _, ok := index[w]; !ok {
				index[w] = len(u.wishes)
				u.wishes = append(u.wishes, w)
			}
			list[i].field = index[w]
		}
	}
	return engine, nil
}

// Sum adds up the light of some modules into lux and ppfd, which it sets to zero first.
func (u *ModuleFields) Sum(list []Contribution, lux, ppfd []float64) {
	clear(lux)
	clear(ppfd)
	for _, m := range list {
		f := &u.fields[m.field]
		for iy := range u.Grid.NY {
			from, to := iy*u.Grid.NX, (iy+1)*u.Grid.NX
			add := AddRow
			if m.Mirrored {
				add = AddMirrored
			}
			add(lux[from:to], f.Illuminance[from:to], m.Lumens)
			add(ppfd[from:to], f.PPFD[from:to], m.Lumens)
		}
	}
}

func AddRow(to, from []float64, scale float64) {
	from = from[:len(to)]
	for i := range to {
		to[i] += float64(scale * from[i])
	}
}

func AddMirrored(to, from []float64, scale float64) {
	from = from[:len(to)]
	last := len(to) - 1
	for i := range to {
		to[i] += float64(scale * from[last-i])
	}
}

// Count returns how many different fields the modules noted so far have.
func (u *ModuleFields) Count() int { return len(u.keys) }

// Field returns the field of 1 lm of a module, not mirrored.
func (u *ModuleFields) Field(m Contribution) result.Field { return u.fields[m.field] }
