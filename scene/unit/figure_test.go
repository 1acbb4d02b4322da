package unit_test

import (
	"math"
	"strconv"
	"testing"

	"pgregory.net/rapid"

	"fathomlux/scene/unit"
)

func TestFigure(t *testing.T) {
	t.Parallel()
	for _, one := range []struct {
		value    float64
		decimals int
		want     string
	}{
		{0, 2, "0"}, {0.534, 2, "0.53"}, {0.9999, 2, "1.00"}, {0.0537, 2, "0.054"}, {0.0037, 2, "0.0037"}, {0.00996, 2, "0.010"},
		{0.0999, 2, "0.10"}, {1.5e-9, 2, "1.5e-09"}, {43.13, 1, "43.1"}, {0.04, 1, "0.040"}, {2500.4, 0, "2500"}, {9.96, 0, "10"}, {-0.0037, 2, "-0.0037"},
	} {
		if got := unit.Figure(one.value, one.decimals); got != one.want {
			t.Errorf("%g with %d decimals: %q, want %q", one.value, one.decimals, got, one.want)
		}
	}
}

// TestFigureIsNear: whatever the value, what is written lies within half a unit of its second digit or of its last decimal.
func TestFigureIsNear(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		v, decimals := rapid.Float64Range(-1e6, 1e6).Draw(t, "v")*math.Pow(10, -float64(rapid.IntRange(0, 12).Draw(t, "scale"))), rapid.IntRange(0, 3).Draw(t, "decimals")
		back, err := strconv.ParseFloat(unit.Figure(v, decimals), 64)
		if err != nil || v != 0 && back == 0 || math.Abs(back-v) > 0.5001*math.Max(0.1*math.Abs(v), math.Pow(10, -float64(decimals))) {
			t.Fatalf("%g is written %s", v, unit.Figure(v, decimals))
		}
	})
}

func TestRuns(t *testing.T) {
	for want, numbers := range map[string][]int{"": nil, "3": {3}, "1-4,7": {1, 2, 3, 4, 7}, "1,3-4": {1, 3, 4}} {
		if got := unit.Runs(numbers, "-", ","); got != want {
			t.Errorf("%v: %q, want %q", numbers, got, want)
		}
	}
}
