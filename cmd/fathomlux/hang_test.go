package main

import (
	"strings"
	"testing"

	"fathomlux/scene"
	"fathomlux/scene/drilling"
	"fathomlux/scene/hanging"
)

// TestIngressByTank holds which words the plan against water has for which tank.
func TestIngressByTank(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		change      func(*scene.Scene)
		says, hides string
	}{
		"open":     {func(s *scene.Scene) { s.Tank.Cover = nil }, "splash guard", "Salt creeps"},
		"covered":  {func(s *scene.Scene) { s.Tank.Cover = &scene.Cover{} }, "cover stops splashes", "splash guard"},
		"hood":     {func(s *scene.Scene) { s.Ambient.Hood = &scene.Hood{} }, "keep mains out of it", "Salt creeps"},
		"sea":      {func(s *scene.Scene) { s.Tank.Water.SalinityGPerKg = 35 }, "stainless steel A4", "closed hood"},
		"brackish": {func(s *scene.Scene) { s.Tank.Water.SalinityGPerKg = 4.9 }, "drip loop", "Salt creeps"},
	} {
		s := &scene.Scene{}
		c.change(s)
		if text := ingressText(s); !strings.Contains(text, c.says) || strings.Contains(text, c.hides) || !strings.Contains(text, "gland") {
			t.Errorf("%s: %s", name, text)
		}
	}
}

// TestWorkOnHoles holds what the order of work says of screws and wires, each sort once with its number.
func TestWorkOnHoles(t *testing.T) {
	t.Parallel()
	tapped := drilling.Place{Kind: drilling.Screw, Thread: "M3", Hold: drilling.Tapped, DiameterM: 0.0025}
	through := drilling.Place{Kind: drilling.Screw, Thread: "M4", Hold: drilling.NutBack, DiameterM: 0.0043}
	slot := drilling.Place{Kind: drilling.Screw, Thread: "M3", Hold: drilling.SlotNut}
	wire := drilling.Place{Kind: drilling.Wire, DiameterM: 0.006}
	list := []drilling.Layout{{Holes: []drilling.Place{tapped, wire, tapped, {Kind: drilling.Screw}}}, {Holes: []drilling.Place{through, slot, wire}}}
	want := "Tap M3 into 2 holes of 2.5 mm. Fit a rubber grommet in each of 2 holes for wires. Drill 1 hole of 4.3 mm through the bar, " +
		"for M4 with a nut at the back. No drilling for 1 hole over a slot: use M3 slot nuts, pushed in from the end."
	if got := holdsText(list); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
}

// TestHangingInWords: 2 kg on two hangers are 9.8 N each, five times that 49 N or 5 kg; a sag too small to see is no figure.
func TestHangingInWords(t *testing.T) {
	t.Parallel()
	h := hanging.Hang{BarKg: 2, Hangers: []hanging.Hanger{{AtM: 0.25, LoadN: 9.80665}, {AtM: 0.75, LoadN: 9.80665}}, SagM: 1e-6}
	if got, want := hangText(h, 0)+"; "+mustBear(h), "2.00 kg; 9.8 N at 250 mm and 9.8 N at 750 mm from the left end; sags less than 0.01 mm; 49 N (5.0 kg)"; got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	h.SagM, h.Guessed = 0.00234, true
	if got := hangText(h, 0); !strings.HasSuffix(got, "sags 2.34 mm at most") || len(hangNotes(h)) != 1 {
		t.Errorf("%s, %v", got, hangNotes(h))
	}
}
