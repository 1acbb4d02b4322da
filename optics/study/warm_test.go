package study

import (
	"context"
	"errors"
	"strings"
	"testing"

	"fathomlux/optics"
	"fathomlux/optics/scenetest"
	"fathomlux/scene/edit"
	"fathomlux/scene/finding"
)

func TestSweepRefusesWhatGetsTooHot(t *testing.T) {
	sc := withAnyDriver(t, scenetest.Read(t, scenetest.Shelf, "count: 1", "count: 16, spacing: 31 mm"), 0.2, 0.35, 0.9, 1)
	request := SweepOptions{StepM: 0.02, Workers: 2, Axes: []edit.Range{scenetest.Axis(t, "current", 0.2, 0.35, 0.9, 1), scenetest.Axis(t, "height", 0.1, 0.2)}}
	s, err := Sweep(context.Background(), sc, request)
	if err != nil {
		t.Fatal(err)
	}
	for i, c := range s.Candidates {
		hot := c.Values[0] > 0.5
		if c.Usable() == hot || hot && !strings.Contains(c.WhyNot().String(), "heat") && !strings.Contains(c.WhyNot().String(), "above its limit") {
			t.Errorf("candidate %d at %g A: %v", i, c.Values[0], c.WhyNot())
		}
		if i%2 == 1 && c.Junctions.HighestC != s.Candidates[i-1].Junctions.HighestC {
			t.Errorf("height changes the heat: %+v", c.Junctions)
		}
	}
	if s.Reached != 8 || s.Best < 0 || s.Candidates[s.Best].Values[0] > 0.5 || !s.Junctions.Warm || s.Junctions.HighestC < s.Junctions.LowestC+5 {
		t.Errorf("best %d of %+v, %d reached", s.Best, s.Junctions, s.Reached)
	}
	request.Cold = true
	if s, err = Sweep(context.Background(), sc, request); err != nil || !s.Candidates[7].Usable() || s.Junctions.Warm || s.Own.Junctions.Warm {
		t.Errorf("cold, the brightest: %+v, error %v", s.Candidates[7], err)
	}
}

func TestCompareLeavesOutWhatGetsTooHot(t *testing.T) {
	bright := scenetest.Read(t, scenetest.Shelf, append([]string{"illuminance: 400 lx, uniformity: 0.6", "illuminance: 5000 lx"}, "count: 1, current: 350 mA", "count: 16, spacing: 31 mm, current: 1 A", "above_water: 150 mm", "above_water: 150 mm\n    profile: u-30x15")...)
	dim := scenetest.Read(t, scenetest.Shelf, "illuminance: 400 lx, uniformity: 0.6", "illuminance: 5000 lx")
	list := []Contender{{"bright", withAnyDriver(t, bright, 1)}, {"dim", dim}}
	c, err := Compare(context.Background(), list, optics.Options{StepM: 0.02})
	if err != nil || c.Best != 1 || !strings.Contains(c.Candidates[0].Goal.Unbuildable.String(), "the thermal balance has no solution") || !c.Junctions.Warm {
		t.Errorf("best %d, %v, error %v", c.Best, c.Candidates[0].Goal.Unbuildable, err)
	}
	if c, err = Compare(context.Background(), list, optics.Options{StepM: 0.02, Cold: true}); err != nil || c.Best != 0 || c.Junctions.Warm {
		t.Errorf("cold: best %d, error %v", c.Best, err)
	}
}

func TestArrangeKeepsWithinTheHeat(t *testing.T) {
	sc := scenetest.Read(t, scenetest.Shelf, "count: 1, current: 350 mA", "count: 8, spacing: 40 mm, current: 1 A", "illuminance: 400 lx, uniformity: 0.6", "illuminance: 90000 lx")
	if _, err := Arrange(context.Background(), sc, ArrangeOptions{SweepOptions: SweepOptions{StepM: 0.03}}); !errors.Is(err, errTooHot) || !strings.Contains(err.Error(), "less current") {
		t.Errorf("a scene that is too hot: %v", err)
	}
	cold, err := Arrange(context.Background(), sc, ArrangeOptions{RoundM: 0.02, KeepY: true, SweepOptions: SweepOptions{StepM: 0.03, Cold: true}})
	if err != nil || cold.After.Junctions.Warm {
		t.Errorf("cold: %v", err)
	}
	withAnyDriver(t, sc, 0.2, 0.4, 0.6, 0.8, 1)
	a, err := Arrange(context.Background(), sc, ArrangeOptions{RoundM: 0.02, KeepY: true, Currents: []float64{0.2, 0.4, 0.6, 0.8, 1}, SweepOptions: SweepOptions{StepM: 0.03}})
	if err != nil {
		t.Fatal(err)
	}
	if amps := a.Scene.Rails[0].Modules[0].CurrentA; amps == 1 || amps == 0.2 || !a.After.Junctions.Warm || a.After.Junctions.TooHot.Any() {
		t.Errorf("%g A with %+v: not the highest current that the parts bear", amps, a.After.Junctions)
	}
	if len(a.Notes) == 0 || a.Notes[0].Code != finding.AsItIs {
		t.Errorf("notes %q", a.Notes)
	}
}
