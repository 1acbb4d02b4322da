package water

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestRefractiveIndex(t *testing.T) {
	// Recomputed from Quan & Fry 1995 to six digits after the point.
	for _, c := range []struct{ nm, temperatureC, salinity, want float64 }{
		{400, 0, 0, 1.344231}, {500, 20, 0, 1.336445}, {550, 25, 0, 1.333845}, {589.3, 20, 0, 1.333004},
		{589.3, 25, 0, 1.332514}, {650, 25, 35, 1.337116}, {700, 30, 35, 1.335322},
		{550, 0, 0, 1.335300}, {550, 10, 0, 1.335021}, {550, 20, 0, 1.334338}, {550, 30, 0, 1.333251},
		{550, 25, 35, 1.340238},
	} {
		name := fmt.Sprintf("n(%g nm, %g C, %g g/kg)", c.nm, c.temperatureC, c.salinity)
		within(t, name, refractiveIndex(c.nm, c.temperatureC, c.salinity), c.want, 5.1e-7)
	}
}

func TestIndexAgainstOthers(t *testing.T) {
	for _, c := range []struct {
		nm, want, tolerance float64
		source              string
	}{
		{400, 1.343177, 4e-5, "Daimon & Masumura 2007 over air"},
		{450, 1.339233, 4e-5, "Daimon & Masumura 2007 over air"},
		{500, 1.336423, 4e-5, "Daimon & Masumura 2007 over air"},
		{550, 1.334313, 4e-5, "Daimon & Masumura 2007 over air"},
		{650, 1.331299, 4e-5, "Daimon & Masumura 2007 over air"},
		{700, 1.330151, 4e-5, "Daimon & Masumura 2007 over air"},
		{380, 1.34524, 7.5e-5, "the same, outside the fit: 7e-5 above"},
		{589.3, 1.33299, 1.5e-5, "handbook value for the sodium line: the fit runs 1.4e-5 above"},
	} {
		within(t, fmt.Sprintf("n(%g nm, 20 C), %s", c.nm, c.source), refractiveIndex(c.nm, 20, 0), c.want, c.tolerance)
	}
}

func TestAirIndex(t *testing.T) {
	// Ciddor 1996, dry air at 15 C; seven digits.
	for _, c := range []struct{ nm, want float64 }{
		{589.3, 1.0002771}, {380, 1.0002839}, {400, 1.0002828}, {440, 1.0002809}, {480, 1.0002795},
	} {
		within(t, fmt.Sprintf("air at %g nm", c.nm), airIndex(c.nm), c.want, 5.1e-8)
	}
}

func TestSurfaceOfTheWater(t *testing.T) {
	n := New(Constituents{}, 25, 0).Index()
	critical := math.Asin(1/n) * 180 / math.Pi
	within(t, "critical angle at 550 nm and 25 C, closed form", critical, 48.565, 0.0005)
	within(t, "critical angle, textbook", critical, 48.6, 0.05)
	within(t, "Fresnel at normal incidence", math.Pow((n-1)/(n+1), 2), 0.02046, 5e-6)
}

func TestIndexLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) { // shorter waves and more salt bend more, warmer water bends less
		nm := rapid.Float64Range(380, 779).Draw(t, "nm")
		temperatureC := rapid.Float64Range(1, 34).Draw(t, "temperature_c")
		salinity := rapid.Float64Range(0, 39).Draw(t, "salinity_g_per_kg")
		n := refractiveIndex(nm, temperatureC, salinity)
		if n < 1.32 || n > 1.36 {
			t.Fatalf("n = %g", n)
		}
		if refractiveIndex(nm+1, temperatureC, salinity) >= n || refractiveIndex(nm, temperatureC+1, salinity) >= n ||
			refractiveIndex(nm, temperatureC, salinity+1) <= n {
			t.Fatalf("n(%g nm, %g C, %g g/kg) does not fall with wavelength and warmth and rise with salt",
				nm, temperatureC, salinity)
		}
	})
}

func ExampleBody_Index() { // X. Quan, E. S. Fry 1995, Applied Optics 34, 3477-3480, at 550 nm, 25 C, fresh
	fmt.Printf("%.6f\n", New(Constituents{}, 25, 0).Index())
	// Output: 1.333845
}
