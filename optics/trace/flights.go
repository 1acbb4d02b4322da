package trace

import (
	"math"

	"gonum.org/v1/gonum/mat"

	"fathomlux/optics/model"
	"fathomlux/optics/result"
)

// Flights are the light of some sources up to the first matt face: what lands there, and what reaches planes on ways
// that are not straight, scattered by the water or turned back by its surface. They add up, with weights.
type Flights struct {
	Histories int64
	Balance   result.FluxBalance // up to there; what a matt face takes or sends on is not in it
	mean      flight
	batches   []flight // where a Transfer has several
}

// flight is what Flights hold: lumens and photons on patches, and densities at the nodes of fine screens by grain.
type flight struct {
	patches []light
	nodes   [finest + 1][]light
}

// murkyFactor is how many times more histories there are where water scatters all light.
const murkyFactor = 15

// Flights traces sources of one module, which use beams and spectra of the model's lists, with so many histories in
// clear water. radiusM is that of the spot that they throw: how fine their light may be. The same draws serve sources
// wherever they hang, so that neighbours differ smoothly.
func (t *Transfer) Flights(sources []model.Source, radiusM float64, histories int) *Flights {
	w := *t.world
	t.lamps(&w, sources)
	f := &Flights{mean: flight{patches: make([]light, len(t.patches.list))}, batches: make([]flight, t.several())}
	f.Balance = result.FluxBalance{Emitted: w.emitted, Optic: w.emitted - w.leaving, Spill: w.behind}
	if len(w.lamps) == 0 {
		return f
	}
	nb, grain := t.options.Batches, t.grain(radiusM)
	fine := t.fineScreens(grain)
	histories = wholeHistories(float64(histories) * (1 + murkyFactor*w.scattered()))
	trs, cells := make([]*tracer, nb), make([][]light, nb)
	for b := range trs {
		cells[b] = make([]light, fine.cells)
		trs[b] = &tracer{world: &w, usual: 1, tally: fine.tally(cells[b], [2]bool{false, true}),
			lands: &arrivals{patches: t.patches, light: make([]light, len(t.patches.list))}}
	}
	f.Histories = int64(histories)
	deal := dealer{lamps: w.lamps, step: w.flux / float64(histories)}
	even := newEven(stream(t.options.Seed, -1))
	var p photon
	for k := range histories {
		tr := trs[k%nb]
		tr.random = stream(t.options.Seed, -2-int64(k))
		tr.launchEvenly(&p, deal.next((float64(k)+0.5)*deal.step), even.next())
		p.module = 0
		tr.finish(&p)
	}
	all := make([]light, fine.cells)
	for b, tr := range trs {
		f.Balance = f.Balance.Plus(tr.balance, w.flux/float64(histories))
		f.mean.patches, all = plus(f.mean.patches, tr.lands.light, 1), plus(all, cells[b], 1)
		if len(f.batches) > 0 {
			f.batches[b] = t.flight(tr.lands.light, fine.densities(cells[b]), grain, w.flux*float64(nb)/float64(histories))
		}
	}
	f.mean = t.flight(f.mean.patches, fine.densities(all), grain, w.flux/float64(histories))
	return f
}

// flight scales what has landed, in place.
func (t *Transfer) flight(patches, nodes []light, grain int, k float64) (f flight) {
	t.patches.fit(patches)
	for _, list := range [][]light{patches, nodes} {
		for i := range list {
			list[i] = light{k * list[i].lux, k * list[i].ppfd}
		}
	}
	f.patches, f.nodes[grain] = patches, nodes
	return f
}

// several is the number of batches where there are more than one, else 0.
func (t *Transfer) several() int {
	if t.options.Batches == 1 {
		return 0
	}
	return t.options.Batches
}

// launchEvenly starts a history with draws from points that fill a box evenly.
func (t *tracer) launchEvenly(p *photon, l *lamp, u [5]float64) {
	d, ok := l.lens.drawn(uint64(u[0]*(1<<53))<<11, u[1], u[2], u[3])
	if !ok {
		d = l.lens.draw(&t.random)
	}
	t.launchAlong(p, l, l.source.Frame.World(d), uint64(u[4]*colours))
}

// wholeHistories are about n, as many in each batch.
func wholeHistories(n float64) int { return max(1, int(n)/wholeBatches) * wholeBatches }

// scattered is the share of light that is scattered on the way straight down.
func (w *world) scattered() float64 {
	scatter := 0.0
	for _, c := range w.lamps[0].palette {
		scatter += c.scatter / float64(len(w.lamps[0].palette))
	}
	return 1 - math.Exp(-scatter*w.depthM)
}

// lamps puts sources into a world; lenses and colours are kept.
func (t *Transfer) lamps(w *world, sources []model.Source) {
	t.lock.Lock()
	defer t.lock.Unlock()
	m := *t.model
	m.Sources = sources
	w.makeLampsWith(&m, t.lenses, t.palettes)
}

// Add adds k times the light of other sources.
func (f *Flights) Add(o *Flights, k float64) {
	f.Balance = f.Balance.Plus(o.Balance, k)
	f.Histories += o.Histories
	f.mean.add(&o.mean, k)
	if f.batches == nil {
		f.batches = make([]flight, len(o.batches))
	}
	for b := range f.batches {
		f.batches[b].add(&o.batches[b], k)
	}
}

func (f *flight) add(o *flight, k float64) {
	f.patches = plus(f.patches, o.patches, k)
	for g := range f.nodes {
		f.nodes[g] = plus(f.nodes[g], o.nodes[g], k)
	}
}

// Size is how many numbers they hold, of 8 bytes.
func (f *Flights) Size() (n int) {
	for _, one := range append([]flight{f.mean}, f.batches...) {
		n += 2 * len(one.patches)
		for _, nodes := range one.nodes {
			n += 2 * len(nodes)
		}
	}
	return n
}

// plus returns a with k times b added, which may be nil.
func plus(a, b []light, k float64) []light {
	if b == nil {
		return a
	}
	if a == nil {
		a = make([]light, len(b))
	}
	for i, v := range b {
		a[i].add(light{k * v.lux, k * v.ppfd})
	}
	return a
}

// Remainder is the light of sources beside what reaches planes straight: scattered, or bounced by matt faces or the
// surface.
type Remainder struct {
	Balance  result.FluxBalance // of all light
	transfer *Transfer
	soft     []light
	fine     [finest + 1][]light
}

// Remainder adds up all orders of bounces of what is on its way.
func (t *Transfer) Remainder(f *Flights) *Remainder {
	r := t.remainder(&t.mean, &f.mean)
	r.Balance = f.Balance.Plus(r.Balance, 1)
	return r
}

// remainder is Remainder of one batch or of all, without what is in the balance of the flights.
func (t *Transfer) remainder(table *table, f *flight) *Remainder {
	all := table.allOrders(f.patches)
	r := &Remainder{transfer: t, soft: t.soft.densities(table.light(t.soft.cells, all)), fine: f.nodes}
	for j, l := range all[0] {
		r.Balance = r.Balance.Plus(table.balance[j], l)
	}
	return r
}

// allOrders returns the lumens and photons that land on patches in all.
func (t *table) allOrders(patches []light) (all [2][]float64) {
	for q := range t.all {
		if len(patches) == 0 {
			continue
		}
		first := mat.NewVecDense(len(patches), nil)
		for i, l := range patches {
			first.SetVec(i, [2]float64{l.lux, l.ppfd}[q])
		}
		var sum mat.VecDense
		_ = t.all[q].SolveVecTo(&sum, true, first) // never singular: patches send on less than what lands on them
		all[q] = sum.RawVector().Data
	}
	return all
}

// light is what patches send to the cells of soft screens.
func (t *table) light(cells int, from [2][]float64) []light {
	out := make([]light, cells)
	for j, k := range from[0] {
		for i, part := range t.toCells[0][j*cells:][:cells] {
			out[i].lux += float64(k * float64(part))
		}
	}
	for j, k := range from[1] {
		for i, part := range t.toCells[1][j*cells:][:cells] {
			out[i].ppfd += float64(k * float64(part))
		}
	}
	return out
}

// Errors returns the standard errors of a plane's illuminance, by cell of a grid and of its mean, from the batches.
func (t *Transfer) Errors(f *Flights, plane int, g result.Grid) (cellsLx []float64, meanLx float64) {
	cellsLx = make([]float64, g.Cells())
	nb := float64(len(t.batches))
	if nb < 2 {
		return cellsLx, 0
	}
	sums, squares, means, meanSquares := make([]float64, g.Cells()), cellsLx, 0.0, 0.0
	for b := range t.batches {
		all := 0.0
		for i, v := range t.remainder(&t.batches[b], &f.batches[b]).Field(plane, g).Illuminance {
			sums[i] += v
			squares[i] += v * v
			all += v / float64(g.Cells())
		}
		means, meanSquares = means+all, meanSquares+all*all
	}
	deviation := func(sum, square float64) float64 {
		return math.Sqrt(max(0, square-sum*sum/nb) / (nb * (nb - 1)))
	}
	for i := range cellsLx {
		cellsLx[i] = deviation(sums[i], squares[i])
	}
	return cellsLx, deviation(means, meanSquares)
}

// At returns the light on a plane, by its number, at a place.
func (r *Remainder) At(plane int, x, y float64) (lux, ppfd float64) {
	v := r.transfer.soft.at(r.soft, plane, x, y)
	for g, nodes := range r.fine {
		if nodes != nil {
			s := r.transfer.fineScreens(g)
			v.add(s.at(nodes, plane, x, y))
		}
	}
	return v.lux, v.ppfd
}

func (s *screens) at(nodes []light, plane int, x, y float64) light {
	one := &s.list[s.of[plane]]
	return one.mesh.value(nodes[one.node:][:one.mesh.nodes()], x, y)
}

// Field returns the light on a plane, by its number, in the cells of a grid.
func (r *Remainder) Field(plane int, g result.Grid) result.Field {
	f := result.Field{Grid: g, Illuminance: make([]float64, g.Cells()), PPFD: make([]float64, g.Cells())}
	r.transfer.soft.addTo(f, r.soft, plane, r.transfer.cellM)
	for grain, nodes := range r.fine {
		if nodes != nil {
			s := r.transfer.fineScreens(grain)
			s.addTo(f, nodes, plane, r.transfer.fineM(grain))
		}
	}
	return f
}

// addTo adds the light of nodes to the cells of a field: the mean at places in each that are half of cellM apart or
// less.
func (s *screens) addTo(f result.Field, nodes []light, plane int, cellM float64) {
	g, k := f.Grid, 1
	if !g.Points {
		k = int(math.Ceil(2 * max(g.StepXM, g.StepYM) / cellM))
	}
	share := 1 / float64(k*k)
	for j := range g.NY * k {
		y := (float64(j) + 0.5) / float64(k) * g.StepYM
		row := j / k * g.NX
		for i := range g.NX * k {
			v := s.at(nodes, plane, (float64(i)+0.5)/float64(k)*g.StepXM, y)
			f.Illuminance[row+i/k] += share * v.lux
			f.PPFD[row+i/k] += share * v.ppfd
		}
	}
}
