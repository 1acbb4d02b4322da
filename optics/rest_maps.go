package optics

import (
	"cmp"
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
	modules := Modules(sc)
	for _, rm := range modules {
		key, mirrored := keyOf(rm, len(modules), sc.Tank.LengthM, r.symmetric)
		list = append(list, lamp{key, rm.Module.FluxLm(), mirrored})
	}
	return list
}

// restLight is the rest of the light of lamps of one spectrum that are all mirrored or none.
type restLight struct {
	*trace.Remainder
	lengthM  float64
	mirrored bool
	spectrum string
}

// sums adds up the rest of the light of lamps on so many planes, the first.
func (r *rest) sums(ctx context.Context, lamps []lamp, planes int) (list []restLight, err error) {
	spectra := map[string][]lamp{}
	var names []string
	for _, l := range lamps {
		if spectra[l.key.spectrum] == nil {
			names = append(names, l.key.spectrum)
		}
		spectra[l.key.spectrum] = append(spectra[l.key.spectrum], l)
	}
	for _, name := range names {
		flights, err := r.flights(ctx, spectra[name])
		if err != nil {
			return nil, err
		}
		var found [2]*trace.Remainder
		err = parallel.ForEach(ctx, r.options.Workers, len(flights), func(i int) {
			if flights[i] != nil {
				found[i] = r.transfers[name].Remainder(flights[i], planes)
			}
		})
		if err != nil {
			return nil, err
		}
		for i, one := range found {
			if one != nil {
				list = append(list, restLight{one, r.lengthM, i == 1, name})
			}
		}
		if r.once {
			delete(r.transfers, name)
		}
	}
	return list, nil
}

// flights adds up those of lamps of one spectrum: of those that are not mirrored, and of those that are.
func (r *rest) flights(ctx context.Context, lamps []lamp) (sum [2]*trace.Flights, err error) {
	all := func([]blend) error { return nil } // is ready once they are traced
	err = r.blended(ctx, lamps, all, func(key moduleKey, side int, lumens float64) {
		if sum[side] == nil {
			sum[side] = &trace.Flights{}
		}
		sum[side].Add(r.traced[key], lumens)
	})
	return sum, err
}

// layers adds up the rest of the light of lamps on all planes, of which there are several, from that of single traced
// modules. Fields on the first plane are of one grid.
func (r *rest) layers(ctx context.Context, g result.Grid, lamps []lamp) (list []restLight, err error) {
	sums := [2]*trace.Remainder{{}, {}}
	spread := func(blends []blend) error { return r.spread(ctx, g, blends) }
	err = r.blended(ctx, lamps, spread, func(key moduleKey, side int, lumens float64) {
		sums[side].AddPlanes(r.layered[key], lumens)
	})
	for side, sum := range sums {
		if sum.Size() > 0 {
			list = append(list, restLight{sum, r.lengthM, side == 1, ""})
		}
	}
	return list, err
}

// blended calls add for each traced module that the light of lamps is made of, with its lumens, side 1 where it is
// mirrored; those that follow each other are readied together.
func (r *rest) blended(ctx context.Context, lamps []lamp, ready func([]blend) error,
	add func(key moduleKey, side int, lumens float64)) error {
	for some := range slices.Chunk(lamps, atATime) {
		modules := make([]moduleKey, len(some))
		for i, l := range some {
			modules[i] = l.key
		}
		if len(lamps) > atATime || r.once {
			r.forget()
		}
		blends, err := r.ready(ctx, modules)
		if err == nil {
			err = ready(blends)
		}
		if err != nil {
			return err
		}
		for n, l := range some {
			for k, key := range blends[n].keys {
				side := 0
				if l.mirrored != blends[n].mirrored[k] {
					side = 1
				}
				add(key, side, l.lumens*blends[n].weights[k])
			}
		}
	}
	return nil
}

// traceRest traces what does not come straight to a map.
func (e *engine) traceRest(ctx context.Context, sc *scene.Scene, requests []planeRequest, o Options) (err error) {
	e.readyRest(sc, requests, o)
	e.rests, err = e.rest.sums(ctx, e.lamps, len(e.depths))
	return err
}

// readyRest readies the rest of the light of a map.
func (e *engine) readyRest(sc *scene.Scene, requests []planeRequest, o Options) {
	for _, r := range requests {
		e.depths = append(e.depths, r.ref.DepthM)
	}
	if o.Sections {
		e.depths = withLevels(e.depths, e.model.DepthM, sliceLevels)
	}
	e.rest = newRest(sc, trace.TransferOptions{DepthsM: e.depths, ErrorsOf: len(requests), Workers: o.Workers,
		Seed: usualSeed, Rough: o.Rough})
	e.rest.once = !o.PerModule
	e.lamps = e.rest.lampsOf(sc)
	for _, l := range e.lamps { // in the order of the model's
		if !slices.Contains(e.kinds, l.key.spectrum) {
			e.kinds = append(e.kinds, l.key.spectrum)
		}
	}
}

// In a shaped tank photons are traced until the cells of all planes are known to shapedError of the mean unless less is
// asked, or mostShapedHistories have been.
const (
	shapedError         = 0.005
	mostShapedHistories = 1 << 20 // before what trace.Flights makes of them
)

// traceShaped is traceRest for a shaped tank, where the straight light of planes is known.
func (e *engine) traceShaped(ctx context.Context, sc *scene.Scene, straight []planeLight, requests []planeRequest,
	o Options) (err error) {
	e.readyRest(sc, requests, o)
	enough := cmp.Or(o.Error, shapedError)
	for i := range e.lamps {
		e.lamps[i].key.histories = int(float64(e.lamps[i].key.histories) * shapedError / enough)
	}
	for {
		if e.rests, err = e.rest.sums(ctx, e.lamps, len(e.depths)); err != nil || len(e.lamps) == 0 {
			return err
		}
		planes := slices.Clone(straight)
		for i := range planes {
			planes[i] = planeLight{field: newField(requests[i].grid)}
			planes[i].field.Add(straight[i].field)
			planes[i].addRest(e.rests, i)
		}
		found, done := relativeError(planes), e.lamps[0].key.histories
		need := min(float64(done)*math.Pow(1.05*found/enough, 2), mostShapedHistories/float64(len(e.lamps)))
		if found <= enough || need < 1.1*float64(done) {
			return nil
		}
		for i := range e.lamps {
			e.lamps[i].key.histories = int(need)
		}
	}
}

// addRest adds what does not come straight to planes of straight light, and the balance of all light.
func (e *engine) addRest(ctx context.Context, c *computed, o Options) error {
	c.balance, c.tracing = [2]result.FluxBalance{}, &result.Tracing{Photons: e.rest.histories, Seed: usualSeed}
	for _, whole := range e.rests {
		for q := range c.balance {
			c.balance[q] = c.balance[q].Plus(whole.Balance[q], 1)
			c.faces[q] = added(c.faces[q], whole.Faces[q], func(a, b float64) float64 { return a + b })
		}
		c.faceErrors = added(c.faceErrors, whole.FaceErrorsLm, math.Hypot)
	}
	workers := max(1, o.Workers)
	if o.PerModule { // what was traced of single modules may have to be traced again
		workers = 1
	}
	return parallel.ForEach(ctx, workers, len(c.planes), func(i int) {
		c.planes[i].addRest(e.rests, i)
		e.addToModules(ctx, &c.planes[i], i)
		lift(append(c.planes[i].modules, c.planes[i].field)...)
	})
}

// added joins values with others, number by number.
func added(to, more []float64, join func(a, b float64) float64) []float64 {
	if to == nil {
		to = make([]float64, len(more))
	}
	for i, v := range more {
		to[i] = join(to[i], v)
	}
	return to
}

// addToModules adds what does not come straight to the light of single modules, and of kinds of them, on a plane, by
// its number.
func (e *engine) addToModules(ctx context.Context, p *planeLight, plane int) {
	for k := range e.rests {
		if p.kinds != nil {
			e.rests[k].addTo(&p.kinds[slices.Index(e.kinds, e.rests[k].spectrum)], plane)
		}
	}
	for module := range p.modules {
		own, err := e.rest.sums(ctx, e.lamps[module:module+1], plane+1)
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
