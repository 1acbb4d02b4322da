package optics

import (
	"cmp"
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"

	"fathomlux/optics/direct"
	"fathomlux/optics/result"
	"fathomlux/scene"
	"fathomlux/scene/space"
)

// A slice has about sectionCells cells along the tank's longer side, and at most as many layers. It has fewer, but no
// fewer than fewestSectionCells, where mirror images are so many that it would take more than sectionWork, see
// direct.Engine.Work.
const (
	sectionCells       = 240
	fewestSectionCells = 24
	sectionWork        = 1.5e8
)

// sectionSteps returns the sides of a slice's cells, along the tank and down, in metres.
func sectionSteps(e *direct.Engine, t scene.Tank) (stepM, stepZM float64) {
	side := math.Max(t.LengthM, t.WidthM)
	layers := math.Min(1, t.Water.DepthM/side) // for each column
	cells := math.Sqrt(sectionWork / (layers * float64(max(1, e.Work()))))
	cells = math.Round(min(max(cells, fewestSectionCells), sectionCells))
	stepM = side / cells
	return stepM, math.Max(stepM, t.Water.DepthM/cells) // cells of a deep shaft are taller than wide
}

// sections computes the long slice under the rail with the most light and the cross slice under the darkest gap between
// modules.
func (e *engine) sections(ctx context.Context, sc *scene.Scene, planes []result.Plane) ([]result.Section, error) {
	deepest := planes[0]
	for _, p := range planes {
		if p.DepthM > deepest.DepthM {
			deepest = p
		}
	}
	y, x := brightestRailY(sc), darkestGapX(sc, deepest.Field)
	step, stepZ := sectionSteps(e.Engine, sc.Tank)
	long, err := e.Section(ctx, result.AlongX, y, step, stepZ)
	if err != nil {
		return nil, err
	}
	cross, err := e.Section(ctx, result.AcrossY, x, step, stepZ)
	if err != nil {
		return nil, err
	}
	addToSection(&long, e.rests, e.depths)
	addToSection(&cross, e.rests, e.depths)
	own := newBuilder(emptyModel(sc), sc)
	long.Rays, cross.Rays = edgeRays(sc, &own, result.AlongX, y), edgeRays(sc, &own, result.AcrossY, x)
	return []result.Section{long, cross}, nil
}

// brightestRailY returns the y of the rail whose modules give the most flux.
func brightestRailY(sc *scene.Scene) float64 {
	best, y := -1.0, sc.Tank.WidthM/2
	for _, r := range sc.Rails {
		var lm float64
		for _, m := range r.Modules {
			lm += m.FluxLm() * m.Optic.Efficiency
		}
		if lm > best {
			best, y = lm, r.YM
		}
	}
	return math.Min(math.Max(y, 0), sc.Tank.WidthM)
}

// darkestGapX returns the middle of the gap between neighbouring modules under which the column of cells is darkest;
// for a single place of modules, that place.
func darkestGapX(sc *scene.Scene, f result.Field) float64 {
	var xs []float64
	for _, rm := range Modules(sc) {
		x, _ := rm.Rail.At(rm.Module.XM)
		xs = append(xs, x)
	}
	slices.Sort(xs)
	best, x := math.Inf(1), sc.Tank.LengthM/2
	if len(xs) > 0 {
		x = xs[0]
	}
	for i := 1; i < len(xs); i++ {
		mid := (xs[i-1] + xs[i]) / 2
		ix := int(mid / f.Grid.StepXM)
		if xs[i]-xs[i-1] < 1e-6 || ix < 0 || ix >= f.Grid.NX {
			continue
		}
		var sum float64
		for iy := range f.Grid.NY {
			sum += f.Illuminance[iy*f.Grid.NX+ix]
		}
		if sum < best {
			best, x = sum, mid
		}
	}
	return math.Min(math.Max(x, 0), sc.Tank.LengthM)
}

// edgeRays traces the half-intensity directions of the modules that hang in the slice's plane: all modules of the rails
// at y for the long slice, the nearest module of each rail for the cross slice.
func edgeRays(sc *scene.Scene, b *builder, axis result.SectionAxis, at float64) []result.Ray {
	var rays []result.Ray
	for i := range sc.Rails {
		r := &sc.Rails[i]
		for _, m := range modulesInSlice(r, axis, at) {
			beam, err := b.beam(m.Optic)
			if err != nil {
				continue
			}
			shape, st := b.model.Beams[beam], b.model
			from := space.Point{Z: st.DepthM + r.AboveWaterM}
			from.X, from.Y = r.At(m.XM)
			edges := shape.Edges(0.5)
			angles := [2]float64{-edges.LeftRad, edges.RightRad}
			if axis == result.AcrossY {
				angles = [2]float64{-edges.FrontRad, edges.BackRad}
			}
			for _, angle := range angles {
				s, c := math.Sincos(angle)
				local := space.Vector{X: s, Z: c}
				if axis == result.AcrossY {
					local = space.Vector{Y: s, Z: c}
				}
				if ray, ok := direct.Trace(st, from, r.Frame(&m).World(local)); ok {
					rays = append(rays, ray)
				}
			}
		}
	}
	return rays
}

// modulesInSlice returns the modules that hang in a long slice, or the one nearest to a cross slice.
func modulesInSlice(r *scene.Rail, axis result.SectionAxis, at float64) (list []scene.Module) {
	for _, m := range r.Modules {
		x, y := r.At(m.XM)
		switch {
		case axis == result.AlongX && math.Abs(y-at) <= 1e-3:
			list = append(list, m)
		case axis == result.AcrossY && len(list) > 0:
			if before, _ := r.At(list[0].XM); math.Abs(x-at) < math.Abs(before-at) {
				list[0] = m
			}
		case axis == result.AcrossY:
			list = append(list, m)
		}
	}
	return list
}

// sliceLevels is into how many layers planes cut the water for a slice, glanceLevels for that of a glance.
const (
	sliceLevels  = 6
	glanceLevels = 4
)

// withLevels returns depths of planes with those added between which slices read the rest of the light, of so many layers.
func withLevels(depths []float64, depthM float64, layers int) []float64 {
	list := slices.Clone(depths)
	for i := range layers + 1 {
		level := depthM * float64(i) / float64(layers)
		if i == layers {
			level = depthM // to the last bit
		}
		if !slices.ContainsFunc(list, func(d float64) bool { return sameM(d, level) }) {
			list = append(list, level)
		}
	}
	return list
}

// addToSection adds the rest of the light to a slice, read between planes of some depths.
func addToSection(s *result.Section, rests []restLight, depths []float64) {
	order := make([]int, len(depths))
	for i := range order {
		order[i] = i
	}
	if len(rests) == 0 {
		return
	}
	slices.SortFunc(order, func(a, b int) int { return cmp.Compare(depths[a], depths[b]) })
	lines := make([][2][]float64, len(order))
	for k, plane := range order {
		lines[k] = restAlong(s, rests, plane)
	}
	below := 1
	for iz := range s.NZ {
		depth := (float64(iz) + 0.5) * s.StepZM
		for below < len(order)-1 && depths[order[below]] < depth {
			below++
		}
		above := depths[order[below-1]]
		share := (depth - above) / (depths[order[below]] - above)
		for q, to := range [2][]float64{s.Illuminance, s.PPFD} {
			row := to[iz*s.N:][:s.N]
			floats.AddScaled(row, 1-share, lines[below-1][q])
			floats.AddScaled(row, share, lines[below][q])
		}
	}
}

// restAlong is the rest of the light, in lx and in PPFD, on a plane, by its number, along a slice.
func restAlong(s *result.Section, rests []restLight, plane int) (line [2][]float64) {
	line = [2][]float64{make([]float64, s.N), make([]float64, s.N)}
	for i := range s.N {
		x, y := (float64(i)+0.5)*s.StepM, s.AtM
		if s.Axis == result.AcrossY {
			x, y = y, x
		}
		for r := range rests {
			lux, ppfd := rests[r].at(plane, x, y)
			line[0][i] += lux
			line[1][i] += ppfd
		}
	}
	return line
}

// at is the light on a plane, by its number, at a place.
func (l *restLight) at(plane int, x, y float64) (lux, ppfd float64) {
	if l.mirrored {
		x = l.lengthM - x
	}
	lux, ppfd = l.At(plane, x, y)
	return max(0, lux), max(0, ppfd)
}

// lift lifts light that interpolation has put a little below 0.
func lift(fields ...result.Field) {
	for _, f := range fields {
		for i := range f.Illuminance {
			f.Illuminance[i], f.PPFD[i] = max(0, f.Illuminance[i]), max(0, f.PPFD[i])
		}
	}
}

// addTo adds the light on a plane, by its number.
func (l *restLight) addTo(f *result.Field, plane int) {
	own := l.Field(plane, f.Grid)
	addTimes(f.Illuminance, own.Illuminance, 1, f.Grid.NX, l.mirrored)
	addTimes(f.PPFD, own.PPFD, 1, f.Grid.NX, l.mirrored)
}
