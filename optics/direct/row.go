package direct

import (
	"math"
	"sort"

	"fathomlux/scene/space"
)

// image is a view over one row of cells.
type image struct {
	*view
	sum         *sum
	rim         rim
	fixed       float64 // signed distance of the row from the source along y, m
	first, step float64 // signed distances of the first cell from the source along x, and of the next from it, m
	row         cellRow
	shades      []shade
	shadesKnown bool
	along       []*image // see lines
}

// span is a run of cells, from included, to not.
type span struct{ from, to int }

// distance is the signed distance of cell i from the source along the row.
func (im *image) distance(i int) float64 { return im.first + float64(i)*im.step }

// look returns the track's node over cell i and the cell's signed distance.
func (im *image) look(i int) (n node, d float64) {
	d = im.distance(i)
	return im.track.look(float64(d*d) + im.fixed*im.fixed), d
}

// add adds the image's light to a row. Along the row away from the source rays only grow flatter: first come cells
// whose rays meet walls under water alone and are mirrored totally, then cells whose rays need a closer look, then
// cells whose rays crossed a wall above the rim. Each side of the source is cut into these three.
func (im *image) add(to rowLight) {
	n := len(to.lux)
	if im.run.entry != 0 || im.fix.entry != 0 {
		im.traced(to, span{0, n}, im.open(span{0, n}))
		return
	}
	middle := im.nearest(n)
	im.addSide(to, n-middle, func(k int) int { return middle + k },
		func(from, to int) span { return span{middle + from, middle + to} })
	im.addSide(to, middle, func(k int) int { return middle - 1 - k },
		func(from, to int) span { return span{middle - to, middle - from} })
}

// nearest returns the first cell at or beyond the source in the direction of growing i.
func (im *image) nearest(n int) int {
	at := math.Ceil(-im.first / im.step)
	return int(min(max(at, 0), float64(n)))
}

// addSide adds the n cells of one side; cell gives the k-th cell from the source, cells the span of the k-th to the
// l-th.
func (im *image) addSide(to rowLight, n int, cell func(k int) int, cells func(k, l int) span) {
	end := sort.Search(n, func(k int) bool { return !im.reaches(cell(k)) })
	if end == 0 {
		return
	}
	plain, share := 0, 1.0
	switch {
	case !im.track.baked:
	case im.mirrors:
		plain, share = end, im.share
	default:
		if share = im.totalShare(cell(0)); share > 0 {
			plain = sort.Search(end, func(k int) bool { return !im.total(cell(k)) })
		}
	}
	im.addSpan(to, cells(0, plain), func(s span) { im.plain(to, s, share) })
	im.addSpan(to, cells(plain, end), func(s span) { im.traced(to, s, nil) })
}

// reaches tells whether any light comes to cell i: no wall is met above the rim on the way there, and the beam
// reaches that far.
func (im *image) reaches(i int) bool {
	n, d := im.look(i)
	if float64(d*d)+im.fixed*im.fixed > im.track.farthest {
		return false
	}
	if len(im.run.at) == 0 && len(im.fix.at) == 0 {
		return true
	}
	below := im.rim.way(im.track.heightM, &n)
	return (len(im.run.at) == 0 || im.run.at[0]/d >= below) && (len(im.fix.at) == 0 || im.fix.at[0]/im.fixed >= below)
}

// total tells whether all walls on the way to cell i are met under water, and along the row within total reflection.
func (im *image) total(i int) bool {
	n, d := im.look(i)
	if len(im.fix.at) > 0 && im.fix.at[0]/im.fixed < n.water {
		return false
	}
	if len(im.run.at) == 0 {
		return true
	}
	cos := n.sin * math.Abs(d)
	for _, w := range im.run.walls {
		if _, ok := w.Total(cos); !ok {
			return false
		}
	}
	return im.run.at[0]/d >= n.water
}

// totalShare is what the walls leave of a ray that they mirror totally; 0 where the walls across the row are met too
// steeply for that at cell i, the nearest to the source, where they are met most steeply.
func (im *image) totalShare(i int) float64 {
	n, d := im.look(i)
	share := 1.0
	for _, w := range im.fix.walls {
		kept, ok := w.Total(n.sin * math.Abs(im.fixed))
		if !ok {
			return 0
		}
		share *= kept
	}
	for _, w := range im.run.walls {
		kept, ok := w.Total(n.sin * math.Abs(d))
		if !ok {
			return 0
		}
		share *= kept
	}
	return share
}

// addSpan adds the cells of a span: those that a box may hide one by one, the others by free.
func (im *image) addSpan(to rowLight, s span, free func(s span)) {
	for _, hidden := range im.shadows(s) {
		free(span{s.from, hidden.from})
		im.traced(to, hidden, im.open(hidden))
		s.from = hidden.to
	}
	free(s)
}

// plain adds the cells of a span with nothing between them and the source but perfect mirrors.
func (im *image) plain(to rowLight, s span, share float64) {
	if s.from >= s.to {
		return
	}
	addPlain(to.lux[s.from:s.to], to.ppfd[s.from:s.to], im.track.pairs,
		im.track.row(plainRow{first: im.first, skip: float64(s.from), step: im.step, fixed2: im.fixed * im.fixed,
			lumens: im.source.LeavingLm * share}))
}

// traced adds cells whose rays cross walls, may be shaded, or leave an optic that is not round or is tilted. open is
// from which share of each the source is seen; nil where nothing hides it.
func (im *image) traced(to rowLight, s span, open []float64) {
	fixed2, height := im.fixed*im.fixed, im.track.heightM
	lumens, crossed := im.source.LeavingLm, len(im.run.at)+len(im.fix.at) > 0 || im.run.entry != 0 || im.fix.entry != 0
	for i := s.from; i < s.to; i++ {
		d := im.distance(i)
		n := im.track.look(float64(d*d) + fixed2)
		if n.lux == 0 || (open != nil && open[i-s.from] == 0) {
			continue
		}
		weight := lumens
		if open != nil {
			weight *= open[i-s.from]
		}
		if crossed {
			weight *= im.rim.kept(im.run, d, height, &n) * im.rim.kept(im.fix, im.fixed, height, &n)
		}
		if !im.track.baked {
			weight *= im.intensity(d, &n)
		}
		to.lux[i] += float64(weight * n.lux)
		to.ppfd[i] += float64(weight * n.ppfd)
	}
}

// intensity returns the candela per lumen that the source sends towards a cell at signed distance d along the row.
func (im *image) intensity(d float64, n *node) float64 {
	cos := 1.0
	if n.tan > 0 {
		cos = n.sin / n.tan
	}
	local := im.source.Frame.Local(space.Vector{X: n.sin * d, Y: n.sin * im.fixed, Z: -cos})
	return im.sum.engine.model.Beams[im.source.Beam].Fast(local)
}

// shadesOf returns the boxes as the row sees them, worked out when first asked for.
func (im *image) shadesOf() []shade {
	if !im.shadesKnown && len(im.boxes) > 0 {
		ends := [2]float64{im.first, im.distance(im.row.n - 1)}
		im.shades = im.sum.shades(nil, im.boxes, sweep{source: im.source.Position, fixed: im.fixed,
			low: min(0, ends[0], ends[1]), high: max(0, ends[0], ends[1]), heightM: im.track.heightM})
	}
	im.shadesKnown = true
	return im.shades
}

// hidden tells whether a box hides the source from a place along the row, in cells from the middle of the first.
func (im *image) hidden(at float64) bool {
	if len(im.shadesOf()) == 0 {
		return false
	}
	d := im.first + at*im.step
	n := im.track.look(float64(d*d) + im.fixed*im.fixed)
	for k := range im.shades {
		s := &im.shades[k]
		if at < float64(s.cells.from)-0.5 || at > float64(s.cells.to)-0.5 {
			continue
		}
		if s.hides(d, im.track.heightM, im.sum.depthM, &n) {
			return true
		}
	}
	return false
}
