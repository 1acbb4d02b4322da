package direct

import (
	"context"
	"math"
	"slices"

	"fathomlux/optics/model"
	"fathomlux/optics/parallel"
	"fathomlux/optics/result"
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

// Landing returns where the light of some sources lands. Those of one board are taken to sit at the middle one.
// Whoever sums light follows as many images as Orders says of the landing of all. The flux balance is those of the
// same rays behind the optic.
func (e *Engine) Landing(sources []model.Source) (*Landing, result.FluxBalance) {
	b := bundle{engine: e, landed: &Landing{}}
	for _, board := range boards(sources) {
		one := board[len(board)/2]
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
