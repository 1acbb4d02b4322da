// Package quasi gives points that fill a box more evenly than random ones do: Halton's sequence with scrambled digits.
// The same seed gives the same points. It knows no light.
// Next: package optics, whose tolerance draws its samples here.
package quasi

// Halton is a sequence of points in the unit box. Coordinate k is the radical inverse of the point's number in the k-th
// prime as base, its digits exchanged by a linear map that depends on the digits before it, drawn by a hash of the
// seed; with seed 0 digits stay as they are. Sources: J. H. Halton 1960, Numerische Mathematik 2, 84-90; J. Matousek
// 1998, Journal of Complexity 14, 527-556 (random linear scrambling, nested as in Owen 1995). Coordinates whose prime
// is above the number of points are no more even than random ones.
type Halton struct {
	bases []uint64
	seed  uint64
}

// New returns the sequence in a box of the given number of dimensions.
func New(dimensions int, seed uint64) Halton { return Halton{bases: primes(dimensions), seed: seed} }

// Point fills to with the i-th point, from 0. Coordinates are at least 0 and below 1; where digits are scrambled the
// digits that a point's number does not have are drawn too, so that no coordinate is 0 by rule.
func (h Halton) Point(i int, to []float64) {
	for k, b := range h.bases {
		to[k] = h.inverse(k, b, uint64(i))
	}
}

// finest is how small a digit's worth may become before the rest is left out.
const finest = 1e-12

func (h Halton) inverse(dimension int, base, i uint64) float64 {
	sum, worth := 0.0, 1.0/float64(base)
	state := mix(h.seed ^ mix(uint64(dimension)+1))
	for ; worth > finest && (i > 0 || h.seed != 0); worth /= float64(base) {
		digit := i % base
		i /= base
		if h.seed != 0 {
			factor, shift := 1+state%(base-1), (state>>32)%base
			state = mix(state ^ (digit + 1))
			digit = (digit*factor + shift) % base
		}
		sum += float64(digit) * worth
	}
	return min(sum, 1-1e-16)
}

// mix is a 64-bit hash: the finaliser of splitmix64. Source: G. Steele, D. Lea, C. Flood 2014, OOPSLA, fig. 17.
func mix(z uint64) uint64 {
	z += 0x9e3779b97f4a7c15
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// primes returns the first n primes.
func primes(n int) []uint64 {
	var list []uint64
	for c := uint64(2); len(list) < n; c++ {
		prime := true
		for _, p := range list {
			if p*p > c {
				break
			}
			if c%p == 0 {
				prime = false
				break
			}
		}
		if prime {
			list = append(list, c)
		}
	}
	return list
}
