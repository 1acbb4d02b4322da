package optics

import (
	"cmp"
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"

	"fathomlux/optics/direct"
	"fathomlux/optics/trace"
	"fathomlux/scene"
)

// A module's even places are nearer to each other the narrower its spot is: this part of the spot's radius, or that of
// hazy water where haze turns all light a little and so keeps the spot's shape, within limits. Between four of them
// light is interpolated where the shares of it that enter the water, miss the tank or meet obstacles bend by mostBend
// at most (their second difference), and by mostTurn more or less at one end than at the other; else between places
// half as far apart, down to places halved mostHalved times.
const (
	placeShare  = 0.5
	hazeShare   = 0.3
	greenNm     = 550 // where haze is told
	leastPlaceM = 0.02
	mostPlaceM  = 0.1
	mostPlaces  = 12 // but in small tanks
	mostBend    = 0.05
	mostTurn    = 0.02
	mostHalved  = 4
)

// places is how many even places there are along the tank for a module, less 1.
func (r *rest) places(key moduleKey) (int, error) {
	shape, err := r.builder.beam(key.optic)
	if err != nil {
		return 0, err
	}
	m := r.builder.model
	spotM, haze := m.Beams[shape].SpotM(float64(key.height)*1e-9+m.DepthM), m.Water.ParticleScatterPerM(greenNm)*m.DepthM
	share := hazeShare + (placeShare-hazeShare)*math.Exp(-haze)
	n := r.lengthM / min(max(mostPlaceM, r.lengthM/mostPlaces), max(leastPlaceM, share*spotM))
	return max(3, int(math.Ceil(n))), nil
}

// blend is traced modules whose light, each as much as its weight and some as their mirror images from left to right,
// makes up that of another.
type blend struct {
	keys     []moduleKey
	weights  []float64
	mirrored []bool
}

// near are four even places, n to the tank's length and as many beyond its ends, that have a module between them: as
// many before the nearest on its left as said. In a tank that is its own mirror image those on the left stand for the
// others too.
func (r *rest) near(key moduleKey, n int, before float64) blend {
	at := float64(key.x) * 1e-9 / r.lengthM * float64(n)
	first := math.Floor(at) - before
	run := blend{make([]moduleKey, 4), make([]float64, 4), make([]bool, 4)}
	for i := range run.keys {
		place := int(first) + i
		if run.mirrored[i] = r.symmetric && key.optic.File == "" && 2*place > n; run.mirrored[i] {
			place = n - place
		}
		run.keys[i], run.weights[i] = key, 1
		run.keys[i].x = nano(float64(place) / float64(n) * r.lengthM)
		for k := range run.keys { // Lagrange's polynomial through four values
			if k != i {
				run.weights[i] *= (at - first - float64(k)) / float64(i-k)
			}
		}
	}
	return run
}

// steady tells whether straight light changes evenly between four places.
func (r *rest) steady(run blend) bool {
	var shares [4][3]float64
	for i, key := range run.keys {
		b := r.straight[key]
		shares[i] = [3]float64{b.Spill, b.Obstacles, b.Entered}
	}
	for k := range shares[0] {
		first := shares[0][k] - 2*shares[1][k] + shares[2][k]
		last := shares[1][k] - 2*shares[2][k] + shares[3][k]
		if max(math.Abs(first), math.Abs(last)) > mostBend || math.Abs(last-first) > mostTurn {
			return false
		}
	}
	return true
}

// ready traces what the light of modules is made of.
func (r *rest) ready(ctx context.Context, modules []moduleKey) ([]blend, error) {
	blends, counts := make([]blend, len(modules)), make([]int, len(modules))
	if r.builder.model.Shaped() { // by whose walls light changes from place to place as nowhere else
		for i, key := range modules {
			blends[i] = blend{[]moduleKey{key}, []float64{1}, []bool{false}}
		}
		return blends, r.trace(ctx, modules)
	}
	for i, key := range modules {
		var err error
		if counts[i], err = r.places(key); err != nil {
			return nil, err
		}
	}
	for halved := range mostHalved + 1 {
		for _, before := range [3]float64{1, 0, 2} { // the best first
			offers := make([]blend, len(modules))
			for i, key := range modules {
				if blends[i].keys == nil {
					offers[i] = r.near(key, counts[i]<<halved, before)
				}
			}
			if err := r.settle(ctx, offers, blends); err != nil {
				return nil, err
			}
		}
	}
	var keys []moduleKey
	for i, key := range modules {
		if blends[i].keys == nil {
			blends[i] = blend{[]moduleKey{key}, []float64{1}, []bool{false}}
		}
		keys = append(keys, blends[i].keys...)
	}
	return blends, r.trace(ctx, keys)
}

// settle takes those offers that are steady.
func (r *rest) settle(ctx context.Context, offers, blends []blend) error {
	var keys []moduleKey
	for _, o := range offers {
		keys = append(keys, o.keys...)
	}
	if err := r.follow(ctx, keys); err != nil {
		return err
	}
	for i, o := range offers {
		if o.keys != nil && r.steady(o) {
			blends[i] = o
		}
	}
	return nil
}

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
