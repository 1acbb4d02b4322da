package direct

import (
	"context"
	"errors"
	"math"
	"slices"
	"sync"

	"fathomlux/optics/model"
	"fathomlux/optics/parallel"
	"fathomlux/optics/result"
	"fathomlux/optics/water"
	"fathomlux/scene/space"
)

// Limits of the image method: images beyond Orders bring less than cutShare of the arriving light, unless that would
// take more than MaxOrder reflections along one axis.
const (
	cutShare = 0.0005
	MaxOrder = 48
)

// The rays by which a module's share of each image is found: rings between sampleRings parts of equal flux and as
// many equal steps of the angle, so that neither a narrow beam nor faint wide light falls between them, with
// raysARing a ring.
const (
	sampleRings = 16
	raysARing   = 24
)

// Landing is the flux that reaches the floor by image strip, |mx| and |my| capped at MaxOrder+1. What stands at the
// cap is an estimate: walls along that axis are taken to keep all of it from there on.
type Landing [MaxOrder + 2][MaxOrder + 2]float64

// Add adds the light of another landing, times a factor.
func (l *Landing) Add(o *Landing, factor float64) {
	for x := range l {
		for y := range l[x] {
			l[x][y] += float64(factor * o[x][y])
		}
	}
}

// Orders returns the lowest orders that leave out less than cutShare of the flux, and the share that they leave out.
func (l *Landing) Orders() (Orders, float64) {
	within := l.within()
	total := within[MaxOrder+1][MaxOrder+1]
	if total == 0 {
		return Orders{}, 0
	}
	outside := func(x, y int) float64 { return 1 - within[min(MaxOrder, x)][min(MaxOrder, y)]/total }
	var o Orders
	for outside(o.X, o.Y) > cutShare {
		inX, inY := outside(o.X+1, o.Y), outside(o.X, o.Y+1)
		switch {
		case o.X == MaxOrder && o.Y == MaxOrder:
			return o, outside(o.X, o.Y)
		case o.Y == MaxOrder || (inX <= inY && o.X < MaxOrder):
			o.X++
		default:
			o.Y++
		}
	}
	return o, max(0, outside(o.X, o.Y))
}

// Mirrored is the share of the flux that lands by way of walls.
func (l *Landing) Mirrored() float64 {
	within := l.within()
	if total := within[MaxOrder+1][MaxOrder+1]; total > 0 {
		return 1 - within[0][0]/total
	}
	return 0
}

// within adds up what lands in the strips up to each.
func (l *Landing) within() *Landing {
	var sum Landing
	for x := range l {
		row := 0.0
		for y := range l[x] {
			row += l[x][y]
			sum[x][y] = row
			if x > 0 {
				sum[x][y] += sum[x-1][y]
			}
		}
	}
	return &sum
}

// sampleEdges are those of sampleRings, see aims.
func sampleEdges(sum *[fineAngles + 1]float64) []float64 {
	edges := evenEdges(sampleRings)(sum)
	for k := 1; k < sampleRings; k++ {
		edges = append(edges, sum[k*fineAngles/sampleRings])
	}
	slices.Sort(edges)
	return slices.Compact(edges)
}

// sampleRays returns the rays of a beam for Landing, made once.
func (e *Engine) sampleRays(beam int) []aim {
	e.raysLock.Lock()
	defer e.raysLock.Unlock()
	if _, ok := e.raysOf[beam]; !ok {
		e.raysOf[beam] = aims(e.model.Beams[beam], sampleEdges, raysARing)
	}
	return e.raysOf[beam]
}

// Landing returns where the light of some sources lands. Those of one board, whose dies stand in rows so that first and
// last are opposite corners, are taken to sit in its middle: mirror images then need the same images.
// Whoever sums light follows as many images as Orders says of the landing of all. The flux balance is those of the
// same rays behind the optic.
func (e *Engine) Landing(sources []model.Source) (*Landing, result.FluxBalance) {
	b := bundle{engine: e, landed: &Landing{}}
	for _, board := range boards(sources) {
		one, last := board[0], board[len(board)-1].Position
		one.Position = space.Point{X: (one.Position.X + last.X) / 2, Y: (one.Position.Y + last.Y) / 2,
			Z: (one.Position.Z + last.Z) / 2}
		one.LeavingLm = 0
		for _, s := range board {
			one.LeavingLm += s.LeavingLm
		}
		b.source = &one
		b.trace(e.sampleRays(one.Beam))
	}
	return b.landed, b.balance
}

// chooseOrders chooses the orders of images for the model's sources.
func (e *Engine) chooseOrders(ctx context.Context) error {
	list := boards(e.model.Sources)
	parts := make([]*Landing, len(list))
	err := parallel.ForEach(ctx, e.workers, len(list), func(i int) { parts[i], _ = e.Landing(list[i]) })
	if err != nil {
		return err
	}
	var all Landing
	for _, p := range parts {
		all.Add(p, 1)
	}
	e.orders, e.cut = all.Orders()
	e.mirrored = all.Mirrored()
	return nil
}

// boardM is how far dies in a row of the list may lie from the first of them to count as one board.
const boardM = 0.2

// boards cuts a list of sources into runs of one module, one beam and one place.
func boards(sources []model.Source) (list [][]model.Source) {
	same := func(a, b *model.Source) bool {
		return a.Module == b.Module && a.Beam == b.Beam && a.Spectrum == b.Spectrum && a.Frame == b.Frame &&
			math.Hypot(a.Position.X-b.Position.X, a.Position.Y-b.Position.Y) < boardM
	}
	for from, to := 0, 0; to < len(sources); from = to {
		for to < len(sources) && same(&sources[from], &sources[to]) {
			to++
		}
		list = append(list, sources[from:to])
	}
	return list
}

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

// Wall returns the straight light that comes to a wall of an upright box under water, from within, as illuminance and
// PPFD of the wall's own plane, in the cells of a grid over the way along the wall (x, or y of walls across x) and the
// height over the floor.
// A bundle of rays at the angle t from the vertical lights a wall tan(t) cos(a) times as much as a level plane, a being
// the angle in plan between its direction and the wall's normal: the same radiance, projected onto either (cosine law).
func (e *Engine) Wall(ctx context.Context, side model.Side, g result.Grid) (result.Field, error) {
	if e.fence != nil || side < model.Left || side > model.Back {
		return result.Field{}, errors.New("straight light on walls is for the four walls of an upright box")
	}
	engine, outward, y := e, -1.0, 0.0
	if side < model.Front {
		engine, side = e.turned(), side-model.Left+model.Front
	}
	if side == model.Back {
		outward, y = 1, engine.tank.WidthM
	}
	out := result.Field{Grid: g, Illuminance: make([]float64, g.Cells()), PPFD: make([]float64, g.Cells())}
	err := parallel.ForEach(ctx, e.workers, g.NY, func(iz int) {
		s, row := engine.prepareWith(e.model.DepthM-g.CentreY(iz), lookedAt), newRow(g.NX)
		for _, views := range s.views {
			for i := range views {
				im := s.image(&views[i], cellRow{y: y, stepM: g.StepXM, n: g.NX})
				im.addUpright(row, outward)
			}
		}
		copy(out.Illuminance[iz*g.NX:], row.lux)
		copy(out.PPFD[iz*g.NX:], row.ppfd)
		e.tell(g.NX)
	})
	return out, err
}

// addUpright adds the image's light to a row of cells that stand upright along x, as far as it comes from the side that
// outward, the sign of y, points away from.
func (im *image) addUpright(to rowLight, outward float64) {
	across := outward * im.signY * im.fixed
	if across <= 0 {
		return
	}
	level := newRow(len(to.lux))
	im.add(level)
	n := im.sum.engine.model.Water.Index()
	for i, v := range level.lux {
		if v == 0 {
			continue
		}
		p, d := im.look(i)
		sin := p.sin() / n // over the way in plan
		cos := math.Sqrt(max(0, 1-float64(sin*sin)*(float64(d*d)+im.fixed*im.fixed)))
		k := sin * across / cos
		to.lux[i] += float64(k * v)
		to.ppfd[i] += float64(k * level.ppfd[i])
	}
}
