package search

import (
	"fmt"
	"slices"
)

// Line is a stretch on which Count things sit in a fixed order, at whole-numbered places.
type Line struct {
	Count     int
	Low, High []int    // lowest and highest place of each
	Gap       []int    // least distance from each to the next; Count-1 of them
	Blocked   [][2]int // places from the first to the second, both included, where nothing may sit
	Mirror    *int     // where set, the first and the last, the second and the last but one and so on sum to this
	Start     []int    // where they sit now, which need not be allowed
}

// free is the number of places that can be chosen; the others follow by the mirror.
func (l Line) free() int {
	if l.Mirror == nil {
		return l.Count
	}
	return (l.Count + 1) / 2
}

// complete fills the places that follow by the mirror.
func (l Line) complete(p []int) {
	if l.Mirror == nil {
		return
	}
	for i := range l.Count / 2 {
		p[l.Count-1-i] = *l.Mirror - p[i]
	}
	if l.Count%2 == 1 {
		p[l.Count/2] = *l.Mirror / 2
	}
}

// allowed tells whether things may sit at all of the places.
func (l Line) allowed(p []int) bool {
	for i, at := range p {
		if at < l.Low[i] || at > l.High[i] || (i > 0 && at-p[i-1] < l.Gap[i-1]) || l.blocked(at) {
			return false
		}
	}
	return true
}

func (l Line) blocked(at int) bool {
	for _, b := range l.Blocked {
		if at >= b[0] && at <= b[1] {
			return true
		}
	}
	return false
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
	for range len(l.Blocked) {
		for _, b := range l.Blocked {
			if at >= b[0] && at <= b[1] {
				at = b[(direction+1)/2] + direction
			}
		}
	}
	return at
}

// spread returns allowed places at equal distances over the share of the line's room, about its middle.
func (l Line) spread(share float64) ([]int, bool) {
	p := make([]int, l.Count)
	low, high := float64(l.Low[0]), float64(l.High[l.Count-1])
	middle := (low + high) / 2
	if l.Mirror != nil {
		middle = float64(*l.Mirror) / 2
	}
	for i := range p {
		at := middle
		if l.Count > 1 {
			at += (float64(i)/float64(l.Count-1) - 0.5) * share * (high - low)
		}
		p[i] = round(at)
	}
	return l.repair(p)
}

// check refuses lines that cannot be.
func (l Line) check(number int) error {
	if l.Count < 1 || len(l.Low) != l.Count || len(l.High) != l.Count || len(l.Gap) != l.Count-1 ||
		len(l.Start) != l.Count {
		return fmt.Errorf("line %d: lists of other lengths than its count of %d", number+1, l.Count)
	}
	if l.Mirror != nil && l.Count%2 == 1 && *l.Mirror%2 != 0 {
		return fmt.Errorf("line %d: the middle one of %d has no whole-numbered place", number+1, l.Count)
	}
	return nil
}

func round(v float64) int {
	if v < 0 {
		return -int(0.5 - v)
	}
	return int(v + 0.5)
}
