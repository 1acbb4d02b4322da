package lightmeter

import (
	"context"
	"fmt"
	"math"
	"slices"

	"fathomlux/optics"
	"fathomlux/optics/direct"
	"fathomlux/optics/model"
	"fathomlux/optics/result"
	"fathomlux/optics/trace"
	"fathomlux/optics/water"
)

// lightAt computes the light at the readings' places, in lx and in umol/m2/s, for water with some extra absorption.
type lightAt func(ctx context.Context, extraPerM float64) (lux, ppfd []float64, err error)

// lightOf readies the engine of the options for the readings' places. thrownBack is the share of the flux that the direct engine
// does not follow, 0 for one that follows all.
func (o Options) lightOf(ctx context.Context, st *model.Model, points []direct.Point) (light lightAt, thrownBack float64, err error) {
	kind := water.Direct
	switch o.Engine {
	case "", optics.Direct:
	case optics.Full:
		kind = water.Unscattered
	default:
		return nil, 0, fmt.Errorf("the engine %q does not serve here; give full or direct", o.Engine)
	}
	e, err := direct.New(ctx, st, direct.Options{Workers: o.Workers, Attenuation: kind})
	if err != nil {
		return nil, 0, err
	}
	straight := func(ctx context.Context, extraPerM float64) (lux, ppfd []float64, err error) {
		return e.WithWater(e.Water().WithExtra(extraPerM)).At(ctx, points)
	}
	b := e.Books()
	if o.Engine != optics.Full {
		return straight, b.Unfollowed / math.Max(b.Emitted, math.SmallestNonzeroFloat64), nil
	}
	r := o.restAt(st, points)
	return func(ctx context.Context, extraPerM float64) (lux, ppfd []float64, err error) {
		if lux, ppfd, err = straight(ctx, extraPerM); err != nil {
			return nil, nil, err
		}
		return lux, ppfd, r.add(ctx, extraPerM, lux, ppfd)
	}, 0, nil
}

// The rest of the light has no fine detail: cells of a fiftieth of the tank, and a dozen planes between the shallowest and the
// deepest reading, show it to a small part of a reading's own error.
const (
	restCells   = 50
	restPlanes  = 12
	restPhotons = 1 << 18
)

// restAt is the scattered and bounced light at some places: traced on planes, and read off between cells and planes.
type restAt struct {
	model   *model.Model
	points  []direct.Point
	options trace.Options
}

func (o Options) restAt(st *model.Model, points []direct.Point) restAt {
	grid := result.NewGrid(st.LengthM, st.WidthM, math.Max(st.LengthM, st.WidthM)/restCells)
	r := restAt{model: st, points: points, options: trace.Options{Workers: o.Workers, Photons: restPhotons, Seed: o.Seed, Only: trace.Rest, SpreadM: optics.SoftM}}
	for _, depth := range restDepths(points) {
		r.options.Planes = append(r.options.Planes, trace.Plane{DepthM: depth, Grid: grid})
	}
	return r
}

// restDepths are the planes' depths, rising: those of the points, or restPlanes even ones from the first to the last.
func restDepths(points []direct.Point) []float64 {
	var depths []float64
	for _, p := range points {
		depths = append(depths, p.DepthM)
	}
	slices.Sort(depths)
	if depths = slices.Compact(depths); len(depths) <= restPlanes {
		return depths
	}
	low, high := depths[0], depths[len(depths)-1]
	even := make([]float64, restPlanes)
	for i := range even {
		t := float64(i) / (restPlanes - 1)
		even[i] = low + t*(high-low)
	}
	even[restPlanes-1] = high // to the last bit: the plane may be the floor
	return even
}

// add adds the rest to the light at the points. One seed serves all waters, so that their light differs smoothly.
func (r restAt) add(ctx context.Context, extraPerM float64, lux, ppfd []float64) error {
	st := *r.model
	st.Water = st.Water.WithExtra(extraPerM)
	a, err := trace.Run(ctx, &st, r.options)
	if err != nil {
		return err
	}
	for i, p := range r.points {
		above, share := r.between(p.DepthM)
		for k, weight := range []float64{1 - share, share} {
			if weight > 0 {
				f := a.Planes[above+k].Field
				lux[i] += weight * f.Grid.Between(f.Illuminance, p.X, p.Y)
				ppfd[i] += weight * f.Grid.Between(f.PPFD, p.X, p.Y)
			}
		}
	}
	return nil
}

// between finds the plane at or above a depth, and how far the depth is on the way to the next.
func (r restAt) between(depthM float64) (above int, share float64) {
	planes := r.options.Planes
	for above+1 < len(planes) && planes[above+1].DepthM <= depthM {
		above++
	}
	if above+1 == len(planes) || depthM <= planes[above].DepthM {
		return above, 0
	}
	return above, (depthM - planes[above].DepthM) / (planes[above+1].DepthM - planes[above].DepthM)
}
