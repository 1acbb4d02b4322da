package direct

import (
	"fathomlux/optics/model"
	"fathomlux/optics/result"
)

// Bench is a plane made ready for modules that come one after another: it keeps what they share. The model's own
// sources do not count here. It is safe for use by several goroutines.
type Bench struct {
	sum  *sum
	grid result.Grid
}

// Bench readies the plane depthM below the surface on a grid. Spectra and beams of the sources to come are those of
// the model.
func (e *Engine) Bench(depthM float64, g result.Grid) *Bench {
	return &Bench{sum: e.empty(depthM, measured), grid: g}
}

// Field returns the light of some sources together and of their images up to some orders, in the grid's cells.
func (b *Bench) Field(sources []model.Source, o Orders) result.Field {
	f, pieces := newField(b.grid), b.sum.pieces(b.grid, sources)
	var views []view
	for _, board := range boards(sources) {
		views = append(views, b.sum.viewsOfBoard(board, o)...)
	}
	for iy := range b.grid.NY {
		from, to := iy*b.grid.NX, (iy+1)*b.grid.NX
		row := rowLight{lux: f.Illuminance[from:to], ppfd: f.PPFD[from:to]}
		finely(row, rowOf(b.grid, iy), pieces, func(to rowLight, cells cellRow) {
			for i := range views {
				b.sum.image(&views[i], cells).add(to)
			}
		})
	}
	return f
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
