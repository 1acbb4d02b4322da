package water

import (
	"math"
	"testing"
)

// TestExtraAbsorption: an extra absorption adds to every wavelength, and one below 0 never makes water clearer than pure.
func TestExtraAbsorption(t *testing.T) {
	c := Constituents{CDOM440PerM: 0.5, CDOMSlopePerNm: 0.015, ParticleAbsorbPerM: 0.05}
	for _, nm := range []float64{400, 440, 550, 650, 700} {
		plain, pure := New(c, 25, 0), New(Constituents{}, 25, 0)
		if got, want := plain.WithExtra(0.3).AbsorbPerM(nm), plain.AbsorbPerM(nm)+0.3; math.Abs(got-want) > 1e-12 {
			t.Errorf("%g nm: %g 1/m, want %g", nm, got, want)
		}
		if got, want := plain.WithExtra(-0.04).AbsorbPerM(nm), plain.AbsorbPerM(nm)-0.04; math.Abs(got-want) > 1e-12 {
			t.Errorf("%g nm: %g 1/m, want %g", nm, got, want)
		}
		if got := plain.WithExtra(-9).AbsorbPerM(nm); got != pure.AbsorbPerM(nm) {
			t.Errorf("%g nm: %g 1/m, pure water absorbs %g", nm, got, pure.AbsorbPerM(nm))
		}
	}
	if got := Measured(1, 25, 0).WithExtra(0.1).AbsorbPerM(500); math.Abs(got-math.Ln2-0.1) > 1e-12 {
		t.Errorf("water of half depth 1 m and 0.1 1/m more absorbs %g 1/m", got)
	}
	if got := Measured(1, 25, 0).WithExtra(-2).AbsorbPerM(500); got != 0 {
		t.Errorf("water that gives light: %g 1/m", got)
	}
}
