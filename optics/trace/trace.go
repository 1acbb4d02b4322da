// Package trace is the photon engine: optical model in, light on planes out, every lumen followed to its end. It
// knows what the direct engine knows and, beside that, what floor and diffuse walls send back (Lambertian), what
// molecules and particles scatter (with their own phase functions), what the water surface turns back from either
// side, and what the cover sends down again. Not modelled: ripples, polarisation under water, what the cover's upper
// side throws back (lost to the cover), and edges of the cover, which is taken as endless for all light that gets
// into the tank.
//
// A history is one packet of lumens, and the photons that go with it. It belongs to the straight light as long as its
// only events are: emission, one passage of the cover, one passage of the surface, specular reflections by walls.
// That is what package direct sums with water.Unscattered. In a tank that is no upright box a reflection by a wall makes
// it one of the rest, as direct has no images there. Any other event (a scattering, a diffuse bounce, a
// reflection by the surface) makes it one of the rest for good. A crossing of a plane counts in exactly one of the
// two, so that straight light and rest add up to all, and the direct sum may stand in for the straight light.
//
// A Transfer is the rest in one tank, made ready for many lamps: light leaves a matt face without memory of how it
// came, so what becomes of it is a table of the tank. Flights are what one module sends to matt faces, and scatters on
// the way.
//
// The flux balance closes for each history, but for rounding: photons thinned out by chance are booked so that no lumen
// is made or lost. Streams of random numbers hang on seed and photon number alone, and batches are added in their
// order: a seed gives the same bytes for any number of workers.
// Next: package direct for the other engine, package model for what both read.
package trace

import (
	"context"
	"errors"
	"iter"

	"fathomlux/optics/model"
	"fathomlux/optics/result"
	"fathomlux/scene/form"
)

// Part chooses which light is counted on the planes. the flux balance is always those of all light.
type Part int

// The parts of the light.
const (
	All Part = iota
	Straight
	Rest
)

// Plane is a horizontal plane to count on, 0 to the water's depth below the surface, or what light lands on instead.
type Plane struct {
	DepthM    float64
	Grid      result.Grid
	PerModule bool // keep the light of each module apart
	On        Place
	Wall      model.Side   // for OnWall, number of the model's face
	Skins     []*form.Skin // for OnSkin, by the model's solids
}

// Place is where light is counted.
type Place int

// The places. OnGround counts in the cells of the grid, over their level area, what lands on a ground that is not
// level. OnSolids counts what lands on the patches of the model's solids, one after another as form.Solid.Patches has
// them, in a grid of as many cells of 1 m2, which gives lumens: of all light, whatever Only says. OnWall counts all that
// comes to one wall under water, in the cells of a grid over the way along its outline from its first corner and the
// height over the floor. OnSkin counts all that comes to the cells of the solids' skins, one skin after the other, like
// OnSolids.
const (
	Level Place = iota
	OnGround
	OnSolids
	OnWall
	OnSkin
)

// Options say what to trace, and for how long: until Photons are traced, or until the error of every plane is down to
// Error, or until the context ends, whichever comes first.
type Options struct {
	Workers     int   // goroutines, 0 for one; never changes a result
	Photons     int64 // histories, rounded up to whole batches; 0 for no such end
	MostPhotons int64 // histories at most where Error is asked for; 0 for usualMost
	Error       float64
	Seed        uint64
	Planes      []Plane
	Only        Part
	Even        bool     // histories start at even points, for less grain; standard errors are too large then
	Lattice     *Lattice // to count the light on its way in the water; nil for none

	// Shares are the sums of all shares of this tracing, which are added up in place of tracing; nil to trace.
	Shares iter.Seq2[*Sums, error]

	// Progress is told, now and then and by one goroutine at a time, how many histories are done of how many it will
	// take by what is known of the error so far; may be nil.
	Progress func(done, total int64)
}

// usualPhotons are traced where neither Photons nor Error is given; usualMost is the end of a search for an Error.
const (
	usualPhotons = 1 << 20
	usualMost    = 1 << 28
)

// PlaneLight is the light on one plane: means over cells, and their standard errors.
type PlaneLight struct {
	Field       result.Field
	Modules     []result.Field // where they are kept apart
	ErrorLx     []float64      // by cell
	MeanErrorLx float64        // of the mean over the plane
}

// Answer is what a run has found.
type Answer struct {
	Planes  []PlaneLight
	Flows   [2][]Flow          // in the cells of the lattice: of the straight light, and of the rest
	Balance result.FluxBalance // of all light, lm; Unfollowed is 0
	Micro   result.FluxBalance // of its photons, umol/s
	Photons int64              // histories traced
	// the largest error of a plane: root mean square of its cells' standard errors over its mean illuminance
	Error float64
}

// When the rest alone is counted, a history that joins it splits into parts of a usual weight, so that what is seldom
// or weak is traced more often: about partsOfRest parts a history, and no more than by fewestRest.
const (
	partsOfRest              = 2.5
	fewestRest, heaviestRest = 1.0 / 8, 1.0 / 2
)

// usualRest estimates how much of a history joins the rest, by scattering on the way down or at the floor.
func (w *world) usualRest() float64 {
	if w.slope > 0 {
		return 1 // all light is the rest
	}
	straight := w.unscattered()
	return min(heaviestRest, max(fewestRest, (1-straight+straight*w.faces[model.Ground].matt[wet].Share)/partsOfRest))
}

// Run traces a model. Where the context ends first it returns what was found until then together with the context's
// error, and no answer where that is nothing.
func Run(ctx context.Context, m *model.Model, o Options) (*Answer, error) {
	r, err := prepare(m, o)
	if err != nil {
		return nil, err
	}
	if o.Shares != nil {
		if err := r.join(o.Shares); err != nil {
			return nil, err
		}
		return r.answer(), ctx.Err()
	}
	if len(r.world.lamps) == 0 {
		return r.answer(), nil
	}
	r.workAll(ctx)
	switch {
	case r.batches == 0:
		return nil, ctx.Err()
	case !r.finished:
		return r.answer(), ctx.Err()
	}
	return r.answer(), nil
}

// prepare checks what is to be traced and readies its run.
func prepare(m *model.Model, o Options) (*run, error) {
	for _, p := range o.Planes {
		if !(p.DepthM >= 0 && p.DepthM <= m.DepthM*(1+1e-9)) || p.Grid.Cells() == 0 {
			return nil, errors.New("a plane to count on lies under water and has cells")
		}
	}
	return newRun(newWorld(m, o.Planes), o, m.Modules()), nil
}

// answer turns the sums into an answer. The flux balance begin with what the optics keep, and what they send backwards.
func (r *run) answer() *Answer {
	w := r.world
	counted, all := r.counted(), balances(&w.before)
	addBalance(&all, balances(&counted), r.perHistory())
	a := &Answer{Photons: int64(r.batches) * r.size, Error: min(1, r.relativeError()), Balance: all[0], Micro: all[1]}
	for i := range r.sheets {
		a.Planes = append(a.Planes, r.sheets[i].light(r.batches, r.perHistory()))
	}
	a.Flows = r.flowing()
	return a
}
