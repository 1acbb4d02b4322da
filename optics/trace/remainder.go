package trace

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"fathomlux/optics/result"
)

// Remainder is the light of sources beside what reaches planes straight: scattered, or bounced by matt faces or the
// surface.
type Remainder struct {
	Balance      [2]result.FluxBalance // of all light, its lumens and its photons
	Faces        [2][]float64          // lumens and photons of all light on the patches of the model's solids, see OnSolids
	FaceErrorsLm []float64             // standard errors of the lumens there
	planes       [][2]layers           // of lumens, of photons
	batches      [][]layers            // of lumens, by plane and batch
}

// AddPlanes adds the light that another remainder has on its planes, times a weight: all else stays as it is. The
// planes are those of one transfer, or of transfers on the same planes.
func (r *Remainder) AddPlanes(o *Remainder, weight float64) {
	if r.planes == nil {
		r.planes = make([][2]layers, len(o.planes))
	}
	for plane := range o.planes {
		for q, list := range o.planes[plane] {
			r.planes[plane][q] = r.planes[plane][q].plus(list, weight)
		}
	}
}

// Size is how many numbers of 8 bytes the planes hold.
func (r *Remainder) Size() (n int) {
	if r == nil {
		return 0
	}
	for _, plane := range r.planes {
		for _, list := range plane {
			for _, l := range list {
				n += len(l.nodes)
			}
		}
	}
	return n
}

// layers are the light on one plane: the sum of what is read from each.
type layers []layer

// layer is the density of light at the nodes of a mesh of cells of about cellM.
type layer struct {
	*mesh
	cellM float64
	nodes []float64
}

// plus adds others, times a weight, those on one mesh to each other.
func (list layers) plus(others layers, weight float64) layers {
	for _, l := range others {
		i := slices.IndexFunc(list, func(own layer) bool { return own.mesh == l.mesh })
		if i < 0 {
			i, list = len(list), append(list, layer{l.mesh, l.cellM, make([]float64, len(l.nodes))})
		}
		floats.AddScaled(list[i].nodes, weight, l.nodes)
	}
	return list
}

// Remainder adds up all orders of bounces of what is on its way, for so many planes, the first.
func (t *Transfer) Remainder(f *Flights, planes int) *Remainder {
	r := &Remainder{Balance: f.Balance, planes: make([][2]layers, planes), batches: make([][]layers, planes)}
	for q := range t.mean {
		landed := t.solve(q, f.mean[q].patches)
		if t.world.shaped != nil {
			r.Faces[q], r.FaceErrorsLm = f.mean[q].patches, f.faceErrors()
		}
		for plane := range planes {
			r.planes[plane][q] = t.layers(&t.mean[q], landed, &f.mean[q], plane)
		}
		for j, l := range landed {
			r.Balance[q] = r.Balance[q].Plus(t.balance[j][q], l)
		}
	}
	for b, landed := range t.solveBatches(f.batches) {
		for plane := range min(planes, t.options.ErrorsOf) {
			r.batches[plane] = append(r.batches[plane], t.layers(&t.batches[b], landed, &f.batches[b], plane))
		}
	}
	return r
}

// solve returns what lands on patches in all of what lands first. It is never singular: patches send on less than what
// lands on them.
func (t *Transfer) solve(q int, first []float64) []float64 {
	if len(first) == 0 || t.world.shaped != nil { // then nothing is left to follow
		return nil
	}
	var all mat.VecDense
	_ = t.all[q].SolveVecTo(&all, true, mat.NewVecDense(len(first), first))
	return all.RawVector().Data
}

// Batches are solved by the factors of the mean, from which they differ little: what is left over is solved anew until
// that is this part of the whole.
const (
	leftOver   = 1e-9
	mostSolved = 100
)

// solveBatches is solve for the lumens of all batches.
func (t *Transfer) solveBatches(batches []flight) (all [][]float64) {
	n := len(t.patches.list)
	if n == 0 || len(batches) == 0 || t.world.shaped != nil {
		return make([][]float64, len(batches))
	}
	rest := mat.NewDense(n, len(batches), nil)
	for b := range batches {
		all = append(all, make([]float64, n))
		for i, v := range batches[b].patches {
			rest.Set(i, b, v)
		}
	}
	for range mostSolved {
		var more mat.Dense
		_ = t.all[0].SolveTo(&more, true, rest)
		settled := true
		for b := range all {
			moved := 0.0
			for i := range all[b] {
				all[b][i] += more.At(i, b)
				moved += math.Abs(more.At(i, b))
			}
			settled = settled && moved <= leftOver*sum(all[b])
			was := mat.NewVecDense(n, nil)
			was.MulVec(t.batches[b].toPatches.T(), mat.NewVecDense(n, all[b]))
			for i, v := range was.RawVector().Data {
				rest.Set(i, b, v+batches[b].patches[i]-all[b][i])
			}
		}
		if settled {
			break
		}
	}
	return all
}

// layers are the light on a plane: of what patches send there of all that lands on them, and of flights.
func (t *Transfer) layers(from *table, landed []float64, f *flight, plane int) (list layers) {
	one := t.soft.on(plane)
	cells := make([]float64, one.mesh.cells())
	for j, k := range landed {
		for i, part := range from.toCells[plane][j*len(cells):][:len(cells)] {
			cells[i] += float64(k * float64(part))
		}
	}
	list = layers{{one.mesh, t.cellM, t.onSurface(one, one.density.at(cells))}}
	for g, planes := range f.cells {
		if planes != nil {
			one := t.fineScreens(g).on(plane)
			list = append(list, layer{one.mesh, t.fineM(g), t.onSurface(one, one.density.at(planes[plane]))})
		}
	}
	return list
}

// onSurface turns light over the level area of a ground into that over its surface.
func (t *Transfer) onSurface(on *screen, nodes []float64) []float64 {
	for i := 0; on.ground && i < len(nodes); i++ {
		n := len(on.mesh.x.edges)
		nodes[i] *= t.model.Ground.Normal(on.mesh.x.edges[i%n], on.mesh.y.edges[i/n]).Z
	}
	return nodes
}

// faceErrors returns the standard errors of the lumens on the patches of solids, from the batches.
func (f *Flights) faceErrors() []float64 {
	out, nb := make([]float64, len(f.mean[0].patches)), float64(len(f.batches))
	for i := range out {
		sum, square := 0.0, 0.0
		for _, b := range f.batches {
			sum, square = sum+b.patches[i], square+b.patches[i]*b.patches[i]
		}
		out[i] = deviationOf(nb, sum, square)
	}
	return out
}

// deviationOf is the standard error of the mean of some values, from their sum and that of their squares; 0 for one.
func deviationOf(n, sum, squares float64) float64 {
	if n < 2 {
		return 0
	}
	return math.Sqrt(max(0, squares-sum*sum/n) / (n * (n - 1)))
}

// Errors returns the standard errors of a plane's illuminance, by cell of a grid and of its mean, from the batches.
func (r *Remainder) Errors(plane int, g result.Grid) (cellsLx []float64, meanLx float64) {
	cellsLx = make([]float64, g.Cells())
	nb := float64(len(r.batches[plane]))
	if nb < 2 {
		return cellsLx, 0
	}
	sums, squares, means, meanSquares := make([]float64, g.Cells()), cellsLx, 0.0, 0.0
	for _, batch := range r.batches[plane] {
		all := 0.0
		for i, v := range batch.cells(g) {
			sums[i] += v
			squares[i] += v * v
			all += v / float64(g.Cells())
		}
		means, meanSquares = means+all, meanSquares+all*all
	}
	for i := range cellsLx {
		cellsLx[i] = deviationOf(nb, sums[i], squares[i])
	}
	return cellsLx, deviationOf(nb, means, meanSquares)
}

// At returns the light on a plane, by its number, at a place.
func (r *Remainder) At(plane int, x, y float64) (lux, ppfd float64) {
	return r.planes[plane][0].at(x, y), r.planes[plane][1].at(x, y)
}

func (list layers) at(x, y float64) (sum float64) {
	for _, l := range list {
		sum += l.read(l.nodes, l.x.place(x), l.y.place(y))
	}
	return sum
}

// Field returns the light on a plane, by its number, in the cells of a grid.
func (r *Remainder) Field(plane int, g result.Grid) result.Field {
	own := &r.planes[plane]
	return result.Field{Grid: g, Illuminance: own[0].cells(g), PPFD: own[1].cells(g)}
}

// cells is the light in the cells of a grid.
func (list layers) cells(g result.Grid) []float64 {
	out := make([]float64, g.Cells())
	for i := range list {
		list[i].addTo(out, g)
	}
	return out
}

// addTo adds light to the cells of a grid: the mean at places in each that are half of cellM apart or less.
func (l *layer) addTo(to []float64, g result.Grid) {
	k := 1
	if !g.Points {
		k = int(math.Ceil(2 * max(g.StepXM, g.StepYM) / l.cellM))
	}
	places := func(a *axis, n int, stepM float64) []place {
		list := make([]place, n*k)
		for i := range list {
			list[i] = a.place((float64(i) + 0.5) / float64(k) * stepM)
		}
		return list
	}
	xs, share := places(&l.x, g.NX, g.StepXM), 1/float64(k*k)
	for j, y := range places(&l.y, g.NY, g.StepYM) {
		row := to[j/k*g.NX:][:g.NX]
		for i, x := range xs {
			row[i/k] += share * l.read(l.nodes, x, y)
		}
	}
}
