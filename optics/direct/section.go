package direct

import (
	"context"

	"fathomlux/optics/model"
	"fathomlux/optics/parallel"
	"fathomlux/optics/result"
)

// Section returns illuminance and PPFD of horizontal planes in a vertical slice through the water: along x at y = at,
// or along y at x = at. It has cells of about stepM by stepZM, at least one layer deep.
func (e *Engine) Section(ctx context.Context, axis result.SectionAxis, at, stepM, stepZM float64) (
	result.Section, error) {
	engine := e
	if axis == result.AcrossY { // by sight, for its measures alone
		engine = e.turned()
	}
	across, down := result.NewGrid(engine.tank.LengthM, 1, stepM), result.NewGrid(1, engine.model.DepthM, stepZM)
	g := result.Grid{NX: across.NX, NY: down.NY, StepXM: across.StepXM, StepYM: down.StepYM}
	out := result.Section{Axis: axis, AtM: at, N: g.NX, NZ: g.NY, StepM: g.StepXM, StepZM: g.StepYM,
		Illuminance: make([]float64, g.Cells()), PPFD: make([]float64, g.Cells())}
	err := parallel.ForEach(ctx, e.workers, g.NY, func(iz int) {
		row := newRow(g.NX)
		if e.fence != nil {
			e.sight(g.CentreY(iz), lookedAt).cut(row, axis, at, g.StepXM)
		} else {
			row = engine.prepareWith(g.CentreY(iz), lookedAt).line(cellRow{y: at, stepM: g.StepXM, n: g.NX}, nil)
		}
		copy(out.Illuminance[iz*g.NX:], row.lux)
		copy(out.PPFD[iz*g.NX:], row.ppfd)
		e.tell(g.NX)
	})
	return out, err
}

// turned returns the engine of the model with x and y exchanged.
func (e *Engine) turned() *Engine {
	t := *e
	t.model, t.tank = transposed(e.model, e.tank)
	t.orders = Orders{X: e.orders.Y, Y: e.orders.X}
	t.sides[model.Left], t.sides[model.Right] = e.sides[model.Front], e.sides[model.Back]
	t.sides[model.Front], t.sides[model.Back] = e.sides[model.Left], e.sides[model.Right]
	return &t
}
