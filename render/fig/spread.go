package fig

import "math"

// Spread returns places near the wanted ones, in their order, at least gap apart and as far as possible within low and
// high: for labels in a column, each beside its line. The wanted places are sorted. A run that is pushed apart lies
// around what it wanted.
func Spread(wanted []float64, gap, low, high float64) []float64 {
	places := make([]float64, len(wanted))
	for i, w := range wanted {
		places[i] = math.Max(w, low)
		if i > 0 {
			places[i] = math.Max(places[i], places[i-1]+gap)
		}
	}
	for i := len(places) - 1; i >= 0; i-- {
		limit := high
		if i < len(places)-1 {
			limit = places[i+1] - gap
		}
		places[i] = math.Min(places[i], limit)
	}
	return centred(wanted, places, gap, low)
}

// centred moves each run of places that stand at the closest distance back, so that the run lies around what it wanted.
func centred(wanted, places []float64, gap, low float64) []float64 {
	for from := 0; from < len(places); {
		to, off := from+1, places[from]-wanted[from]
		for to < len(places) && places[to]-places[to-1] < gap*1.001 {
			off += places[to] - wanted[to]
			to++
		}
		room := places[from] - low
		if from > 0 {
			room = places[from] - places[from-1] - gap
		}
		shift := math.Min(off/float64(to-from), room)
		for i := from; i < to && shift > 0; i++ {
			places[i] -= shift
		}
		from = to
	}
	return places
}
