package bill_test

import (
	"math"
	"strings"
	"testing"

	"fathomlux/scene"
	"fathomlux/scene/bill"
	"fathomlux/scene/parts"
	"fathomlux/scene/scenetest"
	"fathomlux/scene/wiring"
)

// lineOf returns the line of a kind; there must be one.
func lineOf(t *testing.T, b bill.Bill, kind, name string) bill.Line {
	t.Helper()
	for _, l := range b.Lines {
		if l.Kind == kind && (name == "" || l.Name == name) {
			return l
		}
	}
	t.Fatalf("no %s %s in the bill", kind, name)
	return bill.Line{}
}

// wired wires a scene with junctions at 25 C and a lead of 2 m.
func wired(t *testing.T, text string) (*scene.Scene, []wiring.Group) {
	t.Helper()
	sc := scenetest.Parse(t, text)
	groups, err := wiring.Wire(sc, wiring.Request{JunctionC: func(parts.Mounted) float64 { return 25 }, LeadM: 2})
	if err != nil {
		t.Fatal(err)
	}
	return sc, groups
}

// TestBillOfTheFoyer counts by hand: 7 modules at 4.20, 7 lenses at 0.60, a driver at 18, 1.1 m of bar at 18 a metre, wire and a
// tenth more at 0.11 + 0.29 x 0.5 = 0.255, rounded to 0.26 a metre.
func TestBillOfTheFoyer(t *testing.T) {
	sc, groups := wired(t, scenetest.Sound)
	b := bill.Of(sc, groups, 0.1)
	if l := lineOf(t, b, "module", "quad-neutral"); l.Used != 6 || l.Spare != 1 || math.Abs(l.Sum.Amount-29.40) > 1e-9 {
		t.Errorf("modules %+v", l)
	}
	if l := lineOf(t, b, "optic", "round-40"); l.Used != 6 || l.Spare != 1 {
		t.Errorf("optics %+v", l)
	}
	if l := lineOf(t, b, "profile", ""); l.Used != 1.1 || l.Spare != 0 || l.Note.String() != "cut to 1100 mm" {
		t.Errorf("profile %+v", l)
	}
	if l := lineOf(t, b, "screw", ""); l.Used != 12 || l.Name != "M3" || l.Each.Currency != "" {
		t.Errorf("screws %+v", l)
	}
	// The bar's wall of 2.35 mm takes no thread of M3: a nut a screw. A grommet a module, two hangers, each for five times half
	// of what hangs: 0.7 kg/m of bar (260 mm2) and 0.03 kg/m of wires on 1.1 m, six boards of 3.9 g and lenses of 3 g.
	for kind, want := range map[string]struct {
		name string
		used float64
	}{"nut": {"M3", 12}, "grommet": {"for holes of 6 mm", 6}, "hanger": {"to bear 2.1 kg", 2}} {
		if l := lineOf(t, b, kind, ""); l.Used != want.used || l.Name != want.name {
			t.Errorf("%s %+v, want %+v", kind, l, want)
		}
	}
	wire := lineOf(t, b, "wire", "copper 0.5 mm² or AWG 20")
	if want := groups[0].Wires[0].LengthM + groups[0].Wires[1].LengthM; wire.Used != want || math.Abs(wire.Spare-want/10) > 1e-12 || wire.Unit != "m" {
		t.Errorf("wire %+v, want %g m", wire, want)
	}
	if want := 29.40 + 4.20 + 18 + 19.80 + 1.1*wire.Used*0.26; len(b.Totals) != 1 || math.Abs(b.Totals[0].Amount-want) > 1e-9 || b.Totals[0].Currency != "EUR" || b.Blank != 4 {
		t.Errorf("totals %+v, %d blank; want %g EUR and 4", b.Totals, b.Blank, want)
	}
}

// TestSpares: rounded up for each part; a tenth of ten is one.
func TestSpares(t *testing.T) {
	for _, c := range []struct {
		count string
		share float64
		want  float64
	}{{"10", 0.1, 1}, {"11", 0.1, 2}, {"1", 0.1, 1}, {"6", 0, 0}, {"6", 0.5, 3}, {"6", 1, 6}} {
		sc, groups := wired(t, scenetest.Edit(t, scenetest.Sound, "count: 6, spacing: 180 mm", "count: "+c.count+", spacing: 60 mm", "driver: cc-700, strings: 2, ", ""))
		if l := lineOf(t, bill.Of(sc, groups, c.share), "module", ""); l.Spare != c.want {
			t.Errorf("%s modules at %g: %g spare, want %g", c.count, c.share, l.Spare, c.want)
		}
	}
}

// TestBillWithoutWhatIsMissing: a bare die has no lens to buy, and what no driver feeds is said.
func TestBillWithoutWhatIsMissing(t *testing.T) {
	sc, groups := wired(t, scenetest.Edit(t, scenetest.Sound, "round-40", "bare-120", "driver: cc-700, strings: 2", "strings: 6"))
	b := bill.Of(sc, groups, 0.1)
	for _, l := range b.Lines {
		if l.Kind == "optic" {
			t.Errorf("a lens where there is none: %+v", l)
		}
	}
	if l := lineOf(t, b, "driver", "none fits"); !strings.Contains(l.Note.String(), "no driver fits") {
		t.Errorf("driver %+v", l)
	}
}

// TestCurrenciesStayApart: sums in the order of the codes, never added to each other.
func TestCurrenciesStayApart(t *testing.T) {
	sc, groups := wired(t, scenetest.Sound)
	module := sc.Rails[0].Modules[0].Part
	module.Price.Currency = "CHF"
	sc.Rails[0].Modules[0].Part, module.Name = module, "other"
	sc.Rails[0].Modules[0].Part.Name = "other"
	b := bill.Of(sc, groups, 0)
	if len(b.Totals) != 2 || b.Totals[0].Currency != "CHF" || math.Abs(b.Totals[0].Amount-4.20) > 1e-9 || b.Totals[1].Currency != "EUR" {
		t.Errorf("totals %+v", b.Totals)
	}
}
