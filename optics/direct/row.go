package direct

import (
	"math"
	"sort"
)

// image is a view over one row of cells.
type image struct {
	*view
	sum         *sum
	rim         rim
	fixed       float64 // signed distance of the row from the source along y, m
	first, step float64 // signed distances of the first cell from the source along x, and of the next from it, m
	row         cellRow
	shadow      *cover    // nil until covered is asked for
	apart       []image   // see diesOf
	across      []meeting // see meetings
}

// span is a run of cells, from included, to not.
type span struct{ from, to int }

// distance is the signed distance of cell i from the source along the row.
func (im *image) distance(i int) float64 { return im.first + float64(i)*im.step }

// look returns the place on the track over cell i and the cell's signed distance.
func (im *image) look(i int) (p place, d float64) {
	d = im.distance(i)
	return im.track.look(float64(d*d) + im.fixed*im.fixed), d
}

// add adds the image's light to a row. Along the row away from the source rays only grow flatter: first come cells
// whose rays meet walls under water alone and are mirrored totally, then cells whose rays need a closer look, then
// cells whose rays crossed a wall above the rim. Each side of the source is cut into these three.
func (im *image) add(to rowLight) {
	defer im.forget()
	n := len(to.lux)
	if im.run.entry != 0 || im.fix.entry != 0 {
		im.traced(to, span{0, n})
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
	case im.mirrors && len(im.dies) == 0: // dies differ in where the rim ends their light
		plain, share = end, im.share
	default:
		if share = im.totalShare(cell(0)); share > 0 {
			plain = sort.Search(end, func(k int) bool { return !im.total(cell(k)) })
		}
	}
	im.addPlainSpan(to, cells(0, plain), share)
	im.traced(to, cells(plain, end))
}

// reaches tells whether any light may come to cell i: no wall is met above the rim on the way there, and the beam
// reaches that far.
func (im *image) reaches(i int) bool {
	p, d := im.look(i)
	if float64(d*d)+im.fixed*im.fixed > im.track.farthest {
		return false
	}
	if len(im.run.at) == 0 && len(im.fix.at) == 0 {
		return true
	}
	r := im.rim.ray(im.track.heightM, p)
	return (len(im.run.at) == 0 || im.run.at[0]/d >= r.below) &&
		(len(im.fix.at) == 0 || im.fix.at[0]/im.fixed >= r.below) || im.atEdge(d, r)
}

// total tells whether all walls on the way to cell i are met under water, and along the row within total reflection,
// and that for all dies.
func (im *image) total(i int) bool {
	p, d := im.look(i)
	r := im.rim.ray(im.track.heightM, p)
	if im.atEdge(d, r) {
		return false
	}
	if len(im.fix.at) > 0 && im.fix.at[0]/im.fixed < r.surface {
		return false
	}
	if len(im.run.at) == 0 {
		return true
	}
	cos := r.sinPerM * math.Abs(d)
	for _, w := range im.run.walls {
		if _, ok := w.Total(cos); !ok {
			return false
		}
	}
	return im.run.at[0]/d >= r.surface
}

// totalShare is what the walls leave of a ray that they mirror totally; 0 where the walls across the row are met too
// steeply for that at cell i, the nearest to the source, where they are met most steeply.
func (im *image) totalShare(i int) float64 {
	p, d := im.look(i)
	share := 1.0
	for _, w := range im.fix.walls {
		kept, ok := w.Total(p.sin() * math.Abs(im.fixed))
		if !ok {
			return 0
		}
		share *= kept
	}
	for _, w := range im.run.walls {
		kept, ok := w.Total(p.sin() * math.Abs(d))
		if !ok {
			return 0
		}
		share *= kept
	}
	return share
}

// addPlainSpan adds the cells of a span: those of which a box hides a part one by one, the others together.
func (im *image) addPlainSpan(to rowLight, s span, share float64) {
	if s.from >= s.to {
		return
	}
	covered := im.covered()
	for at := s.from; at < s.to; {
		end := s.to
		if covered != nil {
			for end = at; end < s.to && covered[end] == 0; {
				end++
			}
		}
		im.plain(to, span{at, end}, share)
		for at = end; at < s.to && covered[at] > 0; {
			at++
		}
		im.traced(to, span{end, at})
	}
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

// traced adds cells whose rays cross walls, may be shaded, or leave an optic that is not round or is tilted.
func (im *image) traced(to rowLight, s span) {
	if s.from >= s.to {
		return
	}
	covered := im.covered()
	fixed2, height := im.fixed*im.fixed, im.track.heightM
	lumens, crossed := im.source.LeavingLm, len(im.run.at)+len(im.fix.at) > 0 || im.run.entry != 0 || im.fix.entry != 0
	for i := s.from; i < s.to; i++ {
		weight := lumens
		if covered != nil {
			if weight *= 1 - covered[i]; !(weight > leastOpen*lumens) {
				continue
			}
		}
		d := im.distance(i)
		p := im.track.look(float64(d*d) + fixed2)
		var r wallRay
		if crossed {
			r = im.rim.ray(height, p)
		}
		if weight < lumens && len(im.dies) > 0 || crossed && im.atEdge(d, r) {
			apart := im.diesOf()
			for k := range apart {
				apart[k].traced(to, span{i, i + 1})
			}
			continue
		}
		if p.nodes == &nowhere {
			continue
		}
		if crossed {
			if weight *= im.run.kept(d, r); weight != 0 {
				weight *= im.fix.kept(im.fixed, r)
			}
			if weight == 0 {
				continue
			}
		}
		if !im.track.baked {
			weight *= im.sum.engine.intensity(im.source, d, im.fixed, p)
		}
		to.lux[i] += float64(weight * p.lux())
		to.ppfd[i] += float64(weight * p.ppfd())
	}
}

// leastOpen is the share of a cell that is hidden as a whole, for shares of lines add up to 1 but for rounding.
const leastOpen = 1e-12
