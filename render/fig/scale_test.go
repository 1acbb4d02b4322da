package fig

import (
	"math"
	"slices"
	"testing"

	"fathomlux/render/style"
)

func TestContourLevels(t *testing.T) {
	if got, want := contourLevels([]float64{0, 812, 2100}, 8), []float64{500, 1000, 1500, 2000}; !slices.Equal(got, want) {
		t.Errorf("levels %v; want %v", got, want)
	}
	if got, want := contourLevels([]float64{0.1, 0.45}, 7), []float64{0.15, 0.2, 0.25, 0.3, 0.35, 0.4}; !slices.Equal(got, want) {
		t.Errorf("levels %v; want %v", got, want)
	}
	for _, even := range [][]float64{nil, {math.NaN()}, {0, 0}, {7}, {2495, 2505}} {
		if got := contourLevels(even, 8); len(got) != 0 {
			t.Errorf("levels %v of the even field %v", got, even)
		}
	}
}

func TestGoalLevelsReplaceTheNearest(t *testing.T) {
	levels := GoalLevels([]float64{0, 2100}, 8, 980)
	var strong []string
	for _, l := range levels {
		if l.Strong {
			strong = append(strong, l.Label)
		}
		if l.Value == 1000 {
			t.Error("the level 1000 stands beside the goal 980")
		}
	}
	if !slices.Equal(strong, []string{"980"}) || len(levels) != 4 {
		t.Errorf("levels %v; want 500, 1500, 2000 and a strong 980", levels)
	}
	if n := len(GoalLevels([]float64{0, 2100}, 8, 5000)); n != 4 {
		t.Errorf("a goal beyond the field gives %d levels; want the 4 round ones", n)
	}
}

// TestGoalsOfOtherUnits: a goal in foot-candles is no round number of lx, and is written as a person would.
func TestGoalsOfOtherUnits(t *testing.T) {
	const footCandles250 = 2690.977604
	levels := GoalLevels([]float64{0, 6000}, 8, footCandles250)
	if got := levels[len(levels)-1].Label; got != "2691" {
		t.Errorf("the goal's line is labelled %q; want 2691", got)
	}
	c := newCanvas(t, 800, 120, 1)
	bar := Bar{Scale: style.NewScale(0, 6000), Colours: style.Light(), Unit: "lx", Name: "illuminance", Goal: footCandles250}
	bar.draw(c, style.Box{Left: 10, Right: 790, Top: 10, Bottom: 10 + barHeight})
	for _, text := range c.Texts() {
		if text.Text == "goal 2691" {
			return
		}
	}
	t.Errorf("the colour scale says %v; want goal 2691", c.Texts())
}

func TestRulerStepsAreRound(t *testing.T) {
	for _, c := range []struct {
		units         style.Units
		atLeast, want float64
		parts         int
	}{
		{style.Metric, 0.04, 0.05, 5}, {style.Metric, 0.00001, 0.001, 5}, {style.Metric, 0.15, 0.2, 4}, {style.Metric, 0.9, 1, 5},
		{style.US, 0.02, 1 * 0.0254, 4}, {style.US, 0.25, 12 * 0.0254, 6}, {style.US, 0.001, 0.25 * 0.0254, 2}, {style.US, 7, 360 * 0.0254, 5},
	} {
		step, parts := rulerStep(c.units, c.atLeast)
		if math.Abs(step-c.want) > 1e-12 || parts != c.parts {
			t.Errorf("step of at least %g m: %g in %d parts; want %g in %d", c.atLeast, step, parts, c.want, c.parts)
		}
	}
}
