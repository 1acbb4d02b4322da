package direct

import (
	"math"

	"fathomlux/optics/model"
	"fathomlux/optics/result"
)

// cellRow is n cells of a plane in a row, of stepM from fromM on and wideM across the row. The light of a cell is the
// mean over it where the edge of a shadow crosses it, else that at its centre; that of points is the latter.
type cellRow struct {
	y, fromM, stepM, wideM float64
	n                      int
	points                 bool
}

// rowOf is row iy of a grid.
func rowOf(g result.Grid, iy int) cellRow {
	return cellRow{y: g.CentreY(iy), stepM: g.StepXM, wideM: g.StepYM, n: g.NX, points: g.Points}
}

// Where cells are wide beside the spot of a lamp, they are summed in pieces of pieceShare of its radius or less, and of
// pieceOfWay of its height over the plane, at most mostPieces along a side.
const (
	pieceShare = 1.0 / 8
	pieceOfWay = 1.0 / 32
	mostPieces = 16
)

// pieces is into how many pieces sides of a grid's cells are cut for some sources.
func (s *sum) pieces(g result.Grid, sources []model.Source) int {
	if g.Points {
		return 1
	}
	mostM, m := math.Inf(1), s.engine.model
	for i := range sources {
		if i > 0 && sources[i].Beam == sources[i-1].Beam && sources[i].Position.Z == sources[i-1].Position.Z {
			continue
		}
		wayM := sources[i].Position.Z + s.depthM - m.DepthM
		mostM = min(mostM, pieceShare*m.Beams[sources[i].Beam].SpotM(wayM), pieceOfWay*wayM)
	}
	return int(min(max(math.Ceil(max(g.StepXM, g.StepYM)/mostM), 1), mostPieces))
}

// cutting is into how many pieces sides of cells are cut near some sources, beyond which distance in plan from each of
// them into how many, for there light changes over longer ways and is little, and into how many where a wall begins or
// ends to return light within a cell.
type cutting struct {
	near, far, edge int
	farM            float64
}

// whole leaves cells in one piece.
var whole = cutting{1, 1, 1, math.Inf(1)}

// edgePieces is into how many pieces cells are cut at least where a wall begins or ends to return light.
const edgePieces = 4

// Beyond farOfWay times its height over the plane, and beyond its field, a round lamp that looks straight down is summed
// in pieces of fartherApart times the size. By how much the middle of a piece of side a misses the mean over it, a^2/24
// times the Laplacian of the light, is then no more than near the lamp: of the inverse-square cosine law the Laplacian
// is 6 under the lamp and 0.26 at 1.5, in parts of the highest light over the height squared.
const (
	farOfWay     = 1.5
	fartherApart = 4
)

// cuttingOf is that of a grid's cells for some sources. Where a part of some cells counts, which is measured on lines
// through pieces, all are cut alike.
func (s *sum) cuttingOf(g result.Grid, sources []model.Source, partial bool) cutting {
	if g.Points {
		return whole
	}
	c := cutting{near: s.pieces(g, sources), farM: math.Inf(1)}
	c.edge = max(c.near, edgePieces)
	if c.far = c.near; !partial && c.near > 1 && s.engine.key(sources[0]).beam >= 0 {
		wayM := sources[0].Position.Z + s.depthM - s.engine.model.DepthM
		c.far = (c.near + fartherApart - 1) / fartherApart
		c.farM = max(farOfWay*wayM, s.engine.model.Beams[sources[0].Beam].FieldM(wayM))
	}
	return c
}

// addView adds the light of a view to a row of cells that are cut.
func (s *sum) addView(to rowLight, v *view, cells cellRow, c cutting) {
	add := func(within span, pieces int) {
		part := rowLight{lux: to.lux[within.from:within.to], ppfd: to.ppfd[within.from:within.to]}
		finely(part, cells.part(within), pieces, func(to rowLight, cells cellRow) {
			im := s.image(v, cells)
			im.add(to)
		})
	}
	entered := v.run.entry != 0 || v.fix.entry != 0
	if entered || c.near == c.far && (c.near == c.edge || len(v.run.at)+len(v.fix.at) == 0) {
		add(span{0, cells.n}, c.near)
		return
	}
	s.stretches(v, cells, c, add)
}

// stretches yields the cells of a row in runs that are cut alike: those in which a view's light begins or ends to meet a
// wall in another way, and of the others those nearer to its source than some distance, and those beyond.
func (s *sum) stretches(v *view, cells cellRow, c cutting, yield func(within span, pieces int)) {
	edges := [2]image{s.image(v, cells), s.image(v, cells)}
	for i, sign := range [2]float64{-0.5, 0.5} {
		edges[i].fixed += sign * cells.wideM
	}
	state := func(k int) (turns [2]int) { // at the start of a cell, on both sides of the row
		for i := range edges {
			turns[i] = edges[i].turns(edges[i].distance(k) - edges[i].step/2)
		}
		return turns
	}
	run, cut := span{}, 0
	put := func(within span, pieces int) {
		if pieces != cut && run.from < run.to {
			yield(run, cut)
			run.from = within.from
		}
		run.to, cut = within.to, pieces
	}
	var split func(within span, from, to [2]int, usual int)
	split = func(within span, from, to [2]int, usual int) {
		switch middle := (within.from + within.to) / 2; {
		case from == to && from[0] == from[1]:
			put(within, usual)
		case from == to || middle == within.from:
			put(within, c.edge)
		default:
			at := state(middle)
			split(span{within.from, middle}, from, at, usual)
			split(span{middle, within.to}, at, to, usual)
		}
	}
	im := s.image(v, cells)
	middle, near := im.nearest(cells.n), im.within(c.farM)
	for k, part := range [3]span{{0, near.from}, near, {near.to, cells.n}} {
		usual := c.far
		if k == 1 {
			usual = c.near
		}
		for _, side := range [2]span{{part.from, min(part.to, middle)}, {max(part.from, middle), part.to}} {
			if side.from < side.to {
				split(side, state(side.from), state(side.to), usual)
			}
		}
	}
	yield(run, cut)
}

// turns counts what has changed on the way to a signed distance along the row since the cell nearest to the source: walls
// that are met in the air and no more in the water, over the rim and no more below it, and not totally any more, or
// again. It grows only on either side of the source.
func (im *image) turns(d float64) (n int) {
	p := im.track.look(float64(d*d) + im.fixed*im.fixed)
	r := im.rim.ray(im.track.heightM, p)
	count := func(is bool) {
		if is {
			n++
		}
	}
	const offTies = 1e-9 // at a wall, on the plane of the surface, both shares are 1 but for rounding
	for i, at := range im.run.at {
		count(at/d < r.below+offTies)
		count(at/d < r.surface+offTies)
		count(r.sinPerM*math.Abs(d) > im.run.walls[i].Critical())
	}
	for i, at := range im.fix.at {
		count(at/im.fixed < r.below+offTies)
		count(at/im.fixed < r.surface+offTies)
		count(r.sinPerM*math.Abs(im.fixed) < im.fix.walls[i].Critical())
	}
	return n
}

// within returns the cells that lie, or reach, nearer than some distance to the source.
func (im *image) within(farM float64) span {
	const offTies = 1 + 1e-6 // cells that end just there count alike whatever the rounding
	halfM := math.Sqrt(max(0, farM*farM*offTies-im.fixed*im.fixed))
	from, to := (-halfM-im.first)/im.step, (halfM-im.first)/im.step
	if from > to {
		from, to = to, from
	}
	last := float64(im.row.n)
	near := span{int(min(max(math.Floor(from), 0), last)), int(min(max(math.Ceil(to)+1, 0), last))}
	if halfM == 0 || near.from >= near.to {
		return span{}
	}
	return near
}

// part is some of a row's cells.
func (r cellRow) part(of span) cellRow {
	r.fromM, r.n = r.fromM+float64(of.from)*r.stepM, of.to-of.from
	return r
}

// finely adds a row of cells as the mean of sums over pieces.
func finely(to rowLight, row cellRow, pieces int, sum func(rowLight, cellRow)) {
	if pieces == 1 {
		sum(to, row)
		return
	}
	one := row
	one.stepM, one.wideM, one.n = row.stepM/float64(pieces), row.wideM/float64(pieces), row.n*pieces
	fine := newRow(one.n)
	for k := range pieces {
		one.y = row.y + ((float64(k)+0.5)/float64(pieces)-0.5)*row.wideM
		sum(fine, one)
	}
	to.addMeans(fine, pieces)
}

// addMeans adds the means over pieces of cells, which hold sums over as many rows.
func (r rowLight) addMeans(fine rowLight, pieces int) {
	share := 1 / float64(pieces*pieces)
	for i := range fine.lux {
		r.lux[i/pieces] += float64(share * fine.lux[i])
		r.ppfd[i/pieces] += float64(share * fine.ppfd[i])
	}
}
