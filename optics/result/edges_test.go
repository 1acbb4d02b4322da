package result

import (
	"testing"

	"fathomlux/scene/unit"
)

// TestPlacesAtTheirEdges has a plan of 1 m by 1 m and patches that just do or do not reach what a word asks for; which words
// serve is this program's own choice.
func TestPlacesAtTheirEdges(t *testing.T) {
	g := Grid{NX: 100, NY: 100, StepXM: 0.01, StepYM: 0.01}
	for _, c := range []struct {
		fromX, toX, fromY, toY, share, midX, midY float64
		want                                      string
	}{
		{0.1, 0.91, 0.1, 0.91, 0.61, 0.5, 0.5, "almost everywhere"},
		{0.1, 0.91, 0.1, 0.91, 0.59, 0.5, 0.5, "all round the edge"},
		{0.1, 0.89, 0.1, 0.91, 0.61, 0.5, 0.5, "middle"},
		{0.1, 0.91, 0.1, 0.89, 0.61, 0.5, 0.5, "middle"},
		{0.2, 0.91, 0, 0.2, 0.1, 0.5, 0.1, "along the front"},
		{0.2, 0.89, 0, 0.2, 0.1, 0.5, 0.1, "front middle"},
		{0, 0.2, 0.2, 0.91, 0.1, 0.1, 0.5, "along the left"},
		{0, 0.2, 0.2, 0.89, 0.1, 0.1, 0.5, "left middle"},
		{0.35, 0.65, 0.2, 0.91, 0.1, 0.5, 0.5, "across"},
		{0.2, 0.905, 0.2, 0.95, 0.1, 0.5, 0.5, "middle"},
		{0.2, 0.91, 0.35, 0.65, 0.1, 0.5, 0.5, "lengthwise"},
		{0.2, 0.95, 0.2, 0.905, 0.1, 0.5, 0.5, "middle"},
		{0.1, 0.9, 0.099, 0.4, 0.1, 0.5, 0.25, "along the front"},
		{0.1, 0.9, 0.101, 0.4, 0.1, 0.5, 0.25, "lengthwise"},
		{0.1, 0.9, 0.6, 0.901, 0.1, 0.5, 0.75, "along the back"},
		{0.1, 0.9, 0.6, 0.899, 0.1, 0.5, 0.75, "lengthwise"},
		{0.3, 0.36, 0.4, 0.6, 0.01, 0.33, 0.5, "left middle"},
		{0.3, 0.38, 0.4, 0.6, 0.01, 0.34, 0.5, "middle"},
		{0.6, 0.7, 0.4, 0.6, 0.01, 0.66, 0.5, "middle"},
		{0.6, 0.7, 0.4, 0.6, 0.01, 0.67, 0.5, "right middle"},
	} {
		p := DarkCorner{FromXM: c.fromX, ToXM: c.toX, FromYM: c.fromY, ToYM: c.toY, AreaShare: c.share}
		if got, _ := place(p, g, c.midX, c.midY); got != c.want {
			t.Errorf("%+v lies %q", c, got)
		}
	}
}

// TestFineStepsAreNice: each step serves up to 25 000 cells, and the next one beyond.
func TestFineStepsAreNice(t *testing.T) {
	steps := []float64{1, 2, 2.5, 5, 10, 20, 25, 50, 100, 200, 250, 500, 500}
	for i, mm := range steps[:len(steps)-1] {
		if got := FineStepM(1, 0.999*25000*mm*mm*1e-6); got != mm/1000 {
			t.Errorf("just below 25 000 cells of %g mm the step is %g m", mm, got)
		}
		if got := FineStepM(1, 1.001*25000*mm*mm*1e-6); got != steps[i+1]/1000 {
			t.Errorf("just above 25 000 cells of %g mm the step is %g m", mm, got)
		}
	}
}

// TestStandardGridOfTwiceTheWidth: the shorter side counts from twice as long as wide on, EN 12464-1.
func TestStandardGridOfTwiceTheWidth(t *testing.T) {
	for length, want := range map[float64]int{2.03: 11, 1.97: 7} { // p = 0.2 m of 1 m; 0.321 m of 1.97 m
		if got := StandardGrid(length, 1).NX; got != want {
			t.Errorf("%g m by 1 m: %d points along, want %d", length, got, want)
		}
	}
}

func TestPlacesAfterAVerb(t *testing.T) {
	g := Grid{NX: 100, NY: 100, StepXM: 0.01, StepYM: 0.01}
	for want, c := range map[string]DarkCorner{
		"in the back left corner":      {FromXM: 0, ToXM: 0.2, FromYM: 0.8, ToYM: 1},
		"at the middle":                {FromXM: 0.4, ToXM: 0.6, FromYM: 0.4, ToYM: 0.6},
		"at the back middle":           {FromXM: 0.4, ToXM: 0.6, FromYM: 0.8, ToYM: 1},
		"along the back":               {FromXM: 0.1, ToXM: 0.9, FromYM: 0.9, ToYM: 1},
		"across, from x 500 to 600 mm": {FromXM: 0.5, ToXM: 0.6, FromYM: 0, ToYM: 1},
	} {
		c.Where, c.said = place(c, g, (c.FromXM+c.ToXM)/2, (c.FromYM+c.ToYM)/2)
		if got := c.Say(unit.Metric); got != want {
			t.Errorf("%q reads %q; want %q", c.Where, got, want)
		}
	}
}
