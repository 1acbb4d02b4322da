package water

import (
	"fmt"
	"math"
	"testing"

	"fathomlux/scene/longtest"
	"gonum.org/v1/gonum/integrate/quad"
	"pgregory.net/rapid"
)

var seaLike = Constituents{
	CDOM440PerM: 0.3, CDOMSlopePerNm: 0.014, ParticleAbsorbPerM: 0.05,
	ParticleScatterPerM: 0.4, ParticleExponent: 1, Asymmetry: 0.924,
}

func TestColourAndParticles(t *testing.T) {
	b := New(seaLike, 22, 0)
	pure := func(nm float64) float64 { return pureAbsorbPerM(nm, 22) }
	within(t, "a(440), dissolved colour counts whole there", b.AbsorbPerM(440), pure(440)+0.3+0.05, 1e-15)
	within(t, "a(540), 100 nm on", b.AbsorbPerM(540), pure(540)+0.3*math.Exp(-1.4)+0.05, 1e-15)
	within(t, "particles at 550 nm", b.ParticleScatterPerM(550), 0.4, 1e-15)
	within(t, "particles at 440 nm go as 1/lambda", b.ParticleScatterPerM(440), 0.5, 1e-15)
	within(t, "b is the sum", b.scatterPerM(500), b.MolecularScatterPerM(500)+b.ParticleScatterPerM(500), 0)
	within(t, "g", b.Asymmetry(), 0.924, 0)
}

func TestBackscatterShare(t *testing.T) {
	within(t, "pure water, half", New(Constituents{}, 20, 0).backscatterShare(500), 0.5, 0)
	b := New(seaLike, 20, 0)
	molecules, particles := b.MolecularScatterPerM(500), b.ParticleScatterPerM(500)
	// Worked example E10: a particle of g = 0.924 sends back 0.016989.
	want := (molecules*0.5 + particles*0.016989) / (molecules + particles)
	within(t, "weighted", b.backscatterShare(500), want, 1e-6)
	// Gordon 1973: the ray loses a and what is scattered back, not all that is scattered.
	lost := b.AbsorbPerM(500) + molecules*0.5 + particles*0.016989
	within(t, "a + b_b", b.AttenuationPerM(500, Direct), lost, 1e-6)
}

func TestMeasured(t *testing.T) {
	b := Measured(0.9, 25, 35)
	for _, nm := range []float64{380, 550, 780} { // E11: half depth 0.9 m means 0.770164 1/m, at all wavelengths
		for _, kind := range []Attenuation{Absorbed, Direct, Unscattered} {
			within(t, fmt.Sprintf("E11 at %g nm, kind %d", nm, kind), b.AttenuationPerM(nm, kind), 0.770164, 5e-7)
		}
		within(t, "scattering", b.scatterPerM(nm), 0, 0)
		within(t, "share", b.backscatterShare(nm), 0, 0)
	}
	within(t, "index", b.Index(), refractiveIndex(550, 25, 35), 0)
}

func TestAttenuationOrder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := anyBody(t)
		nm := rapid.Float64Range(380, 780).Draw(t, "nm")
		absorbed, direct := b.AttenuationPerM(nm, Absorbed), b.AttenuationPerM(nm, Direct)
		unscattered := b.AttenuationPerM(nm, Unscattered)
		if !(0 < absorbed && absorbed <= direct && direct <= unscattered) {
			t.Fatalf("at %g nm: a %g, a+bb %g, a+b %g", nm, absorbed, direct, unscattered)
		}
		if got := absorbed + b.scatterPerM(nm); math.Abs(got-unscattered) > 1e-12*got {
			t.Fatalf("a + b = %g, not %g", unscattered, got)
		}
		if share := b.backscatterShare(nm); share < 0 || share > 1 {
			t.Fatalf("backscatter share %g", share)
		}
	})
}

func TestHenyeyGreenstein(t *testing.T) {
	for _, g := range []float64{-0.5, 0, 0.5, 0.75, 0.9, 0.924} {
		moment := func(legendre func(mu float64) float64, from, to float64) float64 {
			f := func(mu float64) float64 { return 2 * math.Pi * henyeyGreenstein(mu, g) * legendre(mu) }
			return quad.Fixed(f, from, to, 500, quad.Legendre{}, 1)
		}
		one := func(float64) float64 { return 1 }
		// 500 Gauss-Legendre nodes leave nothing but rounding, a few 1e-14 of the forward peak.
		within(t, fmt.Sprintf("E8: sum at g %g", g), moment(one, -1, 1), 1, 1e-12)
		mean := moment(func(mu float64) float64 { return mu }, -1, 1)
		within(t, fmt.Sprintf("E8: mean cosine at g %g", g), mean, g, 1e-12)
		second := moment(func(mu float64) float64 { return (3*mu*mu - 1) / 2 }, -1, 1)
		within(t, fmt.Sprintf("E8: second moment at g %g", g), second, g*g, 1e-12)
		within(t, fmt.Sprintf("E10: backward at g %g", g), moment(one, -1, 0), hgBackscatterShare(g), 1e-12)
	}
}

func TestHGSamples(t *testing.T) {
	// Worked example E9 (Witt 1977): the cosines below which the share xi of the light is scattered.
	for _, c := range []struct{ g, xi, cosine float64 }{
		{0.9, 0.1, 0.749745}, {0.9, 0.5, 0.985500}, {0.9, 0.9, 0.998776},
		{0.5, 0.1, -0.312500}, {0.5, 0.5, 0.687500}, {0.5, 0.9, 0.963010},
	} {
		const steps = 400000
		width, sum := (c.cosine+1)/steps, 0.0
		for k := range steps {
			sum += henyeyGreenstein(-1+(float64(k)+0.5)*width, c.g) * 2 * math.Pi * width
		}
		// Half of the cosine's last digit times the largest density there, 2 pi p(0.998776) = 74 at g = 0.9.
		within(t, fmt.Sprintf("E9: g %g, xi %g", c.g, c.xi), sum, c.xi, 4e-5)
	}
}

func TestHGBackscatterShare(t *testing.T) {
	for _, c := range []struct{ g, want float64 }{ // worked example E10, formula of Mobley 1994
		{0.5, 0.170820}, {0.75, 0.066667}, {0.9, 0.022903}, {0.924, 0.016989}, {0.9186, 0.0183},
		{0, 0.5}, {1, 0}, {-1, 1},
	} {
		tolerance := 5e-7
		if c.g == 0.9186 { // found for 0.0183, four digits of g
			tolerance = 5e-5
		}
		within(t, fmt.Sprintf("E10: g %g", c.g), hgBackscatterShare(c.g), c.want, tolerance)
	}
	rapid.Check(t, func(t *rapid.T) { // forward and backward change places with the sign of g; the printed form agrees
		g := rapid.Float64Range(0.01, 0.99).Draw(t, "g")
		printed := (1 - g) / (2 * g) * ((1+g)/math.Sqrt(1+g*g) - 1)
		if got := hgBackscatterShare(g); math.Abs(got-printed) > 1e-13 || math.Abs(got+hgBackscatterShare(-g)-1) > 1e-13 {
			t.Fatalf("g %g: %g, printed form %g, mirrored %g", g, got, printed, hgBackscatterShare(-g))
		}
	})
}

// anyBody draws water between pure and blackwater or a turbid pond.
func anyBody(t *rapid.T) Body {
	return New(Constituents{
		CDOM440PerM:         rapid.Float64Range(0, 20).Draw(t, "cdom440_per_m"),
		CDOMSlopePerNm:      rapid.Float64Range(0.006, 0.03).Draw(t, "slope_per_nm"),
		ParticleAbsorbPerM:  rapid.Float64Range(0, 3).Draw(t, "particle_absorb_per_m"),
		ParticleScatterPerM: rapid.Float64Range(0, 15).Draw(t, "particle_scatter_per_m"),
		ParticleExponent:    rapid.Float64Range(0, 1).Draw(t, "exponent"),
		Asymmetry:           rapid.Float64Range(-0.9, 0.98).Draw(t, "g"),
	}, rapid.Float64Range(0, 35).Draw(t, "temperature_c"), rapid.Float64Range(0, 40).Draw(t, "salinity_g_per_kg"))
}

func within(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	longtest.Held(t, what, got, want, tolerance)
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.9g, want %.9g within %g", what, got, want, tolerance)
	}
}

// henyeyGreenstein returns the phase function of mean cosine g, -1 < g < 1, at a scattering angle's cosine, 1/sr.
// Over all directions it sums to 1. Source: L. G. Henyey, J. L. Greenstein 1941, Astrophysical Journal 93, 70-83.
func henyeyGreenstein(cosine, g float64) float64 {
	return (1 - g*g) / (4 * math.Pi * math.Pow(1+g*g-2*g*cosine, 1.5))
}
