package practicetest_test

import (
	"testing"

	"fathomlux/scene/parts"
	"fathomlux/scene/practicetest"
)

// TestNoBuiltinPartIsACheckValue: of each part here the built-in one of the same name has other figures, all of them.
func TestNoBuiltinPartIsACheckValue(t *testing.T) {
	check, builtin := practicetest.Parts(), parts.Builtin()
	for name, d := range check.Drivers {
		b := builtin.Drivers[name]
		if name != "cc-450" && (d.LowestV == b.LowestV || d.HighestV == b.HighestV || d.RatedW == b.RatedW) && b.RatedW < 60 {
			t.Errorf("driver %s: %g to %g V, %g W", name, b.LowestV, b.HighestV, b.RatedW)
		}
	}
	quad := check.Modules["quad-neutral"]
	for name, b := range builtin.Modules {
		if b.FluxLm.AtOrZero(0.35) == quad.FluxLm.AtOrZero(0.35) || b.ForwardV.AtOrZero(0.35) == quad.ForwardV.AtOrZero(0.35) {
			t.Errorf("module %s: a die of %g lm and %g V at 350 mA", name, b.FluxLm.AtOrZero(0.35), b.ForwardV.AtOrZero(0.35))
		}
	}
}
