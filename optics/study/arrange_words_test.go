package study

import (
	"context"
	"strings"
	"testing"

	"fathomlux/optics"
	"fathomlux/optics/scenetest"
	"fathomlux/scene/edit"
	"fathomlux/scene/longtest"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
)

// TestArrangeOutOfReach: where no places reach the goal's mean, modules are not crowded together for a little more of it.
// With a place that no light reaches min/mean is 0 whatever is done, and the places that there are stay.
func TestArrangeOutOfReach(t *testing.T) {
	t.Parallel()
	const wall = "\n  obstacles:\n    - {name: box, from: [400 mm, 100 mm, 0 mm], to: [500 mm, 200 mm, 290 mm], opaque: true}\n    - {name: lid, from: [0 mm, 0 mm, 1 mm], to: [60 mm, 200 mm, 110 mm], opaque: true}\nrails:"
	const aside = "\n      - {part: quad-neutral, optic: round-60, x: 60 mm, current: 350 mA}\n      - {part: quad-neutral, optic: round-60, x: 120 mm, current: 350 mA}\n      - {part: quad-neutral, optic: round-60, x: 180 mm, current: 350 mA}"
	for what, row := range map[string]struct {
		scene  []string
		kept   bool
		inFull bool
	}{
		"dark whatever is done":   {[]string{"illuminance: 1000 lx", "illuminance: 30000 lx", "\nrails:", wall}, true, true},
		"in photons":              {[]string{"illuminance: 1000 lx", "ppfd: 900 umol/m2/s", "\nrails:", wall}, true, false},
		"to one side, and lit":    {[]string{"illuminance: 1000 lx", "illuminance: 30000 lx", "{part: quad-neutral, optic: round-60, count: 3, spacing: 80 mm, current: 350 mA}", aside}, false, false},
		"as even as it gets, lit": {[]string{"illuminance: 1000 lx", "illuminance: 30000 lx", "count: 3, spacing: 80 mm", "count: 1"}, true, true},
	} {
		if longtest.Pick(row.inFull, false) {
			continue
		}
		sc := scenetest.Read(t, scenetest.Narrow, row.scene...)
		out, err := Arrange(context.Background(), sc, ArrangeOptions{RoundM: 0.02, KeepY: longtest.Pick(true, false), SweepOptions: SweepOptions{StepM: 0.04, Workers: 2}})
		if err != nil {
			t.Fatal(err)
		}
		before, after := out.Before.Light(out.After.Goal.Shown), out.After.Light(out.After.Goal.Shown)
		kept := samePlaces(sc, out.Scene)
		if kept != row.kept || kept != strings.HasPrefix(out.Verdict.Sentence(unit.Metric), "No better places") {
			t.Errorf("%s: places kept %v: %s", what, kept, out.Verdict)
		}
		if after.MinOverMean < before.MinOverMean || after.Mean < before.Mean*(1-sameMean) || kept && after.Mean != before.Mean {
			t.Errorf("%s: min/mean %g, then %g; mean %g, then %g", what, before.MinOverMean, after.MinOverMean, before.Mean, after.Mean)
		}
	}
}

// TestArrangeSaysWhatGotBetter: each answer that differs names the measure by which it is better, with figures of both sides.
func TestArrangeSaysWhatGotBetter(t *testing.T) {
	lib := scenetest.Read(t, scenetest.Narrow).Catalogue.Optics
	for what, row := range map[string]struct {
		scene   []string
		options ArrangeOptions
		want    []string
	}{
		"dimmest":  {nil, ArrangeOptions{}, []string{"The dimmest place rises from ", " lx (U0 changes from ", " lx before, mean ", "; the goal is not met: floor uniformity"}},
		"min/mean": {nil, ArrangeOptions{For: forEven}, []string{"U0 rises from ", " lx before, mean ", "; the goal is not met: floor uniformity"}},
		"across":   {[]string{"above_water: 120 mm", "above_water: 120 mm\n    y: 70 mm"}, ArrangeOptions{}, []string{"The dimmest place rises from ", "; chosen: y 1", "; the goal is met"}},
		"mean": {[]string{"illuminance: 1000 lx, uniformity: 0.6", "illuminance: 10000 lx", "spacing: 80 mm", "spacing: 140 mm", "round-60", "round-90"}, ArrangeOptions{Optics: []parts.Optic{lib["round-25"]}},
			[]string{"The mean comes nearer to the goal's (mean ", "; U0 changes from ", "; chosen: optic round-25; the goal is met."}},
		"power":      {[]string{"count: 3, spacing: 80 mm", "count: 1"}, ArrangeOptions{Currents: []float64{0.3, 0.4}}, []string{"No better places were found than the present ones; the power falls from ", "; chosen: current 300 mA; "}},
		"mountable":  {nil, ArrangeOptions{GapM: 0.08}, []string{"The modules can now be mounted, unlike before: U0 "}},
		"none of it": {[]string{"count: 3, spacing: 80 mm", "count: 1"}, ArrangeOptions{Currents: []float64{0.5}}, []string{"No better places were found than the present ones; the dimmest place rises from ", " (U0 stays at ", "; chosen: current 500 mA; "}},
	} {
		row.options.RoundM, row.options.StepM, row.options.Workers = 0.02, 0.04, 2
		row.options.KeepY = what != "across"
		one := withAnyDriver(t, scenetest.Read(t, scenetest.Narrow, row.scene...), 0.3, 0.4, 0.5)
		out, err := Arrange(context.Background(), one, row.options)
		if err != nil {
			t.Errorf("%s: %v", what, err)
			continue
		}
		for _, want := range row.want {
			if !strings.Contains(out.Verdict.Sentence(unit.Metric), want) {
				t.Errorf("%s: %q is not in %q", what, want, out.Verdict)
			}
		}
	}
}

// TestArrangeTellsWhatChangesTheColour: only where the goal misses the colour or its evenness does the answer say what would
// change it, by how many spectra there are.
func TestArrangeTellsWhatChangesTheColour(t *testing.T) {
	const one = "modules: {part: quad-neutral, optic: round-60, count: 3, spacing: 80 mm, current: 350 mA}"
	const two = "modules: [{part: quad-neutral, optic: round-60, x: 100 mm, current: 350 mA}, {part: quad-blue, optic: round-60, x: 360 mm, current: 350 mA}]"
	for what, row := range map[string]struct{ modules, asks, want string }{
		"one spectrum":  {one, "colour: 8000 K", "more than 5 steps; modules of another spectrum would change the colour, places hardly do"},
		"two":           {two, "colour: 2500 K", "; places were sought by the amount of light; its colour follows from parts and currents."},
		"evenness":      {two, "steps_at_most: 3", ", more than 3 steps; places were sought by the amount of light, not by its colour; modules that take turns (alternate: true) mix it better."},
		"colour is met": {one, "colour: 4200 K", "; the goal is met."},
	} {
		sc := scenetest.Read(t, scenetest.Narrow, one, row.modules, "illuminance: 1000 lx, uniformity: 0.6", "illuminance: 100 lx, "+row.asks)
		out, err := Arrange(context.Background(), sc, ArrangeOptions{RoundM: 0.02, KeepY: true, SweepOptions: SweepOptions{StepM: 0.04, Workers: 2}})
		if err != nil {
			t.Fatal(err)
		}
		if said := out.Verdict.Sentence(unit.Metric); !strings.Contains(said, row.want) {
			t.Errorf("%s: %s", what, said)
		}
	}
}

// TestArrangeNearTheGoal: crowding that just reaches the mean is no gain where more of the uniformity is lost by it. Between
// black ends the middle of the tank gets the most of the light.
func TestArrangeNearTheGoal(t *testing.T) {
	black := []string{"walls: {back: {paint: 0}}", "walls: {left: {paint: 0.03}, right: {paint: 0.03}}", "round-60", "round-90", "spacing: 80 mm", "spacing: 180 mm"}
	sc := scenetest.Read(t, scenetest.Narrow, black...)
	crowded, err := edit.With(sc, edit.Change{Variable: scenetest.Axis(t, "spacing").Variable, Value: 0.06})
	if err != nil {
		t.Fatal(err)
	}
	sc.Goal.IlluminanceLx, sc.Goal.Uniformity = 0.99*compute(t, crowded, optics.Options{}).Planes[2].Illuminance.Mean, 0.7
	out, err := Arrange(context.Background(), sc, ArrangeOptions{RoundM: 0.01, KeepY: true, SweepOptions: SweepOptions{StepM: 0.02, Workers: 2}})
	if err != nil {
		t.Fatal(err)
	}
	_, a := out.After.Goal.Shortfall()
	if _, b := out.Before.Goal.Shortfall(); a > b {
		t.Errorf("of the goal %g is missing after, %g before: %s", a, b, out.Verdict)
	}
}
