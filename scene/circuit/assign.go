package circuit

import (
	"math"
	"slices"
)

const (
	// mostTried is the number of modules up to which every dealing is tried: 945 of them for ten modules in five strings.
	mostTried = 10
	// mostClimb is the number of modules up to which every exchange of two modules is tried; a longer row keeps the best
	// of the plain patterns, which differ less and less the longer it is.
	mostClimb = 48
	// nearestShare tells scores apart, as a share of the row's length.
	nearestShare = 1e-9
)

// gapM returns the largest gap in a row of modules, from left to right, after the worst of its strings has died,
// metres: from one of the remaining modules to the next, or twice the way from an end of the row to the first that
// remains, as beyond the end there is no light at all. It is the whole row's length twice where nothing remains. A gap
// opens where a run of neighbours of one string dies.
func gapM(at []float64, of []int) float64 {
	last := len(at) - 1
	largest := 0.0
	for start := 0; start <= last; {
		end := start
		for end < last && of[end+1] == of[start] {
			end++
		}
		switch {
		case start == 0 && end == last:
			return 2 * (at[last] - at[0])
		case start == 0:
			largest = max(largest, 2*(at[end+1]-at[0]))
		case end == last:
			largest = max(largest, 2*(at[last]-at[start-1]))
		default:
			largest = max(largest, at[end+1]-at[start-1])
		}
		start = end + 1
	}
	return largest
}

// dealer deals a row, in order from left to right, to strings.
type dealer struct {
	at      []float64
	kind    []int // numbered in the order of the row; strings must have the same number of each kind
	strings int
	kinds   [][]int   // by kind: its modules, by their index in the row
	sums    []float64 // room to add up in, by string
	best    []int     // dealing so far, the first of equals, and its score
	least   score
}

// assign deals the modules of one row to strings of equal size, so that the light stays even when a string dies: no two
// neighbours in one string where it can be helped, each string spread about the row's middle, and each kind of module
// spread over the strings alike. It returns a string, from 0, for each place, in metres from left to right; nil where
// the modules of a kind do not divide into the strings. The first measure is gapM; among dealings that it finds equal,
// the middles of the strings lie as near the row's middle as can be: exactly so up to ten modules, nearly so beyond.
func assign[Kind comparable](at []float64, kinds []Kind, strings int) []int {
	d := dealer{at: at, kind: numbered(kinds), strings: strings, sums: make([]float64, strings)}
	d.kinds = make([][]int, slices.Max(d.kind)+1)
	for i, k := range d.kind {
		d.kinds[k] = append(d.kinds[k], i)
	}
	switch {
	case slices.ContainsFunc(d.kinds, func(members []int) bool { return len(members)%strings != 0 }):
		return nil
	case len(at) <= mostTried:
		d.tryAll()
	default:
		d.tryPatterns()
	}
	return numbered(d.best)
}

// keep keeps a dealing that is better than the best so far.
func (d *dealer) keep(of []int) {
	if s := d.score(of); d.best == nil || d.better(s, d.least) {
		d.best, d.least = slices.Clone(of), s
	}
}

func (d *dealer) tryAll() {
	var each []int
	for _, members := range d.kinds {
		each = append(each, len(members)/d.strings)
	}
	of, left := make([]int, len(d.at)), slices.Repeat(each, d.strings) // what a string may still take, kind by kind
	var deal func(i, begun int)
	deal = func(i, begun int) {
		if i == len(of) {
			d.keep(of)
			return
		}
		for s := range min(begun+1, d.strings) { // strings are begun in order, as their numbers mean nothing
			if n := &left[s*len(each)+d.kind[i]]; *n > 0 {
				*n--
				of[i] = s
				deal(i+1, max(begun, s+1))
				*n++
			}
		}
	}
	deal(0, 0)
}

// tryPatterns deals each kind by plain patterns, from left to right, in turns of as many seats as there are strings,
// and betters each where the row is not too long. A further kind begins one string later, so that neighbours of unlike
// kinds do not share a string.
func (d *dealer) tryPatterns() {
	for pattern := range 3 { // 1 2 3, 1 2 3
		of, dealt := make([]int, len(d.at)), make([]int, len(d.kinds))
		for i, kind := range d.kind {
			turn, seat := dealt[kind]/d.strings, dealt[kind]%d.strings
			switch {
			case pattern == 1 && turn%2 == 1: // 1 2 3, 3 2 1
				seat = d.strings - 1 - seat
			case pattern == 2: // 1 2 3, 2 3 1
				seat += turn
			}
			of[i] = (seat + kind) % d.strings
			dealt[kind]++
		}
		if len(of) <= mostClimb {
			d.climb(of)
		}
		d.keep(of)
	}
}

// climb exchanges two modules of a kind as long as the score gets better.
func (d *dealer) climb(of []int) {
	now := d.score(of)
	for better := true; better; {
		better = false
		for i := range of {
			for k := i + 1; k < len(of); k++ {
				if of[i] == of[k] || d.kind[i] != d.kind[k] {
					continue
				}
				of[i], of[k] = of[k], of[i]
				if s := d.score(of); d.better(s, now) {
					now, better = s, true
				} else {
					of[i], of[k] = of[k], of[i]
				}
			}
		}
	}
}

// score measures a dealing; the smaller the better, the first measure first: the largest gap over all modules, the
// largest imbalance of a string, the largest gap within one kind, and the root of the summed squares of the imbalances.
type score [4]float64

func (d *dealer) better(s, than score) bool {
	for i := range s {
		if math.Abs(s[i]-than[i]) > nearestShare*(d.at[len(d.at)-1]-d.at[0]) {
			return s[i] < than[i]
		}
	}
	return false
}

// score returns the measures of a dealing. An imbalance is how far the middle of a string lies from the row's middle.
func (d *dealer) score(of []int) score {
	s := score{0: gapM(d.at, of)}
	clear(d.sums)
	for i, str := range of {
		d.sums[str] += d.at[i]
	}
	middle, each := (d.at[0]+d.at[len(d.at)-1])/2, float64(len(of)/d.strings)
	for _, sum := range d.sums {
		off := math.Abs(sum/each - middle)
		s[1], s[3] = max(s[1], off), s[3]+off*off
	}
	s[3] = math.Sqrt(s[3])
	if len(d.kinds) > 1 {
		for _, members := range d.kinds {
			at, str := make([]float64, len(members)), make([]int, len(members))
			for k, i := range members {
				at[k], str[k] = d.at[i], of[i]
			}
			s[2] = max(s[2], gapM(at, str))
		}
	}
	return s
}

// numbered numbers values from 0 in the order in which they appear.
func numbered[T comparable](values []T) []int {
	number, out := map[T]int{}, make([]int, len(values))
	for i, v := range values {
		if _, seen := number[v]; !seen {
			number[v] = len(number)
		}
		out[i] = number[v]
	}
	return out
}
