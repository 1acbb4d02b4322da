// Package tolerance says how far the light may differ from what was computed when a tank is built within its
// tolerances. Next: package optics for the light.
package tolerance

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"fathomlux/optics"
	"fathomlux/optics/parallel"
	"fathomlux/optics/result"
	"fathomlux/scene"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/stat/distmv"
	"gonum.org/v1/gonum/stat/samplemv"
)

const (
	toleranceSamples = 256
	toleranceCells   = 1200
	toleranceSeed    = 20260 // any number: it makes the samples the same on every run
	toleranceShare   = 0.90  // of the samples that an interval holds
	widestBeamRad    = math.Pi * 0.999
)

type source int

const (
	fluxSource source = iota
	beamSource
	positionSource
	heightSource
	absorptionSource
	fieldSource
	sourceCount
)

// kinds are the names of the sources, and the dimensions of their limits; nil for a share.
var kinds = [sourceCount]struct {
	name      string
	dimension *unit.Dimension
}{{"flux", nil}, {"beam", nil}, {"position", unit.Length}, {"height", unit.Length}, {"absorption", unit.Attenuation},
	{"field", nil}}

// Compute says how the light on the goal's plane of a map spreads when the tank is built within the scene's tolerances:
// flux and position of each module, height of each rail, beam of each optic and absorption of the water lie anywhere
// within their limits with the same chance. Fields of single modules at the limits are joined by parabolas, and
// tolerances add; spreads are found on a grid of about 1200 cells and told about the map's own values.
func Compute(ctx context.Context, sc *scene.Scene, m *result.Map, o optics.Options) (*result.Tolerance, error) {
	p := optics.GoalPlane(sc, m.Planes)
	t, err := newTolerator(ctx, sc, p.DepthM, o)
	if err != nil {
		return nil, err
	}
	var samples [sourceCount + 1][]measure // of each source alone, and of all
	for s := range samples {
		if samples[s], err = t.sample(ctx, o.Workers, source(s)); err != nil {
			return nil, err
		}
	}
	return t.conclude(p, m, samples), nil
}

// moduleLight is the light of one module against its tolerances: at the scene's own values, and for each source how it
// rises with the deviation t of -1 to 1 and with its square.
type moduleLight struct {
	own    []float64
	line   [sourceCount][]float64
	square [sourceCount][]float64
}

// sampler keeps the light of all modules on one plane.
type sampler struct {
	scene   *scene.Scene
	shown   result.Quantity
	cells   int
	solid   result.Solid
	grid    result.Grid
	modules []moduleLight
	rail    []int // by module
	optic   []int
	rails   int
	optics  int
	lowest  float64  // of the absorption's deviation: -1, or nearer to 0 where the water would be clearer than pure
	fixed   bool     // whether some beam is measured and cannot change
	guessed []string // optics whose field angle is a guess
}

func newTolerator(ctx context.Context, sc *scene.Scene, depthM float64, o optics.Options) (*sampler, error) {
	warm, _ := optics.Warmed(sc, o.Cold)
	t := &sampler{scene: sc, shown: optics.Shown(sc.Goal), lowest: lowestAbsorption(sc)}
	t.number(warm)
	for _, r := range warm.Rails {
		height := unit.Length.Say(r.AboveWaterM)
		r.AboveWaterM -= sc.Tolerance.HeightM
		if _, err := sc.CheckAbove(&r); err != nil || r.AboveWaterM <= 0 {
			return nil, fmt.Errorf("%s hangs %s above the water; with a height tolerance of %s it would meet the cover or the "+
				"water", scene.RailWord(r.Name), height, unit.Length.Say(sc.Tolerance.HeightM))
		}
	}
	step := math.Sqrt(sc.Tank.LengthM * sc.Tank.WidthM / toleranceCells)
	light, err := optics.NewLight(sc, optics.LightOptions{StepM: step, Workers: o.Workers})
	if err != nil {
		return nil, err
	}
	sets := []optics.Set{optics.SetOf(warm)}
	for s := beamSource; s < sourceCount; s++ {
		for _, at := range t.ends(s) {
			sets = append(sets, optics.SetOf(t.shift(warm, s, at)))
		}
	}
	for i := range sets {
		sets[i].DepthM = depthM
	}
	lits, err := light.Compute(ctx, sets...)
	if err != nil {
		return nil, err
	}
	t.solid, t.grid, t.cells = light.Grid().Within(sc.Goal.Area, lits[0].Solid()), light.Grid(), light.Grid().Cells()
	for i := range t.rail {
		m := moduleLight{own: t.field(lits[0], i)}
		for s := beamSource; s < sourceCount; s++ {
			if k := 1 + 2*int(s-beamSource); t.limit(s) > 0 {
				m.set(s, t.ends(s)[0], t.field(lits[k], i), t.field(lits[k+1], i))
			}
		}
		t.modules = append(t.modules, m)
	}
	return t, nil
}

// lowestAbsorption returns the lowest deviation of the water's absorption, in parts of its limit: -1, or nearer to 0
// where the water would be clearer than pure.
func lowestAbsorption(sc *scene.Scene) float64 {
	limit, w := sc.Tolerance.AbsorptionPerM, sc.Tank.Water
	if limit == 0 {
		return 0
	}
	return math.Max(-1, (w.LowestExtraPerM()-w.ExtraAbsorbPerM)/limit)
}

func (t *sampler) limit(s source) float64 {
	l := t.scene.Tolerance
	if s == fieldSource && len(t.guessed) == 0 {
		return 0
	}
	return [sourceCount]float64{l.FluxShare, l.BeamShare, l.PositionM, l.HeightM, l.AbsorptionPerM, l.FieldShare}[s]
}

// ends returns the lowest and the highest deviation of a source, in parts of its limit.
func (t *sampler) ends(s source) [2]float64 {
	if s == absorptionSource {
		return [2]float64{t.lowest, 1}
	}
	return [2]float64{-1, 1}
}

func (t *sampler) number(sc *scene.Scene) {
	optics := map[string]int{}
	for r := range sc.Rails {
		for _, m := range sc.Rails[r].Modules {
			at, ok := optics[m.Optic.Name]
			if !ok {
				at = len(optics)
				optics[m.Optic.Name] = at
				if m.Optic.GuessedFieldRad(false) > 0 {
					t.guessed = append(t.guessed, m.Optic.Name)
				}
			}
			t.rail, t.optic = append(t.rail, r), append(t.optic, at)
			t.fixed = t.fixed || m.Optic.File != ""
		}
	}
	t.rails, t.optics = len(sc.Rails), len(optics)
}

// shift returns a copy of the scene in which all modules, or the water, are at a deviation of one tolerance.
func (t *sampler) shift(sc *scene.Scene, s source, at float64) *scene.Scene {
	c, by := *sc, at*t.limit(s)
	if s == absorptionSource {
		c.Tank.Water.ExtraAbsorbPerM += by
	}
	c.Rails = slices.Clone(sc.Rails)
	for i := range c.Rails {
		r := &c.Rails[i]
		r.Modules = slices.Clone(r.Modules)
		if s == heightSource {
			r.AboveWaterM += by
		}
		for k := range r.Modules {
			m := &r.Modules[k]
			switch {
			case s == positionSource:
				m.XM += by
			case s == beamSource && m.Optic.File == "":
				widen(&m.Optic, 1+by)
			case s == fieldSource && by != 0:
				guess(&m.Optic, 1+by)
			}
		}
	}
	return &c
}

// widen makes the angles of an optic factor times as wide, none of them beyond 180 deg.
func widen(o *parts.Optic, factor float64) {
	for _, angle := range []*float64{&o.BeamRad, &o.BeamAcrossRad, &o.FieldRad, &o.FieldAcrossRad} {
		*angle = math.Min(*angle*factor, math.Max(*angle, widestBeamRad))
	}
}

// guess gives an optic that gives none the field angles that its beam angles make, times a factor; none is narrower
// than its beam.
func guess(o *parts.Optic, factor float64) {
	along, across := o.GuessedFieldRad(false), o.GuessedFieldRad(true)
	if along == 0 {
		return
	}
	within := func(fieldRad, beamRad float64) float64 {
		return math.Min(math.Max(fieldRad*factor, narrowestField*beamRad), widestBeamRad)
	}
	o.FieldRad, o.FieldAcrossRad = within(along, o.BeamRad), within(across, o.BeamAcrossRad)
}

// narrowestField is the least that a field angle is of its beam angle: the steepest edge of a lens.
const narrowestField = 1.15

// field returns the light of one module on the plane.
func (t *sampler) field(l *optics.Lit, module int) []float64 {
	sum := make([]float64, t.cells)
	l.Add(sum, t.shown, module, l.LumensOf(module))
	return sum
}

// set joins the light at the deviations low, 0 and 1 by a parabola, or by a line where low is 0 itself.
func (m *moduleLight) set(s source, low float64, atLow, atHigh []float64) {
	line, square := make([]float64, len(m.own)), make([]float64, len(m.own))
	for i, own := range m.own {
		down, up := atLow[i]-own, atHigh[i]-own
		if low < -1e-3 { // down = low l + low2 q, up = l + q
			square[i] = (down/low - up) / (low - 1)
		}
		line[i] = up - square[i]
	}
	m.line[s], m.square[s] = line, square
}

type measure [3]float64

// The parts of a measure: mean, minimum and U0 of the plane.
const (
	meanOf = iota
	minOf
	evenOf
)

// dimensions of the unit box whose points are samples.
func (t *sampler) dimensions() int { return 2*len(t.modules) + t.rails + 2*t.optics + 1 }

// sample computes all samples with one source at work, or with all of them. They form a Latin hypercube, in which each
// coordinate by itself is even whatever their number: M. D. McKay et al. 1979, Technometrics 21, 239-245.
func (t *sampler) sample(ctx context.Context, workers int, only source) ([]measure, error) {
	src := rand.NewPCG(toleranceSeed, 0)
	points, out := mat.NewDense(toleranceSamples, t.dimensions(), nil), make([]measure, toleranceSamples)
	samplemv.LatinHypercube{Q: distmv.NewUnitUniform(t.dimensions(), src), Src: src}.Sample(points)
	err := parallel.ForEach(ctx, workers, toleranceSamples, func(i int) { out[i] = t.light(points.RawRowView(i), only) })
	return out, err
}

// light adds up the modules for one point of the unit box. Its first coordinate is the absorption, then come optics,
// rails, the modules' places and fluxes, and the optics' fields.
func (t *sampler) light(at []float64, only source) measure {
	n := len(t.modules)
	absorption := t.lowest + at[0]*(1-t.lowest)
	optic, rail := at[1:], at[1+t.optics:]
	place, flux, tails := at[1+t.optics+t.rails:], at[1+t.optics+t.rails+n:], at[1+t.optics+t.rails+2*n:]
	either := func(u float64) float64 { return 2*u - 1 }
	sum := make([]float64, t.cells)
	for i := range t.modules {
		m := &t.modules[i]
		d := [sourceCount]float64{fluxSource: either(flux[i]), beamSource: either(optic[t.optic[i]]),
			positionSource: either(place[i]), heightSource: either(rail[t.rail[i]]), absorptionSource: absorption,
			fieldSource: either(tails[t.optic[i]])}
		for s := range d {
			if only != sourceCount && only != source(s) {
				d[s] = 0
			}
		}
		m.add(sum, d, 1+d[fluxSource]*t.scene.Tolerance.FluxShare)
	}
	s := t.grid.Extremes(sum, t.solid)
	return measure{s.Mean, s.Min, s.MinOverMean}
}

// add adds the module's light at some deviations, times a factor.
func (m *moduleLight) add(sum []float64, d [sourceCount]float64, factor float64) {
	floats.AddScaled(sum, factor, m.own)
	for s := beamSource; s < sourceCount; s++ {
		if d[s] != 0 && m.line[s] != nil {
			floats.AddScaled(sum, factor*d[s], m.line[s])
			floats.AddScaled(sum, factor*d[s]*d[s], m.square[s])
		}
	}
}
