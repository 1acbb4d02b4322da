package optics

import (
	"context"
	"errors"
	"math"
	"slices"

	"fathomlux/optics/parallel"
	"fathomlux/optics/result"
	"fathomlux/optics/trace"
	"fathomlux/scene"
)

// rest is the light in one tank that does not come straight: scattered by the water, or bounced by its surface or a
// matt face. What leaves a matt face is found once for a tank and a spectrum; what a module sends there, and scatters
// on the way, is traced for modules at even places along the tank, between which that of others is interpolated where
// it changes little from place to place, and for others where they hang. It depends on tank and module alone. A rest
// is for one goroutine at a time.
type rest struct {
	builder   builder
	lengthM   float64 // of the tank
	options   trace.TransferOptions
	transfers map[string]*trace.Transfer   // by spectrum
	traced    map[moduleKey]*trace.Flights // of 1 lm
	order     []moduleKey                  // of traced, the oldest first
	size      int                          // of all of them
}

// newRest readies the rest of the light on planes in a scene's tank.
func newRest(sc *scene.Scene, o trace.TransferOptions) *rest {
	return &rest{builder: newBuilder(emptyModel(sc), sc), lengthM: sc.Tank.LengthM, options: o,
		transfers: map[string]*trace.Transfer{},
		traced:    map[moduleKey]*trace.Flights{}}
}

// transfer returns how light of a spectrum goes on from the tank's faces.
func (r *rest) transfer(ctx context.Context, spectrum string) (*trace.Transfer, error) {
	if t, ok := r.transfers[spectrum]; ok {
		return t, nil
	}
	o := r.options
	var err error
	if o.Spectrum, err = r.builder.spectrum(spectrum); err != nil {
		return nil, err
	}
	t, err := trace.NewTransfer(ctx, r.builder.model, o)
	if err != nil {
		return nil, err
	}
	r.transfers[spectrum] = t
	return t, nil
}

// In clear water so many histories are traced of all modules of a scene together at least and at most, and of one
// between these.
const (
	fewestHistories = 1 << 15
	mostHistories   = 1 << 18
	usualHistories  = 1 << 13
)

// historiesOf is how many histories are traced of each of some modules.
func historiesOf(modules int) int {
	n := max(1, modules)
	return min(max(usualHistories, fewestHistories/n), mostHistories/n)
}

// A module's even places are nearer to each other the narrower its spot is: this part of the spot's radius, within
// limits. Between them light is interpolated where the shares of it that enter the water, miss the tank or meet
// obstacles differ between places by no more than mostChange.
const (
	placeShare  = 0.5
	leastPlaceM = 0.02
	mostPlaceM  = 0.1
	mostPlaces  = 12 // but in small tanks
	mostChange  = 0.02
)

// places is how many even places there are along the tank for a module, less 1, and where among them it is.
func (r *rest) places(key moduleKey) (n, at float64, err error) {
	shape, err := r.builder.beam(key.optic)
	if err != nil {
		return 0, 0, err
	}
	spotM := r.builder.model.Beams[shape].SpotM(float64(key.height)*1e-9 + r.builder.model.DepthM)
	n = max(3, math.Ceil(r.lengthM/min(max(mostPlaceM, r.lengthM/mostPlaces), max(leastPlaceM, placeShare*spotM))))
	return n, float64(key.x) * 1e-9 / r.lengthM * n, nil
}

// near are runs of four even places along the tank that have a module between them, the best first; none where it
// hangs beyond the tank's ends.
func (r *rest) near(key moduleKey) (runs [][]moduleKey, weights [][]float64, err error) {
	n, at, err := r.places(key)
	if err != nil || at < 0 || at > n {
		return nil, nil, err
	}
	for _, before := range []float64{1, 0, 2} {
		first := math.Floor(at) - before
		if first < 0 || first+3 > n {
			continue
		}
		keys, w := make([]moduleKey, 4), make([]float64, 4)
		for i := range keys {
			keys[i], w[i] = key, 1
			keys[i].x = nano((first + float64(i)) / n * r.lengthM)
			for k := range keys { // Lagrange's polynomial through four values
				if k != i {
					w[i] *= (at - first - float64(k)) / float64(i-k)
				}
			}
		}
		runs, weights = append(runs, keys), append(weights, w)
	}
	return runs, weights, nil
}

// steady tells whether light is much the same at some traced places.
func (r *rest) steady(keys []moduleKey) bool {
	var low, high [3]float64
	for i, key := range keys {
		b := r.traced[key].Balance
		for k, v := range [3]float64{b.Spill, b.Obstacles, b.Entered} {
			if i == 0 || v < low[k] {
				low[k] = v
			}
			if i == 0 || v > high[k] {
				high[k] = v
			}
		}
	}
	return max(high[0]-low[0], high[1]-low[1], high[2]-low[2]) <= mostChange
}

// ready traces what the light of modules is made of, and returns that of each: traced modules and how much each counts.
func (r *rest) ready(ctx context.Context, modules []moduleKey) (keys [][]moduleKey, weights [][]float64, err error) {
	var needed []moduleKey
	runs, of := make([][][]moduleKey, len(modules)), make([][][]float64, len(modules))
	for i, key := range modules {
		if runs[i], of[i], err = r.near(key); err != nil {
			return nil, nil, err
		}
		needed = append(needed, slices.Concat(runs[i]...)...)
	}
	if err := r.trace(ctx, needed); err != nil {
		return nil, nil, err
	}
	keys, weights = make([][]moduleKey, len(modules)), make([][]float64, len(modules))
	var alone []moduleKey
	for i, key := range modules {
		if k := slices.IndexFunc(runs[i], r.steady); k >= 0 {
			keys[i], weights[i] = runs[i][k], of[i][k]
			continue
		}
		keys[i], weights[i] = []moduleKey{key}, []float64{1}
		alone = append(alone, key)
	}
	return keys, weights, r.trace(ctx, alone)
}

// trace traces modules that have not been traced.
func (r *rest) trace(ctx context.Context, keys []moduleKey) error {
	var fresh []moduleKey
	listed := map[moduleKey]bool{}
	for _, key := range keys {
		if r.traced[key] != nil || listed[key] {
			continue
		}
		listed[key] = true
		fresh = append(fresh, key)
		if _, err := r.transfer(ctx, key.spectrum); err != nil {
			return err
		}
		if _, err := r.builder.beam(key.optic); err != nil {
			return err
		}
	}
	if len(fresh) == 0 {
		return nil
	}
	errs, flights := make([]error, len(fresh)), make([]*trace.Flights, len(fresh))
	err := parallel.ForEach(ctx, r.options.Workers, len(fresh), func(i int) {
		key := fresh[i]
		sources, err := r.builder.sourcesOf(key)
		if errs[i] = err; err == nil {
			spot := r.builder.model.Beams[sources[0].Beam].SpotM(sources[0].Position.Z)
			flights[i] = r.transfers[key.spectrum].Flights(sources, spot, key.histories)
		}
	})
	if err = errors.Join(append(errs, err)...); err != nil {
		return err
	}
	for i, key := range fresh {
		r.traced[key] = flights[i]
		r.size += flights[i].Size()
	}
	r.order = append(r.order, fresh...)
	return nil
}

// Modules are taken some at a time, and the traced light of one tank is kept up to a size in numbers of 8 bytes.
const (
	atATime  = 64
	keptSize = 20_000_000
)

// forget lets the oldest modules go where there are too many.
func (r *rest) forget() {
	for r.size > keptSize {
		r.size -= r.traced[r.order[0]].Size()
		delete(r.traced, r.order[0])
		r.order = r.order[1:]
	}
}

// add adds the rest of the light of modules of 1 lm to their fields on the first plane.
func (r *rest) add(ctx context.Context, g result.Grid, modules []moduleKey, to []*result.Field) error {
	for from := 0; from < len(modules); from += atATime {
		some := modules[from:min(from+atATime, len(modules))]
		r.forget()
		keys, weights, err := r.ready(ctx, some)
		if err != nil {
			return err
		}
		if err := parallel.ForEach(ctx, r.options.Workers, len(some), func(i int) {
			all := &trace.Flights{}
			for k, key := range keys[i] {
				all.Add(r.traced[key], weights[i][k])
			}
			to[from+i].Add(r.transfers[some[i].spectrum].Remainder(all).Field(0, g))
		}); err != nil {
			return err
		}
	}
	return nil
}

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
		keys, weights, err := r.ready(ctx, modules)
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
			for k, key := range keys[n] {
				list[i].flights.Add(r.traced[key], l.lumens*weights[n][k])
			}
		}
	}
	return list, parallel.ForEach(ctx, max(1, r.options.Workers), len(list), func(i int) {
		list[i].Remainder = list[i].transfer.Remainder(list[i].flights)
	})
}

// mapBatches is into how many batches a map's photons are dealt, from which its standard errors come.
const mapBatches = 4

// traceRest traces what does not come straight to a map.
func (e *engine) traceRest(ctx context.Context, sc *scene.Scene, requests []planeRequest, o Options) error {
	for _, r := range requests {
		e.depths = append(e.depths, r.ref.DepthM)
	}
	if o.Sections {
		e.depths = withLevels(e.depths, e.model.DepthM)
	}
	e.rest = newRest(sc, trace.TransferOptions{DepthsM: e.depths, Batches: mapBatches, Workers: o.Workers,
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

// addToModules adds what does not come straight to the light of single modules on a plane, by its number. Where they are
// only told apart by their spectra, the first of each takes it for all of them.
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
		cells, mean := l.transfer.Errors(l.flights, plane, g)
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
