package fig

import (
	"image"
	"math"
	"slices"

	"fathomlux/render/style"
)

// Heat is a field in the colours of light, on a regular grid of cells that fills Frame on the page: values stand at
// cell centres, index iy*NX + ix, ix = 0 at the left. Row 0 is at the top, or at the bottom where FirstRowAtBottom.
type Heat struct {
	Frame            style.Box
	NX, NY           int
	Values           []float64
	Scale            style.Scale
	FirstRowAtBottom bool
}

// sound tells whether the grid has cells and a value for each.
func (h Heat) sound() bool { return h.NX > 0 && h.NY > 0 && len(h.Values) == h.NX*h.NY }

// neighbour is a pixel's place between two cells of one axis: the weight of the second is share.
type neighbour struct {
	first, second int
	share         float64
}

// neighbours returns the places of n pixels whose centres lie evenly over cells; beyond the outermost centres the
// outermost cell alone counts.
func neighbours(n, cells int) []neighbour {
	places := make([]neighbour, n)
	for i := range places {
		at := (float64(i)+0.5)/float64(n)*float64(cells) - 0.5
		at = math.Min(math.Max(at, 0), float64(cells-1))
		first := int(at)
		places[i] = neighbour{first, min(first+1, cells-1), at - float64(first)}
	}
	return places
}

// Fill paints the field, bilinear between cell centres. Where one of the four cells has no value, the nearest cell
// decides. It draws nothing where the field has no cells or not a value for each.
func (h Heat) Fill(c *style.Canvas) {
	if h.sound() {
		c.Picture(h.Frame, h.paint)
	}
}

// paint writes the pixels directly.
func (h Heat) paint(img *image.RGBA) {
	area := img.Rect
	columns, rows := neighbours(area.Dx(), h.NX), neighbours(area.Dy(), h.NY)
	if h.FirstRowAtBottom {
		slices.Reverse(rows)
	}
	row, colours := make([]float64, h.NX), style.Light()
	for iy, r := range rows {
		near, far := h.Values[r.first*h.NX:][:h.NX], h.Values[r.second*h.NX:][:h.NX]
		for ix := range row {
			row[ix] = h.Scale.Share(mix(near[ix], far[ix], r.share))
		}
		out := img.Pix[img.PixOffset(area.Min.X, area.Min.Y+iy):][:4*area.Dx()]
		for ix, place := range columns {
			colour := colours.At(mix(row[place.first], row[place.second], place.share))
			out[4*ix], out[4*ix+1], out[4*ix+2] = colour.R, colour.G, colour.B
		}
	}
}

// mix is linear between a and b; where one is missing the nearer stands alone.
func mix(a, b, share float64) float64 {
	if v := a + share*(b-a); v-v == 0 {
		return v
	}
	if share > 0.5 {
		return b
	}
	return a
}

// contour returns the isolines of one level as lines on the page. The outermost cells are taken to reach the frame,
// as Fill paints them: padded is the field with them repeated once around.
func (h Heat) contour(padded []float64, level float64) [][]style.Point {
	share := func(at float64, n int) float64 { return math.Min(math.Max((at-0.5)/float64(n), 0), 1) }
	top, down := h.Frame.Top, h.Frame.Height()
	if h.FirstRowAtBottom {
		top, down = h.Frame.Bottom, -down
	}
	lines := Contour(h.NX+2, h.NY+2, padded, level)
	for _, line := range lines {
		for i, p := range line {
			line[i] = style.Pt(h.Frame.Left+share(p.X, h.NX)*h.Frame.Width(), top+share(p.Y, h.NY)*down)
		}
	}
	return lines
}

// padded returns the field with its outermost cells repeated once around.
func (h Heat) padded() []float64 {
	out := make([]float64, 0, (h.NX+2)*(h.NY+2))
	for iy := -1; iy <= h.NY; iy++ {
		row := h.Values[min(max(iy, 0), h.NY-1)*h.NX:][:h.NX]
		out = append(append(append(out, row[0]), row...), row[h.NX-1])
	}
	return out
}
