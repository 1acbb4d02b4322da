package fig

import (
	"cmp"
	"image"
	"image/color"
	"maps"
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

// Spread returns places near the wanted ones, in their order, at least gap apart and as far as possible within low and
// high: for labels in a column, each beside its line. The wanted places are sorted. The sum of the squares of the
// shifts is the least: runs that are pushed apart lie around what they wanted.
// Source: pool adjacent violators, M. Ayer and others 1955, Annals of Mathematical Statistics 26, 641-647.
func Spread(wanted []float64, gap, low, high float64) []float64 {
	var runs [][2]float64 // the sum of what places without gaps would be, and how many they are
	for i, w := range wanted {
		run := [2]float64{w - float64(i)*gap, 1}
		for n := len(runs); n > 0 && runs[n-1][0]/runs[n-1][1] > run[0]/run[1]; n-- {
			run[0], run[1] = run[0]+runs[n-1][0], run[1]+runs[n-1][1]
			runs = runs[:n-1]
		}
		runs = append(runs, run)
	}
	var places []float64
	last := high - float64(len(wanted)-1)*gap
	for _, run := range runs {
		for range int(run[1]) {
			places = append(places, math.Min(math.Max(run[0]/run[1], low), last)+float64(len(places))*gap)
		}
	}
	return places
}

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

// Isoline pens, the number of levels, and the distances of their labels, in points.
const (
	contours       = 8 // levels, about
	isolineWidth   = 1.1
	strongWidth    = 2.2
	beadLength     = 34.0  // a ring that is shorter is a bead between cells at a step in the field
	labelPadding   = 3.0   // free space around a label
	labelRepeat    = 620.0 // a line as long as this gets another label
	labelApart     = 240.0 // between labels of the same level, at least
	labelMinLength = 2.2   // a line shorter than this many label widths gets none
	evenShare      = 0.02  // of the largest value: lesser differences are not drawn as lines
)

// level is one value that isolines are drawn for; that of a goal is drawn heavier.
type level struct {
	value float64
	goal  bool
}

// levelsOf returns about n round levels strictly between the lowest and the highest finite value, and the goal's own,
// in place of a round one that is close to it. They are never closer than 2 % of the largest value, and a field that is
// even to 2 % has none: lines would show noise. A goal beyond the values has no line.
func levelsOf(values []float64, n int, goal float64) (list []level) {
	low, high, ok := style.Range(values)
	between := func(v float64) bool { return ok && v > low && v < high }
	least := evenShare * math.Max(math.Abs(low), math.Abs(high))
	if ok && high > low && high-low >= least {
		for _, v := range style.Levels(low, high, style.RoundStep(math.Max((high-low)/float64(n), least))) {
			if near := math.Abs(v-goal) <= 0.3*(high-low)/float64(n); between(v) && !(near && between(goal)) {
				list = append(list, level{value: v})
			}
		}
	}
	if between(goal) {
		list = append(list, level{goal, true})
	}
	return list
}

// isoline is one joined line of a level on the page, in steps of about style.SampleStep.
type isoline struct {
	level
	ink    color.NRGBA // follows the ground's lightness
	points []style.Point
}

func (l isoline) length() float64 { return style.SampleStep * float64(len(l.points)-1) }

// Isolines draws the field's lines of about eight round levels and of the goal, 0 for none, each labelled where there
// is room: on the line, inside the frame, off every other line, text and claimed place. Rings too small to mean
// anything are left out. Lines are broken at texts.
func (h Heat) Isolines(c *style.Canvas, goal float64) {
	h.isolines(c, levelsOf(h.Values, contours, goal))
}

func (h Heat) isolines(c *style.Canvas, levels []level) {
	if !h.sound() || h.Frame.Empty() {
		return
	}
	var lines []isoline
	padded := h.padded()
	for _, one := range levels {
		ink := style.InkOn(style.Light().At(h.Scale.Share(one.value)))
		for _, points := range h.contour(padded, one.value) {
			ring := len(points) > 2 && points[0] == points[len(points)-1]
			line := isoline{one, ink, style.Resample(points, style.SampleStep)}
			if len(line.points) > 1 && !(ring && line.length() < beadLength) {
				lines = append(lines, line)
			}
		}
	}
	slices.SortStableFunc(lines, func(a, b isoline) int { return cmp.Compare(len(b.points), len(a.points)) })
	for _, line := range lines {
		h.label(c, lines, line)
	}
	for _, line := range lines {
		pen := style.Pen{Width: isolineWidth, Colour: style.Faded(line.ink, 0.7)}
		if line.goal {
			pen.Width = strongWidth
		}
		c.LineAround(line.points, pen)
	}
}

// label writes the label of a line once, or more often on a long line.
func (h Heat) label(c *style.Canvas, lines []isoline, line isoline) {
	text := style.Text{Text: style.FourDigits(line.value), Anchor: style.Middle, Colour: line.ink,
		Font: style.Font{SizePt: style.LabelFont.SizePt, Bold: line.goal}}
	if line.length() < labelMinLength*c.Width(text.Text, text.Font) {
		return
	}
	near := func(box style.Box) bool { // an equal text stands close
		return slices.ContainsFunc(c.Texts(), func(t style.Placed) bool {
			return t.Text == text.Text && style.Distance(t.Box.Centre(), box.Centre()) < labelApart
		})
	}
	missing := func(p style.Point) bool { return c.ColourAt(p) == style.Light().None() }
	crossed := func(box style.Box) bool { // by a line of another level
		return slices.ContainsFunc(lines, func(l isoline) bool {
			return l.level != line.level && slices.ContainsFunc(l.points, box.Holds)
		})
	}
	good := func(box style.Box) bool {
		return h.Frame.Grown(-1).Contains(box) && c.Fits(box) && !near(box) &&
			!slices.ContainsFunc(box.Corners(), missing) && !crossed(box)
	}
	parts := 1 + int(line.length()/labelRepeat)
	for part := range parts {
		from, to := part*len(line.points)/parts, (part+1)*len(line.points)/parts
		best, bestSlope := style.Point{}, math.Inf(1)
		for i := from + 2; i < to-2; i += 3 {
			text.At = line.points[i]
			if slope := steepness(line.points, i); slope < bestSlope && good(c.Box(text).Grown(labelPadding)) {
				best, bestSlope = text.At, slope
			}
		}
		if !math.IsInf(bestSlope, 1) {
			text.At = best
			c.Write(text)
		}
	}
}

// steepness tells how far the line at i is from level, in steps of 0.1: 0 runs along x, 1 along y. Coarse steps make
// the first good place win.
func steepness(points []style.Point, i int) float64 {
	a, b := points[max(i-4, 0)], points[min(i+4, len(points)-1)]
	return math.Round(10*math.Abs(b.Y-a.Y)/math.Max(style.Distance(a, b), 1e-9)) / 10
}
