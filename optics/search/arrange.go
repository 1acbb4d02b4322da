package search

import (
	"cmp"
	"errors"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/optimize"
)

// ErrNoRoom is returned where no allowed places were found at all.
var ErrNoRoom = errors.New("there is no room for all of them")

// Problem is to find the places on some lines that score highest. Score must depend on its argument alone; it is not
// called with places that are not allowed, nor by two goroutines at a time.
type Problem struct {
	Lines []Line
	Score func(places [][]int) float64
	Brief bool // look only at the starts, and polish the best of them
}

// How long Arrange looks: even spreads, starts that are followed up, evaluations of the evolution strategy, and its
// seed.
const (
	spreads     = 20
	followed    = 6
	evaluations = 2500
	seed        = 20261125
)

// Arrange returns allowed places and their score: never worse than the start where that is allowed, the same on every
// run. It follows even spreads and the start by moves of shrinking length, then tries an evolution strategy (gonum's
// CMA-ES) about the best, and polishes again. The score may have kinks and flats; the best place of all is not
// promised.
func Arrange(p Problem) ([][]int, float64, error) {
	starts := p.starts()
	if len(starts) == 0 {
		return nil, 0, ErrNoRoom
	}
	if p.Brief {
		starts = starts[:1]
	}
	best := p.polish(starts[0])
	for _, start := range starts[1:max(1, min(followed, len(starts)))] {
		best = higher(best, p.polish(start))
	}
	if !p.Brief {
		best = higher(best, p.polish(p.evolve(best)))
	}
	return best.places, best.score, nil
}

type scored struct {
	places [][]int
	score  float64
}

// higher is the better of two, the first of equals.
func higher(a, b scored) scored {
	if b.score > a.score {
		return b
	}
	return a
}

// try scores places after repairing them; ok is false where they cannot be repaired.
func (p Problem) try(places [][]int) (one scored, ok bool) {
	one.places = make([][]int, len(places))
	for i, l := range p.Lines {
		if one.places[i], ok = l.repair(places[i]); !ok {
			return one, false
		}
	}
	one.score = p.Score(one.places)
	return one, true
}

// starts returns the present places and even spreads over more and less of the room, the best first.
func (p Problem) starts() (list []scored) {
	for k := range spreads + 1 {
		places := make([][]int, len(p.Lines))
		for i, l := range p.Lines {
			if places[i] = l.Start; k > 0 {
				places[i] = l.spread(float64(k) / spreads)
			}
		}
		if one, ok := p.try(places); ok {
			list = append(list, one)
		}
	}
	slices.SortStableFunc(list, func(a, b scored) int { return cmp.Compare(b.score, a.score) })
	return list
}

// polish moves single places, and all from one place outwards, by steps that shrink to 1, as long as the score rises.
func (p Problem) polish(best scored) scored {
	reach, step := 1, 1
	for _, l := range p.Lines {
		low, high := l.span()
		reach = max(reach, (high-low)/8)
	}
	for 2*step <= reach {
		step *= 2
	}
	for ; step >= 1; step /= 2 {
		for better := true; better; {
			better = false
			for _, move := range p.moves(best.places, step) {
				if one, ok := p.try(move); ok && one.score > best.score {
					best, better = one, true
				}
			}
		}
	}
	return best
}

// moves returns the places with one of them shifted, with all up to one shifted, and with two neighbours shifted
// against each other, by step in either direction.
func (p Problem) moves(places [][]int, step int) (list [][][]int) {
	for line, l := range p.Lines {
		for i := range l.free() {
			for _, d := range [2]int{-step, step} {
				one := shifted(places, line, i, i, d)
				list = append(list, one)
				if i > 0 {
					list = append(list, shifted(places, line, 0, i, d), shifted(one, line, i-1, i-1, -d))
				}
			}
		}
	}
	return list
}

// shifted returns places of which those from first to last on one line are moved by d.
func shifted(places [][]int, line, first, last, d int) [][]int {
	out := slices.Clone(places)
	out[line] = slices.Clone(places[line])
	for k := first; k <= last; k++ {
		out[line][k] += d
	}
	return out
}

// evolve runs the evolution strategy about the best places and returns the best that it met.
func (p Problem) evolve(from scored) scored {
	var x []float64
	for i, l := range p.Lines {
		for k := range l.free() {
			x = append(x, float64(from.places[i][k]))
		}
	}
	if len(x) < 2 {
		return from
	}
	best, worst := from, from.score-1e6
	f := func(x []float64) float64 {
		places := make([][]int, len(p.Lines))
		for i, l := range p.Lines {
			places[i] = make([]int, len(l.Low))
			for k := range l.free() {
				places[i][k] = int(math.Round(x[k]))
			}
			x = x[l.free():]
		}
		one, ok := p.try(places)
		if !ok {
			return -worst
		}
		best = higher(best, one)
		return -one.score
	}
	l := p.Lines[0]
	low, high := l.span()
	method := &optimize.CmaEsChol{InitStepSize: float64(high-low) / float64(6*len(l.Low)), Src: rand.NewPCG(seed, 1)}
	settings := &optimize.Settings{FuncEvaluations: evaluations, Converger: optimize.NeverTerminate{}}
	_, _ = optimize.Minimize(optimize.Problem{Func: f}, x, settings, method) // what counts is the best that f met
	return best
}
