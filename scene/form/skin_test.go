package form

import (
	"math"
	"testing"

	"fathomlux/scene/space"
)

// TestSkins: the cells of a solid's surface make up its area (surfaces of box, cylinder and sphere: closed forms), light
// that falls evenly has the same density everywhere, and what is read at a place is what landed about it.
func TestSkins(t *testing.T) {
	half := space.Vector{X: 0.05, Y: 0.05, Z: 0.05}
	round := 4 * math.Pi * 0.05 * 0.05
	for kind, area := range map[Kind]float64{Box: 6 * 0.01, Cylinder: 1.5 * round, Lying: 1.5 * round, Ellipsoid: round,
		Wedge: 0.01 * (3 + math.Sqrt2)} {
		s := NewSolid(kind, space.Point{X: 0.2, Y: 0.1, Z: 0.1}, half, 0.4)
		k := NewSkin([]Solid{s, s}, 0.01)
		sum, even := 0.0, make([]float64, k.Cells())
		for i := range k.cells {
			sum += k.cells[i].areaM2 / 2
			even[i] = 7 * k.cells[i].areaM2
		}
		if math.Abs(sum/area-1) > 0.002 {
			t.Errorf("%s: cells of %g m2, not %g", Kinds[kind], sum, area)
		}
		for i, v := range k.Density(even, 0.012) {
			if math.Abs(v-7) > 1e-9 {
				t.Fatalf("%s: cell %d has a density of %g", Kinds[kind], i, v)
			}
		}
		heights := make([]float64, k.Cells())
		for i := range heights {
			heights[i] = k.cells[i].at.Z
		}
		for i := range k.cells {
			c := &k.cells[i]
			from := space.Point{X: c.at.X + 0.3*c.normal.X, Y: c.at.Y + 0.3*c.normal.Y, Z: c.at.Z + 0.3*c.normal.Z}
			way, face := s.First(from, space.Vector{X: -c.normal.X, Y: -c.normal.Y, Z: -c.normal.Z})
			at := space.Point{X: from.X - way*c.normal.X, Y: from.Y - way*c.normal.Y, Z: from.Z - way*c.normal.Z}
			solid := 2 * i / k.Cells()
			if got := k.At(solid, face, at); got != i {
				t.Fatalf("%s: cell %d at its middle is cell %d", Kinds[kind], i, got)
			}
			if got := k.Between(heights, solid, face, at); math.Abs(got-c.at.Z) > 0.001 {
				t.Fatalf("%s: at a height of %g m reads %g", Kinds[kind], c.at.Z, got)
			}
		}
	}
}

// TestSkinsOfRoundThingsHaveNoSeam: along a meridian of a sphere what is read does not jump where its halves meet, nor where
// the turn begins.
func TestSkinsOfRoundThingsHaveNoSeam(t *testing.T) {
	half := space.Vector{X: 0.05, Y: 0.05, Z: 0.05}
	for _, kind := range []Kind{Ellipsoid, Lying} {
		s := NewSolid(kind, space.Point{}, half, 0)
		k := NewSkin([]Solid{s}, 0.01)
		values := make([]float64, k.Cells())
		for i := range values {
			values[i] = k.cells[i].at.Z + 2*k.cells[i].at.Y
		}
		read := func(angle float64) float64 { // in a plane across x
			d := space.Vector{Y: math.Cos(angle), Z: math.Sin(angle)}
			way, face := s.First(space.Point{Y: d.Y, Z: d.Z}, space.Vector{Y: -d.Y, Z: -d.Z})
			return k.Between(values, 0, face, space.Point{Y: d.Y * (1 - way), Z: d.Z * (1 - way)})
		}
		for _, seam := range []float64{0, math.Pi} {
			if jump := math.Abs(read(seam+1e-6) - read(seam-1e-6)); jump > 1e-4 {
				t.Errorf("%s: reads %g apart on both sides of the seam at %g", Kinds[kind], jump, seam)
			}
		}
	}
}
