package fig

import "fathomlux/render/style"

// Mark is the shape of a mark. As the sign of a figure or a row a disc stands for good, a ring for not good.
type Mark int

// The marks.
const (
	None Mark = iota
	Disc
	Ring
	FullSquare
	Square
	Wedge
	Triangle
	Plus
	Cross
)

// Sign draws the mark before a figure or a row.
func (m Mark) Sign(page *style.Canvas, at style.Point, radiusPt float64) {
	m.Draw(page, at, radiusPt, style.Pen{Width: radiusPt / 3.5, Colour: style.Ink})
}

// Draw draws the mark around a place, with its lines so wide.
func (m Mark) Draw(page *style.Canvas, at style.Point, radiusPt float64, pen style.Pen) {
	corners := func(shares ...float64) (points []style.Point) { // of the radius, x and y in turn
		for i := 0; i < len(shares); i += 2 {
			points = append(points, style.Pt(at.X+radiusPt*shares[i], at.Y+radiusPt*shares[i+1]))
		}
		return points
	}
	const half, square = 0.71, 0.85 // of the radius: as large to the eye as a disc
	if m == Disc || m == FullSquare || m == Wedge {
		pen.Width = 0 // filled
	}
	switch m {
	case Disc, Ring:
		page.Ring(at, radiusPt, pen)
	case FullSquare, Square:
		page.StrokeBox(at.Around(radiusPt*square), pen)
	case Wedge, Triangle:
		page.Polyline(corners(0, -1.25, 1.08, 0.62, -1.08, 0.62, 0, -1.25), pen)
	case Plus:
		page.Polyline(corners(-1, 0, 1, 0), pen)
		page.Polyline(corners(0, -1, 0, 1), pen)
	case Cross:
		page.Polyline(corners(-half, -half, half, half), pen)
		page.Polyline(corners(-half, half, half, -half), pen)
	}
}
