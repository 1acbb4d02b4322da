package trace

import (
	"context"
	"math"
	"slices"

	"fathomlux/optics/model"
	"fathomlux/optics/parallel"
	"fathomlux/optics/result"
)

// Flights are the light of some sources up to the first matt face: what lands there, and what crosses planes on ways
// that are not straight, scattered by the water or turned back by its surface. They add up, with weights.
type Flights struct {
	Histories int64
	Balance   [2]result.FluxBalance // of lumens and photons up to there; what a matt face takes or sends on is not in it
	mean      [2]flight             // of lumens, of photons
	batches   []flight              // of lumens, for standard errors
}

// flight is lumens or photons on patches, and in the cells of fine screens by grain and plane.
type flight struct {
	patches []float64
	cells   [finest + 1][][]float64
}

// murkyFactor is how many times more histories there are where water scatters all light, hoodFactor under a hood that
// reflects: the light that comes by way of either is spread widely. In a shaped tank, where they are followed to their
// ends and mirrors belong to the rest, there are shapedFactor times as many.
const (
	murkyFactor  = 12
	hoodFactor   = 5
	shapedFactor = 4
)

// FlightOptions say how flights are traced.
type FlightOptions struct {
	RadiusM   float64 // of the spot that the sources throw: how fine their light may be
	Histories int     // in clear water
	Workers   int
}

// Flights traces sources of one module, which use beams and spectra of the model's lists, at some places along the
// tank: alongM from where the sources are. The same draws serve sources wherever they hang, so that neighbours differ
// smoothly, and no place's light depends on the other places. Where ctx ends first, they are not whole.
func (t *Transfer) Flights(ctx context.Context, sources []model.Source, alongM []float64, o FlightOptions) []*Flights {
	w := t.lit(sources)
	if len(w.lamps) == 0 {
		list := make([]*Flights, len(alongM))
		for i := range list {
			list[i] = &Flights{Balance: balances(&w.before)}
		}
		return list
	}
	grain := t.grain(o.RadiusM)
	fine := t.fineScreens(grain)
	more := 1 + murkyFactor*(1-w.unscattered())
	if w.hood != nil {
		more += hoodFactor
	}
	if w.shaped != nil {
		more *= shapedFactor
	}
	histories := wholeHistories(float64(o.Histories) * more / float64(max(1, t.options.Rough)))
	var list []*Flights
	for some := range slices.Chunk(alongM, max(1, mostInRow/(fine.cells*fine.parts+1))) {
		crews := make([]*crew, len(some))
		for i := range crews {
			crews[i] = fine.crew(t, w, [2]bool{false, true})
		}
		t.launchAll(ctx, sources, some, crews, histories, o.Workers)
		for _, c := range crews {
			list = append(list, t.collect(w, fine, grain, c, histories))
			fine.release(c)
		}
	}
	return list
}

// mostInRow is how many cells the places of a row have together, of 16 bytes each.
const mostInRow = 1 << 19

// collect adds up what a crew has traced.
func (t *Transfer) collect(w *world, fine *screens, grain int, crew *crew, histories int) *Flights {
	f := &Flights{Balance: balances(&w.before), Histories: int64(histories)}
	perHistory := w.flux / float64(histories)
	patches, cells := make([]light, len(crew.tracers[0].onPatches())), make([]light, fine.cells)
	for _, tr := range crew.tracers {
		addBalance(&f.Balance, balances(&tr.balance), perHistory)
		addTimes(patches, tr.onPatches(), perHistory)
		addTimes(cells, tr.cells(), perHistory)
		if t.batches != nil {
			t.patches.fit(tr.onPatches())
			f.batches = append(f.batches, fine.flight(tr.onPatches(), tr.cells(), grain, t.options.ErrorsOf, 0,
				perHistory*float64(len(crew.tracers))))
		}
	}
	t.patches.fit(patches)
	for q := range f.mean {
		f.mean[q] = fine.flight(patches, cells, grain, len(fine.of), q, 1)
	}
	return f
}

// Straight follows the straight light of sources, with so many histories, up to the water or, where obstacles stand in
// it, to its end: the lumens that miss the tank, meet obstacles or enter the water.
func (t *Transfer) Straight(sources []model.Source, histories int) (b result.FluxBalance) {
	w := t.lit(sources)
	if len(w.lamps) > 0 {
		tr := t.tracer(w, &crossings{screens: &screens{}})
		tr.straightOnly = true
		t.launch(context.Background(), w, []*tracer{tr}, histories, 1, (*tracer).straight)
		b = b.Plus(balances(&tr.balance)[0], w.flux/float64(histories))
	}
	b.Spill += w.before.Spill.lux
	return b
}

// straight follows a photon of straight light without its parts.
func (t *tracer) straight(p *photon) {
	t.flyAbove(p)
	t.flyUnder(p)
	if t.wet != nil {
		t.swim(p)
	}
	t.stack = t.stack[:0]
}

// balances are a flux balance of lumens and one of photons.
func balances(ends *result.Ends[light]) (b [2]result.FluxBalance) {
	from := ends.Entries()
	for q := range b {
		for k, v := range (*result.Ends[float64])(&b[q]).Entries() {
			*v = from[k].of(q)
		}
	}
	return b
}

// addBalance adds k times other balances.
func addBalance(to *[2]result.FluxBalance, from [2]result.FluxBalance, k float64) {
	for q := range to {
		to[q] = to[q].Plus(from[q], k)
	}
}

// lit is the world with sources.
func (t *Transfer) lit(sources []model.Source) *world {
	t.lock.Lock()
	defer t.lock.Unlock()
	m, w := *t.model, *t.world
	m.Sources = sources
	w.makeLampsWith(&m, t.lenses, t.palettes)
	return &w
}

// launch starts so many histories at the lamps of a world, shared among some tracers, one after the other, as each
// fills memory of its own, or several at once. It stops soon after ctx ends.
func (t *Transfer) launch(ctx context.Context, w *world, trs []*tracer, histories, workers int,
	follow func(*tracer, *photon)) {
	step := w.flux / float64(histories)
	_ = parallel.ForEach(ctx, workers, len(trs), func(b int) {
		deal, tr, p := dealer{lamps: w.lamps, step: step}, trs[b], &trs[b].group[0].photon
		even := newEven(stream(t.options.Seed, -1), asideDimensions, asideRoot).every(b, len(trs))
		for k := b; k < histories; k += len(trs) {
			if k%lookEach < len(trs) && ctx.Err() != nil {
				return
			}
			u := even.next()
			tr.random, tr.aside = stream(t.options.Seed, -2-int64(k)), u[patchDimensions:]
			tr.launchEvenly(p, deal.next((float64(k)+0.5)*step), u)
			p.module = 0
			follow(tr, p)
		}
	})
}

// lookEach is after how many histories it is looked whether a context has ended.
const lookEach = 1 << 10

// launchAll is launch for whole histories of sources at some places, with a crew for each: together as far as they can
// be. Very many histories, as in shaped tanks, are traced by all tracers of a crew at once.
func (t *Transfer) launchAll(ctx context.Context, sources []model.Source, alongM []float64, crews []*crew,
	histories, workers int) {
	w := crews[0].tracers[0].world
	if w.together() {
		lit := t.lit(moved(sources, leadTanks*w.LengthM))
		long, leads := lit.long(), make([]*tracer, len(crews[0].tracers))
		for b := range leads {
			places := make([]*tracer, len(crews))
			for i := range crews {
				places[i] = crews[i].tracers[b]
			}
			leads[b] = t.newRow(w, long, places, alongM)
		}
		t.launch(ctx, long, leads, histories, workers, (*tracer).finishRow)
		return
	}
	atOnce := 1
	if w.shaped != nil && histories >= manyHistories {
		atOnce = t.options.Workers
	}
	_ = parallel.ForEach(ctx, workers, len(crews), func(i int) {
		own := t.lit(moved(sources, alongM[i]))
		for _, tr := range crews[i].tracers {
			tr.world = own
		}
		t.launch(ctx, own, crews[i].tracers, histories, atOnce, (*tracer).finish)
	})
}

// moved returns sources that hang so much farther along the tank.
func moved(sources []model.Source, alongM float64) []model.Source {
	list := slices.Clone(sources)
	for i := range list {
		list[i].Position.X += alongM
	}
	return list
}

// manyHistories are enough for several tracers at once to gain time.
const manyHistories = 1 << 15

// flight is k times the lumens or the photons of what has landed, and has crossed so many planes.
func (s *screens) flight(patches, cells []light, grain, planes, q int, k float64) (f flight) {
	f.patches = scaled(patches, q, k)
	for plane := range planes {
		f.cells[grain] = append(f.cells[grain], scaled(s.cut(cells, plane), q, k))
	}
	return f
}

func scaled(list []light, q int, k float64) []float64 {
	out := make([]float64, len(list))
	for i := range list {
		out[i] = k * list[i].of(q)
	}
	return out
}

// addTimes adds k times some light, cell by cell: of most patches little lands in few.
func addTimes(to, from []light, k float64) {
	for i := range from {
		if from[i].lux != 0 {
			to[i].addPart(from[i], k)
		}
	}
}

// launchEvenly starts a history with draws from points that fill a box evenly.
func (t *tracer) launchEvenly(p *photon, l *lamp, u *[asideDimensions]float64) {
	d, ok := l.lens.drawn(uint64(u[0]*(1<<53))<<11, u[1], u[2], u[3])
	if !ok {
		d = l.lens.draw(&t.random)
	}
	t.launchAlong(p, l, l.source.Frame.World(d), uint64(u[4]*colours))
}

// wholeHistories are about n, as many in each batch.
func wholeHistories(n float64) int { return max(1, int(n)/wholeBatches) * wholeBatches }

// scattered is the share of light that is scattered on the way straight down.
func (w *world) unscattered() float64 {
	scatter := 0.0
	for _, c := range w.lamps[0].palette {
		scatter += c.scatter / float64(len(w.lamps[0].palette))
	}
	return math.Exp(-scatter*w.depthM) * (1 - w.cover.scatter)
}

// Add adds k times the light of other sources.
func (f *Flights) Add(o *Flights, k float64) {
	addBalance(&f.Balance, o.Balance, k)
	f.Histories += o.Histories
	for q := range f.mean {
		f.mean[q].add(&o.mean[q], k)
	}
	if f.batches == nil {
		f.batches = make([]flight, len(o.batches))
	}
	for b := range f.batches {
		f.batches[b].add(&o.batches[b], k)
	}
}

func (f *flight) add(o *flight, k float64) {
	f.patches = plus(f.patches, o.patches, k)
	for g, planes := range o.cells {
		if f.cells[g] == nil && planes != nil {
			f.cells[g] = make([][]float64, len(planes))
		}
		for i, cells := range planes {
			f.cells[g][i] = plus(f.cells[g][i], cells, k)
		}
	}
}

// plus returns a, which may be nil, with k times b added.
func plus(a, b []float64, k float64) []float64 {
	if a == nil {
		a = make([]float64, len(b))
	}
	for i, v := range b {
		a[i] += float64(k * v)
	}
	return a
}

// Size is how many numbers they hold, of 8 bytes.
func (f *Flights) Size() (n int) {
	for _, one := range append(f.mean[:], f.batches...) {
		n += len(one.patches)
		for _, planes := range one.cells {
			for _, cells := range planes {
				n += len(cells)
			}
		}
	}
	return n
}
