package optics

import (
	"context"
	"math"
	"slices"

	"fathomlux/optics/direct"
	"fathomlux/optics/result"
	"fathomlux/optics/trace"
	"fathomlux/scene"
)

// Point is a place in the water.
type Point = direct.Point

// Points is the light at some places of a scene, for water with more or less absorption. The rest of the light, where
// the engine follows it, is traced on planes and read off between cells and planes.
type Points struct {
	engine *engine
	points []Point
	rest   trace.Options
}

// The rest of the light has no fine detail: cells of a fiftieth of the tank, and a dozen planes between the shallowest
// and the deepest place, show it to a small part of a reading's own error.
const (
	restCells   = 50
	restPlanes  = 12
	restPhotons = 1 << 18
)

// NewPoints readies the light at some places; workers and seed are what counts of the options. The scene is as warm as
// it is to be.
func NewPoints(ctx context.Context, sc *scene.Scene, points []Point, o Options) (*Points, error) {
	e, err := engineOf(ctx, sc, Full, direct.Options{Workers: o.Workers})
	if err != nil {
		return nil, err
	}
	p := &Points{engine: e, points: points, rest: trace.Options{Workers: o.Workers, Photons: restPhotons, Seed: o.Seed,
		Only: trace.Rest, SpreadM: softM}}
	grid := result.NewGrid(sc.Tank.LengthM, sc.Tank.WidthM, math.Max(sc.Tank.LengthM, sc.Tank.WidthM)/restCells)
	for _, depth := range restDepths(points) {
		p.rest.Planes = append(p.rest.Planes, trace.Plane{DepthM: depth, Grid: grid})
	}
	return p, nil
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
	low, high := depths[0], depths[len(depths)-1]
	even := make([]float64, restPlanes)
	for i := range even {
		t := float64(i) / (restPlanes - 1)
		even[i] = low + t*(high-low)
	}
	even[restPlanes-1] = high // to the last bit: the plane may be the floor
	return even
}

// At returns the light at the places, in lx and in umol/m2/s, for some extra absorption of the water. One seed serves
// all waters, so that their light differs smoothly.
func (p *Points) At(ctx context.Context, extraPerM float64) (lux, ppfd []float64, err error) {
	m := *p.engine.model
	m.Water = m.Water.WithExtra(extraPerM)
	if lux, ppfd, err = p.engine.WithWater(m.Water).At(ctx, p.points); err != nil {
		return lux, ppfd, err
	}
	a, err := trace.Run(ctx, &m, p.rest)
	if err != nil {
		return nil, nil, err
	}
	for i, at := range p.points {
		above, share := p.between(at.DepthM)
		for k, weight := range []float64{1 - share, share} {
			if weight > 0 {
				f := a.Planes[above+k].Field
				lux[i] += weight * f.Grid.Between(f.Illuminance, at.X, at.Y)
				ppfd[i] += weight * f.Grid.Between(f.PPFD, at.X, at.Y)
			}
		}
	}
	return lux, ppfd, nil
}

// between finds the plane at or above a depth, and how far the depth is on the way to the next.
func (p *Points) between(depthM float64) (above int, share float64) {
	planes := p.rest.Planes
	for above+1 < len(planes) && planes[above+1].DepthM <= depthM {
		above++
	}
	if above+1 == len(planes) || depthM <= planes[above].DepthM {
		return above, 0
	}
	return above, (depthM - planes[above].DepthM) / (planes[above+1].DepthM - planes[above].DepthM)
}
