package optics

import (
	"cmp"
	"context"
	"fmt"
	"math"

	"fathomlux/optics/direct"
	"fathomlux/optics/model"
	"fathomlux/optics/parallel"
	"fathomlux/optics/result"
	"fathomlux/scene"
	"fathomlux/scene/parts"
)

// tankKey is all that the light of a module on a plane depends on beside the module.
type tankKey struct {
	lengthM, widthM, heightM, floor, depthM float64
	water                                   scene.Water
	walls                                   scene.Walls
	cover                                   scene.Cover
	hood                                    model.Hood
	pane                                    bool   // a bare bottom pane
	obstacles, forms                        string // boxes; outline, ground and things
}

func tankKeyOf(sc *scene.Scene, depthM float64) tankKey {
	t := &sc.Tank
	key := tankKey{lengthM: t.LengthM, widthM: t.WidthM, heightM: t.HeightM, floor: t.FloorReflectance, depthM: depthM,
		water: t.Water, walls: t.Walls}
	if t.Cover != nil {
		key.cover = *t.Cover
	}
	if h := hoodOf(sc); h != nil {
		key.hood = *h
	}
	for _, b := range boxesOf(sc) {
		key.obstacles += fmt.Sprint(b)
	}
	if key.pane = t.FloorPane; !t.Ground.Level() {
		key.forms = fmt.Sprint(t.Ground)
	}
	for _, one := range t.Things {
		key.forms += fmt.Sprint(one.Solids, one.Reflectance)
	}
	if len(t.Plants) > 0 || t.Floating != nil {
		key.forms += fmt.Sprint(t.LeavesNow())
	}
	if !t.Outline.Empty() {
		key.forms += fmt.Sprint(t.Outline, t.EdgeWalls)
	}
	return key
}

// moduleKey tells apart modules with different light: what they are and where they sit, in nanometres and nanoradians.
type moduleKey struct {
	optic                     parts.Optic
	spectrum                  string
	diesAlong, diesAcross     int
	pitchAlongM, pitchAcrossM float64
	x, y, height              int64
	tilt, turn, spin          int64
	histories                 int // of its rest, see historiesOf
}

// keptKey is a module in a tank, with as many of its mirror images as the scene that it is for needs.
type keptKey struct {
	tank   tankKey
	module moduleKey
	orders direct.Orders
}

// request is the field of one module that is to be computed.
type request struct {
	key     keptKey
	tank    *tank
	sources []model.Source
	field   *result.Field
}

// tank is one tank with one plane in it, and the modules over it.
type tank struct {
	*basin
	index   map[moduleKey]int
	modules []moduleKey
	sources [][]model.Source
	lits    []*Lit
}

// basin is what is kept of a tank with one plane for modules to come.
type basin struct {
	key       tankKey
	grid      result.Grid
	solid     result.Solid // cells inside obstacles
	symmetric bool         // whether the tank is its own mirror image from left to right
	rest      *rest
	builder   builder // that of the rest
	kinds     int     // of beams and spectra that the engine knows
	engine    *engine
	bench     *direct.Bench
	straight  bool // whether straight light is all
	histories int  // traced of each module; 0 for the usual number
}

func newBasin(sc *scene.Scene, key tankKey, g result.Grid, r *rest) *basin {
	m := r.builder.model
	return &basin{key: key, builder: r.builder, grid: g, solid: solidCells(m, key.depthM, g), symmetric: r.symmetric,
		rest: r}
}

// ready readies engine and bench for all beams and spectra.
func (b *basin) ready(ctx context.Context, workers int) (err error) {
	if kinds := len(b.builder.model.Beams) + len(b.builder.model.Spectra); b.engine == nil || kinds != b.kinds {
		b.kinds, b.bench = kinds, nil
		if b.engine, err = newEngine(ctx, b.builder.model, Full, direct.Options{Workers: workers}); err != nil {
			return err
		}
	}
	if b.bench == nil {
		b.bench = b.engine.Bench(b.key.depthM, b.grid)
	}
	return nil
}

// Symmetric tells whether the tank is its own mirror image from left to right.
func Symmetric(sc *scene.Scene) bool {
	x, _ := emptyModel(sc).Mirrors()
	return x
}

func sameM(a, b float64) bool { return math.Abs(a-b) < 1e-9 }

func nano(v float64) int64 { return int64(math.Round(v * 1e9)) }

// keyOf returns the key of one of some modules in a tank of some length; where its mirror image does as well, that on
// the left.
func keyOf(rm Mounted, of int, lengthM float64, symmetric bool) (key moduleKey, mirrored bool) {
	m, r := rm.Module, rm.Rail
	x, y := r.At(m.XM)
	turned := r.TurnRad != 0 || m.TurnRad != 0
	if mirrored = symmetric && m.Optic.File == "" && !turned && x > lengthM/2; mirrored {
		x = lengthM - x
	}
	return moduleKey{optic: m.Optic, spectrum: m.Part.Spectrum, diesAlong: m.Part.DiesAlong, diesAcross: m.Part.DiesAcross,
		pitchAlongM: m.Part.PitchAlongM, pitchAcrossM: m.Part.PitchAcrossM, x: nano(x), y: nano(y),
		height: nano(r.AboveWaterM), tilt: nano(r.TiltRad), turn: nano(r.TurnRad), spin: nano(m.TurnRad),
		histories: historiesOf(of)}, mirrored
}

// sourcesOf returns the dies of a module of 1 lm.
func (b *builder) sourcesOf(key moduleKey) ([]model.Source, error) {
	m := scene.Module{Optic: key.optic, XM: float64(key.x) * 1e-9, TurnRad: float64(key.spin) * 1e-9}
	m.Part.Spectrum, m.Part.DiesAlong, m.Part.DiesAcross = key.spectrum, key.diesAlong, key.diesAcross
	m.Part.PitchAlongM, m.Part.PitchAcrossM = key.pitchAlongM, key.pitchAcrossM
	rail := scene.Rail{LeftM: m.XM, YM: float64(key.y) * 1e-9, AboveWaterM: float64(key.height) * 1e-9,
		TiltRad: float64(key.tilt) * 1e-9, TurnRad: float64(key.turn) * 1e-9}
	return b.sources(0, Mounted{Rail: &rail, Module: &m}, 1)
}

// add notes the modules of a set.
func (t *tank) add(set Set) (*Lit, error) {
	lit := &Lit{Scene: set.Scene, tank: t}
	all := len(Modules(set.Scene))
	for _, rm := range set.Modules {
		key, mirrored := keyOf(rm, all, t.key.lengthM, t.symmetric)
		key.histories = cmp.Or(t.histories, key.histories)
		one := share{lumens: rm.Module.FluxLm(), dayLm: dayLm(rm.Module), mirrored: mirrored}
		lit.LumensLm += one.lumens
		at, ok := t.index[key]
		if !ok {
			sources, err := t.builder.sourcesOf(key)
			if err != nil {
				return nil, err
			}
			at = len(t.modules)
			t.index[key], t.modules, t.sources = at, append(t.modules, key), append(t.sources, sources)
		}
		one.module = at
		lit.shares = append(lit.shares, one)
	}
	t.lits = append(t.lits, lit)
	return lit, nil
}

// landing is where the light of a module of 1 lm lands.
func (t *tank) landing(key moduleKey) *direct.Landing {
	sources, err := t.builder.sourcesOf(key)
	if err != nil { // the same parts have made sources before
		return &direct.Landing{}
	}
	landing, _ := t.engine.Landing(sources)
	return landing
}

// landings are where the light of the modules lands.
func (t *tank) landings(ctx context.Context, workers int) ([]*direct.Landing, error) {
	if !t.straight {
		return t.rest.landings(ctx, t.modules, t.landing)
	}
	list := make([]*direct.Landing, len(t.modules))
	return list, parallel.ForEach(ctx, workers, len(list), func(i int) { list[i] = t.landing(t.modules[i]) })
}

// requests readies the engine and lists the fields that the sets need: each set gets the images that the engine would
// follow for its modules together.
func (t *tank) requests(ctx context.Context, workers int) ([]request, error) {
	if err := t.ready(ctx, workers); err != nil {
		return nil, err
	}
	landings, err := t.landings(ctx, workers)
	if err != nil {
		return nil, err
	}
	var list []request
	fields := map[keptKey]*result.Field{}
	for _, lit := range t.lits {
		var all direct.Landing
		for _, s := range lit.shares {
			all.Add(landings[s.module], s.lumens)
		}
		lit.orders, _ = all.Orders()
		lit.mirrored = all.Mirrored()
		for i := range lit.shares {
			s := &lit.shares[i]
			key := keptKey{t.key, t.modules[s.module], lit.orders}
			if s.field = fields[key]; s.field == nil {
				s.field = new(result.Field)
				fields[key] = s.field
				list = append(list, request{key, t, t.sources[s.module], s.field})
			}
		}
	}
	return list, nil
}

// compute computes the straight light of single modules of 1 lm.
func (t *tank) compute(ctx context.Context, list []request, workers int) error {
	sets := make([]direct.Lit, len(list))
	for i, r := range list {
		sets[i] = direct.Lit{Sources: r.sources, Orders: r.key.orders}
	}
	fields, err := t.bench.Fields(ctx, sets, workers)
	for i := range fields {
		*list[i].field = fields[i]
	}
	return err
}
