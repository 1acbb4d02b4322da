package direct

import (
	"context"
	"math"
	"slices"

	"fathomlux/optics/model"
	"fathomlux/optics/parallel"
	"fathomlux/optics/result"
	"fathomlux/scene/space"
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
			row = engine.prepareWith(g.CentreY(iz), lookedAt).line(cellRow{y: at, stepM: g.StepXM, n: g.NX})
		}
		copy(out.Illuminance[iz*g.NX:], row.lux)
		copy(out.PPFD[iz*g.NX:], row.ppfd)
		e.tell(g.NX)
	})
	if err == nil && e.fence != nil {
		err = e.smooth(ctx, &out)
	}
	return out, err
}

// edgeShare is by how much of itself the light of a cell differs from that of one beside it where an edge of a shadow may
// run between both: such cells are means over four places.
const edgeShare = 0.08

// smooth gives cells of a slice by sight at the edges of shadows their means, which would be steps of a cell else.
func (e *Engine) smooth(ctx context.Context, s *result.Section) error {
	rough := make([]bool, len(s.Illuminance))
	mark := func(a, b int) {
		if l := s.Illuminance; math.Abs(l[a]-l[b]) > edgeShare*max(l[a], l[b]) {
			rough[a], rough[b] = true, true
		}
	}
	for i := range rough {
		if i%s.N > 0 {
			mark(i, i-1)
		}
		if i >= s.N {
			mark(i, i-s.N)
		}
	}
	return parallel.ForEach(ctx, e.workers, s.NZ, func(iz int) {
		from := iz * s.N
		if !slices.Contains(rough[from:from+s.N], true) {
			return
		}
		lux, ppfd, n := make([]float64, s.N), make([]float64, s.N), make([]float64, s.N)
		for _, off := range [4][2]float64{{-3. / 8, 1. / 8}, {-1. / 8, -3. / 8}, {1. / 8, 3. / 8}, {3. / 8, -1. / 8}} {
			at := e.sight((float64(iz)+0.5+off[0])*s.StepZM, lookedAt)
			for i := range s.N {
				if !rough[from+i] {
					continue
				}
				if l, p, wet := at.inWater(inSlice(s.Axis, s.AtM, (float64(i)+0.5+off[1])*s.StepM)); wet {
					lux[i], ppfd[i], n[i] = lux[i]+l, ppfd[i]+p, n[i]+1
				}
			}
		}
		for i := range s.N {
			if n[i] > 0 {
				s.Illuminance[from+i], s.PPFD[from+i] = lux[i]/n[i], ppfd[i]/n[i]
			}
		}
	})
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

// levelsM is about how far apart the level planes are between which straight light on a ground is interpolated, of which
// there are mostLevels at most: it bends so little with depth that this is right to a part in 10000.
const (
	levelsM    = 0.005
	mostLevels = 33
)

// rise readies the levels of a plane: of that on a ground, from the lowest place to the highest.
func (s *sight) rise(fine fineness) {
	m := s.engine.model
	s.levels = []*sum{s.sum}
	if !m.OnGround(s.depthM) {
		return
	}
	high := m.Ground.HighestM()
	n := int(min(math.Ceil(high/levelsM), mostLevels-1))
	s.levelM = high / float64(n)
	for k := range n {
		s.levels = append(s.levels, s.engine.empty(max(s.depthM-float64(k+1)*s.levelM, 0), fine))
	}
}

// level is the level at or below a place, and how far above it the place is, in parts of the way to the next.
func (s *sight) level(at space.Point) (level int, above float64) {
	if s.levelM == 0 {
		return 0, 0
	}
	v := at.Z / s.levelM
	level = int(min(max(v, 0), float64(len(s.levels)-2)))
	return level, min(max(v-float64(level), 0), 1)
}

// facing turns the illuminance of a level plane into that of a ground that is not level: the cosine of the angle of
// incidence on it over that on the level, for a ray that comes x and y away from its source.
func (s *sight) facing(at space.Point, x, y float64, p place, level int) float64 {
	if s.levelM == 0 {
		return 1
	}
	n, depth := s.engine.model.Ground.Normal(at.X, at.Y), s.levels[level].depthM
	if depth == 0 {
		return n.Z
	}
	way := (1 - p.water()) / depth // of the ray in the water, sideways for each metre down
	return max(0, n.Z-(n.X*x+n.Y*y)*way)
}
