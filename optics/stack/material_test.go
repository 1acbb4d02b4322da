package stack

import (
	"math"
	"testing"
)

func TestMaterials(t *testing.T) {
	for _, row := range []struct {
		what      string
		got, want float64
	}{
		{"clear glass at 500 nm (Rubin 1985)", ClearGlass().AbsorbPerM(500), 3.750},
		{"clear glass at 620 nm", ClearGlass().AbsorbPerM(620), 12.104},
		{"clear glass between rows", ClearGlass().AbsorbPerM(555), (5.027 + 5.675) / 2},
		{"low-iron glass at 550 nm", LowIronGlass().AbsorbPerM(550), 1.058},
		{"beyond the table", ClearGlass().AbsorbPerM(900), 0},
		{"acrylic at any wavelength", Acrylic().AbsorbPerM(430), acrylicPerM},
	} {
		if math.Abs(row.got-row.want) > 1e-9 {
			t.Errorf("%s: %g 1/m, want %g", row.what, row.got, row.want)
		}
	}
	// Rubin 1985 has 1.525 for soda-lime glass, Sultanova et al. 2009 1.493 for PMMA, both near 550 to 590 nm; ours are rounded.
	if math.Abs(glassIndex-1.525) > 0.0051 || math.Abs(acrylicIndex-1.493) > 0.0051 {
		t.Errorf("indices %g and %g", glassIndex, acrylicIndex)
	}
	x, _ := panes().MustCurve("wavelength_nm", "clear_glass_per_m").Points()
	if len(x) != 41 || x[0] != 380 || x[len(x)-1] != 780 {
		t.Errorf("%d rows from %g to %g nm", len(x), x[0], x[len(x)-1])
	}
}

func TestPanesAgainstRubin(t *testing.T) {
	// 4 mm of float glass at normal incidence, 550 nm: 0.8988 clear and 0.9132 low-iron by the incoherent sum of a
	// slab's reflections, with index 1.525 and extinction of Rubin 1985, than which 1.52 reflects 0.0007 less at either face.
	for _, row := range []struct {
		m    Material
		want float64
	}{{ClearGlass(), 0.8988}, {LowIronGlass(), 0.9132}} {
		pane := Pane{ThicknessM: 0.004, Index: row.m.Index, AbsorbPerM: row.m.AbsorbPerM(550)}
		if ts, tp, _, _ := pane.Polarised(1); math.Abs((ts+tp)/2-row.want) > 0.0015 {
			t.Errorf("transmittance %g, want %g", (ts+tp)/2, row.want)
		}
	}
}
