package direct

import (
	"context"
	"sync"

	"fathomlux/optics/model"
	"fathomlux/optics/parallel"
	"fathomlux/optics/result"
)

// Bench is a plane made ready for modules that come one after another: it keeps what they share. The model's own
// sources do not count here. It is safe for use by several goroutines.
type Bench struct {
	sum  *sum
	grid result.Grid
	lock sync.Mutex
	open map[int][]float64 // OpenFactors by pieces
}

// Bench readies the plane depthM below the surface on a grid. Spectra and beams of the sources to come are those of
// the model.
func (e *Engine) Bench(depthM float64, g result.Grid) *Bench {
	return &Bench{sum: e.empty(depthM, measured), grid: g, open: map[int][]float64{}}
}

// Field returns the light of some sources together and of their images up to some orders, in the grid's cells, summed
// by some goroutines, which never change a result.
func (b *Bench) Field(sources []model.Source, o Orders, workers int) result.Field {
	f := result.Field{}
	for i, board := range boards(sources) {
		one, views, pieces := newField(b.grid), b.sum.viewsOfBoard(board, o), b.sum.pieces(b.grid, board)
		_ = parallel.ForEach(context.Background(), workers, b.grid.NY, func(iy int) {
			from, to := iy*b.grid.NX, (iy+1)*b.grid.NX
			row := rowLight{lux: one.Illuminance[from:to], ppfd: one.PPFD[from:to]}
			finely(row, rowOf(b.grid, iy), pieces, func(to rowLight, cells cellRow) {
				for i := range views {
					one := b.sum.image(&views[i], cells)
					one.add(to)
				}
			})
		})
		Scale(one, b.factors(pieces))
		if i == 0 {
			f = one
		} else {
			f.Add(one)
		}
	}
	return f
}

// factors are those of cells that are summed in pieces.
func (b *Bench) factors(pieces int) []float64 {
	b.lock.Lock()
	defer b.lock.Unlock()
	list, ok := b.open[pieces]
	if !ok {
		list = OpenFactors(b.sum.engine.model, b.sum.depthM, b.grid, linesOfRow*pieces)
		b.open[pieces] = list
	}
	return list
}

// WithSources returns the engine with other sources in the same tank, whose beams and spectra are those of its model,
// and their images up to some orders. The flux balance stays that of the sources that it was made for.
func (e *Engine) WithSources(sources []model.Source, o Orders) *Engine {
	other, st := *e, *e.model
	other.orders = o
	st.Sources = sources
	other.model = &st
	return &other
}
