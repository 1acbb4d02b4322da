package water

import (
	"fmt"
	"math"
	"os"
	"testing"

	"fathomlux/scene/curve"
	"fathomlux/scene/photometry"

	"pgregory.net/rapid"
)

type fataler interface {
	Helper()
	Fatal(args ...any)
}

// illuminant reads one column of the CIE illuminants among the built-in parts.
func illuminant(t fataler, name string) photometry.Spectrum {
	t.Helper()
	text, err := os.ReadFile("../../scene/parts/data/illuminants.csv")
	if err != nil {
		t.Fatal(err)
	}
	table, err := curve.ParseTable(string(text))
	if err != nil {
		t.Fatal(err)
	}
	return spectrum(t, table.MustCurve("wavelength_nm", name))
}

func spectrum(t fataler, power curve.Curve) photometry.Spectrum {
	t.Helper()
	s, err := photometry.NewSpectrum(power)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func line(t fataler, nm float64) photometry.Spectrum {
	t.Helper()
	power, err := curve.Linear([]float64{nm - 1e-6, nm, nm + 1e-6}, []float64{0, 1, 0})
	if err != nil {
		t.Fatal(err)
	}
	return spectrum(t, power)
}

func TestSharesLeft(t *testing.T) {
	// Recomputed independently: vertical path, absorption alone, trapezium at 5 nm, five digits after the point.
	colour := func(a440, slope float64) Constituents { return Constituents{CDOM440PerM: a440, CDOMSlopePerNm: slope} }
	for _, c := range []struct {
		spectrum          string
		in                Constituents
		pathM, lux, quant float64
	}{
		{"D65", Constituents{}, 0.42, 0.96092, 0.94001},
		{"D65", Constituents{}, 1, 0.91148, 0.86976},
		{"D65", Constituents{}, 3, 0.77258, 0.70438},
		{"LED-B1", Constituents{}, 0.42, 0.94889, 0.91919},
		{"LED-B1", Constituents{}, 1, 0.88485, 0.82352},
		{"LED-B1", Constituents{}, 3, 0.70991, 0.59436},
		{"LED-B3", Constituents{}, 0.42, 0.95638, 0.93746},
		{"LED-B3", Constituents{}, 1, 0.90124, 0.86258},
		{"LED-B3", Constituents{}, 3, 0.74710, 0.67788},
		{"LED-B5", Constituents{}, 0.42, 0.96218, 0.95324},
		{"LED-B5", Constituents{}, 1, 0.91388, 0.89653},
		{"LED-B5", Constituents{}, 3, 0.77561, 0.75178},
		{"LED-B3", colour(0.3, 0.017), 0.42, 0.93844, 0.91079},
		{"LED-B3", colour(1, 0.017), 0.42, 0.89856, 0.85552},
		{"LED-B3", colour(5, 0.014), 0.42, 0.64013, 0.59792},
		{"LED-B3", colour(10, 0.014), 0.42, 0.44649, 0.43953},
	} {
		table := New(c.in, 22, 0).Table(illuminant(t, c.spectrum), Absorbed, 5)
		name := fmt.Sprintf("%s, a440 %g, %g m", c.spectrum, c.in.CDOM440PerM, c.pathM)
		within(t, name+": lux", table.Luminous(c.pathM), c.lux, 6e-6) // half a digit and the table's 1e-6
		within(t, name+": photons", table.Photons(c.pathM), c.quant, 6e-6)
	}
}

func TestDiffuseAttenuationFloor(t *testing.T) {
	// Pure water, D65: the floor for any Kd(PAR), recomputed; Kd falls with depth since red goes first.
	table := New(Constituents{}, 22, 0).Table(illuminant(t, "D65"), Absorbed, 5)
	for _, c := range []struct{ depthM, want float64 }{{1, 0.1395}, {3, 0.1168}} {
		got := -math.Log(table.Photons(c.depthM)) / c.depthM
		within(t, fmt.Sprintf("Kd(PAR) to %g m", c.depthM), got, c.want, 5e-5)
	}
}

func TestMeasuredTable(t *testing.T) {
	table := Measured(0.9, 25, 0).Table(illuminant(t, "LED-B3"), Unscattered, 2)
	for _, pathM := range []float64{0.1, 0.9, 1.8, 5, 100} { // E11: exp(-0.770164 L), also beyond the table
		for what, got := range map[string]float64{"lux": table.Luminous(pathM), "photons": table.Photons(pathM)} {
			within(t, fmt.Sprintf("E11: %s at %g m", what, pathM), got/math.Exp2(-pathM/0.9), 1, 1e-12)
		}
	}
}

func TestTableIsTheSum(t *testing.T) {
	spectra := map[string]photometry.Spectrum{}
	names := []string{"A", "FL2", "HP1", "LED-RGB1", "LED-V2"}
	for _, name := range names {
		spectra[name] = illuminant(t, name)
	}
	rapid.Check(t, func(t *rapid.T) {
		b, s := anyBody(t), spectra[rapid.SampledFrom(names).Draw(t, "spectrum")]
		kind := rapid.SampledFrom([]Attenuation{Absorbed, Direct, Unscattered}).Draw(t, "kind")
		reachM := rapid.SampledFrom([]float64{0.3, 3, 30}).Draw(t, "reach_m")
		table := b.Table(s, kind, reachM)
		for range 20 {
			pathM := reachM * math.Pow(rapid.Float64Range(0, 1).Draw(t, "place"), 2)
			beer := func(nm float64) float64 { return math.Exp(-b.AttenuationPerM(nm, kind) * pathM) }
			for _, c := range [][2]float64{
				{table.Luminous(pathM), s.LuminousShare(beer)}, {table.Photons(pathM), s.PhotonShare(beer)},
			} {
				if c[1] > 1e-290 && math.Abs(c[0]/c[1]-1) > 1e-6 {
					t.Fatalf("after %g of %g m: %.9g, the sum is %.9g", pathM, reachM, c[0], c[1])
				}
			}
		}
	})
}

func TestTableLaws(t *testing.T) {
	s := illuminant(t, "LED-B3")
	rapid.Check(t, func(t *rapid.T) { // between 0 and 1, never brighter with more water or more in it
		pale := anyBody(t)
		murky := pale
		murky.constituents.CDOM440PerM += rapid.Float64Range(0.01, 5).Draw(t, "more_cdom440_per_m")
		murky.constituents.ParticleAbsorbPerM += rapid.Float64Range(0.01, 2).Draw(t, "more_particles_per_m")
		a, b := pale.Table(s, Direct, 2), murky.Table(s, Direct, 2)
		lastLux, lastPhotons := 1.0, 1.0
		for k := range 400 {
			pathM := float64(k) / 100 // twice as far as the table reaches
			lux, photons := a.Luminous(pathM), a.Photons(pathM)
			if !(lux >= 0 && lux <= lastLux && photons >= 0 && photons <= lastPhotons) {
				t.Fatalf("after %g m: %g and %g after %g and %g", pathM, lux, photons, lastLux, lastPhotons)
			}
			if b.Luminous(pathM) > lux || b.Photons(pathM) > photons {
				t.Fatalf("after %g m the murky water is the brighter one", pathM)
			}
			lastLux, lastPhotons = lux, photons
		}
	})
}

func TestPathsAdd(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) { // one wavelength: Beer-Lambert, and lux and photons fade alike
		b, nm := anyBody(t), rapid.Float64Range(401, 699).Draw(t, "nm")
		table := b.Table(line(t, nm), Unscattered, 1)
		first, second := rapid.Float64Range(0, 0.5).Draw(t, "first_m"), rapid.Float64Range(0, 3).Draw(t, "second_m")
		whole, parts := table.Luminous(first+second), table.Luminous(first)*table.Luminous(second)
		if math.Abs(whole-parts) > 1e-6*whole || math.Abs(table.Photons(second)-table.Luminous(second)) > 1e-6 {
			t.Fatalf("%g in one path, %g in two", whole, parts)
		}
	})
}

func TestBeyondTheTable(t *testing.T) {
	s, b := illuminant(t, "D65"), New(Constituents{}, 22, 0)
	short, long := b.Table(s, Absorbed, 1), b.Table(s, Absorbed, 10)
	within(t, "at the end", short.Photons(1)/long.Photons(1), 1, 1e-6)
	slope := math.Log(short.Photons(3)) - math.Log(short.Photons(2))
	before := (math.Log(long.Photons(1+1e-4)) - math.Log(long.Photons(1-1e-4))) / 2e-4
	within(t, "slope beyond", slope, before, 1e-3)
	if !(short.Photons(3) < long.Photons(3)) {
		t.Errorf("beyond its reach the table leaves %g, not less than %g", short.Photons(3), long.Photons(3))
	}
}

func TestOddPaths(t *testing.T) {
	for _, reachM := range []float64{-1, 0, 2} {
		table := New(seaLike, 22, 0).Table(illuminant(t, "A"), Absorbed, reachM)
		for _, pathM := range []float64{0, -3, math.NaN()} {
			within(t, fmt.Sprintf("path %g", pathM), table.Luminous(pathM), 1, 0)
		}
		if left := table.Photons(0.4); !(left > 0 && left < 1) {
			t.Errorf("reach %g m: %g left after 0.4 m", reachM, left)
		}
		within(t, "endless path", table.Photons(math.Inf(1)), 0, 0)
	}
	dark := New(seaLike, 22, 0).Table(photometry.Spectrum{}, Absorbed, 1)
	within(t, "a spectrum without light", dark.Luminous(0.5), 1, 0)
	black := New(Constituents{ParticleAbsorbPerM: 1e4}, 22, 0).Table(illuminant(t, "A"), Absorbed, 3)
	within(t, "black water", black.Luminous(2), 0, 0) // exp(-20000): below the smallest number, and no NaN
}

func BenchmarkTable(b *testing.B) {
	s, water := illuminant(b, "LED-V2"), New(Constituents{CDOM440PerM: 20, CDOMSlopePerNm: 0.02}, 22, 0)
	for b.Loop() {
		water.Table(s, Direct, 3)
	}
}

func BenchmarkLuminous(b *testing.B) {
	table := New(seaLike, 22, 0).Table(illuminant(b, "LED-V2"), Direct, 3)
	for b.Loop() {
		table.Luminous(0.7)
	}
}
