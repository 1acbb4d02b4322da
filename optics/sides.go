package optics

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"fathomlux/optics/model"
	"fathomlux/optics/result"
	"fathomlux/optics/trace"
	"fathomlux/scene"
	"fathomlux/scene/space"
)

// side is a side of a tank: one wall, or all those that an arc is made of, one after the other.
type side struct {
	name  string
	faces []int // of the model
}

// sidesOf lists the sides of a scene's tank, in the order of the model's faces.
func sidesOf(sc *scene.Scene, m *model.Model) (list []side) {
	o := sc.Tank.Outline
	for i := range m.Faces[:len(m.Faces)-1] {
		name := ""
		if o.Empty() {
			name = squareSide(m.Faces[i].Normal)
		} else if name = result.SideName(o, o.Edges[i]); i > 0 && o.Edges[i] == o.Edges[i-1] {
			last := &list[len(list)-1]
			last.faces = append(last.faces, i)
			continue
		}
		list = append(list, side{name, []int{i}})
	}
	return list
}

// lengthM is the way along a side.
func (s side) lengthM(m *model.Model) float64 {
	a, b := m.Faces[s.faces[0]].Outline[0], m.Faces[s.faces[0]].Outline[1]
	return float64(len(s.faces)) * math.Hypot(b.X-a.X, b.Y-a.Y)
}

// squareSide names a wall of a rectangular tank by its normal to the inside.
func squareSide(n space.Vector) string {
	switch {
	case n.X > 0.5:
		return "left"
	case n.X < -0.5:
		return "right"
	case n.Y > 0.5:
		return "front"
	}
	return "back"
}

// Sides names the sides of a scene's tank, the walls that Options may ask for.
func Sides(sc *scene.Scene) (names []string) {
	for _, s := range sidesOf(sc, emptyModel(sc)) {
		names = append(names, s.name)
	}
	return names
}

// sideLight is the light on a side under water, by spectrum of the model.
type sideLight struct {
	kinds  []result.Field
	error2 float64 // mean square of the cells' standard errors, lx2
}

// onSides computes the light on sides of a tank: in an upright box straight light is summed, and the rest, which has no
// fine detail, is counted by photons and smoothed. Elsewhere all of it is counted and smoothed.
func (e *engine) onSides(ctx context.Context, sides []side, grids []result.Grid, o FacesOptions, kinds int) (
	[]sideLight, error) {
	out, total, usual := make([]sideLight, len(sides)), 0.0, int64(facePhotons)
	if e.model.Shaped() {
		usual = shapedPhotons
	}
	for _, src := range e.model.Sources {
		total += src.LeavingLm
	}
	for k := range kinds {
		own, flux := *e.model, 0.0
		own.Sources = nil
		for _, src := range e.model.Sources {
			if kinds == 1 || src.Spectrum == k {
				own.Sources, flux = append(own.Sources, src), flux+src.LeavingLm
			}
		}
		photons := float64(cmp.Or(o.Photons, usual)) * flux / max(total, math.SmallestNonzeroFloat64)
		asked := trace.Options{Workers: o.Workers, Seed: cmp.Or(o.Seed, usualSeed), Photons: int64(photons),
			Even: o.Even}
		if err := e.countOnSides(ctx, &own, sides, grids, asked, out); err != nil {
			return nil, err
		}
		for i, s := range sides {
			f := out[i].kinds[k]
			blur(f.Grid, f.Illuminance)
			blur(f.Grid, f.PPFD)
			if e.model.Shaped() {
				continue
			}
			straight, err := e.WithSources(own.Sources, e.Orders()).Wall(ctx, model.Side(s.faces[0]), f.Grid)
			if err != nil {
				return nil, err
			}
			f.Add(straight)
		}
	}
	return out, nil
}

// grid has cells of about stepM over the way along a side and the height over the floor, as many columns for each of its
// walls.
func (s side) grid(m *model.Model, stepM float64) result.Grid {
	g := result.NewGrid(s.lengthM(m)/float64(len(s.faces)), m.DepthM, stepM)
	g.NX *= len(s.faces)
	return g
}

// runsBack tells whether a side's outline goes on to the left, or to the front.
func (s side) runsBack(m *model.Model) bool {
	d := m.Faces[s.faces[0]].Along()
	if math.Abs(d.X) >= math.Abs(d.Y) {
		return d.X < 0
	}
	return d.Y < 0
}

// countOnSides counts what photons of some sources bring to sides, a field more for each.
func (e *engine) countOnSides(ctx context.Context, own *model.Model, sides []side, grids []result.Grid, o trace.Options,
	to []sideLight) error {
	for i, s := range sides {
		one := grids[i]
		one.NX /= len(s.faces)
		for _, face := range s.faces {
			o.Planes = append(o.Planes, trace.Plane{On: trace.OnWall, Wall: model.Side(face), Grid: one})
		}
	}
	if !e.model.Shaped() {
		o.Only = trace.Rest
	}
	a, err := trace.Run(ctx, own, o)
	if err != nil {
		return err
	}
	next := 0
	for i, s := range sides {
		f, n := newField(grids[i]), float64(grids[i].Cells())
		for wall, p := range a.Planes[next : next+len(s.faces)] {
			nx := p.Field.Grid.NX
			for k, v := range p.Field.Illuminance {
				at := k/nx*f.Grid.NX + wall*nx + k%nx
				f.Illuminance[at], f.PPFD[at] = v, p.Field.PPFD[k]
				to[i].error2 += p.ErrorLx[k] * p.ErrorLx[k] / n * blurred(f.Grid)
			}
		}
		if next += len(s.faces); s.runsBack(e.model) {
			for row := range slices.Chunk(f.Illuminance, f.Grid.NX) {
				slices.Reverse(row)
			}
			for row := range slices.Chunk(f.PPFD, f.Grid.NX) {
				slices.Reverse(row)
			}
		}
		to[i].kinds = append(to[i].kinds, f)
	}
	return nil
}

// blurred is what is left of the variance of cells, each on its own, when they have been blurred: the share of a cell in
// the area over which a bell spreads it, 4 pi times the square of its standard deviation.
func blurred(g result.Grid) float64 {
	return min(1, g.StepXM*g.StepYM/(4*math.Pi*faceBlurM*faceBlurM))
}

// sidesLit computes the light on the sides of a tank that a map is asked for.
func (e *engine) sidesLit(ctx context.Context, sc *scene.Scene, o Options) (list []result.Wall, err error) {
	var sides []side
	var grids []result.Grid
	for _, s := range sidesOf(sc, e.model) {
		if slices.Contains(o.Walls, s.name) {
			stepM := cmp.Or(o.StepM, result.FineStepM(s.lengthM(e.model), e.model.DepthM))
			sides, grids = append(sides, s), append(grids, s.grid(e.model, stepM))
		}
	}
	if len(sides) == 0 {
		return nil, nil
	}
	lights, err := e.onSides(ctx, sides, grids, FacesOptions{Workers: o.Workers, Seed: o.Seed}, 1)
	if err != nil {
		return nil, err
	}
	for i, s := range sides {
		w := result.Wall{Name: s.name, Ends: ends(s, e.model), Field: lights[i].kinds[0], Shown: Shown(sc.Goal),
			ErrorLx: math.Sqrt(lights[i].error2)}
		w.Field.Solid = e.coveredOn(s, grids[i])
		w.Illuminance = grids[i].Summarise(w.Field.Illuminance, w.Field.Solid, 0)
		w.PPFD = grids[i].Summarise(w.Field.PPFD, w.Field.Solid, 0)
		list = append(list, w)
	}
	return list, nil
}

// ends are the sides of the tank at which the way along a side begins and ends.
func ends(s side, m *model.Model) [2]string {
	d := m.Faces[s.faces[0]].Along()
	if math.Abs(d.X) >= math.Abs(d.Y) {
		return [2]string{"left", "right"}
	}
	return [2]string{"front", "back"}
}

// coveredOn tells which cells of a side lie inside an obstacle, a thing or the ground.
func (e *engine) coveredOn(s side, g result.Grid) result.Solid {
	solid, any := make(result.Solid, g.Cells()), false
	wet, _, _ := e.model.Layers(e.model.DepthM)
	n := g.NX / len(s.faces)
	back := s.runsBack(e.model)
	for i := range solid {
		column := i % g.NX
		if back {
			column = g.NX - 1 - column
		}
		f := &e.model.Faces[s.faces[column/n]]
		const inM = 1e-6
		d, along := f.Along(), g.CentreX(column%n)
		at := space.Point{X: f.Outline[0].X + along*d.X + inM*f.Normal.X, Y: f.Outline[0].Y + along*d.Y + inM*f.Normal.Y,
			Z: g.CentreY(i / g.NX)}
		if wet != nil && wet.Hold(at) || e.model.Filled(at) {
			solid[i], any = 1, true
		}
	}
	if !any {
		return nil
	}
	return solid
}

// CheckWalls refuses sides that cannot be had.
func (o Options) CheckWalls(sc *scene.Scene) error {
	if len(o.Walls) == 0 {
		return nil
	}
	if o.Engine != "" && o.Engine != Full {
		return fmt.Errorf("the engine %s does not know the light on faces; use full", o.Engine)
	}
	m := emptyModel(sc)
	sides := sidesOf(sc, m)
	for i, name := range o.Walls {
		at := slices.IndexFunc(sides, func(s side) bool { return s.name == name })
		switch {
		case at < 0:
			return fmt.Errorf("the tank has no face %.60q; it has %s", name, strings.Join(Sides(sc), ", "))
		case slices.Contains(o.Walls[:i], name):
			return fmt.Errorf("the face %s is given twice; give it once", name)
		case o.StepM > 0:
			across := scene.Tank{LengthM: sides[at].lengthM(m), WidthM: sc.Tank.Water.DepthM}
			if err := CheckStep(across, o.StepM); err != nil {
				return err
			}
		}
	}
	return nil
}
