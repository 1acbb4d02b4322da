// Package lightmeter fits a scene to the readings of a light meter, and says where to hold one. SI units; readings in
// lx and umol/m2/s. Next: package optics for the light of the scene, package optics/fit for the fit.
package lightmeter

import (
	"context"
	"errors"
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"

	"fathomlux/optics"
	"fathomlux/optics/fit"
	"fathomlux/optics/result"
	"fathomlux/scene"
	"fathomlux/scene/edit"
	"fathomlux/scene/finding"
	"fathomlux/scene/readings"
	"fathomlux/scene/unit"
)

// Options say how much a light meter is to be trusted.
type Options struct {
	RelativeError float64 // standard error of one reading, a share; 0 for usualReadingError
	CosineError   float64 // limit of the sensor's cosine error, a share: it widens the intervals and moves no value
	Cold          bool    // readings were taken right after switching on, before the modules were warm
	Seed          uint64  // of the photons; 0 for the usual one
	Workers       int
}

// usualReadingError is the standard error of one reading by hand: the sensor's place and level, and the last digit.
// Common practice, no published source.
const usualReadingError = 0.03

const (
	confidence      = 0.95
	leastReadings   = 3 // of one sensor at as many places, for its factor
	leastAbsorption = 5 // readings at as many places, for the water's absorption
	leastSpanShare  = 0.1
	floorShare      = 0.01 // of the highest reading: what is below weighs like this
	shallowestM     = 0.02 // the deepest reading counts as this deep at least
)

// Fit fits a scene to a light meter's readings: one flux factor for each sensor, and the water's extra absorption where
// the readings decide it. The second answer is the scene as fitted. Readings that make no sense are refused.
func Fit(ctx context.Context, sc *scene.Scene, list []readings.Reading, o Options) (*result.Fit, *scene.Scene, error) {
	m, err := newMeter(ctx, sc, list, o)
	if err != nil {
		return nil, nil, err
	}
	var values []float64
	for _, r := range list {
		values = append(values, r.Value)
	}
	out, err := m.fit(values)
	if err != nil {
		return nil, nil, err
	}
	return out, edit.Calibrated(sc, out.FluxFactor, out.ExtraPerM.Value), nil
}

// meter is the readings' places with the light there, ready for fits.
type meter struct {
	scene        *scene.Scene
	options      Options
	list         []readings.Reading
	sensors      []result.SensorFactor
	sensorOf     []int
	noAbsorption finding.Finding   // why absorption is not fitted, if it is not
	depthStepM   float64           // that depths are rounded to; 0 where they are not
	spanM        float64           // from the shallowest to the deepest reading of one sensor
	deepestM     float64           // reading
	response     *response         // with absorption
	own          []float64         // light of each reading in the scene as it is
	heat         []finding.Finding // what is wrong with it
}

func newMeter(ctx context.Context, sc *scene.Scene, list []readings.Reading, o Options) (*meter, error) {
	if o.RelativeError == 0 {
		o.RelativeError = usualReadingError
	}
	m := &meter{scene: sc, options: o, list: list}
	if err := m.sort(); err != nil {
		return nil, err
	}
	warm, junctions := optics.Warmed(sc, o.Cold)
	m.heat = junctions.Warnings()
	light, err := optics.NewPoints(ctx, warm, m.points(), optics.Options{Workers: o.Workers,
		Seed: o.Seed})
	if err != nil {
		return nil, err
	}
	at := func(ctx context.Context, extraPerM float64) ([]float64, error) {
		lux, ppfd, err := light.At(ctx, extraPerM)
		for i, r := range list {
			if r.Photons && err == nil {
				lux[i] = ppfd[i]
			}
		}
		return lux, err
	}
	if m.own, err = at(ctx, sc.Tank.Water.ExtraAbsorbPerM); err != nil {
		return nil, err
	}
	if floats.Max(m.own) <= 0 {
		return nil, errors.New("the scene has no light at any of the readings' places; are x, y and the depth those of " +
			"this tank?")
	}
	if !m.noAbsorption.Any() {
		low, high := m.absorptionRange()
		m.response, err = newResponse(ctx, at, low, high)
	}
	return m, err
}

// mostDepths is how many different depths are computed: an engine readies each of them.
const mostDepths = 400

// points are the readings' places. Where there are more than mostDepths different depths, as from a logger that sinks,
// they are rounded to that many steps.
func (m *meter) points() []optics.Point {
	depths := map[float64]bool{}
	for _, r := range m.list {
		depths[r.DepthM] = true
	}
	if len(depths) > mostDepths {
		m.depthStepM = m.deepestM / (mostDepths - 1)
	}
	points := make([]optics.Point, len(m.list))
	for i, r := range m.list {
		points[i] = optics.Point{X: r.XM, Y: r.YM, DepthM: r.DepthM}
		if m.depthStepM > 0 {
			points[i].DepthM = math.Min(m.deepestM, math.Round(r.DepthM/m.depthStepM)*m.depthStepM)
		}
	}
	return points
}

// sort gives each reading its sensor, and decides whether absorption can be fitted. Places that lie in one cubic
// millimetre are one.
func (m *meter) sort() error {
	type place struct {
		sensor  int
		x, y, z float64
	}
	index, seen := map[sensor]int{}, map[place]bool{}
	var places []int       // of each sensor's readings
	var depths [][]float64 // of each sensor's readings
	for _, r := range m.list {
		k := sensor{r.Sensor, r.Photons}
		at, ok := index[k]
		if !ok {
			at, index[k] = len(places), len(places)
			m.sensors, places, depths = append(m.sensors, result.SensorFactor{}), append(places, 0), append(depths, nil)
		}
		m.sensors[at].Readings++
		m.sensorOf, depths[at] = append(m.sensorOf, at), append(depths[at], r.DepthM)
		p := place{at, math.Round(r.XM * 1000), math.Round(r.YM * 1000), math.Round(r.DepthM * 1000)}
		if !seen[p] {
			seen[p] = true
			places[at]++
		}
		m.deepestM = math.Max(m.deepestM, r.DepthM)
	}
	for k, at := range index {
		_, both := index[sensor{k.name, !k.photons}]
		m.sensors[at].Name = k.words(both)
	}
	for i, s := range m.sensors {
		if places[i] < leastReadings {
			return fmt.Errorf("%s has %s at %s; readings at %d places at least are needed for its factor alone, at %d and two "+
				"depths for the water too: a place read again tells how steady the meter is, not whether the scene is right",
				s.Name, unit.Several(s.Readings, "reading"), unit.Several(places[i], "place"), leastReadings, leastAbsorption)
		}
		m.spanM = math.Max(m.spanM, floats.Max(depths[i])-floats.Min(depths[i]))
	}
	if len(m.sensors) == 0 {
		return errors.New("there are no readings")
	}
	m.noAbsorption = m.whyNoAbsorption(len(seen))
	return nil
}

// sensor is what reads one quantity under one name.
type sensor struct {
	name    string
	photons bool
}

// words name a sensor for people; both tells that lux and photons came under one name.
func (s sensor) words(both bool) string {
	kind := map[bool]string{false: "lux", true: "PPFD"}[s.photons]
	switch {
	case s.name == "" && !both:
		return "the meter"
	case s.name == "":
		return "the " + kind + " meter"
	case both:
		return s.name + " (" + kind + ")"
	}
	return s.name
}

// whyNoAbsorption says why readings at so many places cannot tell how clear the water is, if they cannot.
func (m *meter) whyNoAbsorption(places int) (why finding.Finding) {
	least := leastAbsorption + len(m.sensors) - 1
	leastM := leastSpanShare * m.scene.Tank.Water.DepthM
	switch {
	case len(m.list) < least:
		why = finding.ReadingsFew.Of(finding.Count{N: len(m.list), Noun: "reading"}, finding.Count{N: least})
	case places < least:
		why = finding.PlacesFew.Of(finding.Count{N: places, Noun: "place"}, finding.Count{N: least, Noun: "place"})
	case m.spanM == 0:
		why = finding.OneDepth.Of()
	case m.spanM < leastM:
		why = finding.DepthsNear.Of(finding.Length(m.spanM), finding.Length(math.Ceil(1000*leastM)/1000))
	}
	return why
}

// absorptionRange returns between which extra absorptions the fit looks.
func (m *meter) absorptionRange() (low, high float64) {
	w := m.scene.Tank.Water
	low = w.LowestExtraPerM()
	high = math.Max(low, w.ExtraAbsorbPerM) + responseDepths/math.Max(shallowestM, m.deepestM)
	return low, math.Min(scene.HighestExtraPerM, high)
}

// model is the light at the readings' places by the logarithms of the sensors' factors, and the extra absorption after
// them.
func (m *meter) model(p []float64) (values []float64, slopes [][]float64) {
	last := len(m.sensors)
	values, slopes = make([]float64, len(m.own)), make([][]float64, len(m.own))
	for i := range values {
		slopes[i] = make([]float64, len(p))
		light, factor := m.own[i], math.Exp(p[m.sensorOf[i]])
		if m.response != nil {
			light, slopes[i][last] = m.response.at(i, p[last])
			slopes[i][last] *= factor
		}
		values[i] = factor * light
		slopes[i][m.sensorOf[i]] = values[i]
	}
	return values, slopes
}

// fit fits the factors and the absorption to what the meter showed, one value a place.
func (m *meter) fit(measured []float64) (*result.Fit, error) {
	f, err := fit.Solve(m.problem(measured))
	switch {
	case errors.Is(err, fit.ErrUndecided):
		return nil, errors.New("the readings do not decide between the light and the water; take readings under " +
			"the modules at more depths")
	case err != nil:
		return nil, err
	}
	return m.conclude(measured, f)
}

// farthest is the largest factor, and 1 over the smallest, that the search looks at.
const farthest = 1e6

func (m *meter) problem(measured []float64) fit.Problem {
	p := fit.Problem{Measured: measured, Model: m.model, RelativeError: m.options.RelativeError}
	p.Floor = floorShare * floats.Max(measured)
	sums := make([][2]float64, len(m.sensors))
	for i, v := range measured {
		s := m.sensorOf[i]
		sums[s][0] += v
		sums[s][1] += m.own[i]
	}
	for _, s := range sums {
		p.Start = append(p.Start, math.Log(math.Min(math.Max(s[0]/s[1], 1/farthest), farthest)))
		p.Low, p.High = append(p.Low, -math.Log(farthest)), append(p.High, math.Log(farthest))
	}
	if m.response != nil {
		p.Start = append(p.Start, math.Max(m.response.lowPerM, m.scene.Tank.Water.ExtraAbsorbPerM))
		p.Low, p.High = append(p.Low, m.response.lowPerM), append(p.High, m.response.highPerM)
	}
	return p
}
