package beam

import "math"

// knots are rising angles in radians, with bins of one width that say where in the list to begin looking.
type knots struct {
	at    []float64
	first []int32 // cell in which a bin begins
	scale float64 // bins a radian
}

// binsPerKnot makes the search end after a step or two unless angles are very uneven.
const binsPerKnot = 4

func newKnots(deg []float64) knots {
	k := knots{at: make([]float64, len(deg))}
	for i, d := range deg {
		k.at[i] = d * math.Pi / 180
	}
	if len(deg) == 1 {
		return k
	}
	bins := binsPerKnot * len(deg)
	k.scale = float64(bins) / (k.at[len(deg)-1] - k.at[0])
	cell := 0
	for b := range bins {
		for cell+2 < len(k.at) && k.at[cell+1] <= k.at[0]+float64(b)/k.scale {
			cell++
		}
		k.first = append(k.first, int32(cell))
	}
	return k
}

// find returns the cell that holds x and how far on in it x is; ok is false outside the list, but for rounding at its
// ends.
func (k *knots) find(x float64) (cell int, share float64, ok bool) {
	from, to := k.at[0], k.at[len(k.at)-1]
	if !(x >= from-endSlack && x <= to+endSlack) {
		return 0, 0, false
	}
	bin := min(max(int((x-from)*k.scale), 0), len(k.first)-1)
	i := int(k.first[bin])
	for i > 0 && x < k.at[i] {
		i--
	}
	for i+2 < len(k.at) && x > k.at[i+1] {
		i++
	}
	share = (x - k.at[i]) / (k.at[i+1] - k.at[i])
	return i, math.Min(math.Max(share, 0), 1), true
}

// endSlack is by how much tables of arc functions, and degrees turned into radians, miss the end of a list, rad.
const endSlack = 1e-9
