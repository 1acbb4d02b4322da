package fig

import "fathomlux/render/style"

// Contour returns the lines along which the field has the level, by marching squares. values has index iy*nx + ix;
// coordinates are those of cell centres: 0 to nx-1 and 0 to ny-1. Lines are joined as far as they go; a closed one
// repeats its first point at its end. A square of four neighbours of which one is NaN or infinite has no line. A saddle
// is decided by the mean of its four corners. What does not have nx*ny values has no lines.
// Source: marching squares as commonly described, two-dimensional case of W. E. Lorensen, H. E. Cline 1987,
// Computer Graphics 21, 163-169.
func Contour(nx, ny int, values []float64, level float64) [][]style.Point {
	if nx < 2 || ny < 2 || len(values) != nx*ny || level-level != 0 {
		return nil
	}
	m := &march{nx: nx, ny: ny, values: values, level: level, links: make([][2]int32, 2*nx*ny)}
	for iy := 0; iy+1 < ny; iy++ {
		for ix := 0; ix+1 < nx; ix++ {
			m.square(ix, iy)
		}
	}
	return m.join()
}

// march holds the crossings of grid edges while they are being linked. An edge from a cell centre to its right
// neighbour has the centre's index, one to the neighbour of the next row has nx*ny more. links holds the edges
// that a crossing is joined to, plus one; 0 is none.
type march struct {
	nx, ny  int
	values  []float64
	level   float64
	links   [][2]int32
	touched []int32
}

// square links the crossings of the square whose lower left corner is (ix, iy).
func (m *march) square(ix, iy int) {
	i, n := iy*m.nx+ix, m.nx*m.ny
	corners := [4]float64{m.values[i], m.values[i+1], m.values[i+m.nx+1], m.values[i+m.nx]}
	var crossed []int32
	sum := 0.0
	for k, e := range [4]int{i, n + i + 1, i + m.nx, n + i} { // from each corner to the next
		sum += corners[k]
		if (corners[k] >= m.level) != (corners[(k+1)%4] >= m.level) {
			crossed = append(crossed, int32(e))
		}
	}
	switch {
	case sum-sum != 0 || len(crossed) == 0:
	case len(crossed) == 2:
		m.link(crossed[0], crossed[1])
	case (corners[0] >= m.level) == (sum/4 >= m.level): // a saddle whose first and third corners lie on the middle's side
		m.link(crossed[0], crossed[1])
		m.link(crossed[2], crossed[3])
	default:
		m.link(crossed[3], crossed[0])
		m.link(crossed[1], crossed[2])
	}
}

func (m *march) link(a, b int32) {
	for _, pair := range [2][2]int32{{a, b}, {b, a}} {
		l := &m.links[pair[0]]
		if l[0] == 0 {
			l[0] = pair[1] + 1
			m.touched = append(m.touched, pair[0])
		} else {
			l[1] = pair[1] + 1
		}
	}
}

// join walks the links: first the open lines from their ends, then what is left, the closed ones.
func (m *march) join() [][]style.Point {
	var lines [][]style.Point
	for _, closed := range []bool{false, true} {
		for _, e := range m.touched {
			if l := m.links[e]; l[0] != 0 && (closed || l[1] == 0) {
				lines = append(lines, m.walk(e))
			}
		}
	}
	return lines
}

// walk follows the line from edge e and takes its links away.
func (m *march) walk(e int32) []style.Point {
	line := []style.Point{m.crossing(e)}
	for {
		next := m.links[e][0]
		if next == 0 {
			next = m.links[e][1]
		}
		m.links[e] = [2]int32{}
		if next == 0 {
			return line
		}
		next--
		back := &m.links[next]
		switch e + 1 {
		case back[0]:
			back[0], back[1] = back[1], 0
		case back[1]:
			back[1] = 0
		}
		line, e = append(line, m.crossing(next)), next
	}
}

// crossing returns where the level lies on edge e, interpolated linearly.
func (m *march) crossing(e int32) style.Point {
	n := int32(m.nx * m.ny)
	i, step := e, 1
	if e >= n {
		i, step = e-n, m.nx
	}
	from, to := m.values[i], m.values[int(i)+step]
	t := (m.level - from) / (to - from)
	p := style.Pt(float64(int(i)%m.nx), float64(int(i)/m.nx))
	if e >= n {
		p.Y += t
	} else {
		p.X += t
	}
	return p
}
