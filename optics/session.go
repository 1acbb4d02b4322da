package optics

import (
	"context"
	"fmt"
	"math"

	"fathomlux/optics/direct"
	"fathomlux/optics/model"
	"fathomlux/optics/parallel"
	"fathomlux/optics/result"
	"fathomlux/scene"
	"fathomlux/scene/parts"
	"fathomlux/scene/photometry"
	"fathomlux/scene/space"
	"fathomlux/scene/unit"
)

// sessionCells is about how many cells a session keeps: fields of single modules, two numbers of 8 bytes a cell.
const sessionCells = 4_000_000

// sessionBalances is how many balances of heat a session keeps.
const sessionBalances = 2000

// sketchCells is about how many cells a session's slice has along the tank.
const sketchCells = 96

// SessionOptions say how a session computes.
type SessionOptions struct {
	StepM   float64 // cells of the plane; 0 for about 6000 cells
	Workers int
	Cold    bool // light at the temperatures at which the parts' tables hold
}

// Session computes one scene after another, as a hand changes them, and keeps the light of single modules between: what
// stands where it stood is not computed again. An answer depends on its scene alone, not on what came before. It is safe
// for several goroutines, which take turns.
type Session struct {
	options SessionOptions
	grid    result.Grid
	turn    chan struct{}
	heat    HeatBalances
	kept    map[sessionKey]result.Field
	order   []sessionKey // of kept, the oldest first
}

// sessionKey tells apart fields of single modules in any scene of a session.
type sessionKey struct {
	water  scene.Water
	depthM float64
	orders direct.Orders
	optic  parts.Optic
	module fieldKey
}

// NewSession readies a session for the scene and for copies of it that Set or With make.
func NewSession(sc *scene.Scene, o SessionOptions) (*Session, error) {
	if o.StepM == 0 {
		o.StepM = CoarseStepM(sc.Tank)
	}
	g, err := ChooseGrid(sc.Tank, Options{StepM: o.StepM})
	if err != nil {
		return nil, err
	}
	s := &Session{options: o, grid: g, turn: make(chan struct{}, 1), kept: map[sessionKey]result.Field{}}
	s.heat.Cold = o.Cold
	return s, nil
}

// Glance computes the plane of the goal and a slice of one scene.
func (s *Session) Glance(ctx context.Context, sc *scene.Scene) (*result.Glance, error) {
	select {
	case s.turn <- struct{}{}:
		defer func() { <-s.turn }()
	case <-ctx.Done():
		return nil, ctx.Err()
	}
	out := &result.Glance{}
	var err error
	if sc, out.Junctions, err = s.warm(ctx, sc); err != nil {
		return nil, err
	}
	u, modules, engine, err := s.fields(ctx, sc)
	if err != nil {
		return nil, err
	}
	out.Plane = s.plane(u, sc, modules)
	if out.Section, err = s.section(ctx, engine, u, sc); err != nil {
		return nil, err
	}
	for _, m := range modules {
		out.LumensLm += m.Lumens
	}
	out.PowerW, out.Bounced = sc.PowerW(), BouncedShare(u.books[0])
	out.Goal = judged(sc, &out.Plane, out.Junctions)
	out.Verdict = Verdict(sc.Goal, out.Goal, &out.Plane, unit.Metric)
	return out, nil
}

// warm returns the scene in its balance of heat.
func (s *Session) warm(ctx context.Context, sc *scene.Scene) (*scene.Scene, result.Junctions, error) {
	if len(s.heat.known) >= sessionBalances {
		s.heat.known = nil
	}
	if err := s.heat.Learn(ctx, s.options.Workers, []*scene.Scene{sc}); err != nil {
		return nil, result.Junctions{}, err
	}
	warm, junctions := s.heat.Apply(sc)
	return warm, junctions, nil
}

// fields notes the modules of a scene and fills their fields, those that are kept and those that are not.
func (s *Session) fields(ctx context.Context, sc *scene.Scene) (*ModuleFields, []Contribution, *direct.Engine, error) {
	u := NewModuleFields(sc, JudgedPlane(sc).DepthM, s.grid)
	modules, err := u.Add(sc)
	if err == nil {
		err = CheckFields(len(u.keys)+diesOf(u.sources), s.options.Workers, s.grid)
	}
	if err != nil {
		return nil, nil, nil, err
	}
	engine, err := u.engine(ctx, s.options.Workers)
	if err != nil {
		return nil, nil, nil, err
	}
	optic := map[string]parts.Optic{}
	for _, rm := range Modules(sc) {
		optic[rm.Module.Optic.Name] = rm.Module.Optic
	}
	u.fields = make([]result.Field, len(u.wishes))
	keys := make([]sessionKey, len(u.wishes))
	var missing []int
	for i, w := range u.wishes {
		k := u.keys[w.key]
		keys[i] = sessionKey{water: sc.Tank.Water, depthM: u.depthM, orders: w.orders, optic: optic[k.optic], module: k}
		var ok bool
		if u.fields[i], ok = s.kept[keys[i]]; !ok {
			missing = append(missing, i)
		}
	}
	bench := engine.Bench(u.depthM, s.grid)
	if err := u.computeDies(ctx, bench, s.options.Workers, missing); err != nil {
		return nil, nil, nil, fmt.Errorf("the light of the modules: %w", err)
	}
	for _, i := range missing {
		s.keep(keys[i], u.fields[i])
	}
	return u, modules, engine, nil
}

func diesOf(modules [][]model.Source) int {
	n := 0
	for _, dies := range modules {
		n += len(dies)
	}
	return n
}

// computeDies fills some fields die by die, so that a single module keeps all workers busy.
func (u *ModuleFields) computeDies(ctx context.Context, bench *direct.Bench, workers int, missing []int) error {
	type die struct{ field, number int }
	var dies []die
	for _, i := range missing {
		for k := range u.sources[u.wishes[i].key] {
			dies = append(dies, die{i, k})
		}
	}
	light := make([]result.Field, len(dies))
	err := parallel.ForEach(ctx, workers, len(dies), func(k int) {
		d, w := dies[k], u.wishes[dies[k].field]
		light[k] = bench.Field(u.sources[w.key][d.number:d.number+1], w.orders)
	})
	if err != nil {
		return err
	}
	for k, d := range dies {
		if d.number == 0 {
			u.fields[d.field] = light[k]
			continue
		}
		AddRow(u.fields[d.field].Illuminance, light[k].Illuminance, 1)
		AddRow(u.fields[d.field].PPFD, light[k].PPFD, 1)
	}
	return nil
}

// keep keeps a field and lets the oldest ones go.
func (s *Session) keep(k sessionKey, f result.Field) {
	s.kept[k] = f
	s.order = append(s.order, k)
	for len(s.order) > max(1, sessionCells/s.grid.Cells()) {
		delete(s.kept, s.order[0])
		s.order = s.order[1:]
	}
}

// plane adds up the modules' light on the plane of the goal and measures it.
func (s *Session) plane(u *ModuleFields, sc *scene.Scene, modules []Contribution) result.Plane {
	ref := JudgedPlane(sc)
	p := result.Plane{Name: ref.Name, DepthM: ref.DepthM, Field: result.Field{Grid: s.grid,
		Illuminance: make([]float64, s.grid.Cells()), PPFD: make([]float64, s.grid.Cells())}}
	u.Sum(modules, p.Field.Illuminance, p.Field.PPFD)
	p.Field.Solid = u.Solid
	p.Illuminance, p.PPFD = result.Extremes(u.Solid.Open(p.Field.Illuminance)), result.Extremes(u.Solid.Open(p.Field.PPFD))
	p.DLI = photometry.DLI(p.PPFD.Mean, sc.Wiring.HoursPerDay)
	findDark(sc.Goal, &p)
	return p
}

// darkShare is the share of the mean below which a place is dark.
func darkShare(g scene.Goal) float64 {
	if g.Uniformity > 0 {
		return g.Uniformity
	}
	return defaultDarkShare
}

// section sketches the slice under the rail with the most light.
func (s *Session) section(ctx context.Context, engine *direct.Engine, u *ModuleFields, sc *scene.Scene) (result.Section, error) {
	y := brightestRailY(sc)
	step := math.Max(sc.Tank.LengthM, sc.Tank.Water.DepthM) / sketchCells
	var sources []model.Source
	for i, rm := range Modules(sc) {
		dies, err := u.builder.sources(i, rm, rm.Module.FluxLm())
		if err != nil {
			return result.Section{}, err
		}
		sources = append(sources, joined(dies, rm.Rail.AboveWaterM)...)
	}
	cut, err := engine.WithSources(sources, u.orders[0]).Sketch(ctx, result.AlongX, y, step)
	if err != nil {
		return result.Section{}, fmt.Errorf("the slice through the water: %w", err)
	}
	cut.Rays = edgeRays(sc, u.builder.model, result.AlongX, y)
	return cut, nil
}

// joinedShare is how far from their middle dies may be to count as one, as a share of their height above the water: the
// light right under them is then off by about its square, 0.25 %.
const joinedShare = 0.05

// joined returns the dies of one module as a single source in their middle, where they are close together.
func joined(dies []model.Source, heightM float64) []model.Source {
	one := dies[0]
	last := dies[len(dies)-1] // dies stand in rows: first and last are opposite corners
	one.Position = space.Point{X: (one.Position.X + last.Position.X) / 2, Y: (one.Position.Y + last.Position.Y) / 2, Z: (one.Position.Z + last.Position.Z) / 2}
	if math.Hypot(last.Position.X-one.Position.X, last.Position.Y-one.Position.Y) > joinedShare*heightM {
		return dies
	}
	one.EmittedLm, one.LeavingLm = 0, 0
	for _, d := range dies {
		one.EmittedLm += d.EmittedLm
		one.LeavingLm += d.LeavingLm
	}
	return []model.Source{one}
}
