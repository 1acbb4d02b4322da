package fig

import (
	"math"
	"testing"

	"fathomlux/render/style"
)

func gridOf(nx, ny int, f func(x, y float64) float64) []float64 {
	values := make([]float64, 0, nx*ny)
	for iy := range ny {
		for ix := range nx {
			values = append(values, f(float64(ix), float64(iy)))
		}
	}
	return values
}

func TestIsolineOfACircle(t *testing.T) {
	const n, radius = 61, 20.5
	values := gridOf(n, n, func(x, y float64) float64 { return -math.Hypot(x-30, y-30) })
	lines := Contour(n, n, values, -radius)
	if len(lines) != 1 {
		t.Fatalf("a circle gives %d lines; want 1", len(lines))
	}
	line, length := lines[0], 0.0
	if line[0] != line[len(line)-1] {
		t.Error("the circle is not closed")
	}
	for i, p := range line {
		// Linear between cells: the sagitta of a unit chord is 1/(8 r), under 0.007.
		if d := math.Hypot(p.X-30, p.Y-30); math.Abs(d-radius) > 0.01 {
			t.Errorf("point %v is %g from the middle; want %g", p, d, radius)
		}
		if i > 0 {
			length += style.Distance(line[i-1], p)
		}
	}
	if want := 2 * math.Pi * radius; math.Abs(length-want) > 0.002*want {
		t.Errorf("length %g; want %g", length, want)
	}
}

func TestIsolineOfASaddleFollowsTheMiddle(t *testing.T) {
	// High at two opposite corners; the middle is the mean. Above the level the high corners are joined, and each line
	// cuts off a low corner; below it the lines cut off the high ones.
	for _, c := range []struct {
		level float64
		cut   [2]style.Point
	}{
		{0.4, [2]style.Point{{X: 1, Y: 0}, {X: 0, Y: 1}}},
		{0.6, [2]style.Point{{X: 0, Y: 0}, {X: 1, Y: 1}}},
	} {
		lines := Contour(2, 2, []float64{1, 0, 0, 1}, c.level)
		if len(lines) != 2 {
			t.Fatalf("level %g gives %d lines; want 2", c.level, len(lines))
		}
		for _, corner := range c.cut {
			near := 0
			for _, l := range lines {
				if middle := (style.Pt((l[0].X+l[1].X)/2, (l[0].Y+l[1].Y)/2)); style.Distance(middle, corner) < 0.5 {
					near++
				}
			}
			if near != 1 {
				t.Errorf("level %g: %d lines cut off the corner %v; want 1: %v", c.level, near, corner, lines)
			}
		}
	}
}

func TestIsolinesKeepOffMissingCells(t *testing.T) {
	values := gridOf(9, 9, func(x, _ float64) float64 { return x })
	values[4*9+4] = math.NaN()
	lines := Contour(9, 9, values, 3.5)
	if len(lines) != 2 {
		t.Fatalf("%d lines; want 2, above and below the hole", len(lines))
	}
	for _, l := range lines {
		for _, p := range l {
			if math.Abs(p.X-3.5) > 1e-12 || p.Y > 3 && p.Y < 5 {
				t.Errorf("point %v; want x = 3.5 outside the squares of the hole", p)
			}
		}
	}
}

func TestIsolinesOpenAndEmpty(t *testing.T) {
	values := gridOf(5, 4, func(x, y float64) float64 { return y })
	lines := Contour(5, 4, values, 1.25)
	if len(lines) != 1 || len(lines[0]) != 5 || lines[0][0].Y != 1.25 {
		t.Errorf("a level line is %v; want five points at y = 1.25", lines)
	}
	for _, c := range []struct {
		nx, ny int
		values []float64
		level  float64
	}{
		{5, 4, values, 9}, {5, 4, values, -1}, {5, 4, values, math.NaN()}, {5, 3, values, 1}, {1, 20, values, 1},
		{0, 0, nil, 0}, {2, 2, []float64{3, 3, 3, 3}, 3},
	} {
		if got := Contour(c.nx, c.ny, c.values, c.level); len(got) != 0 {
			t.Errorf("%d by %d at %g gives %v; want nothing", c.nx, c.ny, c.level, got)
		}
	}
}

func TestIsolinesUseEveryCrossingOnce(t *testing.T) {
	const n = 40
	values := gridOf(n, n, func(x, y float64) float64 { return math.Sin(x*1.7+y*y*0.3) + math.Cos(y*2.1) })
	seen := map[style.Point]int{}
	for _, l := range Contour(n, n, values, 0.1) {
		closed := l[0] == l[len(l)-1]
		for i, p := range l {
			if !closed || i > 0 {
				seen[p]++
			}
		}
	}
	want := 0
	for iy := range n {
		for ix := range n {
			above := values[iy*n+ix] >= 0.1
			if ix+1 < n && above != (values[iy*n+ix+1] >= 0.1) {
				want++
			}
			if iy+1 < n && above != (values[(iy+1)*n+ix] >= 0.1) {
				want++
			}
		}
	}
	for p, k := range seen {
		if k != 1 {
			t.Errorf("crossing %v is used %d times", p, k)
		}
	}
	if len(seen) != want {
		t.Errorf("%d crossings; want %d", len(seen), want)
	}
}
