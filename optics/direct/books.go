package direct

import (
	"context"
	"math"

	"fathomlux/optics/beam"
	"fathomlux/optics/parallel"
	"fathomlux/optics/result"
	"fathomlux/optics/stack"
	"fathomlux/optics/stage"
	"fathomlux/scene/space"
)

// The bundle of rays that fills the books: usually usualRays over all sources, between fewestRings squared and mostRings
// squared a source, in rings of equal flux.
const (
	usualRays   = 200000
	fewestRings = 16
	mostRings   = 128
)

// Limits of the image method: images beyond Orders bring less than cutShare of the arriving light, unless that would take
// more than MaxOrder reflections along one axis.
const (
	cutShare = 0.0005
	MaxOrder = 48
)

// arrivals counts the flux that reaches the floor by image strip, |mx| and |my| capped at MaxOrder+1. What stands at the
// cap is an estimate: walls along that axis are taken to keep all of it from there on.
type arrivals [MaxOrder + 2][MaxOrder + 2]float64

// keepBooks traces the bundle, fills the books and chooses the orders of images.
func (e *Engine) keepBooks(ctx context.Context) error {
	n := len(e.stage.Sources)
	if n == 0 {
		return nil
	}
	rings := int(math.Sqrt(float64(e.rays) / float64(n)))
	rings = min(mostRings, max(fewestRings, rings)) &^ 3 // a multiple of four keeps the bundle mirror-symmetric
	fans, err := e.fans(ctx, rings)
	if err != nil {
		return err
	}
	parts, boxes := make([]bundle, n), e.stage.BoxesFrom(e.stage.DepthM)
	err = parallel.ForEach(ctx, e.workers, n, func(i int) {
		parts[i] = bundle{engine: e, source: &e.stage.Sources[i], rim: e.rim(), boxes: boxes}
		parts[i].trace(fans[e.stage.Sources[i].Beam])
	})
	var landed arrivals
	for i := range parts {
		e.books = e.books.Plus(parts[i].books, 1)
		landed.add(&parts[i].landed)
		if e.alone {
			o, cut := parts[i].landed.orders()
			e.orders.X, e.orders.Y, e.cut = max(e.orders.X, o.X), max(e.orders.Y, o.Y), max(e.cut, cut)
		}
	}
	if !e.alone {
		e.orders, e.cut = landed.orders()
	}
	return err
}

// fans returns the directions of each beam that a source has, by the beam's number.
func (e *Engine) fans(ctx context.Context, rings int) ([][]aim, error) {
	used := make([]bool, len(e.stage.Beams))
	for _, src := range e.stage.Sources {
		used[src.Beam] = true
	}
	fans := make([][]aim, len(used))
	err := parallel.ForEach(ctx, e.workers, len(used), func(i int) {
		if used[i] {
			fans[i] = aims(e.stage.Beams[i], rings)
		}
	})
	return fans, err
}

func (a *arrivals) add(b *arrivals) {
	for x := range a {
		for y := range a[x] {
			a[x][y] += b[x][y]
		}
	}
}

// orders returns the lowest orders that leave out less than cutShare of the flux, and the share that they leave out.
func (a *arrivals) orders() (Orders, float64) {
	var total float64
	for x := range a {
		for y := range a[x] {
			total += a[x][y]
		}
	}
	if total == 0 {
		return Orders{}, 0
	}
	outside := func(o Orders) float64 {
		var out float64
		for x := range a {
			for y := range a[x] {
				if x > o.X || y > o.Y {
					out += a[x][y]
				}
			}
		}
		return out / total
	}
	var o Orders
	for outside(o) > cutShare {
		inX, inY := outside(Orders{min(MaxOrder, o.X+1), o.Y}), outside(Orders{o.X, min(MaxOrder, o.Y+1)})
		switch {
		case o.X == MaxOrder && o.Y == MaxOrder:
			return o, outside(o)
		case o.Y == MaxOrder || (inX <= inY && o.X < MaxOrder):
			o.X++
		default:
			o.Y++
		}
	}
	return o, outside(o)
}

// bundle is the rays of one source.
type bundle struct {
	engine   *Engine
	source   *stage.Source
	rim      rim
	boxes    []space.Box // as seen from the floor
	luminous stack.Column
	books    result.Books
	landed   arrivals
	strip    [2]int  // of the ray that is followed: where it lands, |mx| and |my| capped as in landed
	arrives  float64 // the share of its light in the air that reaches the floor where no wall or box takes any
}

// trace sends rays of equal flux or nearly so; each ends up whole in the books.
func (b *bundle) trace(rays []aim) {
	src := b.source
	b.luminous, _ = b.engine.columns(src.Spectrum, b.engine.stage.HeightM(*src), b.engine.stage.DepthM)
	b.books.Emitted = src.EmittedLm
	b.books.Optic = src.EmittedLm - src.LeavingLm
	if src.LeavingLm == 0 {
		return
	}
	shape := b.engine.stage.Beams[src.Beam]
	before := shape.ShareWithin(math.Pi / 2) // a measured optic may send light behind the module
	b.books.Spill = src.LeavingLm * (1 - before)
	var total float64
	for _, r := range rays {
		total += r.share
	}
	for _, r := range rays {
		b.follow(r.local, src.LeavingLm*before*r.share/total)
	}
}

// aim is one direction of a bundle, in the module's frame, and its share of the flux.
type aim struct {
	local space.Vector
	share float64
}

// aims returns rings of directions such that each ring holds the same flux, with as many directions a ring.
func aims(shape *beam.Beam, rings int) []aim {
	const fine = 2048
	var sum [fine + 1]float64
	for i := range fine {
		theta := (float64(i) + 0.5) * math.Pi / 2 / fine
		sum[i+1] = sum[i] + ringMean(shape, theta)*math.Sin(theta)
	}
	list := make([]aim, 0, rings*rings)
	at := 0
	for r := range rings {
		goal := (float64(r) + 0.5) / float64(rings) * sum[fine]
		for at < fine-1 && sum[at+1] < goal {
			at++
		}
		theta := (float64(at) + (goal-sum[at])/(sum[at+1]-sum[at])) * math.Pi / 2 / fine
		mean := ringMean(shape, theta)
		for p := range rings {
			v := direction(theta, (float64(p)+0.5)*2*math.Pi/float64(rings))
			share := 0.0
			if mean > 0 {
				share = shape.PerLumen(v) / mean
			}
			list = append(list, aim{local: v, share: share})
		}
	}
	return list
}

// ringMean is the mean intensity over a ring at theta from the aim.
func ringMean(shape *beam.Beam, theta float64) float64 {
	if shape.Round() {
		return shape.PerLumen(direction(theta, 0))
	}
	const n = 32
	var sum float64
	for i := range n {
		sum += shape.PerLumen(direction(theta, (float64(i)+0.5)*2*math.Pi/n))
	}
	return sum / n
}

func direction(theta, phi float64) space.Vector {
	s, c := math.Sincos(theta)
	sp, cp := math.Sincos(phi)
	return space.Vector{X: s * cp, Y: s * sp, Z: c}
}
