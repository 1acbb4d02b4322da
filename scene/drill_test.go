package scene

import (
	"math"
	"strings"
	"testing"

	"fathomlux/scene/drilling"
)

// TestDrillingCountsFromTheRailsEnd: a rail that does not begin where the tank does has its modules, numbered as in the file, and
// its keep-outs counted from its own left end.
func TestDrillingCountsFromTheRailsEnd(t *testing.T) {
	text := strings.Replace(Starter(), "    tilt: 0 deg", "    x: 40 mm\n    keep_out: [{from: 60 mm, to: 70 mm, why: brace}]\n    tilt: 0 deg", 1)
	sc, err := Parse("starter.yaml", []byte(text), nil)
	if err != nil {
		t.Fatal(err)
	}
	rail := sc.Rails[0]
	if rail.LeftM != 0.040 {
		t.Fatalf("the starter's rail begins at %v", rail.LeftM)
	}
	p, err := rail.Drilling(drilling.Options{NoWireHoles: true})
	if err != nil {
		t.Fatal(err)
	}
	if p.Name != rail.Name || p.LengthM != rail.LengthM || p.WidthM != rail.Profile.WidthM || len(p.Boards) != len(rail.Modules) {
		t.Errorf("%+v", p)
	}
	for _, b := range p.Boards {
		if want := rail.Modules[b.Module-1].XM - 0.040; math.Abs(b.FromLeftM-want) > 1e-9 {
			t.Errorf("module %d at %v, want %v", b.Module, b.FromLeftM, want)
		}
	}
	if k := p.KeepOuts[0]; math.Abs(k.FromM-0.020) > 1e-9 || math.Abs(k.ToM-0.030) > 1e-9 || k.Why != "brace" {
		t.Errorf("%+v", k)
	}
}
