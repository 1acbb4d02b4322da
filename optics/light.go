package optics

import (
	"context"
	"math"

	"gonum.org/v1/gonum/floats"

	"fathomlux/optics/direct"
	"fathomlux/optics/result"
	"fathomlux/optics/trace"
	"fathomlux/scene"
	"fathomlux/scene/finding"
	"fathomlux/scene/space"
)

// How much a Light keeps: cells of the fields of single modules, two numbers of 8 bytes each, and balances of heat.
const (
	keptCells    = 4_000_000
	keptBalances = 2000
	keptTanks    = 8
)

// LightOptions say how a Light computes.
type LightOptions struct {
	StepM   float64 // cells of the plane; 0 for about 6000 cells
	Workers int
	Cold    bool // light at the temperatures at which the parts' tables hold, not in the balance of heat

	Straight  bool // only light that comes straight: for a first look at very many modules
	Histories int  // traced of each module, for a first look; 0 for the usual number
	Rough     int  // see Options

	slices bool // the rest of the light is to serve slices too
}

// Light computes the light of many scenes on one plane each. It is added up from fields of single modules of 1 lm,
// which are kept by value: what a module is and where it sits, and the tank and the plane that it lights. Everything is
// linear in flux; an answer depends on its scene alone, not on what came before. A Light is for one goroutine at a
// time, and for copies of one scene, which share its parts and files.
type Light struct {
	options LightOptions
	grid    result.Grid
	heat    map[string]balanced
	fed     *feeds
	kept    map[keptKey]result.Field
	order   []keptKey // of kept, the oldest first
	basins  map[tankKey]*basin
	tanks   []tankKey // of basins, the oldest first
}

// NewLight readies a Light for the scene and for copies of it with the same plan.
func NewLight(sc *scene.Scene, o LightOptions) (*Light, error) {
	if o.StepM == 0 {
		o.StepM = math.Ceil(math.Sqrt(sc.Tank.LengthM*sc.Tank.WidthM/coarseCells)*1000) / 1000
	}
	g, err := chooseGrid(sc.Tank, Options{StepM: o.StepM})
	if err != nil {
		return nil, err
	}
	return &Light{options: o, grid: g, heat: map[string]balanced{},
		fed: &feeds{known: map[string]finding.Finding{}}, kept: map[keptKey]result.Field{},
		basins: map[tankKey]*basin{}}, nil
}

// coarseCells is about how many cells the grid has: few enough for thousands of scenes.
const coarseCells = 6000

// Grid returns the cells of the planes.
func (l *Light) Grid() result.Grid { return l.grid }

// Set is modules that light one plane together: those of a scene, or some of them.
type Set struct {
	Scene   *scene.Scene
	Modules []Mounted
	DepthM  float64 // of the plane
}

// SetOf returns the set of all modules of a scene over the plane of its goal, of several that of the first part.
func SetOf(sc *scene.Scene) Set { return Set{sc, Modules(sc), JudgedPlane(sc).DepthM} }

// setsOf returns the sets of scenes, over each of the planes of their goals.
func setsOf(scenes []*scene.Scene) (sets []Set) {
	for _, sc := range scenes {
		sets = append(sets, SetOf(sc))
		for _, depthM := range sc.Goal.Depths()[1:] {
			sets = append(sets, Set{sc, Modules(sc), depthM})
		}
	}
	return sets
}

// CheckScenes is Check for what Scenes computes.
func (l *Light) CheckScenes(scenes ...*scene.Scene) error { return l.Check(setsOf(scenes)...) }

// Scenes computes the light of scenes as warm as they are, on all planes of their goals.
func (l *Light) Scenes(ctx context.Context, scenes ...*scene.Scene) ([]*Lit, error) {
	all, err := l.Compute(ctx, setsOf(scenes)...)
	if err != nil {
		return nil, err
	}
	var lits []*Lit
	for _, sc := range scenes {
		n := len(sc.Goal.Depths())
		all[0].further, lits, all = all[1:n:n], append(lits, all[0]), all[n:]
	}
	return lits, nil
}

// Scene computes the light of one scene in its balance of heat.
func (l *Light) Scene(ctx context.Context, sc *scene.Scene) (*Lit, error) {
	warm, junctions, err := l.Warm(ctx, sc)
	if err != nil {
		return nil, err
	}
	lit, err := l.Scenes(ctx, warm[0])
	if err != nil {
		return nil, err
	}
	lit[0].Junctions = junctions[0]
	return lit[0], nil
}

// Check predicts the memory of Compute.
func (l *Light) Check(sets ...Set) error {
	_, _, err := l.note(sets)
	return err
}

// note notes the modules of sets by their tanks, as far as memory goes.
func (l *Light) note(sets []Set) (tanks []*tank, lits []*Lit, err error) {
	index := map[tankKey]*tank{}
	lits = make([]*Lit, len(sets))
	count := 0
	for i, set := range sets {
		key := tankKeyOf(set.Scene, set.DepthM)
		t, ok := index[key]
		if !ok {
			t = &tank{basin: l.basin(set.Scene, key), index: map[moduleKey]int{}}
			index[key], tanks = t, append(tanks, t)
		}
		before := len(t.sources)
		if lits[i], err = t.add(set); err != nil {
			return nil, nil, err
		}
		lits[i].fed = l.fed
		count += len(t.sources) - before
		if err := l.fits(count); err != nil {
			return nil, nil, err
		}
	}
	return tanks, lits, nil
}

// Compute computes the light of sets of modules as bright as their scenes have them. Memory is predicted first.
func (l *Light) Compute(ctx context.Context, sets ...Set) ([]*Lit, error) {
	tanks, lits, err := l.note(sets)
	if err != nil {
		return nil, err
	}
	var missing []request
	for _, t := range tanks {
		requests, err := t.requests(ctx, l.options.Workers)
		if err != nil {
			return nil, err
		}
		for _, r := range requests {
			if f, ok := l.kept[r.key]; ok {
				*r.field = f
			} else {
				missing = append(missing, r)
			}
		}
	}
	if err := l.fits(len(missing)); err != nil {
		return nil, err
	}
	return lits, l.fill(ctx, missing)
}

// fits refuses fields of single modules that would take too much memory.
func (l *Light) fits(fields int) error {
	return Fits(fieldBytes*int64(l.grid.Cells())*int64(fields+max(1, l.options.Workers)), "use a larger step")
}

// fill computes fields and keeps them.
func (l *Light) fill(ctx context.Context, missing []request) error {
	for from := 0; from < len(missing); {
		to := from + 1
		for to < len(missing) && missing[to].tank == missing[from].tank {
			to++
		}
		if err := missing[from].tank.compute(ctx, missing[from:to], l.options.Workers); err != nil {
			return err
		}
		if !l.options.slices && (from > 0 || to < len(missing)) { // of many tanks none is likely to come again
			missing[from].tank.bench = nil
		}
		from = to
	}
	if !l.options.Straight {
		if err := l.addRest(ctx, missing); err != nil {
			return err
		}
	}
	for _, r := range missing {
		l.keep(r.key, *r.field)
	}
	return nil
}

// addRest adds what does not come straight to fields of straight light.
func (l *Light) addRest(ctx context.Context, missing []request) error {
	modules, fields := map[*tank][]moduleKey{}, map[*tank][]*result.Field{}
	var tanks []*tank
	for _, r := range missing {
		if modules[r.tank] == nil {
			tanks = append(tanks, r.tank)
		}
		modules[r.tank], fields[r.tank] = append(modules[r.tank], r.key.module), append(fields[r.tank], r.field)
	}
	for _, t := range tanks {
		if err := t.rest.add(ctx, l.grid, modules[t], fields[t]); err != nil {
			return err
		}
	}
	return nil
}

// basin returns what is kept of a tank.
func (l *Light) basin(sc *scene.Scene, key tankKey) *basin {
	if b, ok := l.basins[key]; ok {
		b.rest.forget()
		return b
	}
	depths := []float64{key.depthM}
	if l.options.slices {
		depths = withLevels(depths, sc.Tank.Water.DepthM, glanceLevels)
	}
	r := newRest(sc, trace.TransferOptions{DepthsM: depths, Workers: l.options.Workers, Seed: usualSeed,
		Rough: l.options.Rough})
	for _, other := range l.basins {
		other.bench = nil
	}
	b := newBasin(sc, key, l.grid, r)
	b.straight, b.histories = l.options.Straight, l.options.Histories
	l.basins[key] = b
	l.tanks = append(l.tanks, key)
	for len(l.tanks) > keptTanks {
		delete(l.basins, l.tanks[0])
		l.tanks = l.tanks[1:]
	}
	return b
}

// keep keeps a field and lets the oldest ones go.
func (l *Light) keep(key keptKey, f result.Field) {
	l.kept[key] = f
	l.order = append(l.order, key)
	for len(l.order) > max(1, keptCells/l.grid.Cells()) {
		delete(l.kept, l.order[0])
		l.order = l.order[1:]
	}
}

// Lit is a scene, or a set of modules, with its light on the plane of the scene's goal.
type Lit struct {
	Scene     *scene.Scene
	Junctions result.Junctions // where the balance of heat was found here
	LumensLm  float64          // of the dies

	tank     *tank
	fed      *feeds
	orders   direct.Orders
	mirrored float64 // share of the light on the floor
	shares   []share
	further  []*Lit // the same on the further planes of the scene's goal
}

// share is one module of a set: whose field, at how many lumens, and whether the field is to be mirrored.
type share struct {
	module   int
	field    *result.Field
	lumens   float64
	dayLm    float64 // mean over the scene's day
	mirrored bool
}

// Solid returns the cells of the plane that lie inside obstacles.
func (l *Lit) Solid() result.Solid { return l.tank.solid }

// LumensOf returns the flux of one module.
func (l *Lit) LumensOf(module int) float64 { return l.shares[module].lumens }

// Add adds the light of one module, as bright as it would be with some lumens, to a sum of one quantity.
func (l *Lit) Add(sum []float64, q result.Quantity, module int, lumens float64) {
	s := l.shares[module]
	addTimes(sum, result.Of(q, s.field.Illuminance, s.field.PPFD), lumens, l.tank.grid.NX, s.mirrored)
}

// addTimes adds k times the values of a grid's cells, nx in a row, or of its mirror image from left to right.
func addTimes(to, values []float64, k float64, nx int, mirrored bool) {
	if !mirrored {
		floats.AddScaled(to, k, values)
		return
	}
	for from := 0; from < len(to); from += nx {
		row, last := values[from:from+nx], nx-1
		for i := range row {
			to[from+i] += float64(k * row[last-i])
		}
	}
}

// Plane adds up the modules' light on the plane of the goal, of several that of the first part, and measures it,
// percentiles, variation and dark corners left out.
func (l *Lit) Plane() result.Plane {
	n := l.tank.grid.Cells()
	f := result.Field{Grid: l.tank.grid, Solid: l.tank.solid, Illuminance: make([]float64, n), PPFD: make([]float64, n)}
	for i, s := range l.shares {
		l.Add(f.Illuminance, result.Illuminance, i, s.lumens)
		l.Add(f.PPFD, result.PPFD, i, s.lumens)
	}
	lift(f)
	p := result.Plane{Name: JudgedPlane(l.Scene).Name, DepthM: l.tank.key.depthM, Field: f}
	p.Illuminance, p.PPFD = f.Grid.Extremes(f.Illuminance, f.Solid), f.Grid.Extremes(f.PPFD, f.Solid)
	if coloured(l.Scene.Goal, p.DepthM) {
		p.Tints = l.tints(&p)
	}
	p.Daily = l.daily()
	p.DLI = dailyLight(l.Scene, &p, space.Area{}, p.PPFD.Mean)
	return p
}

// tints add up the light of each spectrum on the plane.
func (l *Lit) tints(p *result.Plane) []result.Tint {
	var list []result.Kind
	index := map[string]int{}
	for i, s := range l.shares {
		name := l.tank.modules[s.module].spectrum
		k, known := index[name]
		if !known {
			k = len(list)
			index[name], list = k, append(list, result.Kind{Name: name, Field: newField(l.tank.grid)})
		}
		l.Add(list[k].Field.Illuminance, result.Illuminance, i, s.lumens)
		l.Add(list[k].Field.PPFD, result.PPFD, i, s.lumens)
	}
	for k := range list {
		f := &list[k].Field
		list[k].Illuminance = p.Field.Grid.Extremes(f.Illuminance, p.Field.Solid)
		list[k].PPFD = p.Field.Grid.Extremes(f.PPFD, p.Field.Solid)
	}
	return tints(l.Scene, emptyModel(l.Scene), p, list)
}

// planes are the planes of the scene's goal, that of the first part first.
func (l *Lit) planes() []result.Plane {
	list := []result.Plane{l.Plane()}
	for _, other := range l.further {
		list = append(list, other.Plane())
	}
	return list
}

// Candidate holds the scene's light against its goal.
func (l *Lit) Candidate() result.Candidate {
	planes := l.planes()
	c := result.Candidate{Done: true, PowerW: l.Scene.PowerW(), Junctions: l.Junctions,
		Goal: judged(l.Scene, planes, Maintained(l.Scene), unbuildable(l.Scene, l.Junctions, l.fed.unfeedable))}
	c.Take(&planes[0])
	return c
}
