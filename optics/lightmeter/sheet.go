package lightmeter

import (
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/scene"
	"fathomlux/scene/space"
)

const (
	seriesDepths = 6    // of a depth series, down to the floor; between them lie as many more to choose from
	shallowM     = 0.02 // the first of them: a sensor's body needs room
	besideM      = 0.03 // room of a hand beside an obstacle
	sensorM      = 0.02 // from the middle of a sensor to the wall beside it
	nudgeM       = 0.01 // how far a sensor may be off its place
	cornerShare  = 0.25 // of length and width: a place nearer to two sides is in a corner
)

// Sheet returns where to hold a light meter: the most telling places of the measurement grid of the lighting standards
// on the goal's plane, and of a series in depth at that point of the grid, or under a module, where the light changes
// least from place to place, of those out of the corners where it falls with depth: beside a beam it rises, and says
// little of the water.
func Sheet(ctx context.Context, sc *scene.Scene, workers int) (*result.MeterSheet, error) {
	warm, _ := optics.Warmed(sc, false)
	plane, depth := optics.JudgedPlane(sc), sc.Tank.Water.DepthM-sc.Tank.Ground.HighestM()
	out := &result.MeterSheet{Plane: plane.Name, Quantity: optics.Shown(sc.Goal), ReadingError: usualReadingError}
	first := math.Min(shallowM, depth/10)
	depths := floats.Span(make([]float64, 2*seriesDepths-1), first, depth)
	even := make([]float64, seriesDepths)
	for k := range even {
		even[k] = depths[2*k]
	}
	grid := gridPlaces(sc, plane.DepthM)
	best, err := calmest(ctx, warm, open(sc, append(slices.Clone(grid), underModules(sc, plane.DepthM)...)), even, workers)
	if err != nil {
		return nil, err
	}
	places := grid
	for _, best.DepthM = range depths {
		places = append(places, best)
	}
	d, err := newDesign(ctx, warm, places, out.Quantity, workers)
	if err != nil {
		return nil, err
	}
	enough := make([]int, len(grid)+seriesDepths)
	for i := range enough {
		enough[i] = i + max(0, i-len(grid))
	}
	for _, i := range d.choose(enough) {
		if i < len(grid) {
			out.Places = append(out.Places, places[i])
		} else {
			out.Series = append(out.Series, places[i])
		}
	}
	out.FactorError, out.PerMError = d.error(light), d.error(absorption)
	return out, nil
}

// gridPlaces are the points of the measurement grid that no obstacle holds.
func gridPlaces(sc *scene.Scene, depthM float64) (list []result.SheetPlace) {
	g := result.StandardGrid(sc.Tank.LengthM, sc.Tank.WidthM)
	solid := optics.SolidCells(sc, depthM, g)
	for i := range g.Cells() {
		p := result.SheetPlace{XM: g.CentreX(i % g.NX), YM: g.CentreY(i / g.NX), DepthM: depthM}
		if depthM == sc.Tank.Water.DepthM {
			p.DepthM -= sc.Tank.Ground.HeightM(p.XM, p.YM) // on the ground
		}
		if !solid.Closed(i) && roomy(sc.Tank, p) {
			list = append(list, p)
		}
	}
	return list
}

// roomy tells whether a sensor has room at a place in an outline: what is around it is inside, too.
func roomy(t scene.Tank, p result.SheetPlace) bool {
	if t.Outline.Empty() {
		return p.XM > 0 && p.XM < t.LengthM && p.YM > 0 && p.YM < t.WidthM
	}
	for k := range 8 {
		sin, cos := math.Sincos(float64(k) * math.Pi / 4)
		if !t.Outline.Holds(space.Point{X: p.XM + sensorM*cos, Y: p.YM + sensorM*sin}) {
			return false
		}
	}
	return true
}

// underModules are the places below the modules that are over the tank.
func underModules(sc *scene.Scene, depthM float64) (list []result.SheetPlace) {
	for _, rm := range optics.Modules(sc) {
		p := result.SheetPlace{DepthM: depthM}
		if p.XM, p.YM = rm.Rail.At(rm.Module.XM); roomy(sc.Tank, p) {
			list = append(list, p)
		}
	}
	return list
}

// open returns the places out of the corners that no obstacle stands at or hangs over; all of them where there are no
// others.
func open(sc *scene.Scene, places []result.SheetPlace) []result.SheetPlace {
	var free []result.SheetPlace
	for _, p := range places {
		clear := away(p.XM, sc.Tank.LengthM) || away(p.YM, sc.Tank.WidthM)
		for _, o := range sc.Tank.Obstacles {
			b := o.Box
			clear = clear && (p.XM < b.Min.X-besideM || p.XM > b.Max.X+besideM || p.YM < b.Min.Y-besideM ||
				p.YM > b.Max.Y+besideM)
		}
		if clear {
			free = append(free, p)
		}
	}
	if len(free) == 0 {
		return places
	}
	return free
}

// away tells whether a place is away from both ends of a length.
func away(atM, lengthM float64) bool {
	return atM >= cornerShare*lengthM && atM <= (1-cornerShare)*lengthM
}

// calmest returns the place at which a small step aside changes the light least, at the worst of some rising depths, of
// those places where the light falls from each depth to the next; where there is none, the place where it rises least.
// Places with less than half the mean light at the deepest do not count.
func calmest(ctx context.Context, sc *scene.Scene, places []result.SheetPlace, depthsM []float64,
	workers int) (result.SheetPlace, error) {
	var points []optics.Point
	for _, p := range places {
		for _, p.DepthM = range depthsM {
			points = append(points, nudged(p)...)
		}
	}
	lux, err := lightAt(ctx, sc, points, workers)
	if err != nil {
		return result.SheetPlace{}, err
	}
	per := len(depthsM) * nudges
	var mean float64
	for i := range places {
		mean += lux[(i+1)*per-nudges] / float64(len(places))
	}
	best, leastRise, leastChange := places[len(places)/2], math.Inf(1), math.Inf(1)
	for i, p := range places {
		here := lux[i*per : (i+1)*per]
		rise, change := unrest(here, nudges, 1e-9*mean+math.SmallestNonzeroFloat64)
		if here[per-nudges] >= mean/2 && (rise < leastRise || rise == leastRise && change < leastChange) {
			best, leastRise, leastChange = p, rise, change
		}
	}
	return best, nil
}

// nudges is how many places a sensor may be at that is to be held at one.
const nudges = 5

// nudged returns a place and those around it at which a sensor may be.
func nudged(p result.SheetPlace) (list []optics.Point) {
	for _, s := range [nudges][2]float64{{0, 0}, {nudgeM, 0}, {-nudgeM, 0}, {0, nudgeM}, {0, -nudgeM}} {
		list = append(list, optics.Point{X: p.XM + s[0], Y: p.YM + s[1], DepthM: p.DepthM})
	}
	return list
}

// lightAt computes the illuminance at some places in the scene's own water.
func lightAt(ctx context.Context, sc *scene.Scene, points []optics.Point, workers int) ([]float64, error) {
	light, err := optics.NewPoints(ctx, sc, points, optics.Options{Workers: workers})
	if err != nil {
		return nil, err
	}
	lux, _, err := light.At(ctx, sc.Tank.Water.ExtraAbsorbPerM)
	return lux, err
}

// unrest returns how far the light of one place rises at most from one depth to the next, 0 where it falls, and how far
// a step aside changes it at the worst depth, both in parts of the light there. Each depth has steps values, the first
// of the place itself; below least they count as that.
func unrest(lux []float64, steps int, least float64) (rise, change float64) {
	for d := 0; d < len(lux); d += steps {
		middle := math.Max(lux[d], least)
		for s := 1; s < steps; s++ {
			change = math.Max(change, math.Abs(lux[d+s]-lux[d])/middle)
		}
		if d > 0 {
			rise = math.Max(rise, (lux[d]-lux[d-steps])/middle)
		}
	}
	return rise, change
}

// What a design counts with. None of these has a published source.
const (
	fewestPlaces = 8
	mostPlaces   = 16
	student      = 0.9  // Student's factor of many readings over that of a dozen, 95 %
	tiltError    = 0.03 // how far the light at a side may be off that in the middle, a standard error
	slopePerM    = 0.02 // of absorption, over which the light's slope with it is taken
)

// The parameters that a design narrows: the logarithm of the light, the absorption, and how the light rises from left
// to right and from front to back against the scene, which keeps the places apart.
const (
	light = iota
	absorption
	tiltX
	tiltY
	parameters
)

// design is what readings at some places would tell, as the fit's covariance before any of them is read.
type design struct {
	rows       [][parameters]float64 // by place: slopes of the reading's logarithm, in its standard errors
	covariance [parameters][parameters]float64
	depthM     float64 // of the water
}

// newDesign computes what readings at some places would tell. That a sensor may be off its place counts as a standard
// error of 1/sqrt 3 of what that changes at most, that of a rectangle (JCGM 100:2008, 4.3.7).
func newDesign(ctx context.Context, sc *scene.Scene, places []result.SheetPlace, q result.Quantity,
	workers int) (*design, error) {
	var points []optics.Point
	for _, p := range places {
		points = append(points, nudged(p)...)
	}
	engine, err := optics.NewPoints(ctx, sc, points, optics.Options{Workers: workers})
	if err != nil {
		return nil, err
	}
	var waters [2][]float64
	for k := range waters {
		lux, ppfd, err := engine.At(ctx, sc.Tank.Water.ExtraAbsorbPerM+slopePerM*float64(k))
		if err != nil {
			return nil, err
		}
		waters[k] = result.Of(q, lux, ppfd)
	}
	d := &design{depthM: sc.Tank.Water.DepthM}
	least := math.Max(floorShare*floats.Max(waters[0]), math.SmallestNonzeroFloat64)
	for i, p := range places {
		own, change := waters[0][nudges*i], 0.0
		for _, v := range waters[0][nudges*i : nudges*(i+1)] {
			change = math.Max(change, math.Abs(v-own))
		}
		weight := own / math.Max(own, least) / math.Hypot(usualReadingError, change/math.Max(own, least)/math.Sqrt(3))
		d.rows = append(d.rows, [parameters]float64{weight,
			weight * (waters[1][nudges*i] - own) / math.Max(own, least) / slopePerM,
			weight * (2*p.XM/sc.Tank.LengthM - 1), weight * (2*p.YM/sc.Tank.WidthM - 1)})
	}
	return d, nil
}

// forget gives the parameters the errors that they have before any reading: none that counts for the first two.
func (d *design) forget(tilt float64) {
	d.covariance = [parameters][parameters]float64{}
	for k, off := range [parameters]float64{1, 1 / d.depthM, tilt, tilt} {
		d.covariance[k][k] = off * off
	}
}

// error is the standard error of a parameter.
func (d *design) error(parameter int) float64 { return math.Sqrt(d.covariance[parameter][parameter]) }

// choose returns the most telling places, in order, and leaves the covariance of a fit to them: always the one that
// shrinks the determinant of the covariance most, until a fit knows light and absorption as well as from all of enough.
// Source: Fedorov, Theory of Optimal Experiments, 1972, ch. 3.
func (d *design) choose(enough []int) (chosen []int) {
	d.read(enough)
	asked := [2]float64{student * d.error(light), student * d.error(absorption)}
	for len(chosen) < min(mostPlaces, len(d.rows)) {
		if d.read(chosen); len(chosen) >= fewestPlaces && d.error(light) <= asked[0] && d.error(absorption) <= asked[1] {
			break
		}
		d.forget(tiltError)
		for _, i := range chosen {
			d.take(d.rows[i])
		}
		best, most := -1, 0.0
		for i, row := range d.rows {
			if _, gain := d.spread(row); !slices.Contains(chosen, i) && gain > most {
				best, most = i, gain
			}
		}
		if best < 0 {
			break
		}
		chosen = append(chosen, best)
	}
	slices.Sort(chosen)
	d.read(chosen)
	return chosen
}

// read leaves the covariance of a fit to some places, which knows no tilts.
func (d *design) read(places []int) {
	d.forget(0)
	for _, i := range places {
		d.take(d.rows[i])
	}
}

// spread returns the covariance times a row, and the variance of the row's reading in that of its own error.
func (d *design) spread(row [parameters]float64) (times [parameters]float64, variance float64) {
	for i := range times {
		times[i] = floats.Dot(d.covariance[i][:], row[:])
	}
	return times, floats.Dot(times[:], row[:])
}

// take lets a reading narrow the covariance, after Sherman and Morrison.
func (d *design) take(row [parameters]float64) {
	times, variance := d.spread(row)
	for i := range times {
		for k := range times {
			d.covariance[i][k] -= times[i] * times[k] / (1 + variance)
		}
	}
}
