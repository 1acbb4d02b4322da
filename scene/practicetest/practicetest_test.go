package practicetest_test

import (
	"math"
	"testing"

	"fathomlux/scene/parts"
	"fathomlux/scene/practicetest"
)

// TestNoBuiltinPartIsACheckValue: of each part here the built-in one of the same name has other figures, all of them; and no
// lens has one of the pairs of beam and field angle (30 and 60, 40 and 70, 60 and 95 deg) that tests of the beam's shape take.
func TestNoBuiltinPartIsACheckValue(t *testing.T) {
	check, builtin := practicetest.Parts(), parts.Builtin()
	for name, d := range check.Drivers {
		b := builtin.Drivers[name]
		if name != "cc-450" && (d.LowestV == b.LowestV || d.HighestV == b.HighestV || d.RatedW == b.RatedW) {
			t.Errorf("driver %s: %g to %g V, %g W", name, b.LowestV, b.HighestV, b.RatedW)
		}
	}
	for name, o := range builtin.Optics {
		for _, pair := range [][2]float64{{30, 60}, {40, 70}, {60, 95}} {
			if near(o.BeamRad, pair[0]) && near(o.FieldRad, pair[1]) {
				t.Errorf("optic %s: a beam of %g and a field of %g deg", name, pair[0], pair[1])
			}
		}
	}
	quad := check.Modules["quad-neutral"]
	for name, b := range builtin.Modules {
		if b.FluxLm.AtOrZero(0.35) == quad.FluxLm.AtOrZero(0.35) || b.ForwardV.AtOrZero(0.35) == quad.ForwardV.AtOrZero(0.35) {
			t.Errorf("module %s: a die of %g lm and %g V at 350 mA", name, b.FluxLm.AtOrZero(0.35), b.ForwardV.AtOrZero(0.35))
		}
	}
}

func near(rad, deg float64) bool { return math.Abs(rad*180/math.Pi-deg) < 1e-9 }
