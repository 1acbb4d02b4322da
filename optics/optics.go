// Package optics turns a scene into an optical model, computes its light and puts the answer together: planes with
// their statistics, dark corners, sections, the luminous flux balance, the goal and a verdict in one sentence. It reads
// no file and draws nothing. Quantities are SI; light is in lx and umol/m2/s. Next: packages direct and trace for the
// engines, package result for the shape of an answer, package scene for the question.
package optics

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"iter"
	"math"
	"slices"

	"fathomlux/optics/direct"
	"fathomlux/optics/parallel"
	"fathomlux/optics/result"
	"fathomlux/optics/trace"
	"fathomlux/scene"
	"fathomlux/scene/space"
	"fathomlux/scene/unit"
	"fathomlux/scene/wiring"
)

// MaxCells is the highest number of cells of one plane, MaxPhotons that of photons of one tracing.
const (
	MaxCells   = 4_000_000
	MaxPhotons = 10_000_000_000
)

// usualSeed is that of all light but where a map is asked for another one: all commands have the same noise.
const usualSeed = 1

// defaultDarkShare is the share of the mean below which a place is dark, where the goal names no uniformity.
const defaultDarkShare = 0.5

// Options say what a map should hold.
type Options struct {
	Planes    []scene.PlaneRef // none: surface, mid and floor
	Walls     []string         // see Sides; for the engine Full alone
	StepM     float64          // cells of a fine grid; 0 chooses by the tank's size
	Standard  bool             // the measurement grid of the lighting standards instead of a fine one
	PerModule bool             // keep the field of each module apart
	Sections  bool             // also the two slices through the water
	Workers   int              // goroutines; never changes a result
	Cold      bool             // light at the temperatures at which the parts' tables hold, not in the balance of heat
	Engine    Engine           // empty for Full
	Seed      uint64           // of the photons; 0 for the usual one
	Photons   int64            // for Traced to trace; 0 for as many as Error needs
	// what the root mean square of the cells' standard errors of Traced, and of Full in a tank that is no upright box, is
	// to fall to, in parts of the plane's mean; 0 for the usual one
	Error float64

	// Rough is how many times fewer histories Full traces than usual, and rays Straight for its flux balance, above 1: flux
	// still balances, and cells of Full err by its root more.
	Rough int

	// Maintenance is the light-loss factor, above 0 up to 1, of lamps that have aged and panes that are dusty: the goal is
	// judged with it, while fields stay those of new light. 0 stands for what the scene says.
	Maintenance float64

	// Shares are what MapShare gave of all shares of this map, which are added up in place of tracing; nil to trace.
	Shares iter.Seq2[*trace.Sums, error]

	// KeepTraced asks that a context which ends while photons are traced ends the tracing alone: the answer holds what was
	// traced until then, with a warning, and no error. It is told true when tracing begins, false when it has ended
	// without that. nil, and the context's error is all there is.
	KeepTraced func(tracing bool)

	Progress func(done, total int64) // of the photons, while they are traced, see trace.Options; may be nil
	// of the sums of straight light, one goroutine at a time, in dies x images x cells; may be nil
	Summing func(done, total int64)

	CellBytes int64 // memory that the caller makes of each cell of each plane afterwards, for the prediction of mapBytes
}

// Map computes the light of a scene with the options' engine, at the junction temperatures that the modules reach.
// Where there is no balance of heat the light is cold, and the warning of its Junctions says so.
func Map(ctx context.Context, sc *scene.Scene, o Options) (*result.Map, error) {
	o.Seed = cmp.Or(o.Seed, usualSeed)
	sc, junctions := Warmed(sc, o.Cold)
	e, requests, err := prepare(ctx, sc, o)
	if err != nil {
		return nil, err
	}
	e.expect(requests, sc.Tank, o)
	daily, err := dailyFields(ctx, sc, requests, o.Workers) // first, for a tracing that is interrupted is to end soon
	if err != nil {
		return nil, err
	}
	light, err := e.planes(ctx, sc, requests, o)
	if err != nil {
		return nil, err
	}
	ctx = light.after(ctx)
	m := &result.Map{Title: sc.Title, Engine: string(e.name), Balance: light.balance[0], Photons: light.balance[1].Closed(), Tracing: light.tracing,
		Junctions: junctions, PowerW: sc.PowerW(), MirroredShare: e.MirroredShare()}
	m.Warnings = append(junctions.Warnings(), light.warnings...)
	if m.Maintenance = o.Maintenance; m.Maintenance == 0 {
		m.Maintenance = Maintained(sc)
	}
	for i, r := range requests {
		p := onePlane(sc, r, light.planes[i], solidCells(e.model, r.ref.DepthM, r.grid), daily[i])
		takeKinds(m, sc, e.model, r, &p, light.planes[i].kinds)
		if !o.PerModule {
			p.Modules = nil
		}
		m.Planes = append(m.Planes, p)
	}
	if o.Sections {
		m.Stands = stands(sc, m.Planes)
		m.Planes = slices.DeleteFunc(m.Planes, func(p result.Plane) bool { return p.Name == "" })
	}
	m.Colours = colours(sc, e.model, m.Planes, m.KindsPlane, m.Kinds)
	m.Faces = facesOf(sc, e.model, light)
	m.Warnings = slices.Concat(m.Warnings, solidWarnings(sc.Tank, m.Planes), roomLight(sc, e.model))
	if m.Walls, err = e.sidesLit(ctx, sc, o); err != nil {
		return nil, err
	}
	if o.Sections {
		if m.Sections, err = e.sections(ctx, sc, m.Planes); err != nil {
			return nil, err
		}
	}
	aged := maintained(GoalPlane(sc, m.Planes), m.Maintenance)
	m.Goal = judged(sc, m.Planes, m.Maintenance, unbuildable(sc, junctions, wiring.Unfeedable))
	findSpots(m.Goal, m.Planes)
	m.Warnings = append(m.Warnings, mixNotes(sc, m)...)
	m.Verdict = Verdict(sc.Goal, m.Goal, aged)
	return m, nil
}

// MapShare traces one share of the map that Map makes of the scene by the engine Traced, and returns what it counted.
func MapShare(ctx context.Context, sc *scene.Scene, o Options, share parallel.Share) (*trace.Sums, error) {
	o.Seed = cmp.Or(o.Seed, usualSeed)
	sc, _ = Warmed(sc, o.Cold)
	e, requests, err := prepare(ctx, sc, o)
	if err != nil {
		return nil, err
	}
	return trace.RunShare(ctx, e.model, o.tracing(e.model, requests), share)
}

// prepare checks the options of a map, predicts its memory and readies its engine.
func prepare(ctx context.Context, sc *scene.Scene, o Options) (*engine, []planeRequest, error) {
	grid, err := chooseGrid(sc.Tank, o)
	if err != nil {
		return nil, nil, err
	}
	if err := errors.Join(o.checkTracing(), o.CheckWalls(sc)); err != nil {
		return nil, nil, err
	}
	requests := standRequests(sc, o, planeRequests(sc, o, grid), grid)
	if err := Fits(mapBytes(requests, int64(len(Modules(sc))), o), cureOfMap); err != nil {
		return nil, nil, err
	}
	e, err := engineOf(ctx, sc, o.Engine, direct.Options{Workers: o.Workers, Rough: o.Rough})
	return e, requests, err
}

// maintained returns the plane with its statistics, not its field, as they are after the loss of light that factor
// says.
func maintained(p *result.Plane, factor float64) *result.Plane {
	aged := *p
	aged.Illuminance, aged.PPFD = p.Illuminance.Scaled(factor), p.PPFD.Scaled(factor)
	aged.DLI *= factor
	aged.DarkCorners = append([]result.DarkCorner(nil), p.DarkCorners...)
	for i := range aged.DarkCorners {
		aged.DarkCorners[i].Lowest *= factor
		aged.DarkCorners[i].LowestLx *= factor
	}
	return &aged
}

func chooseGrid(t scene.Tank, o Options) (result.Grid, error) {
	if o.Standard {
		return result.StandardGrid(t.LengthM, t.WidthM), nil
	}
	step := o.StepM
	if step == 0 {
		step = result.FineStepM(t.LengthM, t.WidthM)
	}
	if err := CheckStep(t, step); err != nil {
		return result.Grid{}, err
	}
	return result.NewGrid(t.LengthM, t.WidthM, step), nil
}

// CheckStep refuses a step in metres that would cut a tank's plan into more than MaxCells cells.
func CheckStep(t scene.Tank, stepM float64) error {
	cells := t.LengthM / stepM * t.WidthM / stepM
	if cells <= MaxCells {
		return nil
	}
	return fmt.Errorf("a step of %g mm makes %s cells, more than the limit of %s; use a step of %.3g mm or more",
		stepM*1000, unit.Count(cells), unit.Count(MaxCells), math.Ceil(math.Sqrt(t.LengthM*t.WidthM/MaxCells)*1e4)/10)
}

// wantedPlanes returns the planes asked for, or the usual three; those of the goal are always among them.
func wantedPlanes(sc *scene.Scene, asked []scene.PlaneRef) []scene.PlaneRef {
	if len(asked) == 0 {
		d := sc.Tank.Water.DepthM
		asked = []scene.PlaneRef{{Name: "surface"}, {Name: "mid", DepthM: d / 2}, {Name: "floor", DepthM: d}}
	}
	for _, part := range sc.Goal.Parts() {
		same := func(p scene.PlaneRef) bool { return p.DepthM == part.Plane.DepthM }
		if sc.Goal.Set() && !slices.ContainsFunc(asked, same) {
			asked = append(slices.Clone(asked), part.Plane)
		}
	}
	return asked
}

// planeRequest is one plane to compute.
type planeRequest struct {
	ref       scene.PlaneRef
	grid      result.Grid
	perModule bool
	kinds     int // so many unlike spectra are told apart on it, 0 for none
}

// planeRequests lists the planes of a map. On the plane that the goal speaks of, unlike modules are kept apart.
func planeRequests(sc *scene.Scene, o Options, grid result.Grid) []planeRequest {
	unlike := map[string]bool{}
	for _, rm := range Modules(sc) {
		unlike[rm.Module.Part.Spectrum] = true
	}
	var requests []planeRequest
	for _, ref := range wantedPlanes(sc, o.Planes) {
		r := planeRequest{ref: ref, grid: grid, perModule: o.PerModule}
		if len(unlike) > 1 && (ref.DepthM == JudgedPlane(sc).DepthM || coloured(sc.Goal, ref.DepthM)) {
			r.kinds, r.perModule = len(unlike), o.PerModule || o.Engine == Traced // which counts by module
		}
		requests = append(requests, r)
	}
	return requests
}

// onePlane sums up the light on one plane.
func onePlane(sc *scene.Scene, r planeRequest, light planeLight, solid result.Solid, day result.Field) result.Plane {
	light.field.Solid = solid
	p := result.Plane{Name: r.ref.Name, DepthM: r.ref.DepthM, Field: light.field, Modules: light.modules,
		ErrorLx: light.errorLx, MeanErrorLx: light.meanErrorLx, Daily: day}
	var goalLx, goalPPFD float64
	if part, alone := sc.Goal.On(r.ref.DepthM); alone && part.Area == (space.Area{}) {
		goalLx, goalPPFD = level(sc, part, result.Illuminance), level(sc, part, result.PPFD)
	}
	p.Illuminance = p.Field.Grid.Summarise(p.Field.Illuminance, solid, goalLx)
	p.PPFD = p.Field.Grid.Summarise(p.Field.PPFD, solid, goalPPFD)
	p.DLI = dailyLight(sc, &p, space.Area{}, p.PPFD.Mean)
	findDark(sc, &p)
	return p
}

// darkShare is the share of the mean below which a place is dark.
func darkShare(g scene.Goal) float64 {
	if g.Uniformity > 0 {
		return g.Uniformity
	}
	return defaultDarkShare
}

// findDark fills what a plane says of dark corners, by the quantity that the goal counts; where one part of the goal
// alone speaks of an area of the plane, they are those of the area.
func findDark(sc *scene.Scene, p *result.Plane) {
	p.Shown = Shown(sc.Goal)
	f, mean, share := p.Field, p.Light(p.Shown).Mean, darkShare(sc.Goal)
	if part, alone := sc.Goal.On(p.DepthM); alone {
		share = darkShare(part)
		if part.Area != (space.Area{}) {
			mean, p.DarkIn = partLight(sc, part, p).Of(p.Shown).Mean, part.Label()
			f.Solid = f.Grid.Within(part.Area, f.Solid)
		}
	}
	p.DarkLimit = share * mean
	f = f.Squares()
	p.DarkCorners = result.DarkCorners(f, result.Of(p.Shown, f.Illuminance, f.PPFD), p.DarkLimit, sc.Tank.Outline)
}

// findSpots fills in where the parts of a goal are dimmest, over squares, and brightest.
func findSpots(g result.Goal, planes []result.Plane) {
	for i := range g.Parts {
		part := &g.Parts[i]
		for _, p := range planes {
			if p.DepthM == part.DepthM {
				f := p.Field
				f.Solid = f.Grid.Within(part.Area, f.Solid)
				_, part.Light.Brightest = f.Spots(g.Shown)
				part.Light.Dimmest, _ = f.Squares().Spots(g.Shown)
			}
		}
	}
}

// Modules lists the scene's modules with the rails that carry them, in the order of model.Source.Module.
func Modules(sc *scene.Scene) []Mounted {
	var list []Mounted
	for r := range sc.Rails {
		for m := range sc.Rails[r].Modules {
			list = append(list, Mounted{Rail: &sc.Rails[r], Module: &sc.Rails[r].Modules[m]})
		}
	}
	return list
}

// Mounted is a module of a scene with the rail that carries it.
type Mounted struct {
	Rail   *scene.Rail
	Module *scene.Module
}
