package fig

import (
	"cmp"
	"maps"
	"slices"

	"fathomlux/render/style"
)

// Contour returns the lines along which the field has the level, by marching squares. values has index iy*nx + ix;
// coordinates are those of cell centres: 0 to nx-1 and 0 to ny-1. Lines are joined as far as they go; a closed one
// repeats its first point at its end. A square of four neighbours of which one is NaN or infinite has no line. A saddle
// is decided by the mean of its four corners. What does not have nx*ny values has no lines.
// Source: marching squares as commonly described, two-dimensional case of W. E. Lorensen, H. E. Cline 1987,
// Computer Graphics 21, 163-169.
func Contour(nx, ny int, values []float64, level float64) (lines [][]style.Point) {
	if nx < 2 || ny < 2 || len(values) != nx*ny || level-level != 0 {
		return nil
	}
	m := &march{nx: nx, values: values, level: level, links: map[int][]int{}}
	for i := range nx * (ny - 1) {
		if i%nx < nx-1 {
			m.square(i)
		}
	}
	ends := slices.Sorted(maps.Keys(m.links))
	slices.SortStableFunc(ends, func(a, b int) int { return cmp.Compare(len(m.links[a]), len(m.links[b])) })
	for _, e := range ends { // open lines from their ends, then what is left, the closed ones
		if len(m.links[e]) > 0 {
			lines = append(lines, m.walk(e))
		}
	}
	return lines
}

// march holds the crossings of grid edges while they are being linked. An edge from cell centre i to its right
// neighbour is 2 i, one to the neighbour of the next row 2 i + 1. links holds the edges that a crossing is joined to.
type march struct {
	nx     int
	values []float64
	level  float64
	links  map[int][]int
}

// square links the crossings of the square whose lower left corner is cell i.
func (m *march) square(i int) {
	corners := [4]float64{m.values[i], m.values[i+1], m.values[i+m.nx+1], m.values[i+m.nx]}
	var crossed []int
	sum := 0.0
	for k, e := range [4]int{2 * i, 2*i + 3, 2 * (i + m.nx), 2*i + 1} { // from each corner to the next
		sum += corners[k]
		if (corners[k] >= m.level) != (corners[(k+1)%4] >= m.level) {
			crossed = append(crossed, e)
		}
	}
	if sum-sum != 0 {
		return
	}
	if len(crossed) == 4 && (corners[0] >= m.level) != (sum/4 >= m.level) { // a saddle whose first corner is cut off
		crossed = append(crossed[3:], crossed[:3]...)
	}
	for k := 0; k < len(crossed); k += 2 {
		a, b := crossed[k], crossed[k+1]
		m.links[a], m.links[b] = append(m.links[a], b), append(m.links[b], a)
	}
}

// walk follows the line from edge e and takes its links away.
func (m *march) walk(e int) []style.Point {
	line := []style.Point{m.crossing(e)}
	for len(m.links[e]) > 0 {
		next := m.links[e][0]
		m.links[e] = m.links[e][1:]
		m.links[next] = slices.DeleteFunc(m.links[next], func(back int) bool { return back == e })
		line, e = append(line, m.crossing(next)), next
	}
	return line
}

// crossing returns where the level lies on edge e, interpolated linearly.
func (m *march) crossing(e int) style.Point {
	i, step := e/2, 1+e%2*(m.nx-1)
	t := (m.level - m.values[i]) / (m.values[i+step] - m.values[i])
	p := style.Pt(float64(i%m.nx), float64(i/m.nx))
	if e%2 == 1 {
		p.Y += t
	} else {
		p.X += t
	}
	return p
}
