package beam_test

import (
	"math"
	"strings"
	"testing"

	"fathomlux/optics/beam"
	"fathomlux/scene/photometry"
	"fathomlux/scene/space"

	"gonum.org/v1/gonum/integrate/quad"
	"pgregory.net/rapid"
)

// inDeg is a distribution with its angles in degrees.
func inDeg(theta, phi []float64, candela ...[]float64) photometry.Distribution {
	d := photometry.Distribution{Candela: candela}
	for _, deg := range theta {
		d.Theta = append(d.Theta, deg*math.Pi/180)
	}
	for _, deg := range phi {
		d.Phi = append(d.Phi, deg*math.Pi/180)
	}
	return d
}

func mustMeasure(t testing.TB, d photometry.Distribution, stray float64) *beam.Beam {
	t.Helper()
	b, err := beam.Measured(d, stray)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// leaning has no symmetry but that about the rail, and some light behind the module.
var leaning = inDeg([]float64{0, 30, 60, 100}, []float64{0, 90, 180, 270, 360},
	[]float64{400, 300, 100, 40}, []float64{400, 200, 50, 20}, []float64{400, 120, 20, 0}, []float64{400, 200, 50, 20}, []float64{400, 300, 100, 40})

// TestMeasuredIsBilinear: values at the angles, half way in both angles (by hand), and nothing behind.
func TestMeasuredIsBilinear(t *testing.T) {
	b := mustMeasure(t, leaning, 0)
	perCd := b.CentrePerLumen() / 400
	for _, c := range [][3]float64{{0, 0, 400}, {30, 0, 300}, {30, 90, 200}, {30, 180, 120}, {30, 270, 200}, {45, 45, 162.5}, {45, 315, 162.5}, {80, 180, 10}, {30, 359.999, 300}, {95, 0, 0}, {180, 0, 0}} {
		d := towards(c[0]*deg, c[1]*deg)
		near(t, "exact", b.PerLumen(d)/perCd, c[2], 2e-3)
		near(t, "fast", b.Fast(d)/perCd, c[2], 2e-3)
	}
	if b.Round() || b.PeakPerLumen() != b.CentrePerLumen() {
		t.Error("a leaning beam is round, or its peak is elsewhere")
	}
	e := b.Edges(0.5)
	near(t, "right", e.RightRad, 45*deg, 1e-9)
	near(t, "left", e.LeftRad, 30*200.0/280*deg, 1e-9)
	near(t, "back", e.BackRad, 30*deg, 1e-9)
	near(t, "front", e.FrontRad, 30*deg, 1e-9)
	along, across := b.FullAngles(0.5)
	near(t, "along", along, e.RightRad+e.LeftRad, 0)
	near(t, "across", across, 60*deg, 1e-9)
}

// TestMeasuredLight: before the module there is ShareWithin of the light, integrated here in other coordinates; the rest,
// from 90 to 100 degrees, is kept in the normalisation.
func TestMeasuredLight(t *testing.T) {
	b := mustMeasure(t, leaning, 0)
	ring := func(theta float64) float64 {
		return math.Sin(theta) * quad.Fixed(func(phi float64) float64 { return b.PerLumen(towards(theta, phi)) }, 0, math.Pi/2, 8, quad.Legendre{}, 0)
	}
	other := func(theta float64) float64 {
		return math.Sin(theta) * quad.Fixed(func(phi float64) float64 { return b.PerLumen(towards(theta, phi)) }, math.Pi/2, math.Pi, 8, quad.Legendre{}, 0)
	}
	sum := 0.0
	for _, c := range [][2]float64{{0, 30}, {30, 60}, {60, 90}} {
		sum += 2 * quad.Fixed(func(x float64) float64 { return ring(x) + other(x) }, c[0]*deg, c[1]*deg-1e-12, 20, quad.Legendre{}, 0)
		near(t, "share within", b.ShareWithin(c[1]*deg), sum, 1e-9)
	}
	near(t, "beyond 90", b.ShareWithin(3), b.ShareWithin(math.Pi/2), 0)
	if sum > 0.98 || sum < 0.8 {
		t.Errorf("%g of the light lies before the module", sum)
	}
}

// TestMeasuredStray: a stray share turns as much of the light into a Lambertian.
func TestMeasuredStray(t *testing.T) {
	plain := mustMeasure(t, leaning, 0)
	b := mustMeasure(t, leaning, 0.25)
	d := towards(0.4, 1)
	near(t, "mixture", b.PerLumen(d), 0.75*plain.PerLumen(d)+0.25*d.Z/math.Pi, 1e-12)
	near(t, "share", b.ShareWithin(0.7), 0.75*plain.ShareWithin(0.7)+0.25*math.Pow(math.Sin(0.7), 2), 1e-12)
}

// TestMeasuredRound: one row, or rows that are all the same, make a round beam that ends where the table does.
func TestMeasuredRound(t *testing.T) {
	row, theta := []float64{50, 100, 40, 0}, []float64{0, 10, 20, 85}
	a, b := mustMeasure(t, inDeg(theta, []float64{0}, row), 0), mustMeasure(t, inDeg(theta, []float64{0, 360}, row, row), 0)
	for theta := 0.0; theta < 1.57; theta += 0.01 {
		near(t, "round", b.PerLumen(towards(theta, 0)), a.PerLumen(towards(theta, 2)), 1e-12)
	}
	if !a.Round() || !b.Round() {
		t.Error("a round beam is not")
	}
	near(t, "peak off the axis", a.PeakPerLumen(), 2*a.CentrePerLumen(), 1e-12)
	if i := a.PerLumen(towards(85.001*deg, 0)); i != 0 {
		t.Errorf("%g beyond the table", i)
	}
	along, _ := a.FullAngles(0.5) // half of the centre-beam intensity, 25, lies beyond 20 deg: 20 + 65*15/40
	near(t, "beam", along, 2*(20+65*15.0/40)*deg, 1e-9)
	near(t, "whole", a.ShareWithin(math.Pi/2), 1, 1e-12)
	dark := mustMeasure(t, inDeg([]float64{0, 30, 60}, []float64{0}, []float64{0, 9, 1}), 0)
	if x, y := dark.FullAngles(0.5); x != 0 || y != 0 {
		t.Errorf("a beam with a dark middle has the angles %g, %g", x, y)
	}
}

// TestMeasuredNearTheHorizon: light just before 90 degrees counts as light before the module, as its peak, and as its edge.
func TestMeasuredNearTheHorizon(t *testing.T) {
	flat := mustMeasure(t, inDeg([]float64{0, 88, 90}, []float64{0}, []float64{0, 0, 100}), 0)
	near(t, "light before the module", flat.ShareWithin(math.Pi/2), 1, 1e-12)
	ring := mustMeasure(t, inDeg([]float64{0, 88, 89, 90}, []float64{0}, []float64{1, 1, 100, 50}), 0)
	near(t, "peak", ring.PeakPerLumen()/ring.CentrePerLumen(), 100, 1e-9)
	if along, across := ring.FullAngles(0.5); along != math.Pi || across != math.Pi {
		t.Errorf("a beam that is bright to its rim has the angles %g, %g", along, across)
	}
}

// anyTable draws a table with sudden changes, of any symmetry.
func anyTable(t *rapid.T) (photometry.Distribution, float64) {
	list := func(name string, last float64) []float64 {
		out := []float64{0}
		for range rapid.IntRange(0, 12).Draw(t, name) {
			if next := out[len(out)-1] + rapid.Float64Range(0.5, 40).Draw(t, "step"); next < last-0.5 {
				out = append(out, next)
			}
		}
		return append(out, last)
	}
	theta, phi := list("vertical", rapid.SampledFrom([]float64{20, 85, 90, 180}).Draw(t, "last")), []float64{0}
	if rapid.Bool().Draw(t, "not round") {
		phi = list("horizontal", 360)
	}
	var rows [][]float64
	for range phi {
		row := make([]float64, len(theta))
		for v := range row {
			row[v] = rapid.SampledFrom([]float64{0, 1, 100, 1000}).Draw(t, "cd")
		}
		row[0] = 500
		rows = append(rows, row)
	}
	return inDeg(theta, phi, rows...), rapid.SampledFrom([]float64{0, 0, 0.1, 1}).Draw(t, "stray")
}

// TestMeasuredLaws: no direction is negative or above the peak, the tables hold to 2e-6 of the peak (but where the
// last angle ends it), and shares grow to 1 and no further.
func TestMeasuredLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		table, stray := anyTable(t)
		b, err := beam.Measured(table, stray)
		if err != nil {
			t.Fatal(err)
		}
		end, peak := table.Theta[len(table.Theta)-1], b.PeakPerLumen()
		within := 0.0
		for i := range 90 {
			theta := float64(i+1) * deg * rapid.Float64Range(0.98, 1).Draw(t, "theta")
			d := towards(theta, rapid.Float64Range(-7, 7).Draw(t, "phi"))
			exact, fast := b.PerLumen(d), b.Fast(d)
			if math.Abs(theta-end) > 1e-6 && !(math.Abs(exact-fast) <= 2e-6*peak) {
				t.Fatalf("fast %g, exact %g of %g at %g", fast, exact, peak, theta)
			}
			if !(exact >= 0 && fast >= 0 && exact <= peak*(1+1e-9)) {
				t.Fatalf("%g and %g of %g", exact, fast, peak)
			}
			share := b.ShareWithin(float64(i+1) * deg)
			if share < within || share > 1+1e-12 {
				t.Fatalf("share %g after %g", share, within)
			}
			within = share
		}
	})
}

// TestPeakBetweenAngles: a table that rises from nothing, on stray light that falls from the aim, has its peak between its two
// angles; a scan of directions finds it.
func TestPeakBetweenAngles(t *testing.T) {
	b := mustMeasure(t, inDeg([]float64{0, 180}, []float64{0}, []float64{0, 1000}), 0.1)
	scanned := 0.0
	for i := range 9001 {
		scanned = math.Max(scanned, b.PerLumen(towards(float64(i)*0.01*deg, 0)))
	}
	if b.PeakPerLumen() <= b.CentrePerLumen() {
		t.Errorf("peak %g, centre %g", b.PeakPerLumen(), b.CentrePerLumen())
	}
	near(t, "peak", b.PeakPerLumen(), scanned, 1e-8*scanned) // half a step off the top costs less than that
}

// TestMeasuredOnTheAxes: where an arc function changes its branch, and just beside it.
func TestMeasuredOnTheAxes(t *testing.T) {
	b := mustMeasure(t, leaning, 0)
	for _, x := range []float64{0, 1e-300, 1e-12, -1e-12, 0.5, -0.5} {
		for _, y := range []float64{0, 1e-300, -1e-300, 1e-12, 0.5, -0.5} {
			d := space.Vector{X: x, Y: y, Z: math.Sqrt(1 - x*x - y*y)}
			near(t, "fast", b.Fast(d), b.PerLumen(d), 2e-6*b.PeakPerLumen())
		}
	}
}

func TestMeasuredRefuses(t *testing.T) {
	behind := inDeg([]float64{90, 120, 180}, []float64{0}, []float64{5, 5, 5})
	if _, err := beam.Measured(behind, 0); err == nil || !strings.Contains(err.Error(), "no light within 90°") {
		t.Errorf("light behind the module alone: %v", err)
	}
}

func BenchmarkFastMeasured(b *testing.B) {
	shape := mustMeasure(b, leaning, 0)
	var directions [1024]space.Vector
	for i := range directions {
		directions[i] = towards(float64(i)/1024*1.2, float64(i)*0.7)
	}
	sum := 0.0
	for i := 0; b.Loop(); i++ {
		sum += shape.Fast(directions[i&1023])
	}
	if !(sum >= 0) {
		b.Fatal(sum)
	}
}
