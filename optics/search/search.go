// Package search chooses among candidates by any score; it knows no light. Frontier finds those that no other beats in
// both of two measures, Arrange looks for the best places along lines.
// Next: package study for the scores: sweep and arrange.
package search

import (
	"cmp"
	"errors"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/optimize"
)

// Line is a stretch on which things sit in a fixed order, at whole-numbered places: as many as Low has.
type Line struct {
	Low, High []int    // lowest and highest place of each
	Gap       []int    // least distance from each to the next; one less than there are things
	Blocked   [][2]int // places from the first to the second, both included, where nothing may sit
	Mirror    *int     // where set, the first and the last, the second and the last but one and so on sum to this
	Start     []int    // where they sit now, which need not be allowed
}

// free is the number of places that can be chosen; the others follow by the mirror.
func (l Line) free() int {
	if l.Mirror == nil {
		return len(l.Low)
	}
	return (len(l.Low) + 1) / 2
}

// complete fills the places that follow by the mirror; the middle one of an odd count is at half of it.
func (l Line) complete(p []int) {
	if l.Mirror == nil {
		return
	}
	for i := range len(p) / 2 {
		p[len(p)-1-i] = *l.Mirror - p[i]
	}
	if len(p)%2 == 1 {
		p[len(p)/2] = *l.Mirror / 2
	}
}

func (l Line) allowed(p []int) bool {
	for i, at := range p {
		if at < l.Low[i] || at > l.High[i] || i > 0 && at-p[i-1] < l.Gap[i-1] || l.out(at, 1) != at {
			return false
		}
	}
	return true
}

// repair returns allowed places near p: each moved out of blocked stretches and away from its neighbour, first from the
// left, then from the right. ok is false where that does not lead to allowed ones.
func (l Line) repair(p []int) ([]int, bool) {
	q := slices.Clone(p)
	l.complete(q)
	for i := range q {
		low := l.Low[i]
		if i > 0 {
			low = max(low, q[i-1]+l.Gap[i-1])
		}
		q[i] = l.out(max(q[i], low), 1)
	}
	for i := len(q) - 1; i >= 0; i-- {
		high := l.High[i]
		if i+1 < len(q) {
			high = min(high, q[i+1]-l.Gap[i])
		}
		q[i] = l.out(min(q[i], high), -1)
	}
	l.complete(q)
	return q, l.allowed(q)
}

// out moves a place in one direction until it is not blocked.
func (l Line) out(at, direction int) int {
	for range l.Blocked {
		for _, b := range l.Blocked {
			if at >= b[0] && at <= b[1] {
				at = b[(direction+1)/2] + direction
			}
		}
	}
	return at
}

func (l Line) span() (low, high int) { return l.Low[0], l.High[len(l.High)-1] }

// spread returns places at equal distances over the share of the line's room, about its middle.
func (l Line) spread(share float64) []int {
	p := make([]int, len(l.Low))
	low, high := l.span()
	middle := float64(low+high) / 2
	if l.Mirror != nil {
		middle = float64(*l.Mirror) / 2
	}
	for i := range p {
		at := middle
		if len(p) > 1 {
			at += (float64(i)/float64(len(p)-1) - 0.5) * share * float64(high-low)
		}
		p[i] = int(math.Round(at))
	}
	return p
}

// Frontier returns the indices of the points that no other point beats: none has both x and y at least as high and one
// of them higher. They come in order of rising x; of equal points the first stands for all.
func Frontier(x, y []float64) (front []int) {
	order := make([]int, len(x))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(i, j int) int { return cmp.Or(cmp.Compare(x[j], x[i]), cmp.Compare(y[j], y[i])) })
	for _, i := range order {
		if len(front) == 0 || y[i] > y[front[len(front)-1]] {
			front = append(front, i)
		}
	}
	slices.Reverse(front)
	return front
}

// ErrNoRoom is returned where no allowed places were found at all.
var ErrNoRoom = errors.New("there is no room for all of them")

// Problem is to find the places on some lines that score highest. Score must depend on its argument alone; it is not
// called with places that are not allowed, nor by two goroutines at a time.
type Problem struct {
	Lines []Line
	Score func(places [][]int) float64
	Brief bool // look only at the starts, and polish the best of them

	// Stop ends the search early with the best places so far, once it is true; nil for never.
	Stop func() bool
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

func (p Problem) stopped() bool { return p.Stop != nil && p.Stop() }

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
				if p.stopped() {
					return best
				}
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
		if p.stopped() {
			return -worst
		}
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
