package chart

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/plot/plotter"
)

// against holds n readings, every fifth of them left out, over the given span of values.
func against(n int, low, high float64) Against {
	a := Against{Title: "A tank", Subtitle: "measured against computed", ValueUnit: "lx", PlaceLabel: "depth, mm", ComputedText: "computed", MeasText: "measured",
		BandShare: 0.07, BandText: BandTextFor(0.95, 0.07), Names: []string{"old meter", "new meter"}, Notes: []string{"a note"}, Footer: "a footer"}
	for i := range n {
		v := low * math.Pow(high/low, float64(i)/float64(max(1, n-1)))
		p := Pair{Computed: v, Measured: v * (1 + 0.05*math.Sin(float64(i))), Place: 420 - 10*float64(i), Series: i % 2, Label: "line 7"}
		if i%5 == 4 {
			p.Out, p.Measured = true, v/2
		}
		a.Pairs = append(a.Pairs, p)
	}
	return a
}

func TestAgainst(t *testing.T) {
	for _, c := range []struct {
		name string
		a    Against
		want []string
	}{
		{"even axes", against(20, 1000, 4000), []string{"2000", "line 7", "left out of the fit", "95 % of readings are expected within 7.0 %", "measured, lx"}},
		{"logarithmic axes", against(20, 40, 20000), []string{"100", "10000"}},
		{"photons", against(8, 3, 9), []string{"old meter", "new meter"}},
		{"one reading", against(1, 5, 5), []string{"computed, lx"}},
		{"none", Against{Title: "none"}, []string{"no values"}},
	} {
		page, err := c.a.Draw()
		if err != nil {
			t.Fatalf("%s: %v", c.name, err)
		}
		if faults := page.Collisions(); len(faults) > 0 {
			t.Errorf("%s: %v", c.name, faults)
		}
		var all []string
		for _, text := range page.Texts() {
			all = append(all, text.Text)
		}
		for _, want := range c.want {
			if !strings.Contains("|"+strings.Join(all, "|")+"|", "|"+want+"|") {
				t.Errorf("%s: no %q on the page: %v", c.name, want, all)
			}
		}
	}
}

// TestOddPairsAreLeftOut: what has no place on the chart does not stop it.
func TestOddPairsAreLeftOut(t *testing.T) {
	a := against(5, 10, 20)
	a.Pairs = append(a.Pairs, Pair{Computed: 0, Measured: 3}, Pair{Computed: math.NaN(), Measured: 1}, Pair{Computed: 12, Measured: 0, Place: 1})
	if _, err := a.Draw(); err != nil {
		t.Error(err)
	}
}

// TestBandEdgeBendsAtTheBorder: an edge is straight up to the border, on even and on logarithmic axes.
func TestBandEdgeBendsAtTheBorder(t *testing.T) {
	for _, c := range []struct {
		name   string
		s      valueScale
		factor float64
		r      interval
		want   plotter.XY
	}{
		{"top", valueScale{}, 1.25, interval{low: 1000, high: 10000}, plotter.XY{X: 8000, Y: 10000}},
		{"bottom", valueScale{}, 0.5, interval{low: 1000, high: 10000}, plotter.XY{X: 2000, Y: 1000}},
		{"top, logarithmic", valueScale{log: true}, 10, interval{low: 0, high: 3}, plotter.XY{X: 2, Y: 3}},
	} {
		edge := c.s.bandEdge(c.factor, c.r)
		if len(edge) != 3 || math.Abs(edge[1].X-c.want.X) > 1e-9 || math.Abs(edge[1].Y-c.want.Y) > 1e-9 {
			t.Errorf("%s: %v, want a corner at %v", c.name, edge, c.want)
		}
		if edge[0].X != c.r.low || edge[2].X != c.r.high || edge[0].Y > edge[2].Y {
			t.Errorf("%s: %v does not cross the chart", c.name, edge)
		}
	}
}

func TestLogTicks(t *testing.T) {
	var labels []string
	for _, tick := range (logTicks{}).Ticks(math.Log10(40), math.Log10(2100)) {
		labels = append(labels, tick.Label)
	}
	if got := strings.Join(labels, " "); got != "50 100 200 500 1000 2000" {
		t.Errorf("%s", got)
	}
}
