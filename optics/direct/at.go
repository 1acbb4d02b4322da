package direct

import (
	"context"
	"sync"

	"fathomlux/optics/parallel"
	"fathomlux/optics/water"
)

// Point is a place in the water: X and Y in the tank's axes, DepthM below the surface.
type Point struct{ X, Y, DepthM float64 }

// At returns the illuminance, lx, and the PPFD, umol/m2/s, of level planes at some points, without a grid between.
func (e *Engine) At(ctx context.Context, points []Point) (lux, ppfd []float64, err error) {
	sums := map[float64]func() func(Point) (lux, ppfd float64){} // by depth, readied once
	for _, p := range points {
		if sums[p.DepthM] == nil {
			sums[p.DepthM] = sync.OnceValue(func() func(Point) (lux, ppfd float64) {
				if e.fence != nil {
					return e.sight(p.DepthM, measured).point
				}
				return e.prepare(p.DepthM).point
			})
		}
	}
	lux, ppfd = make([]float64, len(points)), make([]float64, len(points))
	err = parallel.ForEach(ctx, e.workers, len(points), func(i int) {
		lux[i], ppfd[i] = sums[points[i].DepthM]()(points[i])
	})
	return lux, ppfd, err
}

// point sums all sources and images for one place: a row of one cell whose centre it is.
func (s *sum) point(p Point) (lux, ppfd float64) {
	to := newRow(1)
	for _, views := range s.views {
		for i := range views {
			one := s.image(&views[i], cellRow{y: p.Y, fromM: p.X - 0.5, stepM: 1, n: 1, points: true})
			one.add(to)
		}
	}
	return to.lux[0], to.ppfd[0]
}

// WithWater returns an engine of the same model filled with another body of water, of the same refractive index. The
// flux balance and orders of images stay those of the engine it is made from, so that its light differs by the water
// alone.
func (e *Engine) WithWater(b water.Body) *Engine {
	st := *e.model
	st.Water = b
	c := *e
	c.model, c.lamps, c.tracks = &st, nil, &tracks{list: map[planeTrack]func() *track{}}
	for i := range st.Spectra {
		c.lamps = append(c.lamps, c.lamp(i))
	}
	return &c
}

// Water returns the body of water of the model.
func (e *Engine) Water() water.Body { return e.model.Water }
