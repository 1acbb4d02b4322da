package direct

import (
	"context"

	"fathomlux/optics/parallel"
	"fathomlux/optics/result"
	"fathomlux/optics/stage"
)

// sectionNodes are the intervals that the tracks of a section start with: a section has a track for each of its depths,
// and is looked at, not measured.
const sectionNodes = 256

// Section returns the illuminance of horizontal planes in a vertical slice through the water: along x at y = at, or along
// y at x = at. It has cells of about stepM, at least one layer deep.
func (e *Engine) Section(ctx context.Context, axis result.SectionAxis, at, stepM float64) (result.Section, error) {
	engine := e
	if axis == result.AcrossY {
		engine = e.turned()
	}
	g := result.NewGrid(engine.stage.LengthM, engine.stage.DepthM, stepM)
	out := result.Section{Axis: axis, AtM: at, N: g.NX, NZ: g.NY, StepM: g.StepXM, StepZM: g.StepYM,
		Illuminance: make([]float64, g.Cells())}
	err := parallel.ForEach(ctx, e.workers, g.NY, func(iz int) {
		s := engine.prepareWith(g.CentreY(iz), g.NX, sectionNodes)
		copy(out.Illuminance[iz*g.NX:], s.line(at, g.StepXM).lux)
	})
	return out, err
}

// turned returns the engine of the stage with x and y exchanged.
func (e *Engine) turned() *Engine {
	t := *e
	t.stage = transposed(e.stage)
	t.orders = Orders{X: e.orders.Y, Y: e.orders.X}
	t.sides[stage.Left], t.sides[stage.Right] = e.sides[stage.Front], e.sides[stage.Back]
	t.sides[stage.Front], t.sides[stage.Back] = e.sides[stage.Left], e.sides[stage.Right]
	return &t
}
