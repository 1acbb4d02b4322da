package direct

import (
	"math"
	"slices"
	"testing"

	"fathomlux/optics/beam"
	"fathomlux/optics/result"
	"fathomlux/scene/space"
)

// TestCellsAreMeans: cells of 20 and 10 mm hold the mean of the light at 1 mm, at edges of shadows too, with the modules
// together and one alone; the light at their centres does not. One box goes across the tank, the other stands in it.
func TestCellsAreMeans(t *testing.T) {
	t.Parallel()
	s := tank(t)
	s.Boxes = []space.Box{{Min: space.Point{X: 0.5, Y: 0, Z: 0.46}, Max: space.Point{X: 0.563, Y: 0.4, Z: 0.48}},
		{Min: space.Point{X: 0.2, Y: 0.12, Z: 0.2}, Max: space.Point{X: 0.273, Y: 0.227, Z: 0.31}}}
	for i, x := range []float64{0.3, 0.55, 0.9} {
		hang(s, x, 0.15+0.03*float64(i), 0.15)
	}
	e := engine(t, s)
	const depthM, fineM = 0.42, 1e-3
	fine := result.NewGrid(1.2, 0.4, fineM)
	fine.Points = true
	for name, field := range map[string]func(g result.Grid) result.Field{
		"plane": func(g result.Grid) result.Field { return plane(t, e, depthM, g) },
		"bench": func(g result.Grid) result.Field {
			return fieldOf(e.Bench(depthM, g), e.model.Sources[:1], e.Orders(), 1)
		},
	} {
		exact := field(fine)
		for _, stepM := range []float64{0.02, 0.01} {
			g := result.NewGrid(1.2, 0.4, stepM)
			means, k := newField(g), int(math.Round(stepM/fineM))
			for i, v := range exact.Illuminance {
				means.Illuminance[i/fine.NX/k*g.NX+i%fine.NX/k] += v / float64(k*k)
			}
			worst := func(f result.Field) (off float64) {
				peak := 0.0
				for i, v := range means.Illuminance {
					peak, off = max(peak, v), max(off, math.Abs(f.Illuminance[i]-v))
				}
				return off / peak
			}
			points := g
			points.Points = true
			if got, centres := worst(field(g)), worst(field(points)); got > 0.05 || centres < 4*got {
				t.Errorf("%s at %g m: off by %.2g of the brightest cell, centres by %.2g", name, stepM, got, centres)
			}
		}
	}
}

// TestEdgesAlongARow: where the side of a box, or the edge of its shadow, runs along a row of cells, these hold the mean of
// the light at 1 mm over what is free, to 3 % of the brightest cell; the source is a point, whose shadows are sharp.
func TestEdgesAlongARow(t *testing.T) {
	t.Parallel()
	const k = 20
	fine, g := result.NewGrid(1.2, 0.4, 1e-3), result.NewGrid(1.2, 0.4, 1e-3*k)
	fine.Points = true
	for name, box := range map[string]space.Box{
		"on the plane":  {Min: space.Point{X: 0.42, Y: 0.2035}, Max: space.Point{X: 0.6, Y: 0.31, Z: 0.2}},
		"over it":       {Min: space.Point{X: 0.42, Y: 0.2035, Z: 0.1}, Max: space.Point{X: 0.6, Y: 0.31, Z: 0.2}},
		"small over it": {Min: space.Point{X: 0.42, Y: 0.2035, Z: 0.05}, Max: space.Point{X: 0.46, Y: 0.218, Z: 0.2}},
	} {
		s := tank(t)
		s.Boxes, s.Walls = []space.Box{box}, glass
		hang(s, 0.5, 0.2085, 0.15)
		e := engine(t, s)
		exact, counts := newField(g), make([]float64, g.Cells())
		for i, v := range plane(t, e, s.DepthM, fine).Illuminance {
			x, y, cell := fine.CentreX(i%fine.NX), fine.CentreY(i/fine.NX), i/fine.NX/k*g.NX+i%fine.NX/k
			if box.Min.Z > 0 || x < box.Min.X || x > box.Max.X || y < box.Min.Y || y > box.Max.Y {
				exact.Illuminance[cell], counts[cell] = exact.Illuminance[cell]+v, counts[cell]+1
			}
		}
		for by, field := range map[string]result.Field{"plane": plane(t, e, s.DepthM, g),
			"bench": fieldOf(e.Bench(s.DepthM, g), e.model.Sources, e.Orders(), 1)} {
			for i, v := range field.Illuminance {
				if mean := exact.Illuminance[i] / counts[i]; counts[i] > k*k/4 && math.Abs(v-mean) > 0.03*slices.Max(field.Illuminance) {
					t.Errorf("%s, %s: cell at %.3f, %.3f has %.1f lx, its free points %.1f", name, by, g.CentreX(i%g.NX),
						g.CentreY(i/g.NX), v, mean)
				}
			}
		}
	}
}

// TestFarCellsAreMeans: where cells are wide beside the height of a lamp they hold the mean of the light at a tenth of
// their size, under the lamp as well as far from it, where they are cut into fewer pieces, and by walls of glass that
// begin to return all light, and end, within cells.
func TestFarCellsAreMeans(t *testing.T) {
	t.Parallel()
	s := tank(t)
	s.LengthM, s.WidthM, s.Walls = 3, 2, glass
	s.Beams[0] = shape(t, beam.Shape{BeamRad: 40 * deg, StrayShare: 0.3})
	lamp := hang(s, 0.61, 0.43, 0.15).Position
	e := engine(t, s)
	const depthM, stepM = 0.2, 0.05
	g := result.NewGrid(s.LengthM, s.WidthM, stepM)
	c := e.prepare(depthM).cuttingOf(g, e.model.Sources[:1], false)
	if !(c.far < c.near && c.farM < s.WidthM/2) {
		t.Fatalf("cells are cut into %+v: nothing is far", c)
	}
	fine := result.NewGrid(s.LengthM, s.WidthM, stepM/10)
	fine.Points = true
	exact, got := plane(t, e, depthM, fine), plane(t, e, depthM, g)
	means, worst, most, sum, want := newField(g), 0.0, 0.0, 0.0, 0.0
	for i, v := range exact.Illuminance {
		means.Illuminance[i/fine.NX/10*g.NX+i%fine.NX/10] += v / 100
	}
	peak := slices.Max(means.Illuminance)
	for i, v := range means.Illuminance {
		off := math.Abs(got.Illuminance[i] - v)
		if worst = max(worst, off); math.Hypot(g.CentreX(i%g.NX)-lamp.X, g.CentreY(i/g.NX)-lamp.Y) > c.farM {
			most = max(most, off/(v+1e-4*peak))
		}
		sum, want = sum+got.Illuminance[i], want+v
	}
	t.Logf("worst %.2g of the brightest cell and %.2g of itself, if far, mean %.2g", worst/peak, most, sum/want-1)
	if worst > 1e-3*peak || most > 0.025 || math.Abs(sum/want-1) > 5e-5 {
		t.Errorf("off by %.2g of the brightest cell and %.2g of itself, if far, the mean by %.2g", worst/peak, most, sum/want-1)
	}
}

// TestEdgesOfWallsAreMeans: behind walls of glass, which begin and end to return light within cells of 20 mm, these hold the
// mean of the light at 1 mm to 1.5 % of the brightest; the light at their middles does not.
func TestEdgesOfWallsAreMeans(t *testing.T) {
	t.Parallel()
	const k = 20
	s := tank(t)
	s.Walls = glass
	s.Beams[0] = shape(t, beam.Shape{BeamRad: 120 * deg})
	hang(s, 0.313, 0.17, 0.15)
	e := engine(t, s)
	fine, g := result.NewGrid(1.2, 0.4, 1e-3), result.NewGrid(1.2, 0.4, 1e-3*k)
	fine.Points = true
	means := newField(g)
	for i, v := range plane(t, e, s.DepthM, fine).Illuminance {
		means.Illuminance[i/fine.NX/k*g.NX+i%fine.NX/k] += v / (k * k)
	}
	worst := func(f result.Field) (off float64) {
		for i, v := range means.Illuminance {
			off = max(off, math.Abs(f.Illuminance[i]-v)/slices.Max(means.Illuminance))
		}
		return off
	}
	points := g
	points.Points = true
	middles := worst(plane(t, e, s.DepthM, points))
	for by, off := range map[string]float64{"plane": worst(plane(t, e, s.DepthM, g)),
		"bench": worst(fieldOf(e.Bench(s.DepthM, g), e.model.Sources, e.Orders(), 1))} {
		t.Logf("%s: off by %.2g of the brightest cell, middles by %.2g", by, off, middles)
		if off > 0.015 || middles < 3*off {
			t.Errorf("%s: off by %.2g of the brightest cell, middles by %.2g", by, off, middles)
		}
	}
}
