package style

import "math"

// Point is a place on the page, in points.
type Point struct{ X, Y float64 }

// Box is an upright rectangle on the page, in points.
type Box struct{ Left, Top, Right, Bottom float64 }

// Width returns the box's width in points.
func (b Box) Width() float64 { return b.Right - b.Left }

// Height returns the box's height in points.
func (b Box) Height() float64 { return b.Bottom - b.Top }

// Centre returns the middle of the box.
func (b Box) Centre() Point { return Point{X: (b.Left + b.Right) / 2, Y: (b.Top + b.Bottom) / 2} }

// Grown returns b with every side moved outwards by d points.
func (b Box) Grown(d float64) Box {
	return Box{Left: b.Left - d, Top: b.Top - d, Right: b.Right + d, Bottom: b.Bottom + d}
}

// Meets tells whether b and o share an area.
func (b Box) Meets(o Box) bool {
	return b.Left < o.Right && o.Left < b.Right && b.Top < o.Bottom && o.Top < b.Bottom
}

// Contains tells whether o lies wholly in b.
func (b Box) Contains(o Box) bool {
	return b.Left <= o.Left && o.Right <= b.Right && b.Top <= o.Top && o.Bottom <= b.Bottom
}

// Corners returns the corners of b as a closed line.
func (b Box) Corners() []Point {
	return []Point{{b.Left, b.Top}, {b.Right, b.Top}, {b.Right, b.Bottom}, {b.Left, b.Bottom}, {b.Left, b.Top}}
}

// Around returns the square of twice d points around p.
func (p Point) Around(d float64) Box {
	return Box{Left: p.X, Right: p.X, Top: p.Y, Bottom: p.Y}.Grown(d)
}

// Holds tells whether p lies in b.
func (b Box) Holds(p Point) bool {
	return b.Left <= p.X && p.X <= b.Right && b.Top <= p.Y && p.Y <= b.Bottom
}

// Cut returns the part of b that lies in o; it may be empty (Right <= Left or Bottom <= Top).
func (b Box) Cut(o Box) Box {
	return Box{
		Left: math.Max(b.Left, o.Left), Top: math.Max(b.Top, o.Top),
		Right: math.Min(b.Right, o.Right), Bottom: math.Min(b.Bottom, o.Bottom),
	}
}

// Empty tells whether b has no area.
func (b Box) Empty() bool { return !(b.Right > b.Left && b.Bottom > b.Top) }

// ClipLine returns the part of the line from a to b that lies in box; ok is false where there is none.
// Source: Y.-D. Liang, B. A. Barsky 1984, ACM Transactions on Graphics 3, 1-22.
func ClipLine(a, b Point, box Box) (from, to Point, ok bool) {
	t0, t1 := 0.0, 1.0
	dx, dy := b.X-a.X, b.Y-a.Y
	sides := [4][2]float64{{-dx, a.X - box.Left}, {dx, box.Right - a.X}, {-dy, a.Y - box.Top}, {dy, box.Bottom - a.Y}}
	for _, side := range sides {
		p, q := side[0], side[1]
		switch {
		case p != p || q != q || p == 0 && q < 0: // not a number, or beside the box
			return a, b, false
		case p < 0:
			t0 = math.Max(t0, q/p)
		case p > 0:
			t1 = math.Min(t1, q/p)
		}
	}
	if !(t0 < t1) {
		return a, b, false
	}
	at := func(t float64) Point { return Point{X: a.X + t*dx, Y: a.Y + t*dy} }
	return at(t0), at(t1), true
}

// Pt returns the place at x and y, in points.
func Pt(x, y float64) Point { return Point{X: x, Y: y} }
