package render

import (
	"math"
	"slices"
	"strings"
	"testing"

	"fathomlux/optics/result"
	"fathomlux/render/chart"
	"fathomlux/render/fig"
	"fathomlux/scene"
	"fathomlux/scene/finding"
	"fathomlux/scene/unit"
)

// swept is a sweep over two variables with one candidate that cannot be built.
func swept() *result.Sweep {
	s := &result.Sweep{Title: "tank", Plane: "floor", Frontier: []int{1, 0}, Study: result.Study{Best: 1, Verdict: finding.GoalUnset.Of()},
		Axes: []result.Axis{{Name: "spacing", Dimension: unit.Length, Values: []float64{0.1, 0.2}}, {Name: "beam", Values: []float64{20, 40}}}}
	for i := range 4 {
		c := result.Candidate{Done: i < 3, Values: []float64{s.Axes[0].Values[i/2], s.Axes[1].Values[i%2]}, Goal: result.Goal{Met: i == 1}}
		c.Illuminance = result.Statistics{Mean: 2000 - 100*float64(i), MinOverMean: 0.3 + 0.1*float64(i)}
		s.Candidates = append(s.Candidates, c)
	}
	s.Own = result.Candidate{Name: "the scene as it is", Values: []float64{0.1, 40}, Illuminance: result.Statistics{Mean: 1500, MinOverMean: 0.2}}
	return s
}

// TestDesignChartTellsKindsApart: a series a kind of candidate, full where the goal is met, and the frontier in order.
func TestDesignChartTellsKindsApart(t *testing.T) {
	t.Parallel()
	sc := &scene.Scene{Goal: scene.Goal{Uniformity: 0.4}}
	c, _ := designDrawing(swept(), sc, Look{}).picture.(chart.Chart)
	p := c.Panels[0]
	if front := p.Series[0]; len(front.X) != 2 || front.X[0] != 1900 || front.X[1] != 2000 || !front.Steps {
		t.Errorf("frontier %+v", front)
	}
	marks := map[fig.Mark]string{fig.Ring: "misses", fig.Disc: "meets", fig.Square: "the scene as it is", fig.FullSquare: "the scene as it is"}
	shown := 0
	for _, s := range p.Series[1:] {
		shown += len(s.X)
		if want := marks[s.Mark]; want == "" || len(s.X) == 0 || !strings.Contains(s.Name, want) {
			t.Errorf("series %q with mark %d of %d", s.Name, s.Mark, len(s.X))
		}
	}
	if shown != 4 { // of three usable candidates and the scene itself
		t.Errorf("%d marks", shown)
	}
	if a := p.Areas[0]; a.Y[0] != 0.4 || !math.IsInf(a.X[0], -1) || len(p.Limits) != 1 {
		t.Errorf("area %+v, limits %+v", a, p.Limits)
	}
	if _, err := c.Draw(); err != nil {
		t.Error(err)
	}
}

// TestSurfaceHasEachPairInItsPlace: x runs with the first variable; what cannot be built is missing.
func TestSurfaceHasEachPairInItsPlace(t *testing.T) {
	t.Parallel()
	c, _ := surfaceDrawing(swept(), &scene.Scene{}, Look{}).picture.(chart.Chart)
	f := c.Panels[0].Field
	for i, want := range []float64{0.3, 0.5, 0.4, math.NaN()} { // x is 0.1, 0.2, then the next y
		if got := f.Z[i]; math.Abs(got-want) > 1e-9 || math.IsNaN(got) != math.IsNaN(want) {
			t.Errorf("pair %d is %g; want %g", i, got, want)
		}
	}
	if n := len(c.Panels[0].Series); n != 2 || c.Panels[0].Series[0].X[0] != 100 {
		t.Errorf("%d marks: %+v", n, c.Panels[0].Series)
	}
	if _, err := c.Draw(); err != nil {
		t.Error(err)
	}
}

// TestSweptValuesInAnyOrder: values that fall, or come twice, are drawn in rising order, each once.
func TestSweptValuesInAnyOrder(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ x, want []float64 }{{[]float64{0.2, 0.1}, []float64{0.5, 0.3, math.NaN(), 0.4}},
		{[]float64{0.1, 0.1}, []float64{0.5, math.NaN()}}} {
		s := swept()
		s.Axes[0].Values = c.x
		drawn, _ := surfaceDrawing(s, &scene.Scene{}, Look{}).picture.(chart.Chart)
		f := drawn.Panels[0].Field
		if !slices.EqualFunc(f.Z, c.want, func(a, b float64) bool { return math.Abs(a-b) < 1e-9 || a != a && b != b }) || !slices.IsSorted(f.X) {
			t.Errorf("%v: %v over %v; want %v", c.x, f.Z, f.X, c.want)
		}
	}
}

// TestCurvesOverOneVariable: three lines in rising order of the variable, with a gap where nothing can be built, the best and the
// scene as it is marked on each, and the goal's lines.
func TestCurvesOverOneVariable(t *testing.T) {
	t.Parallel()
	s := swept()
	s.Axes = []result.Axis{{Name: "spacing", Dimension: unit.Length, Values: []float64{0.4, 0.2, 0.3, 0.1}}}
	s.Own.Values, s.Own.Goal.Level = []float64{0.15}, 1800
	c, _ := curvesDrawing(s, &scene.Scene{Goal: scene.Goal{Uniformity: 0.4}}, Look{}).picture.(chart.Chart)
	light, even := c.Panels[0].Series, c.Panels[1].Series
	if len(light) != 4 || len(even) != 3 || !slices.Equal(light[0].X, []float64{100, 200, 300, 400}) || !math.IsNaN(light[0].Y[0]) {
		t.Fatalf("%+v, %+v", light, even)
	}
	if light[0].Y[1] != 1900 || light[0].Y[3] != 2000 || even[0].Y[2] != 0.5 || !slices.Equal(light[3].X, []float64{200, 200}) || even[2].Y[0] != 0.4 {
		t.Errorf("%+v, %+v", light, even)
	}
	if !slices.Equal(light[2].Y, []float64{1500, 0}) || c.Panels[0].Limits[0].At != 1800 || c.Panels[1].Limits[0].At != 0.4 {
		t.Errorf("%+v, limits %+v", light, c.Panels[0].Limits)
	}
	if _, err := c.Draw(); err != nil {
		t.Error(err)
	}
}
