package direct

import (
	"context"
	"sort"
	"sync"

	"fathomlux/optics/parallel"
	"fathomlux/optics/water"
)

// Point is a place in the water: X and Y in the tank's axes, DepthM below the surface.
type Point struct{ X, Y, DepthM float64 }

// pointsAtOnce is how many points of one depth one piece of work holds.
const pointsAtOnce = 64

// At returns the illuminance, lx, and the PPFD, umol/m2/s, of level planes at some points, without a grid between.
func (e *Engine) At(ctx context.Context, points []Point) (lux, ppfd []float64, err error) {
	lux, ppfd = make([]float64, len(points)), make([]float64, len(points))
	pieces := e.pieces(points)
	err = parallel.ForEach(ctx, e.workers, len(pieces), func(i int) {
		s := pieces[i].sum()
		for _, k := range pieces[i].points {
			lux[k], ppfd[k] = s.point(points[k])
		}
	})
	return lux, ppfd, err
}

// piece is some points of one depth.
type piece struct {
	points []int
	sum    func() *sum // readied once for all pieces of the depth
}

// pieces sorts points by depth and cuts them.
func (e *Engine) pieces(points []Point) []piece {
	order := make([]int, len(points))
	for i := range order {
		order[i] = i
	}
	sort.SliceStable(order, func(a, b int) bool { return points[order[a]].DepthM < points[order[b]].DepthM })
	var list []piece
	for from := 0; from < len(order); {
		depthM := points[order[from]].DepthM
		ready := sync.OnceValue(func() *sum { return e.prepare(depthM, 1) })
		to := from
		for ; to < len(order) && points[order[to]].DepthM == depthM; to++ {
			if (to-from)%pointsAtOnce == 0 {
				list = append(list, piece{sum: ready})
			}
			last := &list[len(list)-1]
			last.points = append(last.points, order[to])
		}
		from = to
	}
	return list
}

// point sums all sources and images for one place: a row of one cell whose centre it is.
func (s *sum) point(p Point) (lux, ppfd float64) {
	to := newRow(1)
	for _, views := range s.views {
		for i := range views {
			v := &views[i]
			at := v.source.Position
			im := image{view: v, sum: s, rim: s.rim, fixed: v.originY + v.signY*p.Y - at.Y, first: v.originX + v.signX*p.X - at.X, step: v.signX}
			im.add(to)
		}
	}
	return to.lux[0], to.ppfd[0]
}

// WithWater returns an engine of the same model filled with another body of water, of the same refractive index. The flux balance and
// orders of images stay those of the engine it is made from, so that its light differs by the water alone.
func (e *Engine) WithWater(b water.Body) *Engine {
	st := *e.model
	st.Water = b
	c := *e
	c.model, c.lamps = &st, nil
	for i := range st.Spectra {
		c.lamps = append(c.lamps, c.lamp(i))
	}
	return &c
}

// Water returns the body of water of the model.
func (e *Engine) Water() water.Body { return e.model.Water }
