// Package search chooses among candidates by any score; it knows no light. Frontier finds those that no other beats in
// both of two measures, Arrange looks for the best places along lines.
// Next: package study for the scores: sweep and arrange.
package search

import (
	"cmp"
	"slices"
)

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
