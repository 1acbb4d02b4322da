package result

import (
	"math"
	"sort"

	"gonum.org/v1/gonum/stat"
)

// Summarise computes the statistics of values; goal is the value that ShareAboveGoal counts from, 0 for none.
// The coefficient of variation is the population form, percentiles interpolate linearly between ranks.
// Source: EN 12665 for the two ratios (U0 = min/mean; min/max is often called diversity).
func Summarise(values []float64, goal float64) Statistics {
	if len(values) == 0 {
		return Statistics{}
	}
	mean, variance := stat.PopMeanVariance(values, nil)
	sorted := append([]float64(nil), values...)
	sort.Float64s(sorted)
	s := Statistics{Mean: mean, Min: sorted[0], Max: sorted[len(sorted)-1]}
	s.P05, s.P95 = percentile(sorted, 0.05), percentile(sorted, 0.95)
	if mean > 0 {
		s.MinOverMean = s.Min / mean
		s.CV = math.Sqrt(math.Max(variance, 0)) / mean
	}
	if s.Max > 0 {
		s.MinOverMax = s.Min / s.Max
	}
	if goal > 0 {
		below := sort.SearchFloat64s(sorted, goal)
		s.ShareAboveGoal = float64(len(sorted)-below) / float64(len(sorted))
	}
	return s
}

// percentile returns the value at share p of the way from the first to the last of sorted.
func percentile(sorted []float64, p float64) float64 {
	at := p * float64(len(sorted)-1)
	i := int(at)
	if i+1 >= len(sorted) {
		return sorted[len(sorted)-1]
	}
	return sorted[i] + (at-float64(i))*(sorted[i+1]-sorted[i])
}

// Extremes is Summarise without percentiles and variation, for thousands of candidates: mean, min, max and the two
// ratios.
func Extremes(values []float64) Statistics {
	if len(values) == 0 {
		return Statistics{}
	}
	s := Statistics{Min: values[0], Max: values[0]}
	var sum float64
	for _, v := range values {
		sum += v
		s.Min, s.Max = min(s.Min, v), max(s.Max, v)
	}
	s.Mean = sum / float64(len(values))
	if s.Mean > 0 {
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
