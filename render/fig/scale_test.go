package fig

import (
	"math"
	"slices"
	"testing"

	"fathomlux/render/style"
)

// at lists the levels of values about n, and a goal.
func at(levels []level) (values []float64) {
	for _, l := range levels {
		values = append(values, l.value)
	}
	return values
}

func TestContourLevels(t *testing.T) {
	if got, want := at(levelsOf([]float64{0, 812, 2100}, 8, 0)), []float64{500, 1000, 1500, 2000}; !slices.Equal(got, want) {
		t.Errorf("levels %v; want %v", got, want)
	}
	if got, want := at(levelsOf([]float64{0.1, 0.45}, 7, 0)), []float64{0.15, 0.2, 0.25, 0.3, 0.35, 0.4}; !slices.Equal(got, want) {
		t.Errorf("levels %v; want %v", got, want)
	}
	for _, even := range [][]float64{nil, {math.NaN()}, {0, 0}, {7}, {2495, 2505}} {
		if got := levelsOf(even, 8, 0); len(got) != 0 {
			t.Errorf("levels %v of the even field %v", got, even)
		}
	}
}

func TestGoalLevelsReplaceTheNearest(t *testing.T) {
	levels := levelsOf([]float64{0, 2100}, 8, 980)
	if want := []float64{500, 1500, 2000, 980}; !slices.Equal(at(levels), want) || !levels[3].goal || levels[0].goal {
		t.Errorf("levels %v; want 500, 1500, 2000 and the goal's 980", levels)
	}
	if n := len(levelsOf([]float64{0, 2100}, 8, 5000)); n != 4 {
		t.Errorf("a goal beyond the field gives %d levels; want the 4 round ones", n)
	}
	if got := levelsOf([]float64{2495, 2505}, 8, 2500); len(got) != 1 || !got[0].goal {
		t.Errorf("an even field that the goal runs through has levels %v", got)
	}
}

// TestGoalsOfOtherUnits: a goal in foot-candles is no round number of lx, and is written as a person would.
func TestGoalsOfOtherUnits(t *testing.T) {
	const footCandles250 = 2690.977604
	c := newCanvas(t, 800, 420, 1)
	h := unitHeat(style.Box{Left: 10, Top: 100, Right: 790, Bottom: 400}, 2, 1, []float64{0, 6000})
	h.Isolines(c, footCandles250)
	Key("illuminance", "lx", style.NewScale(0, 6000), footCandles250).Draw(c, style.Box{Left: 10, Right: 790, Top: 10, Bottom: 10 + barHeight})
	for _, want := range []string{"2691", "goal 2691", "illuminance, lx"} {
		if !slices.ContainsFunc(c.Texts(), func(text style.Placed) bool { return text.Text == want }) {
			t.Errorf("there is %v; want %s", c.Texts(), want)
		}
	}
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
