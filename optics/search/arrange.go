package search

import (
	"cmp"
	"errors"
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

// How long Arrange looks: starts that are followed up, evaluations of the evolution strategy, and its seed.
const (
	followed    = 6
	evaluations = 2500
	seed        = 20261125
)

// Arrange returns allowed places and their score: never worse than the start where that is allowed, the same on every
// run. It follows even spreads and the start by moves of shrinking length, then tries an evolution strategy (gonum's
// CMA-ES) about the best, and polishes again. The score may have kinks and flats; the best place of all is not
// promised.
func Arrange(p Problem) ([][]int, float64, error) {
	for i, l := range p.Lines {
		if err := l.check(i); err != nil {
			return nil, 0, err
		}
	}
	s := &placeSearch{problem: p}
	starts := s.starts()
	if len(starts) == 0 {
		return nil, 0, ErrNoRoom
	}
	best := starts[0]
	if p.Brief {
		best = s.polish(best)
		return best.places, best.score, nil
	}
	for _, start := range starts[:min(followed, len(starts))] {
		if found := s.polish(start); found.score > best.score {
			best = found
		}
	}
	if wild := s.polish(s.evolve(best)); wild.score > best.score {
		best = wild
	}
	return best.places, best.score, nil
}

// scored are allowed places with their score.
type scored struct {
	places [][]int
	score  float64
}

// placeSearch looks for better places.
type placeSearch struct{ problem Problem }

// try scores places after repairing them; ok is false where they cannot be repaired.
func (s *placeSearch) try(places [][]int) (scored, bool) {
	out := make([][]int, len(places))
	for i, l := range s.problem.Lines {
		fixed, ok := l.repair(places[i])
		if !ok {
			return scored{}, false
		}
		out[i] = fixed
	}
	return scored{places: out, score: s.problem.Score(out)}, true
}

// starts returns the present places and even spreads over more and less of the room, the best first.
func (s *placeSearch) starts() []scored {
	var list []scored
	add := func(places [][]int) {
		if one, ok := s.try(places); ok {
			list = append(list, one)
		}
	}
	present := make([][]int, len(s.problem.Lines))
	for i, l := range s.problem.Lines {
		present[i] = l.Start
	}
	add(present)
	for k := 1; k <= 20; k++ {
		places := make([][]int, len(s.problem.Lines))
		all := true
		for i, l := range s.problem.Lines {
			var ok bool
			places[i], ok = l.spread(float64(k) / 20)
			all = all && ok
		}
		if all {
			add(places)
		}
	}
	slices.SortStableFunc(list, func(a, b scored) int { return cmp.Compare(b.score, a.score) })
	return list
}

// polish moves single places, and all from one place outwards, by steps that shrink to 1, as long as the score rises.
func (s *placeSearch) polish(from scored) scored {
	reach := 1
	for _, l := range s.problem.Lines {
		reach = max(reach, (l.High[l.Count-1]-l.Low[0])/8)
	}
	best := from
	for step := power(reach); step >= 1; step /= 2 {
		for better := true; better; {
			better = false
			for _, move := range s.moves(best.places, step) {
				if one, ok := s.try(move); ok && one.score > best.score {
					best, better = one, true
				}
			}
		}
	}
	return best
}

// power returns the highest power of two that is not above n.
func power(n int) int {
	p := 1
	for 2*p <= n {
		p *= 2
	}
	return p
}

// moves returns the places with one of them shifted, with all up to one shifted, and with two neighbours shifted
// against each other, by step in either direction.
func (s *placeSearch) moves(places [][]int, step int) [][][]int {
	var list [][][]int
	for line, l := range s.problem.Lines {
		for i := range l.free() {
			for _, d := range [2]int{-step, step} {
				list = append(list, shifted(places, line, func(k int) int { return pick(k == i, d) }),
					shifted(places, line, func(k int) int { return pick(k <= i && i > 0, d) }))
				if i > 0 {
					list = append(list, shifted(places, line, func(k int) int { return pick(k == i, d) - pick(k == i-1, d) }))
				}
			}
		}
	}
	return list
}

func pick(yes bool, d int) int {
	if yes {
		return d
	}
	return 0
}

func shifted(places [][]int, line int, by func(k int) int) [][]int {
	out := slices.Clone(places)
	out[line] = slices.Clone(places[line])
	for k := range out[line] {
		out[line][k] += by(k)
	}
	return out
}

// evolve runs the evolution strategy about the best places and returns the best that it met.
func (s *placeSearch) evolve(from scored) scored {
	var x []float64
	for i, l := range s.problem.Lines {
		for k := range l.free() {
			x = append(x, float64(from.places[i][k]))
		}
	}
	if len(x) < 2 {
		return from
	}
	best, worst := from, from.score-1e6
	f := func(x []float64) float64 {
		places, at := make([][]int, len(s.problem.Lines)), 0
		for i, l := range s.problem.Lines {
			places[i] = make([]int, l.Count)
			for k := range l.free() {
				places[i][k] = round(x[at])
				at++
			}
		}
		one, ok := s.try(places)
		if !ok {
			return -worst
		}
		if one.score > best.score {
			best = one
		}
		return -one.score
	}
	l := s.problem.Lines[0]
	method := &optimize.CmaEsChol{InitStepSize: float64(l.High[l.Count-1]-l.Low[0]) / float64(6*l.Count),
		Src: rand.NewPCG(seed, 1), ForgetBest: false}
	settings := &optimize.Settings{FuncEvaluations: evaluations, Converger: optimize.NeverTerminate{}}
	_, _ = optimize.Minimize(optimize.Problem{Func: f}, x, settings, method) // what counts is the best that f met
	return best
}
