package trace

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/mat"

	"fathomlux/optics/result"
)

// Remainder is the light of sources beside what reaches planes straight: scattered, or bounced by matt faces or the
// surface. It is for any number of goroutines.
type Remainder struct {
	Balance  result.FluxBalance // of all light
	transfer *Transfer
	flights  *Flights
	landed   [2][]float64 // lumens and photons on patches in all
	batches  [][]float64  // lumens likewise
	planes   []struct {
		once  sync.Once
		nodes [2]nodes // of lumens, of photons
	}
}

// nodes are densities at the nodes of the screens of one plane, of fine ones by grain.
type nodes struct {
	soft []float64
	fine [finest + 1][]float64
}

// Remainder adds up all orders of bounces of what is on its way, which is not to change any more.
func (t *Transfer) Remainder(f *Flights) *Remainder {
	r := &Remainder{Balance: f.Balance, transfer: t, flights: f}
	r.planes = make([]struct {
		once  sync.Once
		nodes [2]nodes
	}, len(t.options.DepthsM))
	for q := range r.landed {
		r.landed[q] = t.solve(q, f.mean[q].patches)
	}
	for j, l := range r.landed[0] {
		r.Balance = r.Balance.Plus(t.balance[j], l)
	}
	for b := range f.batches {
		r.batches = append(r.batches, t.solveBatch(b, f.batches[b].patches))
	}
	return r
}

// solve returns what lands on patches in all of what lands first. It is never singular: patches send on less than what
// lands on them.
func (t *Transfer) solve(q int, first []float64) []float64 {
	if len(first) == 0 {
		return nil
	}
	var all mat.VecDense
	_ = t.all[q].SolveVecTo(&all, true, mat.NewVecDense(len(first), first))
	return all.RawVector().Data
}

// A batch is solved by the factors of the mean, from which it differs little: what is left over is solved anew until
// that is this part of the whole.
const (
	leftOver   = 1e-9
	mostSolved = 100
)

// solveBatch is solve for the lumens of one batch.
func (t *Transfer) solveBatch(b int, first []float64) []float64 {
	all := t.solve(0, first)
	for range mostSolved {
		if len(all) == 0 {
			break
		}
		left := mat.NewVecDense(len(all), nil)
		left.MulVec(t.batches[b].toPatches.T(), mat.NewVecDense(len(all), all))
		rest := left.RawVector().Data
		for i := range rest {
			rest[i] += first[i] - all[i]
		}
		more := t.solve(0, rest)
		for i, v := range more {
			all[i] += v
		}
		if mat.Norm(mat.NewVecDense(len(more), more), 1) <= leftOver*sum(all) {
			break
		}
	}
	return all
}

// nodes are densities on a plane: of what patches send there of all that lands on them, and of flights.
func (t *Transfer) nodes(from *table, landed []float64, f *flight, plane int) (n nodes) {
	one := t.soft.on(plane)
	cells := make([]float64, one.mesh.cells())
	for j, k := range landed {
		for i, part := range from.toCells[plane][j*len(cells):][:len(cells)] {
			cells[i] += float64(k * float64(part))
		}
	}
	n.soft = one.density.at(cells)
	for g, planes := range f.cells {
		if planes != nil {
			n.fine[g] = t.fineScreens(g).on(plane).density.at(planes[plane])
		}
	}
	return n
}

// nodes are those of a plane.
func (r *Remainder) nodes(plane int) *[2]nodes {
	p := &r.planes[plane]
	p.once.Do(func() {
		for q := range p.nodes {
			p.nodes[q] = r.transfer.nodes(&r.transfer.mean[q], r.landed[q], &r.flights.mean[q], plane)
		}
	})
	return &p.nodes
}

// Errors returns the standard errors of a plane's illuminance, by cell of a grid and of its mean, from the batches.
func (r *Remainder) Errors(plane int, g result.Grid) (cellsLx []float64, meanLx float64) {
	cellsLx = make([]float64, g.Cells())
	nb := float64(len(r.batches))
	if nb < 2 {
		return cellsLx, 0
	}
	sums, squares, means, meanSquares := make([]float64, g.Cells()), cellsLx, 0.0, 0.0
	for b := range r.batches {
		own := r.transfer.nodes(&r.transfer.batches[b], r.batches[b], &r.flights.batches[b], plane)
		all := 0.0
		for i, v := range r.transfer.cells(own, plane, g) {
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
	n := r.nodes(plane)
	add := func(m *mesh, lumens, photons []float64) {
		at, up := m.x.place(x), m.y.place(y)
		lux, ppfd = lux+m.read(lumens, at, up), ppfd+m.read(photons, at, up)
	}
	add(r.transfer.soft.on(plane).mesh, n[0].soft, n[1].soft)
	for g := range n[0].fine {
		if n[0].fine[g] != nil {
			add(r.transfer.fineScreens(g).on(plane).mesh, n[0].fine[g], n[1].fine[g])
		}
	}
	return lux, ppfd
}

// Field returns the light on a plane, by its number, in the cells of a grid.
func (r *Remainder) Field(plane int, g result.Grid) result.Field {
	n := r.nodes(plane)
	return result.Field{Grid: g, Illuminance: r.transfer.cells(n[0], plane, g), PPFD: r.transfer.cells(n[1], plane, g)}
}

// cells reads densities on a plane in the cells of a grid.
func (t *Transfer) cells(n nodes, plane int, g result.Grid) []float64 {
	out := make([]float64, g.Cells())
	t.soft.on(plane).mesh.addTo(out, g, n.soft, t.cellM)
	for grain, nodes := range n.fine {
		if nodes != nil {
			t.fineScreens(grain).on(plane).mesh.addTo(out, g, nodes, t.fineM(grain))
		}
	}
	return out
}

// addTo adds the light of nodes to the cells of a grid: the mean at places in each that are half of cellM apart or
// less.
func (m *mesh) addTo(to []float64, g result.Grid, nodes []float64, cellM float64) {
	k := 1
	if !g.Points {
		k = int(math.Ceil(2 * max(g.StepXM, g.StepYM) / cellM))
	}
	places := func(a *axis, n int, stepM float64) []place {
		list := make([]place, n*k)
		for i := range list {
			list[i] = a.place((float64(i) + 0.5) / float64(k) * stepM)
		}
		return list
	}
	xs, share := places(&m.x, g.NX, g.StepXM), 1/float64(k*k)
	for j, y := range places(&m.y, g.NY, g.StepYM) {
		row := to[j/k*g.NX:][:g.NX]
		for i, x := range xs {
			row[i/k] += share * m.read(nodes, x, y)
		}
	}
}
