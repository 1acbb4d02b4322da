package direct

import (
	"sync"

	"fathomlux/optics/model"
	"fathomlux/optics/result"
)

// Bench is a plane made ready for modules that come one after another: it keeps what they share. The model's own
// sources do not count here. It is for one goroutine at a time.
type Bench struct {
	sum  *sum
	grid result.Grid
	lock sync.Mutex
	open map[int][]float64 // OpenFactors by pieces

	known  numbers
	rows   []map[cellRow]*laneRow // by row of the grid, of lanes that reach as far as said
	reachM float64
}

// Bench readies the plane depthM below the surface on a grid. Spectra and beams of the sources to come are those of
// the model.
func (e *Engine) Bench(depthM float64, g result.Grid) *Bench {
	b := &Bench{sum: e.empty(depthM, measured), grid: g, open: map[int][]float64{}}
	b.forget(0)
	return b
}

// factors are those of cells that are summed in pieces.
func (b *Bench) factors(pieces int) []float64 {
	b.lock.Lock()
	defer b.lock.Unlock()
	list, ok := b.open[pieces]
	if !ok {
		list = OpenFactors(b.sum.engine.model, b.sum.depthM, b.grid, fineLines*pieces)
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
