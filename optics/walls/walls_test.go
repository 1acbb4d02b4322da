package walls_test

import (
	"math"
	"testing"

	"fathomlux/optics/stack"
	"fathomlux/optics/walls"

	"pgregory.net/rapid"
)

const deg = math.Pi / 180

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.12g, want %.12g within %g", what, got, want, tolerance)
	}
}

var glass = walls.Wall{Kind: walls.Glass, Index: 1.52}

// TestGlassUnderWater: mean reflectance of water 1.333, glass 1.52, air, lossless, by angle in the water, and all of it beyond
// 48.607 deg whatever the glass (C21). Digits are the print's.
func TestGlassUnderWater(t *testing.T) {
	for angle, want := range map[float64]float64{0: .04652, 20: .04754, 30: .05387, 40: .09162, 45: .18439, 48: .47404} {
		cosAir := 1.333 * math.Cos(angle*deg)
		near(t, "reflectance", glass.InWater(cosAir, 1.333), want, 5.1e-6)
		near(t, "table", walls.NewTable(glass, 1.333).Water(cosAir), want, 5.1e-6)
	}
	for _, n := range []float64{1.4, 1.49, 1.52, 1.7} {
		plate := walls.Wall{Kind: walls.Glass, Index: n}
		near(t, "beyond", plate.InWater(1.333*math.Cos(48.607*deg), 1.333), 1, 0)
		if within := plate.InWater(1.333*math.Cos(48.59*deg), 1.333); !(within > 0.5 && within < 1) {
			t.Errorf("n %g, just within the critical angle: %g", n, within)
		}
	}
}

// TestGlassInAir: one minus the transmittance of the lossless pane of n = 1.52 from 10 to 80 deg (C17), and 2n/(n^2+1) of it
// at normal incidence (C16).
func TestGlassInAir(t *testing.T) {
	for i, clear := range []float64{.91829, .91790, .91596, .90946, .89116, .84347, .72471, .45604} {
		near(t, "reflectance", glass.InAir(math.Cos(float64(i+1)*10*deg)), 1-clear, 5.1e-6)
	}
	near(t, "normal", glass.InAir(1), 1-2*1.52/(1.52*1.52+1), 1e-15)
	near(t, "grazing", glass.InAir(0), 1, 0)
}

// TestAgainstPane: above the water, and under water of index 1, a wall is a lossless pane.
func TestAgainstPane(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.Float64Range(1.01, 1.9).Draw(t, "n")
		cos := rapid.Float64Range(0, 1).Draw(t, "cos")
		_, _, rs, rp := stack.Pane{ThicknessM: 0.01, Index: n}.Polarised(cos)
		want := (rs + rp) / 2
		plate := walls.Wall{Kind: walls.Glass, Index: n}
		if got := plate.InAir(cos); math.Abs(got-want) > 1e-14 {
			t.Fatalf("n %g at %g: in air %g, pane %g", n, cos, got, want)
		}
		if got := plate.InWater(cos, 1); math.Abs(got-want) > 1e-14 {
			t.Fatalf("n %g at %g: in water of index 1 %g, pane %g", n, cos, got, want)
		}
	})
}

// TestSlabUnderWater sums the first reflections between water-glass and glass-air one by one.
func TestSlabUnderWater(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.Float64Range(1.34, 1.9).Draw(t, "n")
		water := rapid.Float64Range(1.2, 1.34).Draw(t, "n water")
		cosAir := math.Sqrt(water*water-1) + (1-math.Sqrt(water*water-1))*rapid.Float64Range(0.01, 1).Draw(t, "above the kink")
		cosWater := cosAir / water
		cosGlass := math.Sqrt(1 - (1-cosWater*cosWater)*water*water/(n*n))
		s1, p1 := stack.Fresnel(water, n, cosWater)
		s2, p2 := stack.Fresnel(n, 1, cosGlass)
		sum := 0.0
		for _, r := range [][2]float64{{s1, s2}, {p1, p2}} {
			sum += r[0]
			inside := (1 - r[0]) * r[1]
			for range 200 {
				sum += inside * (1 - r[0])
				inside *= r[0] * r[1]
			}
		}
		if got := (walls.Wall{Kind: walls.Glass, Index: n}).InWater(cosAir, water); math.Abs(got-sum/2) > 1e-10 {
			t.Fatalf("n %g, water %g at %g: %g, summed %g", n, water, cosAir, got, sum/2)
		}
	})
}

// TestCosinesBeyondOneCountAsOne: what rounding puts beyond straight on is straight on.
func TestCosinesBeyondOneCountAsOne(t *testing.T) {
	t.Parallel()
	for _, w := range []walls.Wall{{Kind: walls.Glass, Index: 1.49}, {Kind: walls.Glass, Index: 1.52}} {
		if got, want := w.InAir(1.02), w.InAir(1); got != want {
			t.Errorf("index %g: %g, straight on %g", w.Index, got, want)
		}
	}
}

func TestOtherWalls(t *testing.T) {
	mirror, diffuse := walls.Wall{Kind: walls.Mirror, Reflectance: 0.9}, walls.Wall{Kind: walls.Diffuse, Reflectance: 0.9}
	mirrorTable, diffuseTable := walls.NewTable(mirror, 1.333), walls.NewTable(diffuse, 1.333)
	for c := 0.0; c <= 1; c += 1.0 / 64 {
		near(t, "mirror in air", mirror.InAir(c), 0.9, 0)
		near(t, "mirror in water", mirror.InWater(c, 1.333), 0.9, 0)
		near(t, "mirror's table in air", mirrorTable.Air(c), 0.9, 1e-15)
		near(t, "mirror's table in water", mirrorTable.Water(c), 0.9, 0)
		near(t, "diffuse", diffuse.InAir(c)+diffuse.InWater(c, 1.333)+diffuseTable.Air(c)+diffuseTable.Water(c), 0, 0)
	}
}
