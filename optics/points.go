package optics

import (
	"cmp"
	"context"
	"slices"

	"gonum.org/v1/gonum/floats"

	"fathomlux/optics/direct"
	"fathomlux/optics/trace"
	"fathomlux/scene"
)

// Point is a place in the water.
type Point = direct.Point

// Points is the light at some places of a scene, for water with more or less absorption. What does not come straight is
// read between planes.
type Points struct {
	engine  *engine
	scene   *scene.Scene
	points  []Point
	options trace.TransferOptions
}

// The rest of the light has no fine detail: a dozen planes between the shallowest and the deepest place, and fewer
// photons than a map has, show it to a small part of a reading's own error.
const (
	restPlanes  = 12
	restPhotons = 1 << 18
)

// NewPoints readies the light at some places; workers and seed are what counts of the options. The scene is as warm
// as it is to be.
func NewPoints(ctx context.Context, sc *scene.Scene, points []Point, o Options) (*Points, error) {
	e, err := engineOf(ctx, sc, Full, direct.Options{Workers: o.Workers})
	return &Points{engine: e, scene: sc, points: points, options: trace.TransferOptions{Workers: o.Workers,
		Photons: restPhotons, Seed: cmp.Or(o.Seed, usualSeed), DepthsM: restDepths(points)}}, err
}

// restDepths are the planes' depths, rising: those of the points, or restPlanes even ones from the first to the last.
func restDepths(points []Point) []float64 {
	var depths []float64
	for _, p := range points {
		depths = append(depths, p.DepthM)
	}
	slices.Sort(depths)
	if depths = slices.Compact(depths); len(depths) <= restPlanes {
		return depths
	}
	return floats.Span(make([]float64, restPlanes), depths[0], depths[len(depths)-1])
}

// At returns the light at the places, in lx and in umol/m2/s, for some extra absorption of the water. The same draws
// serve all waters, so that their light differs smoothly.
func (p *Points) At(ctx context.Context, extraPerM float64) (lux, ppfd []float64, err error) {
	water := p.engine.model.Water.WithExtra(extraPerM)
	if lux, ppfd, err = p.engine.WithWater(water).At(ctx, p.points); err != nil {
		return lux, ppfd, err
	}
	r := newRest(p.scene, p.options)
	r.builder.model.Water = water
	rests, err := r.sums(ctx, r.lampsOf(p.scene), len(r.options.DepthsM))
	for i, at := range p.points {
		above, share := p.between(at.DepthM)
		for k := range rests {
			for plane, weight := range []float64{1 - share, share} {
				if weight > 0 {
					l, u := rests[k].at(above+plane, at.X, at.Y)
					lux[i], ppfd[i] = lux[i]+weight*l, ppfd[i]+weight*u
				}
			}
		}
	}
	return lux, ppfd, err
}

// between finds the plane at or above a depth, and how far the depth is on the way to the next.
func (p *Points) between(depthM float64) (above int, share float64) {
	depths := p.options.DepthsM
	for above+1 < len(depths) && depths[above+1] <= depthM {
		above++
	}
	if above+1 == len(depths) || depthM <= depths[above] {
		return above, 0
	}
	return above, (depthM - depths[above]) / (depths[above+1] - depths[above])
}
