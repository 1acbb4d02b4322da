package trace

import (
	"context"
	"math"
	"slices"
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
	first   int64 // batch, of a share
	most    int64 // batches

	lock     sync.Mutex
	turn     *sync.Cond
	next     int64 // batch to hand out
	finished bool
	batches  int          // that have been added
	balance  []exactLight // of these, see result.Ends.Entries
	flows    *flows       // of these
}

func newRun(w *world, o Options, modules int) *run {
	r := &run{world: w, options: o, balance: make([]exactLight, len((&result.Ends[light]{}).Entries()))}
	r.turn = sync.NewCond(&r.lock)
	r.sheets, r.cells = w.sheetsOf(o.Planes, modules)
	if o.Lattice != nil {
		r.flows = newFlows(o.Lattice)
	}
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
	t, planes := r.tracer()
	for {
		i, ok := r.take(ctx)
		if !ok {
			return
		}
		clear(planes.light)
		planes.flows.clear()
		t.batch(r, r.first+i)
		r.hand(i, planes, t.balance)
	}
}

func (r *run) tracer() (*tracer, *planes) {
	p := &planes{sheets: r.sheets, light: make([]light, r.cells),
		count: [2]bool{r.options.Only != Rest, r.options.Only != Straight}}
	t := &tracer{world: r.world, usual: 1, tally: p}
	if r.options.Only == Rest {
		t.usual = r.world.usualRest()
	}
	if slices.ContainsFunc(r.options.Planes, func(p Plane) bool { return p.On == OnWall || p.On == OnSkin }) {
		t.walls = p
	}
	if l := r.options.Lattice; l != nil {
		p.flows = newFlows(l)
	}
	return t, p
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
func (r *run) hand(i int64, counted *planes, balance result.Ends[light]) {
	r.lock.Lock()
	defer r.lock.Unlock()
	for int64(r.batches) != i && !r.finished {
		r.turn.Wait()
	}
	if r.finished {
		return
	}
	r.batches++
	for k, v := range balance.Entries() {
		r.balance[k].add(*v)
	}
	for k := range r.sheets {
		r.sheets[k].add(counted.light)
	}
	r.flows.add(counted.flows)
	r.finished = r.enough()
	r.turn.Broadcast()
}

// perHistory is the lumens that one history stands for, of those that have been added.
func (r *run) perHistory() float64 { return r.world.flux / float64(max(1, int64(r.batches)*r.size)) }

// counted is the flux balance of the batches, in units of a history.
func (r *run) counted() (b result.Ends[light]) {
	for k, v := range b.Entries() {
		*v = r.balance[k].value()
	}
	return b
}

// relativeError is the largest of the planes.
func (r *run) relativeError() float64 {
	worst := 0.0
	for i := range r.sheets {
		if on := r.sheets[i].plane.On; on != OnSolids && on != OnSkin {
			worst = max(worst, r.sheets[i].relativeError(r.batches, r.perHistory()))
		}
	}
	return worst
}

func (r *run) enough() bool {
	n := int64(r.batches)
	if n >= r.most {
		return true
	}
	if n%checkBatches != 0 {
		return false
	}
	total, done := r.most, false
	if aim := r.options.Error; aim > 0 { // an error falls with the root of the number
		found := r.relativeError()
		total, done = int64(min(float64(r.most), math.Ceil(float64(n)*(found/aim)*(found/aim)))), found <= aim
	}
	if r.options.Progress != nil && !done {
		r.options.Progress(n*r.size, max(n, total)*r.size)
	}
	return done
}

// batch traces the histories of one batch, group by group and each group step by step. They are dealt out to the lamps
// evenly by flux.
func (t *tracer) batch(r *run, i int64) {
	t.balance = result.Ends[light]{}
	deal := dealer{lamps: r.world.lamps, step: r.world.flux / float64(r.size)}
	var starts *even
	if r.options.Even {
		starts = newEven(stream(r.options.Seed, -1), asideDimensions, asideRoot).every(int(i), int(r.most))
	}
	place := (float64(i) + 0.5) / float64(r.most) // of an even start among those of all batches
	for k := int64(0); k < r.size; k += together {
		group := t.group[:min(together, r.size-k)]
		for j := range group {
			n := k + int64(j)
			t.random = stream(r.options.Seed, i*r.size+n)
			if at := float64(n) * deal.step; starts != nil {
				t.launchEvenly(&group[j].photon, deal.next(at+place*deal.step), starts.next())
			} else {
				t.launch(&group[j].photon, deal.next(at+t.random.unit()*deal.step))
			}
			group[j].random = t.random
		}
		for j := range group {
			h := &group[j]
			t.random = h.random
			t.flyAbove(&h.photon)
			t.settle(h)
		}
		for j := range group {
			h := &group[j]
			t.random = h.random
			t.flyUnder(&h.photon)
			t.settle(h)
		}
		for j := range group {
			t.random = group[j].random
			t.finish(&group[j].photon)
		}
	}
}

// settle ends one step of a history. One that has fallen into parts is traced to its end at once, so that all its
// parts draw from its stream in their order.
func (t *tracer) settle(h *history) {
	if len(t.stack) > 0 {
		t.finish(&h.photon)
	}
	h.random = t.random
}

// dealer finds the lamp at a place in the flux of all; places must not fall.
type dealer struct {
	lamps  []lamp
	step   float64
	at     int
	passed float64
}

func (d *dealer) next(goal float64) *lamp {
	for d.at < len(d.lamps)-1 && d.passed+d.lamps[d.at].flux <= goal {
		d.passed += d.lamps[d.at].flux
		d.at++
	}
	return &d.lamps[d.at]
}
