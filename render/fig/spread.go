package fig

import "math"

// Spread returns places near the wanted ones, in their order, at least gap apart and as far as possible within low and
// high: for labels in a column, each beside its line. The wanted places are sorted. The sum of the squares of the
// shifts is the least: runs that are pushed apart lie around what they wanted.
// Source: pool adjacent violators, M. Ayer and others 1955, Annals of Mathematical Statistics 26, 641-647.
func Spread(wanted []float64, gap, low, high float64) []float64 {
	var runs [][2]float64 // the sum of what places without gaps would be, and how many they are
	for i, w := range wanted {
		run := [2]float64{w - float64(i)*gap, 1}
		for n := len(runs); n > 0 && runs[n-1][0]/runs[n-1][1] > run[0]/run[1]; n-- {
			run[0], run[1] = run[0]+runs[n-1][0], run[1]+runs[n-1][1]
			runs = runs[:n-1]
		}
		runs = append(runs, run)
	}
	var places []float64
	last := high - float64(len(wanted)-1)*gap
	for _, run := range runs {
		for range int(run[1]) {
			places = append(places, math.Min(math.Max(run[0]/run[1], low), last)+float64(len(places))*gap)
		}
	}
	return places
}
