package direct

import (
	"context"
	"errors"
	"math"

	"fathomlux/optics/model"
	"fathomlux/optics/parallel"
	"fathomlux/optics/result"
)

// Wall returns the straight light that comes to a wall of an upright box under water, from within, as illuminance and
// PPFD of the wall's own plane, in the cells of a grid over the way along the wall (x, or y of walls across x) and the
// height over the floor.
// A bundle of rays at the angle t from the vertical lights a wall tan(t) cos(a) times as much as a level plane, a being
// the angle in plan between its direction and the wall's normal: the same radiance, projected onto either (cosine law).
func (e *Engine) Wall(ctx context.Context, side model.Side, g result.Grid) (result.Field, error) {
	if e.fence != nil || side < model.Left || side > model.Back {
		return result.Field{}, errors.New("straight light on walls is for the four walls of an upright box")
	}
	engine, outward, y := e, -1.0, 0.0
	if side < model.Front {
		engine, side = e.turned(), side-model.Left+model.Front
	}
	if side == model.Back {
		outward, y = 1, engine.tank.WidthM
	}
	out := result.Field{Grid: g, Illuminance: make([]float64, g.Cells()), PPFD: make([]float64, g.Cells())}
	err := parallel.ForEach(ctx, e.workers, g.NY, func(iz int) {
		s, row := engine.prepareWith(e.model.DepthM-g.CentreY(iz), lookedAt), newRow(g.NX)
		for _, views := range s.views {
			for i := range views {
				im := s.image(&views[i], cellRow{y: y, stepM: g.StepXM, n: g.NX})
				im.addUpright(row, outward)
			}
		}
		copy(out.Illuminance[iz*g.NX:], row.lux)
		copy(out.PPFD[iz*g.NX:], row.ppfd)
		e.tell(g.NX)
	})
	return out, err
}

// addUpright adds the image's light to a row of cells that stand upright along x, as far as it comes from the side that
// outward, the sign of y, points away from.
func (im *image) addUpright(to rowLight, outward float64) {
	across := outward * im.signY * im.fixed
	if across <= 0 {
		return
	}
	level := newRow(len(to.lux))
	im.add(level)
	n := im.sum.engine.model.Water.Index()
	for i, v := range level.lux {
		if v == 0 {
			continue
		}
		p, d := im.look(i)
		sin := p.sin() / n // over the way in plan
		cos := math.Sqrt(max(0, 1-float64(sin*sin)*(float64(d*d)+im.fixed*im.fixed)))
		k := sin * across / cos
		to.lux[i] += float64(k * v)
		to.ppfd[i] += float64(k * level.ppfd[i])
	}
}
