package optics

import (
	"context"
	"math"
	"slices"

	"fathomlux/optics/parallel"
	"fathomlux/optics/result"
	"fathomlux/optics/trace"
	"fathomlux/scene"
)

// lamp is a module in a tank, or in its mirror image, and its flux.
type lamp struct {
	key      moduleKey
	lumens   float64
	mirrored bool
}

// lampsOf lists the modules of a scene.
func (r *rest) lampsOf(sc *scene.Scene) (list []lamp) {
	mirror, modules := symmetric(r.builder.model), Modules(sc)
	for _, rm := range modules {
		key, mirrored := keyOf(rm, len(modules), sc.Tank.LengthM, mirror)
		list = append(list, lamp{key, rm.Module.FluxLm(), mirrored})
	}
	return list
}

// restLight is the rest of the light of lamps of one spectrum that are all mirrored or none.
type restLight struct {
	*trace.Remainder
	transfer *trace.Transfer
	flights  *trace.Flights
	lengthM  float64
	mirrored bool
	spectrum string
}

// sums adds up the rest of the light of lamps.
func (r *rest) sums(ctx context.Context, lamps []lamp) (list []restLight, err error) {
	for from := 0; from < len(lamps); from += atATime {
		some := lamps[from:min(from+atATime, len(lamps))]
		modules := make([]moduleKey, len(some))
		for i, l := range some {
			modules[i] = l.key
		}
		if len(lamps) > atATime {
			r.forget()
		}
		blends, err := r.ready(ctx, modules)
		if err != nil {
			return nil, err
		}
		for n, l := range some {
			t := r.transfers[l.key.spectrum]
			i := slices.IndexFunc(list, func(o restLight) bool { return o.transfer == t && o.mirrored == l.mirrored })
			if i < 0 {
				i = len(list)
				list = append(list, restLight{transfer: t, flights: &trace.Flights{}, lengthM: r.lengthM,
					mirrored: l.mirrored, spectrum: l.key.spectrum})
			}
			for k, key := range blends[n].keys {
				list[i].flights.Add(r.traced[key], l.lumens*blends[n].weights[k])
			}
		}
	}
	return list, parallel.ForEach(ctx, max(1, r.options.Workers), len(list), func(i int) {
		list[i].Remainder = list[i].transfer.Remainder(list[i].flights)
	})
}

// traceRest traces what does not come straight to a map.
func (e *engine) traceRest(ctx context.Context, sc *scene.Scene, requests []planeRequest, o Options) error {
	for _, r := range requests {
		e.depths = append(e.depths, r.ref.DepthM)
	}
	if o.Sections {
		e.depths = withLevels(e.depths, e.model.DepthM)
	}
	e.rest = newRest(sc, trace.TransferOptions{DepthsM: e.depths, ErrorsOf: len(requests), Workers: o.Workers,
		Seed: usualSeed})
	e.lamps = e.rest.lampsOf(sc)
	var err error
	e.rests, err = e.rest.sums(ctx, e.lamps)
	return err
}

// addRest adds what does not come straight to planes of straight light, and the balance of all light.
func (e *engine) addRest(ctx context.Context, c *computed, o Options) error {
	c.balance, c.tracing = result.FluxBalance{}, &result.Tracing{Photons: e.rest.histories(), Seed: usualSeed}
	for _, whole := range e.rests {
		c.balance = c.balance.Plus(whole.Balance, 1)
	}
	workers := max(1, o.Workers)
	if o.PerModule { // what was traced of single modules may have to be traced again
		workers = 1
	}
	return parallel.ForEach(ctx, workers, len(c.planes), func(i int) {
		c.planes[i].addRest(e.rests, i)
		e.addToModules(ctx, &c.planes[i], i, o.PerModule)
	})
}

// addToModules adds what does not come straight to the light of single modules on a plane, by its number. Where they
// are only told apart by their spectra, the first of each takes it for all of them.
func (e *engine) addToModules(ctx context.Context, p *planeLight, plane int, each bool) {
	if !each && len(p.modules) > 0 {
		for k := range e.rests {
			first := slices.IndexFunc(e.lamps, func(l lamp) bool { return l.key.spectrum == e.rests[k].spectrum })
			e.rests[k].addTo(&p.modules[first], plane)
		}
		return
	}
	for module := range p.modules {
		own, err := e.rest.sums(ctx, e.lamps[module:module+1])
		for k := range own {
			if err == nil {
				own[k].addTo(&p.modules[module], plane)
			}
		}
	}
}

// addRest adds the rest of the light of all modules to a plane, by its number, and the standard errors.
func (p *planeLight) addRest(rests []restLight, plane int) {
	g := p.field.Grid
	p.errorLx = make([]float64, g.Cells())
	for i := range rests {
		l := &rests[i]
		l.addTo(&p.field, plane)
		cells, mean := l.Errors(plane, g)
		p.meanErrorLx = math.Hypot(p.meanErrorLx, mean)
		for k := range cells {
			from := k
			if l.mirrored {
				from = k - k%g.NX + g.NX - 1 - k%g.NX
			}
			p.errorLx[k] = math.Hypot(p.errorLx[k], cells[from])
		}
	}
}

// histories is how many have been traced.
func (r *rest) histories() (n int64) {
	for _, t := range r.transfers {
		n += t.Histories
	}
	for _, f := range r.traced {
		n += f.Histories
	}
	return n
}
