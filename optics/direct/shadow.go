package direct

import (
	"cmp"
	"math"
	"slices"
	"sync"

	"fathomlux/scene/space"
)

// shade is one box as one source sees it in one row: the range of the horizontal way along the row's fixed axis, and
// the heights as shares of the way, worked out cell by cell. Ways are shares from 0 at the source to 1 at the cell.
type shade struct {
	lowM, highM        float64 // of the box along the row, from the source
	fixedFrom, fixedTo float64 // share of the way within the box along the fixed axis
	inAir              bool
	topM, bottomM      float64 // heights above the water (air), or depths (water: topM is the shallower)
	aboveCover         bool    // whether the part in the air lies above the cover
}

// sweep is where the rays of one source to one row run, in plan: from the source to distance fixed along y, and
// between low and high along x.
type sweep struct {
	source           space.Point
	fixed, low, high float64
	heightM          float64 // of the source above the water
}

// shades turns boxes, each in one layer, into what the row sees of them, drops those that it cannot meet, and adds
// the others to a list.
func (s *sum) shades(list []shade, boxes []space.Box, w sweep) []shade {
	water := s.engine.model.DepthM
	for i := range boxes {
		b := &boxes[i]
		low, high := b.Min.X-w.source.X, b.Max.X-w.source.X
		if low > w.high || high < w.low {
			continue
		}
		from, to, ok := slab(b.Min.Y-w.source.Y, b.Max.Y-w.source.Y, w.fixed)
		if !ok {
			continue
		}
		base := shade{lowM: low, highM: high, fixedFrom: from, fixedTo: to}
		if top, bottom := min(b.Max.Z, water), max(b.Min.Z, water-s.depthM); top > bottom {
			base.inAir, base.topM, base.bottomM = false, water-top, water-bottom
			list = append(list, base)
		}
		if top, bottom := min(b.Max.Z, water+w.heightM), max(b.Min.Z, water); top > bottom {
			base.inAir, base.topM, base.bottomM = true, top-water, bottom-water
			c := s.engine.model.Cover
			base.aboveCover = c != nil && base.bottomM >= c.UndersideM
			list = append(list, base)
		}
	}
	return list
}

// slab returns the shares of a way of signed length d that lie between low and high, clipped to 0..1.
func slab(low, high, d float64) (from, to float64, ok bool) {
	if d == 0 {
		return 0, 1, low <= 0 && high >= 0
	}
	from, to = low/d, high/d
	if from > to {
		from, to = to, from
	}
	from, to = max(from, 0), min(to, 1)
	return from, to, from <= to
}

// ways returns the shares of a ray's way between which it is as high as the box.
func (b *shade) ways(heightM, depthM, tan, water float64) (from, to float64) {
	switch {
	case !b.inAir:
		return water + (1-water)*b.topM/depthM, water + (1-water)*b.bottomM/depthM
	case b.aboveCover:
		return (heightM - b.topM) * tan, (heightM - b.bottomM) * tan
	default:
		return water - b.topM*tan, water - b.bottomM*tan
	}
}

// hides tells whether the ray to a cell at signed distance d along the row meets the box.
func (b *shade) hides(d, heightM, depthM float64, p place) bool {
	from, to := b.ways(heightM, depthM, p.tan(), p.water())
	from, to = max(from, b.fixedFrom), min(to, b.fixedTo)
	if from > to {
		return false
	}
	low, high, ok := slab(b.lowM, b.highM, d)
	return ok && max(from, low) <= min(to, high)
}

// bounds is by how much the ray to a place at distance a on one side of the source keeps within each of the four bounds
// that the box sets; it meets the box where none is below 0. On one side of the source each grows or falls steadily,
// for so do the shares of the way at the heights of the box.
func (v *shadeSide) bounds(a float64) (keep [4]float64) {
	p := v.track.look(float64(a*a) + v.fixed2)
	from, to := v.ways(v.track.heightM, v.depthM, p.tan(), p.water())
	return [4]float64{max(min(to, v.fixedTo), 0)*a - v.low, v.high - max(from, v.fixedFrom)*a, v.fixedTo - from,
		to - v.fixedFrom}
}

// shadeSide is a shade as a row sees it on one side of the source, where distances are above 0.
type shadeSide struct {
	*shade
	track             *track
	low, high         float64 // of the box
	fixed2, depthM    float64
	near, far, finest float64 // distances between which it counts, and how closely ends are found
}

// A shadow's ends along a row are found to within this part of a cell, in so many steps at most.
const (
	endOfShadow = 1.0 / 256
	mostSteps   = 40
)

// hidden returns the distances between which the box hides the source along the row.
func (v *shadeSide) hidden() (from, to float64, ok bool) {
	from, to = v.near, v.far
	if v.low > 0 { // it takes that way at least
		from = max(from, v.low/max(v.fixedTo, 1e-9))
	}
	if v.high < 0 || from >= to {
		return from, to, false
	}
	near, far := v.bounds(from), v.bounds(to)
	least, most := from, to
	for k := range near {
		switch {
		case near[k] < 0 && far[k] < 0:
			return from, to, false
		case near[k] < 0:
			from = max(from, v.end(k, least, most, near[k], far[k]))
		case far[k] < 0:
			to = min(to, v.end(k, least, most, near[k], far[k]))
		}
	}
	return from, to, from < to
}

// end returns the distance at which one bound of a box is met, between two with values of unlike signs. It goes where
// the straight line between them meets 0, with half the value of an end that stays (the Illinois algorithm; source:
// M. Dowell, P. Jarratt 1971, A modified regula falsi method for computing the root of an equation, BIT 11).
func (v *shadeSide) end(bound int, low, high, atLow, atHigh float64) float64 {
	a, stayed := low, 0
	for range mostSteps {
		before := a
		a = low - atLow*(high-low)/(atHigh-atLow)
		if math.Abs(a-before) < v.finest {
			break
		}
		value := v.bounds(a)[bound]
		if (value < 0) == (atHigh < 0) {
			if high, atHigh = a, value; stayed < 0 {
				atLow /= 2
			}
			stayed = -1
		} else {
			if low, atLow = a, value; stayed > 0 {
				atHigh /= 2
			}
			stayed = 1
		}
	}
	return a
}

// covered returns from which share of each cell of the row boxes hide the source; nil where they hide it from none.
func (im *image) covered() []float64 {
	if len(im.boxes) == 0 {
		return nil
	}
	if im.shadow == nil {
		im.shadow = covers.Get().(*cover)
		im.shadow.of(im)
	}
	if im.shadow.some.from == im.shadow.some.to {
		return nil
	}
	return im.shadow.cells
}

// cover is what boxes hide of the cells of a row.
type cover struct {
	cells  []float64 // 0 but within some
	some   span
	shades []shade
	spans  [][2]float64 // hidden in one line, in cells from the start of the row
	lines  [][2]float64 // hidden in all lines, line by line
}

// covers are kept for other rows.
var covers = sync.Pool{New: func() any { return new(cover) }}

// empty empties the cover for a row of n cells.
func (c *cover) empty(n int) {
	if cap(c.cells) < n {
		c.cells = make([]float64, n)
	}
	clear(c.cells[c.some.from:c.some.to])
	c.cells, c.some = c.cells[:n], span{}
}

// add adds from which share of cell i the source is hidden.
func (c *cover) add(i int, share float64) {
	if c.some.from == c.some.to {
		c.some = span{i, i}
	}
	c.some = span{min(c.some.from, i), max(c.some.to, i+1)}
	c.cells[i] += share
}

// of works out what is hidden of a row, of the mean of dies.
func (c *cover) of(im *image) {
	c.empty(im.row.n)
	if len(im.dies) == 0 {
		c.fill(im)
		return
	}
	apart := im.diesOf()
	for k := range apart {
		if cells := apart[k].covered(); cells != nil {
			some := apart[k].shadow.some
			for i := some.from; i < some.to; i++ {
				c.add(i, cells[i]/float64(len(apart)))
			}
		}
	}
}

// fill works out what is hidden of a row from one source.
func (c *cover) fill(im *image) {
	ends := [2]float64{im.first - im.step/2, im.distance(im.row.n) - im.step/2}
	if ends[0] > ends[1] {
		ends[0], ends[1] = ends[1], ends[0]
	}
	w := sweep{source: im.source.Position, low: min(0, ends[0]), high: max(0, ends[1]), heightM: im.track.heightM}
	c.across(im.sum, im.row, func(at int) {
		w.fixed = im.fixed + im.signY*im.row.asideM(at)
		if c.shades = im.sum.shades(c.shades[:0], im.boxes, w); len(c.shades) == 0 {
			return
		}
		if im.row.points {
			c.points(im, w.fixed)
			return
		}
		c.line(im, w.fixed, ends)
	})
}

// line notes what shades hide along a line.
func (c *cover) line(im *image, fixed float64, ends [2]float64) {
	for k := range c.shades {
		b := &c.shades[k]
		v := shadeSide{shade: b, track: im.track, low: b.lowM, high: b.highM, fixed2: fixed * fixed, depthM: im.sum.depthM,
			near: max(0, ends[0]), far: ends[1], finest: endOfShadow * math.Abs(im.step)}
		for _, side := range [2]float64{1, -1} {
			if from, to, ok := v.hidden(); ok {
				c.hide((side*from-im.first)/im.step+0.5, (side*to-im.first)/im.step+0.5)
			}
			v.low, v.high, v.near, v.far = -b.highM, -b.lowM, max(0, -ends[1]), -ends[0]
		}
	}
}

// hide notes that a line is hidden between two places, in cells from the start of the row.
func (c *cover) hide(from, to float64) {
	c.spans = append(c.spans, [2]float64{min(from, to), max(from, to)})
}

// Lines along a row are numbered by where they lie across it, in parts of its width. Shadows are followed on
// linesOfRow lines; where lines next to each other, or to a side of the row, differ by more than leap cells, the edge of a
// shadow runs along the row, and so it does at the foot of a box: then on fineLines.
const (
	lineParts  = 64
	linesOfRow = 4
	fineLines  = 32
	leap       = 0.75
)

// asideM is how far a line lies beside the middle of the row.
func (r *cellRow) asideM(at int) float64 { return r.wideM * (float64(at)/lineParts - 0.5) }

// across covers a row by what is hidden along lines of it, which hide notes.
func (c *cover) across(s *sum, row cellRow, hide func(at int)) {
	switch {
	case row.points || row.wideM == 0 || s.across:
		c.follow(row, 1, math.Inf(1), hide)
	case s.footAlong(row) || !c.follow(row, linesOfRow, leap, hide):
		c.follow(row, fineLines, math.Inf(1), hide)
	}
}

// footAlong tells whether the foot of a box that the plane cuts has a side that runs along a row.
func (s *sum) footAlong(row cellRow) bool {
	return alongRow(s.feet, row.y-row.wideM/2, row.y+row.wideM/2)
}

// alongRow tells whether a side of a box lies between two places across.
func alongRow(boxes []space.Box, fromM, toM float64) bool {
	return slices.ContainsFunc(boxes, func(b space.Box) bool {
		return fromM < b.Min.Y && b.Min.Y < toM || fromM < b.Max.Y && b.Max.Y < toM
	})
}

// follow covers a row by the mean of n lines; where their hidden lengths leap, it covers nothing and returns false.
func (c *cover) follow(row cellRow, n int, leap float64, hide func(at int)) bool {
	c.lines = c.lines[:0]
	along := func(at int) (length float64) {
		c.spans = c.spans[:0]
		hide(at)
		c.apart(row)
		for _, s := range c.spans {
			length += s[1] - s[0]
		}
		return length
	}
	before, last := 0.0, 0.0
	if bounded := !math.IsInf(leap, 1); bounded {
		before, last = along(0), along(lineParts)
	}
	for j := range n {
		length := along((2*j + 1) * lineParts / (2 * n))
		if math.Abs(length-before) > leap {
			return false
		}
		before = length
		c.lines = append(c.lines, c.spans...)
	}
	if math.Abs(before-last) > leap {
		return false
	}
	for _, s := range c.lines {
		c.join(s, row, 1/float64(n))
	}
	return true
}

// apart makes the spans of a line such that none overlaps another and all lie within a row.
func (c *cover) apart(row cellRow) {
	if len(c.spans) > 1 {
		slices.SortFunc(c.spans, func(a, b [2]float64) int { return cmp.Compare(a[0], b[0]) })
	}
	done, kept := 0.0, c.spans[:0]
	for _, s := range c.spans {
		if from, to := max(s[0], done), min(s[1], float64(row.n)); from < to {
			done, kept = to, append(kept, [2]float64{from, to})
		}
	}
	c.spans = kept
}

// join adds a share of the cells of a row that a span hides; of points those that it hides.
func (c *cover) join(hidden [2]float64, row cellRow, share float64) {
	from, to := hidden[0], hidden[1]
	if row.points {
		from, to = math.Ceil(from-0.5), math.Ceil(to-0.5)
	}
	first, last := int(from), int(math.Ceil(to))-1
	if first >= last {
		if from < to {
			c.add(first, share*(to-from))
		}
		return
	}
	c.add(first, share*(float64(first+1)-from))
	c.add(last, share*(to-float64(last)))
	for i := first + 1; i < last; i++ {
		c.cells[i] += share
	}
}

// points covers whole cells whose centres are hidden.
func (c *cover) points(im *image, fixed float64) {
	for i := range im.row.n {
		d := im.distance(i)
		p := im.track.look(float64(d*d) + fixed*fixed)
		for k := range c.shades {
			if c.shades[k].hides(d, im.track.heightM, im.sum.depthM, p) {
				c.add(i, 1)
				break
			}
		}
	}
}

// forget gives the row's cover back.
func (im *image) forget() {
	if im.shadow != nil {
		covers.Put(im.shadow)
		im.shadow = nil
	}
	for i := range im.apart {
		im.apart[i].forget()
	}
}
