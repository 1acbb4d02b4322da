package trace

import (
	"context"
	"sync"

	"fathomlux/optics/parallel"
	"fathomlux/optics/result"
)

// Sizes of batches: many enough to tell an error, large enough that adding them up costs little.
const (
	usualBatch   = 1 << 14
	mostBatches  = 128
	checkBatches = 8 // batches between two looks at the error
)

// run is one call of Run: batches are handed out by number and added by number.
type run struct {
	world   *world
	options Options
	sheets  []sheet
	cells   int
	size    int64 // histories of a batch
	most    int64 // batches

	lock     sync.Mutex
	turn     *sync.Cond
	next     int64 // batch to hand out
	finished bool
	tally    *tally
}

func newRun(w *world, o Options, modules int) *run {
	r := &run{world: w, options: o}
	r.turn = sync.NewCond(&r.lock)
	r.sheets, r.cells = sheetsOf(o.Planes, w.depthM, modules)
	spreads := make([]*spread, len(r.sheets))
	for i, s := range r.sheets {
		spreads[i] = newSpread(s, w.usefulSpread(o.SpreadM), w.wet)
	}
	r.tally = newTally(r.sheets, spreads, r.cells)
	if o.Photons == 0 && o.Error == 0 {
		r.options.Photons = usualPhotons
	}
	r.plan()
	return r
}

// plan chooses the size and the number of batches.
func (r *run) plan() {
	most := r.options.Photons
	if most == 0 {
		if most = r.options.MostPhotons; most == 0 {
			most = usualMost
		}
	}
	r.size = max(usualBatch, int64(r.cells)/4)
	if most < mostBatches*r.size {
		r.size = max(1, (most+mostBatches-1)/mostBatches)
	}
	r.most = (most + r.size - 1) / r.size
}

// workAll traces with all workers until the end.
func (r *run) workAll(ctx context.Context) {
	n := max(1, r.options.Workers)
	_ = parallel.ForEach(context.Background(), n, n, func(int) { r.work(ctx) }) // ctx ends the loop inside
}

// work traces batch after batch on one goroutine.
func (r *run) work(ctx context.Context) {
	t := r.tracer()
	for {
		i, ok := r.take(ctx)
		if !ok {
			return
		}
		t.batch(r, i)
		r.hand(i, t)
	}
}

func (r *run) tracer() *tracer {
	t := &tracer{world: r.world, usual: 1, sheets: r.sheets, light: make([]light, r.cells)}
	t.count = [2]bool{r.options.Only != Rest, r.options.Only != Straight}
	if r.options.Only == Rest {
		t.usual = r.world.usualRest()
	}
	return t
}

// take returns the number of the next batch.
func (r *run) take(ctx context.Context) (int64, bool) {
	r.lock.Lock()
	defer r.lock.Unlock()
	if r.finished || r.next >= r.most || ctx.Err() != nil {
		return 0, false
	}
	r.next++
	return r.next - 1, true
}

// hand adds a batch when its turn has come, and looks whether that is enough.
func (r *run) hand(i int64, t *tracer) {
	r.lock.Lock()
	defer r.lock.Unlock()
	for int64(r.tally.batches) != i && !r.finished {
		r.turn.Wait()
	}
	if r.finished {
		return
	}
	r.tally.add(t.light, t.books)
	r.finished = r.enough()
	r.turn.Broadcast()
}

func (r *run) enough() bool {
	n := int64(r.tally.batches)
	if n >= r.most {
		return true
	}
	if r.options.Error == 0 || n%checkBatches != 0 {
		return false
	}
	return r.tally.relativeError(r.options.Planes, r.world.flux/float64(n*r.size)) <= r.options.Error
}

// batch traces the histories of one batch. They are dealt out to the lamps evenly by flux.
func (t *tracer) batch(r *run, i int64) {
	clear(t.light)
	t.books = result.Books{}
	step := r.world.flux / float64(r.size)
	at, passed := 0, 0.0
	for k := range r.size {
		t.random = stream(r.options.Seed, i*r.size+k)
		goal := (float64(k) + t.random.unit()) * step
		for at < len(r.world.lamps)-1 && passed+r.world.lamps[at].flux <= goal {
			passed += r.world.lamps[at].flux
			at++
		}
		t.launch(&r.world.lamps[at])
	}
}
