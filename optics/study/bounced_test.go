package study

import (
	"context"
	"strings"
	"testing"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/optics/scenetest"
	"fathomlux/scene/edit"
)

// TestWhatStraightLightLeavesOut: a narrow beam meets no wall, so what a floor of reflectance 0.3 throws back is 0.3 of what
// lands, less what of the few percent of stray light of any lens meets the black walls; over black surfaces hardly anything is
// missing. Sweep, arrange and a session say the same.
func TestWhatStraightLightLeavesOut(t *testing.T) {
	t.Parallel()
	for _, row := range []struct {
		floor string
		want  float64
	}{{"0", 0}, {"0.3", 0.3}} {
		sc := scenetest.Read(t, scenetest.Shelf, "floor: {diffuse: 0}", "floor: {diffuse: "+row.floor+"}", "optic: bare-120", "optic: round-25")
		axis, err := edit.ParseRange("current=350mA")
		if err != nil {
			t.Fatal(err)
		}
		swept, err := Sweep(context.Background(), sc, SweepOptions{Axes: []edit.Range{axis}, StepM: 0.03, Workers: 2})
		if err != nil {
			t.Fatal(err)
		}
		arranged, err := Arrange(context.Background(), sc, ArrangeOptions{RoundM: 0.01, SweepOptions: SweepOptions{StepM: 0.03, Workers: 2}})
		if err != nil {
			t.Fatal(err)
		}
		s, err := optics.NewSession(sc, optics.LightOptions{StepM: 0.03, Workers: 2})
		if err != nil {
			t.Fatal(err)
		}
		for name, got := range map[string]result.Bounced{"sweep": swept.Bounced, "arrange": arranged.After.Bounced, "session": glance(t, s, sc).Bounced} {
			if low := row.want * 0.9; float64(got) < low || float64(got) > row.want+0.005 {
				t.Errorf("floor %s, %s: %g of what lands is missing, want %g", row.floor, name, got, row.want)
			}
		}
	}
}

func TestWhatIsMissingIsSaid(t *testing.T) {
	t.Parallel()
	for share, want := range map[result.Bounced]string{0: "", 0.0004: "", 0.004: " 0.40 %", 0.296: " 30 %"} {
		if got := share.Finding().String(); (got == "") != (want == "") || !strings.Contains(got, want) {
			t.Errorf("%g: %q, want %q", share, got, want)
		}
	}
}
