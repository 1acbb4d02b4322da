package lightmeter

import (
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/scene"
)

// What a design counts with. None of these has a published source.
const (
	fewestPlaces = 8
	mostPlaces   = 16
	student      = 0.9  // Student's factor of many readings over that of a dozen, 95 %
	tiltError    = 0.03 // how far the light at a side may be off that in the middle, a standard error
	slopePerM    = 0.02 // of absorption, over which the light's slope with it is taken
)

// The parameters that a design narrows: the logarithm of the light, the absorption, and how the light rises from left to
// right and from front to back against the scene, which keeps the places apart.
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
