package direct

import (
	"context"
	"math"

	"fathomlux/optics/beam"
	"fathomlux/optics/model"
	"fathomlux/optics/parallel"
	"fathomlux/optics/result"
	"fathomlux/optics/stack"
	"fathomlux/scene/space"
)

// The bundle of rays that fills the flux balance: usually usualRays over all sources, between fewestRings squared and
// mostRings squared a source, in rings of equal flux.
const (
	usualRays   = 200000
	fewestRings = 16
	mostRings   = 128
)

// fillBalance traces the bundle and fills the flux balance.
func (e *Engine) fillBalance(ctx context.Context) error {
	n := len(e.model.Sources)
	if n == 0 || e.rays < 0 {
		return nil
	}
	rings := int(math.Sqrt(float64(e.rays) / float64(n)))
	rings = min(mostRings, max(fewestRings, rings)) &^ 3 // a multiple of four keeps the bundle mirror-symmetric
	rays, err := e.evenRays(ctx, rings)
	if err != nil {
		return err
	}
	parts := make([]bundle, len(e.balance)*n)
	err = parallel.ForEach(ctx, e.workers, len(parts), func(i int) {
		src := &e.model.Sources[i%n]
		parts[i] = bundle{engine: e, source: src, photons: i >= n}
		parts[i].trace(rays[src.Beam])
	})
	for i := range parts {
		k := 1.0
		if parts[i].photons {
			k = e.model.Spectra[parts[i].source.Spectrum].PPFDPerLux()
		}
		e.balance[i/n] = e.balance[i/n].Plus(parts[i].balance, k)
	}
	return err
}

// evenRays returns the directions of each beam that a source has, by the beam's number.
func (e *Engine) evenRays(ctx context.Context, rings int) ([][]aim, error) {
	used := make([]bool, len(e.model.Beams))
	for _, src := range e.model.Sources {
		used[src.Beam] = true
	}
	rays := make([][]aim, len(used))
	err := parallel.ForEach(ctx, e.workers, len(used), func(i int) {
		if used[i] {
			rays[i] = aims(e.model.Beams[i], evenEdges(rings), rings)
		}
	})
	return rays, err
}

// bundle is the rays of one source.
type bundle struct {
	engine  *Engine
	source  *model.Source
	photons bool // whether they are followed, those of a lumen as one, in place of lumens
	above   stack.Column
	balance result.FluxBalance
	landed  *Landing // nil where it is not asked for
}

// trace sends rays of equal flux or nearly so; each ends up whole in the flux balance.
func (b *bundle) trace(rays []aim) {
	src := b.source
	luminous, photon := b.engine.columns(src.Spectrum, b.engine.model.HeightM(*src), b.engine.model.DepthM)
	if b.above = luminous; b.photons {
		b.above = photon
	}
	b.balance.Emitted = src.EmittedLm
	b.balance.Optic = src.EmittedLm - src.LeavingLm
	if src.LeavingLm == 0 {
		return
	}
	shape := b.engine.model.Beams[src.Beam]
	before := shape.ShareWithin(math.Pi / 2) // a measured optic may send light behind the module
	b.balance.Spill = src.LeavingLm * (1 - before)
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

// fineAngles is how closely aims adds up a beam over the angle.
const fineAngles = 2048

// fluxWithin returns the flux, in any unit, within each of fineAngles even steps of the angle from the aim to pi/2.
func fluxWithin(shape *beam.Beam) (sum [fineAngles + 1]float64) {
	for i := range fineAngles {
		theta := (float64(i) + 0.5) * math.Pi / 2 / fineAngles
		sum[i+1] = sum[i] + ringMean(shape, theta)*math.Sin(theta)
	}
	return sum
}

// evenEdges are the edges of rings of equal flux, see aims.
func evenEdges(rings int) func(*[fineAngles + 1]float64) []float64 {
	return func(sum *[fineAngles + 1]float64) []float64 {
		edges := make([]float64, rings+1)
		for r := range edges {
			edges[r] = float64(r) / float64(rings) * sum[fineAngles]
		}
		return edges
	}
}

// aims returns rings of directions between edges of the flux, so many directions a ring.
func aims(shape *beam.Beam, edgesOf func(*[fineAngles + 1]float64) []float64, around int) []aim {
	sum := fluxWithin(shape)
	edges := edgesOf(&sum)
	list := make([]aim, 0, (len(edges)-1)*around)
	at := 0
	for r := range len(edges) - 1 {
		goal := (edges[r] + edges[r+1]) / 2
		for at < fineAngles-1 && sum[at+1] < goal {
			at++
		}
		theta := (float64(at) + (goal-sum[at])/(sum[at+1]-sum[at])) * math.Pi / 2 / fineAngles
		mean := ringMean(shape, theta)
		for p := range around {
			v := direction(theta, (float64(p)+0.5)*2*math.Pi/float64(around))
			share := 0.0
			if mean > 0 {
				share = (edges[r+1] - edges[r]) * shape.PerLumen(v) / mean
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
