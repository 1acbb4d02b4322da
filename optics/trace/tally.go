package trace

import (
	"math"
	"slices"

	"fathomlux/optics/result"
)

// tally is the sum over batches: of their light, of its square, and of their books.
type tally struct {
	sheets  []sheet
	spreads []*spread // by sheet, nil where nothing is smoothed
	starts  []int     // of the sheets in sums and squares
	batches int
	modules []light // of sheets that keep modules apart, laid out as a tracer's light
	sums    []light // by cell of the whole, sheet after sheet
	squares []light
	batch   []light // of one batch, scratch
	planes  []light // squares of whole planes
	books   result.Books
}

func newTally(sheets []sheet, spreads []*spread, cells int) *tally {
	t := &tally{sheets: sheets, spreads: spreads, planes: make([]light, len(sheets)), modules: make([]light, cells)}
	own := 0
	for _, s := range sheets {
		t.starts = append(t.starts, own)
		own += s.nx * s.ny
	}
	t.sums, t.squares, t.batch = make([]light, own), make([]light, own), make([]light, own)
	return t
}

// add adds one batch.
func (t *tally) add(b []light, books result.Books) {
	t.batches++
	t.books = t.books.Plus(books, 1)
	for i, s := range t.sheets {
		n := s.nx * s.ny
		whole := b[s.from:][:n]
		if s.apart != 0 || t.spreads[i] != nil {
			whole = t.batch[t.starts[i]:][:n]
			t.wholeOf(s, b, whole)
			t.spreads[i].smooth(whole)
		}
		sums, squares := t.sums[t.starts[i]:][:n], t.squares[t.starts[i]:][:n]
		var all light
		for c, v := range whole {
			sum, square := &sums[c], &squares[c]
			sum.lux += v.lux
			sum.ppfd += v.ppfd
			square.lux += v.lux * v.lux
			square.ppfd += v.ppfd * v.ppfd
			all.lux += v.lux
			all.ppfd += v.ppfd
		}
		t.planes[i].lux += all.lux * all.lux
		t.planes[i].ppfd += all.ppfd * all.ppfd
	}
}

// wholeOf sums the modules of one sheet of a batch, and adds each of them up where they are kept apart.
func (t *tally) wholeOf(s sheet, b, whole []light) {
	n := len(whole)
	copy(whole, b[s.from:][:n])
	if s.apart == 0 {
		return
	}
	for m := range s.modules {
		one, sum := b[s.from+m*n:][:n], t.modules[s.from+m*n:][:n]
		for c, v := range one {
			sum[c].lux += v.lux
			sum[c].ppfd += v.ppfd
			if m > 0 {
				whole[c].lux += v.lux
				whole[c].ppfd += v.ppfd
			}
		}
	}
}

// deviation is the standard error of a sum over batches, from the sum itself and the sum of squares.
func (t *tally) deviation(sum, squares float64) float64 {
	n := float64(t.batches)
	if n < 2 {
		return math.Inf(1)
	}
	return math.Sqrt(max(0, squares-sum*sum/n) * n / (n - 1))
}

// relativeError returns the largest error of a plane: the root mean square of its cells' standard errors over its mean
// illuminance. perHistory is the lumens of a history.
func (t *tally) relativeError(planes []Plane, perHistory float64) float64 {
	worst := 0.0
	for i, s := range t.sheets {
		var mean, variance float64
		n := s.nx * s.ny
		for c := range n {
			sum := t.sums[t.starts[i]+c].lux
			d := t.deviation(sum, t.squares[t.starts[i]+c].lux)
			mean += sum
			variance += d * d
		}
		area := planes[i].Grid.StepXM * planes[i].Grid.StepYM
		mean = mean/float64(n)*perHistory/area + planes[i].KnownLx
		if mean > 0 {
			worst = max(worst, math.Sqrt(variance/float64(n))*perHistory/area/mean)
		}
	}
	return worst
}

// plane turns a sheet into an answer.
func (t *tally) plane(i int, p Plane, perHistory float64) PlaneLight {
	s, n := t.sheets[i], p.Grid.Cells()
	k := perHistory / (p.Grid.StepXM * p.Grid.StepYM)
	sums, squares := t.sums[t.starts[i]:][:n], t.squares[t.starts[i]:][:n]
	out := PlaneLight{Field: fieldOf(p.Grid, sums, k), ErrorLx: make([]float64, n), ErrorPPFD: make([]float64, n)}
	var all light
	for c, v := range sums {
		out.ErrorLx[c], out.ErrorPPFD[c] = k*t.deviation(v.lux, squares[c].lux), k*t.deviation(v.ppfd, squares[c].ppfd)
		all.lux += v.lux
		all.ppfd += v.ppfd
	}
	out.MeanErrorLx = k / float64(n) * t.deviation(all.lux, t.planes[i].lux)
	out.MeanErrorPPFD = k / float64(n) * t.deviation(all.ppfd, t.planes[i].ppfd)
	for m := 0; p.PerModule && m < s.modules; m++ {
		one := slices.Clone(t.modules[s.from+m*n:][:n])
		t.spreads[i].smooth(one)
		out.Modules = append(out.Modules, fieldOf(p.Grid, one, k))
	}
	return out
}

func fieldOf(g result.Grid, cells []light, k float64) result.Field {
	f := newField(g)
	for c, v := range cells {
		f.Illuminance[c], f.PPFD[c] = k*v.lux, k*v.ppfd
	}
	return f
}

func newField(g result.Grid) result.Field {
	return result.Field{Grid: g, Illuminance: make([]float64, g.Cells()), PPFD: make([]float64, g.Cells())}
}
