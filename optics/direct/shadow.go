package direct

import (
	"math"
	"sort"

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
	cells              span    // of the row, that it may hide
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
		base := shade{lowM: low, highM: high, fixedFrom: from, fixedTo: to, cells: span{0, math.MaxInt}}
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
func (b *shade) ways(heightM, depthM float64, n *node) (from, to float64) {
	switch {
	case !b.inAir:
		return n.water + (1-n.water)*b.topM/depthM, n.water + (1-n.water)*b.bottomM/depthM
	case b.aboveCover:
		return (heightM - b.topM) * n.tan, (heightM - b.bottomM) * n.tan
	default:
		return n.water - b.topM*n.tan, n.water - b.bottomM*n.tan
	}
}

// hides tells whether the ray to a cell at signed distance d along the row meets the box.
func (b *shade) hides(d, heightM, depthM float64, n *node) bool {
	from, to := b.ways(heightM, depthM, n)
	from, to = max(from, b.fixedFrom), min(to, b.fixedTo)
	if from > to {
		return false
	}
	low, high, ok := slab(b.lowM, b.highM, d)
	return ok && max(from, low) <= min(to, high)
}

// shadowSpans returns the parts of a span that a box may hide, in order and without overlap.
func (im *image) shadowSpans(s span) []span {
	if s.from >= s.to || len(im.shadesOf()) == 0 {
		return nil
	}
	near, _ := im.look(s.from)
	far, _ := im.look(s.to - 1)
	var list []span
	for i := range im.shades {
		b := &im.shades[i]
		b.cells = im.behind(b, s, &near, &far)
		// a shorter span bounds the shadow better
		for n, before := 0, s; n < 3 && b.cells.to-b.cells.from > 4 && b.cells != before; n++ {
			before = b.cells
			first, _ := im.look(b.cells.from)
			last, _ := im.look(b.cells.to - 1)
			b.cells = im.behind(b, b.cells, &first, &last)
		}
		if b.cells.from < b.cells.to {
			list = append(list, b.cells)
		}
	}
	return merged(list)
}

// behind returns the part of a span that one box may hide. The shares of the way at the heights of a box change
// steadily along either side of a row, so that the nodes at both ends of the span bound them.
func (im *image) behind(b *shade, s span, near, far *node) span {
	from, to := b.ways(im.track.heightM, im.sum.depthM, near)
	fromFar, toFar := b.ways(im.track.heightM, im.sum.depthM, far)
	from, to = max(min(from, fromFar), b.fixedFrom), min(max(to, toFar), b.fixedTo)
	if from > to {
		return span{}
	}
	return im.cellsBetween(s, reachOf(b, from, to))
}

// reachOf returns between which distances along the row the cells lie whose rays are over a box somewhere between two
// shares of their way.
func reachOf(b *shade, from, to float64) (reach [2]float64) {
	from = max(from, 1e-9)
	reach[0] = min(b.lowM/from, b.lowM/to)
	reach[1] = max(b.highM/from, b.highM/to)
	return reach
}

// cellsBetween returns the cells of s between two signed distances, with one to spare at either end.
func (im *image) cellsBetween(s span, reach [2]float64) span {
	a, b := (reach[0]-im.first)/im.step, (reach[1]-im.first)/im.step
	if a > b {
		a, b = b, a
	}
	low := max(float64(s.from), math.Floor(a)-1)
	high := min(float64(s.to), math.Ceil(b)+2)
	return span{int(min(low, float64(s.to))), int(max(high, float64(s.from)))}
}

// merged sorts spans and joins those that overlap.
func merged(list []span) []span {
	sort.Slice(list, func(i, j int) bool { return list[i].from < list[j].from })
	var out []span
	for _, s := range list {
		if n := len(out); n > 0 && s.from <= out[n-1].to {
			out[n-1].to = max(out[n-1].to, s.to)
			continue
		}
		out = append(out, s)
	}
	return out
}
