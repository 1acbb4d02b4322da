package optics

import (
	"context"
	"errors"

	"fathomlux/optics/direct"
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
	symmetric bool    // whether the tank is its own mirror image from left to right
	options   trace.TransferOptions
	transfers map[string]*trace.Transfer       // by spectrum
	straight  map[moduleKey]result.FluxBalance // of 1 lm, see trace.Transfer.Straight
	traced    map[moduleKey]*trace.Flights     // of 1 lm
	fields    map[moduleKey]result.Field       // of the rest of their light on the first plane
	layered   map[moduleKey]*trace.Remainder   // the same on all planes, where there are several
	landed    map[moduleKey]*direct.Landing
	order     []moduleKey // of traced, the oldest first
	size      int         // of all of them
	once      bool        // whether what serves one spectrum, and some modules, is not kept for others
	histories int64       // traced so far
}

// newRest readies the rest of the light on planes in a scene's tank.
func newRest(sc *scene.Scene, o trace.TransferOptions) *rest {
	m := emptyModel(sc)
	symmetric, _ := m.Mirrors()
	return &rest{builder: newBuilder(m, sc), lengthM: sc.Tank.LengthM, symmetric: symmetric, options: o,
		transfers: map[string]*trace.Transfer{}, straight: map[moduleKey]result.FluxBalance{},
		traced: map[moduleKey]*trace.Flights{}, fields: map[moduleKey]result.Field{},
		layered: map[moduleKey]*trace.Remainder{}, landed: map[moduleKey]*direct.Landing{}}
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
	r.transfers[spectrum], r.histories = t, r.histories+t.Histories
	return t, nil
}

// In clear water so many histories are traced of all modules of a scene together at least and at most, and of one
// between these.
const (
	fewestHistories = 1 << 15
	mostHistories   = 1 << 18
	usualHistories  = 1 << 13

	mostStraight = 1 << 11 // of each, of straight light alone
)

// historiesOf is how many histories are traced of each of some modules.
func historiesOf(modules int) int {
	n := max(1, modules)
	return min(max(usualHistories, fewestHistories/n), mostHistories/n)
}

// fresh lists modules that are not known yet, once each, and readies what they need.
func (r *rest) fresh(ctx context.Context, keys []moduleKey, known func(moduleKey) bool) (list []moduleKey, err error) {
	listed := map[moduleKey]bool{}
	for _, key := range keys {
		if listed[key] || known(key) {
			continue
		}
		listed[key] = true
		list = append(list, key)
		if _, err := r.transfer(ctx, key.spectrum); err != nil {
			return nil, err
		}
		if _, err := r.builder.beam(key.optic); err != nil {
			return nil, err
		}
	}
	return list, nil
}

// rows cuts modules into rows of those that differ by their places along the tank alone, by their numbers, and tells
// how many workers each has.
func (r *rest) rows(keys []moduleKey) (rows [][]int, workers int) {
	index := map[moduleKey]int{}
	for i, key := range keys {
		key.x = 0
		k, ok := index[key]
		if !ok {
			k = len(rows)
			index[key], rows = k, append(rows, nil)
		}
		rows[k] = append(rows[k], i)
	}
	return rows, (r.options.Workers + len(rows) - 1) / max(1, len(rows))
}

// trace traces modules that have not been traced.
func (r *rest) trace(ctx context.Context, keys []moduleKey) error {
	fresh, err := r.fresh(ctx, keys, func(key moduleKey) bool { return r.traced[key] != nil })
	if err != nil {
		return err
	}
	rows, workers := r.rows(fresh)
	flights, errs := make([]*trace.Flights, len(fresh)), make([]error, len(rows))
	err = parallel.ForEach(ctx, r.options.Workers, len(rows), func(i int) {
		errs[i] = r.traceRow(ctx, fresh, rows[i], workers, flights)
	})
	if err = errors.Join(append(errs, err)...); err != nil {
		return err
	}
	for i, key := range fresh {
		r.traced[key] = flights[i]
		r.size, r.histories = r.size+flights[i].Size(), r.histories+flights[i].Histories
	}
	r.order = append(r.order, fresh...)
	return nil
}

// traceRow traces a row of modules, from the first place of the tank on.
func (r *rest) traceRow(ctx context.Context, keys []moduleKey, row []int, workers int, to []*trace.Flights) error {
	first, alongM := keys[row[0]], make([]float64, len(row))
	for k, i := range row {
		alongM[k] = float64(keys[i].x) * 1e-9
	}
	first.x = 0
	sources, err := r.builder.sourcesOf(first)
	if err != nil {
		return err
	}
	spotM := r.builder.model.Beams[sources[0].Beam].SpotM(sources[0].Position.Z)
	o := trace.FlightOptions{RadiusM: spotM, Histories: first.histories, Workers: workers}
	for k, f := range r.transfers[first.spectrum].Flights(ctx, sources, alongM, o) {
		to[row[k]] = f
	}
	return nil
}

// follow follows the straight light of modules that has not been followed.
func (r *rest) follow(ctx context.Context, keys []moduleKey) error {
	fresh, err := r.fresh(ctx, keys, func(key moduleKey) bool { _, ok := r.straight[key]; return ok })
	if err != nil {
		return err
	}
	found, errs := make([]result.FluxBalance, len(fresh)), make([]error, len(fresh))
	n := max(1, mostStraight/max(1, r.options.Rough))
	err = parallel.ForEach(ctx, r.options.Workers, len(fresh), func(i int) {
		sources, err := r.builder.sourcesOf(fresh[i])
		if errs[i] = err; err == nil {
			found[i] = r.transfers[fresh[i].spectrum].Straight(sources, n)
		}
	})
	if err = errors.Join(append(errs, err)...); err != nil {
		return err
	}
	for i, key := range fresh {
		r.straight[key] = found[i]
	}
	return nil
}

// Modules are taken some at a time, and the traced light of one tank is kept up to a size in numbers of 8 bytes.
const (
	atATime      = 64
	keptSize     = 20_000_000
	keptStraight = 20_000
)

// forget lets the oldest modules go where there are too many.
func (r *rest) forget() {
	for r.size > keptSize || r.once && r.size > 0 {
		key := r.order[0]
		r.size -= r.traced[key].Size() + r.fields[key].Size() + r.layered[key].Size()
		delete(r.traced, key)
		delete(r.fields, key)
		delete(r.layered, key)
		delete(r.landed, key)
		r.order = r.order[1:]
	}
	if len(r.straight) > keptStraight {
		clear(r.straight)
	}
}

// add adds the rest of the light of modules of 1 lm to their fields on the first plane, which are all of one grid.
func (r *rest) add(ctx context.Context, g result.Grid, modules []moduleKey, to []*result.Field) error {
	for from := 0; from < len(modules); from += atATime {
		some := modules[from:min(from+atATime, len(modules))]
		r.forget()
		blends, err := r.ready(ctx, some)
		if err != nil {
			return err
		}
		if err := r.spread(ctx, g, blends); err != nil {
			return err
		}
		if err := parallel.ForEach(ctx, r.options.Workers, len(some), func(i int) {
			for k, key := range blends[i].keys {
				f, weight, mirrored := r.fields[key], blends[i].weights[k], blends[i].mirrored[k]
				addTimes(to[from+i].Illuminance, f.Illuminance, weight, g.NX, mirrored)
				addTimes(to[from+i].PPFD, f.PPFD, weight, g.NX, mirrored)
			}
		}); err != nil {
			return err
		}
	}
	return nil
}

// landings returns where the light of modules lands: that of traced modules, as find has it, between which it is
// interpolated like the rest.
func (r *rest) landings(ctx context.Context, modules []moduleKey, find func(moduleKey) *direct.Landing) (
	[]*direct.Landing, error) {
	list := make([]*direct.Landing, len(modules))
	for from := 0; from < len(modules); from += atATime {
		some := modules[from:min(from+atATime, len(modules))]
		r.forget()
		blends, err := r.ready(ctx, some)
		if err != nil {
			return nil, err
		}
		var fresh []moduleKey
		for _, b := range blends {
			for _, key := range b.keys {
				if r.landed[key] == nil {
					r.landed[key] = &direct.Landing{}
					fresh = append(fresh, key)
				}
			}
		}
		found := make([]*direct.Landing, len(fresh))
		err = parallel.ForEach(ctx, r.options.Workers, len(fresh), func(i int) { found[i] = find(fresh[i]) })
		for i, key := range fresh {
			if r.landed[key] = found[i]; found[i] == nil {
				delete(r.landed, key)
			}
		}
		if err != nil {
			return nil, err
		}
		for i, b := range blends {
			list[from+i] = &direct.Landing{}
			for k, key := range b.keys {
				list[from+i].Add(r.landed[key], b.weights[k])
			}
		}
	}
	return list, nil
}

// spread finds the fields of traced modules that blends are made of, and where the rest has several planes what is on
// all.
func (r *rest) spread(ctx context.Context, g result.Grid, blends []blend) error {
	var fresh []moduleKey
	for _, b := range blends {
		for _, key := range b.keys {
			if _, ok := r.fields[key]; !ok {
				r.fields[key] = result.Field{}
				fresh = append(fresh, key)
			}
		}
	}
	found, layered := make([]result.Field, len(fresh)), make([]*trace.Remainder, len(fresh))
	planes := len(r.options.DepthsM)
	err := parallel.ForEach(ctx, r.options.Workers, len(fresh), func(i int) {
		layered[i] = r.transfers[fresh[i].spectrum].Remainder(r.traced[fresh[i]], planes)
		found[i] = layered[i].Field(0, g)
	})
	for i, key := range fresh {
		if r.fields[key] = found[i]; err != nil {
			delete(r.fields, key)
			continue
		}
		if r.size += found[i].Size(); planes > 1 {
			r.layered[key] = layered[i]
			r.size += layered[i].Size()
		}
	}
	return err
}
