package search

import (
	"math"
	"slices"
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
