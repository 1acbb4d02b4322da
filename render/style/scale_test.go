package style

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

func TestNewScaleIsRound(t *testing.T) {
	for _, c := range []struct {
		low, high float64
		want      Scale
	}{
		{0, 2050, Scale{High: 2100, Ticks: []float64{0, 500, 1000, 1500, 2000}}},
		{0, 1, Scale{High: 1, Ticks: []float64{0, 0.2, 0.4, 0.6, 0.8, 1}}},
		{0, 0.31, Scale{High: 0.32, Ticks: []float64{0, 0.1, 0.2, 0.3}}},
		{0, 0, Scale{High: 1, Ticks: []float64{0, 0.2, 0.4, 0.6, 0.8, 1}}},
		{math.NaN(), math.NaN(), Scale{High: 1, Ticks: []float64{0, 0.2, 0.4, 0.6, 0.8, 1}}},
	} {
		got := NewScale(c.low, c.high)
		if got.Low != c.want.Low || got.High != c.want.High || !slices.Equal(got.Ticks, c.want.Ticks) {
			t.Errorf("NewScale(%g, %g) = %v; want %v", c.low, c.high, got, c.want)
		}
	}
}

func TestNewScaleHoldsItsRange(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		low := rapid.Float64Range(-1e6, 1e6).Draw(t, "low")
		high := low + math.Pow(10, rapid.Float64Range(-3, 6).Draw(t, "digits"))
		s := NewScale(low, high)
		slack := 1e-8 * (high - low)
		if s.Low > low+slack || s.High < high-slack || !(s.High > s.Low) {
			t.Fatalf("scale %v does not hold %g to %g", s, low, high)
		}
		if s.High-s.Low > 1.35*(high-low) { // a fifth of a step of at most 2.5/5 at either end, and some
			t.Fatalf("scale %v wastes more than a third on %g to %g", s, low, high)
		}
		if n := len(s.Ticks); n < 2 || n > 9 {
			t.Fatalf("scale %v has %d ticks", s, n)
		}
	})
}

// TestLogScales: they end at a round number, begin as many decades below, and give the same factor the same room.
func TestLogScales(t *testing.T) {
	for high, want := range map[float64]float64{37: 50, 100: 100, 101: 200, 0.19: 0.2, 6e5: 1e6} {
		s := NewLogScale(high, 3)
		if math.Abs(s.High/want-1) > 1e-9 || math.Abs(s.Low/want-1e-3) > 1e-9 || len(s.Ticks) != 10 {
			t.Errorf("up to %g: %+v, want up to %g", high, s, want)
		}
		for i, tick := range s.Ticks[1:] {
			room := s.Share(tick) - s.Share(s.Ticks[i])
			if factor := tick / s.Ticks[i]; math.Abs(room-math.Log10(factor)/3) > 1e-9 {
				t.Errorf("a factor of %g has a room of %g", factor, room)
			}
		}
		if s.Share(0) > 0 || s.Share(10*s.High) < 1 {
			t.Errorf("nothing has a share of %g, much one of %g", s.Share(0), s.Share(10*s.High))
		}
	}
}

func TestScaleForIsCommon(t *testing.T) {
	nan := math.NaN()
	s := ScaleFor([]float64{3, 40}, []float64{nan, 180, math.Inf(1)}, nil)
	if s.Low != 0 || s.High != 180 {
		t.Errorf("common scale is %v; want 0 to 180", s)
	}
	if got := s.Share(90); got != 0.5 {
		t.Errorf("share of 90 is %g", got)
	}
	if !math.IsNaN(s.Share(nan)) {
		t.Error("NaN has a share")
	}
}

func TestNumbers(t *testing.T) {
	for v, want := range map[float64]string{
		0: "0", 2410.4: "2410", 99.96: "100", 31.42: "31.4", 1.5: "1.50", 0.0521: "0.0521", 1e8: "1e+08",
		-250: "-250", math.Inf(1): "\u2013", math.NaN(): "\u2013", 9999999: "9999999",
	} {
		if got := Number(v); got != want {
			t.Errorf("Number(%g) = %q; want %q", v, got, want)
		}
	}
	for v, want := range map[float64]string{0: "0", 1200: "1200", 0.25: "0.25", 0.3: "0.3", 2e8: "2e+08", 1e-6: "1e-06", 100: "100"} {
		if got := TickText(v); got != want {
			t.Errorf("TickText(%g) = %q; want %q", v, got, want)
		}
	}
}

func TestFourDigits(t *testing.T) {
	for v, want := range map[float64]string{
		2690.977604: "2691", 107639.104: "107600", 150: "150", 0.4: "0.4", 0.123456: "0.1235", 0: "0", 12.5: "12.5", math.NaN(): "NaN",
	} {
		if got := FourDigits(v); got != want {
			t.Errorf("FourDigits(%g) = %q; want %q", v, got, want)
		}
	}
}

func TestRoundStepRefusesNothing(t *testing.T) {
	for x, want := range map[float64]float64{410: 500, 1.05: 1, 0.03: 0.05, 21: 20, 7: 10, 0: 1, -3: 1, math.Inf(1): 1} {
		if got := RoundStep(x); math.Abs(got-want) > 1e-12*want {
			t.Errorf("RoundStep(%g) = %g; want %g", x, got, want)
		}
	}
}

func TestUnits(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{Metric.Length(0.42), "420 mm"}, {Metric.Length(0.1234), "123.4 mm"}, {US.Length(1.18), "46.46 in"},
		{US.Length(0.0254), "1 in"}, {Metric.Span(0.56, 0.62), "560 to 620 mm"}, {US.Figure(0), "0"},
	} {
		if c.got != c.want {
			t.Errorf("got %q; want %q", c.got, c.want)
		}
	}
}

// TestCommonScale: a few hot spots lie beyond the scale; a field without them, and one of nothing, have the scale of all values.
func TestCommonScale(t *testing.T) {
	t.Parallel()
	values := make([]float64, 1000)
	for i := range values {
		values[i] = float64(i % 100)
	}
	even := CommonScale(values)
	for i := range 10 {
		values[100*i] = 900
	}
	if spots := CommonScale(append(values, math.NaN())); even.High != 100 || spots.High != 100 {
		t.Errorf("to %g without and to %g with hot spots", even.High, spots.High)
	}
	values = values[:0]
	if none := CommonScale(values); none.High != 1 {
		t.Errorf("%+v", none)
	}
}
