package result

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"
)

// Summarise computes the statistics of values; goal is the value that ShareAboveGoal counts from, 0 for none.
// The coefficient of variation is the population form, percentiles interpolate linearly between ranks.
// Source: EN 12665 for the two ratios (U0 = min/mean; min/max is often called diversity).
func Summarise(values []float64, goal float64) Statistics {
	s := Extremes(values)
	if len(values) == 0 {
		return s
	}
	sorted := slices.Clone(values)
	slices.Sort(sorted)
	s.P05, s.P95 = Percentile(sorted, 0.05), Percentile(sorted, 0.95)
	if s.Mean > 0 {
		s.CV = math.Sqrt(math.Max(stat.PopVariance(values, nil), 0)) / s.Mean
	}
	if goal > 0 {
		below, _ := slices.BinarySearch(sorted, goal)
		s.ShareAboveGoal = float64(len(sorted)-below) / float64(len(sorted))
	}
	return s
}

// Percentile returns the value at share p of the way from the first to the last of sorted values.
func Percentile(sorted []float64, p float64) float64 {
	at := p * float64(len(sorted)-1)
	i := min(int(at), max(0, len(sorted)-2))
	return sorted[i] + (at-float64(i))*(sorted[min(i+1, len(sorted)-1)]-sorted[i])
}

// Extremes is Summarise without percentiles and variation, for thousands of candidates: mean, min, max and the two
// ratios, which are 0 where they cannot be told.
func Extremes(values []float64) (s Statistics) {
	if len(values) == 0 {
		return s
	}
	s.Min, s.Max = values[0], values[0]
	for _, v := range values {
		s.Mean += v
		s.Min, s.Max = min(s.Min, v), max(s.Max, v)
	}
	if s.Mean /= float64(len(values)); s.Mean > 0 {
		s.MinOverMean = s.Min / s.Mean
	}
	if s.Max > 0 {
		s.MinOverMax = s.Min / s.Max
	}
	return s
}

// Scaled returns the statistics of the same field with all values times factor, which is above 0. ShareAboveGoal is not
// carried over, for it depends on the values one by one.
func (s Statistics) Scaled(factor float64) Statistics {
	s.Mean, s.Min, s.Max = s.Mean*factor, s.Min*factor, s.Max*factor
	s.P05, s.P95 = s.P05*factor, s.P95*factor
	if factor != 1 {
		s.ShareAboveGoal = 0
	}
	return s
}
