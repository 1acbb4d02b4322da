package walls_test

import (
	"math"
	"testing"

	"fathomlux/optics/walls"
)

// film returns the wall of T1 to T6.
func film(share float64) walls.Wall {
	return walls.Wall{Kind: walls.Film, Index: 1.52, Reflectance: share}
}

// TestFilmBehindAGap holds what comes back in all against T1 to T6 of the worked examples, which were recomputed by Fresnel's
// equations at both faces of the pane; digits are the print's.
func TestFilmBehindAGap(t *testing.T) {
	t.Parallel()
	for angle, want := range map[float64][3]float64{0: {0.046519, 0.115832, 0.594660}, 20: {0.047541, 0.116780, 0.595094},
		40: {0.091616, 0.157651, 0.613831}, 48: {0.474041, 0.512276, 0.776406}, 60: {1, 1, 1}} {
		cosAir := 1.333 * math.Cos(angle*deg)
		for i, share := range []float64{0.08, 0.6} {
			table, matt := walls.NewTable(film(share), 1.333), film(share).NewMatt(1.333)
			back := table.Water(cosAir)
			near(t, "mirrored", back, want[0], 1.1e-6)
			near(t, "in all", back+table.PastWater(cosAir, back)*matt.Share, want[1+i], 1.1e-6)
		}
	}
	for share, want := range map[float64]float64{0.08: 0.529518, 0.6: 0.784311} { // T6, light from all sides of the water
		table, matt := walls.NewTable(film(share), 1.333), film(share).NewMatt(1.333)
		sum := 0.0
		for i := range 20000 {
			back := table.Water(1.333 * math.Sqrt((float64(i)+0.5)/20000))
			sum += (back + table.PastWater(1, back)*matt.Share) / 20000
		}
		near(t, "diffuse light", sum, want, 2e-6)
	}
}

// TestFilmSendsIntoTheCone: T7, and that the directions are those of Lambert's light in the gap after the plate: the mean of the
// square of the sine by another quadrature. T8: film of no reflectance is bare glass.
func TestFilmSendsIntoTheCone(t *testing.T) {
	t.Parallel()
	for _, n := range []float64{1, 1.333} {
		matt, all, want := film(0.3).NewMatt(n), 0.0, 0.0
		for i := range 200000 { // even in the square of the sine in the gap
			sin2 := (float64(i) + 0.5) / 200000
			through := 1 - glass.InWater(n*math.Sqrt(1-sin2/(n*n)), n)
			all, want = all+through, want+through*sin2/(n*n)
		}
		mean, last := 0.0, 0.0
		for i := range 10000 {
			s := matt.Sin2((float64(i) + 0.5) / 10000)
			if mean += s / 10000; s < last || s > 1/(n*n) {
				t.Fatalf("index %g: square of the sine %g after %g", n, s, last)
			}
			last = s
		}
		near(t, "mean square of the sine", mean, want/all, 1e-5)
	}
	near(t, "no film", film(0).NewMatt(1.333).Share, 0, 0)
	if glass.NewMatt(1) != nil || walls.NewTable(film(0), 1.333).Water(1.2) != walls.NewTable(glass, 1.333).Water(1.2) {
		t.Error("film of no reflectance is not bare glass")
	}
}

// TestDirtAndThickPanes: dirt takes its share of all; a plate that absorbs loses light on both ways where it returns all by total
// reflection, and what comes back, gets through and is absorbed are the whole.
func TestDirtAndThickPanes(t *testing.T) {
	t.Parallel()
	cosAir := 1.333 * math.Cos(60*deg)
	dirty := film(0.6)
	dirty.Lost = 0.2
	table := walls.NewTable(dirty, 1.333)
	near(t, "dirt, mirrored", table.Water(cosAir), 0.8, 0)
	near(t, "dirt, in air", table.Air(0.7), 0.8*glass.InAir(0.7), 1e-6)
	near(t, "dirt, past", table.PastWater(1.333, table.Water(1.333)), 0.8*(1-glass.InWater(1.333, 1.333)), 1e-6)
	thick := film(0.6)
	thick.Depth = 0.05
	table = walls.NewTable(thick, 1.333)
	passage := math.Exp(-0.05 / math.Sqrt(1-math.Pow(1.333*math.Sin(60*deg)/1.52, 2)))
	inner := 0.5 // of the inner face alone, by polarisation
	s, p := fresnel(1.333, 1.52, math.Cos(60*deg))
	want := 0.0
	for _, r := range []float64{s, p} {
		want += inner * (r + (1-r)*(1-r)*passage*passage/(1-r*passage*passage))
	}
	near(t, "thick, total", table.Water(cosAir), want, 1e-6)
	if _, ok := table.Total(cosAir); ok {
		t.Error("a plate that absorbs returns all alike")
	}
	near(t, "thick, past", table.PastWater(cosAir, want), 0, 0)
	near(t, "thick, straight on", table.PastWater(1.333, 0), (1-0.0042962)*(1-0.04258)*math.Exp(-0.05)/(1-0.0042962*0.04258*math.Exp(-0.1)), 1e-6) // faces of Q2
	if lossless, kept := film(0.6).NewMatt(1.333).Share, thick.NewMatt(1.333).Share; !(kept < 0.97*lossless && kept > 0.9*lossless) {
		t.Errorf("film behind a thick plate sends back %g, behind a thin one %g", kept, lossless)
	}
}

// TestGloss: a smooth face of paint returns Fresnel's share, and the paint the rest.
func TestGloss(t *testing.T) {
	t.Parallel()
	w := walls.Wall{Kind: walls.Diffuse, Reflectance: 0.5, Index: 1.52}
	table := walls.NewTable(w, 1.333)
	for _, angle := range []float64{0, 30, 60, 80, 88} {
		s, p := fresnel(1.333, 1.52, math.Cos(angle*deg))
		back := table.Water(1.333 * math.Cos(angle*deg))
		near(t, "face", back, (s+p)/2, 1e-6)
		near(t, "past", table.PastWater(1.333*math.Cos(angle*deg), back), 1-back, 1e-15)
	}
	if share, ok := table.Total(0.1); ok {
		t.Error("gloss returns all alike:", share)
	}
}

// fresnel are both reflectances of a face by the angles on both sides, another form of stack.Fresnel.
func fresnel(n1, n2, cos float64) (s, p float64) {
	a := math.Acos(cos)
	b := math.Asin(n1 / n2 * math.Sin(a))
	if a == 0 {
		return math.Pow((n1-n2)/(n1+n2), 2), math.Pow((n1-n2)/(n1+n2), 2)
	}
	return math.Pow(math.Sin(a-b)/math.Sin(a+b), 2), math.Pow(math.Tan(a-b)/math.Tan(a+b), 2)
}
