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

// uncut leaves cells in one piece.
var uncut = cutting{1, 1, 1, math.Inf(1)}

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
// through pieces, those far from a source are cut like those near it.
func (s *sum) cuttingOf(g result.Grid, sources []model.Source, partial bool) cutting {
	if g.Points {
		return uncut
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
	add := func(within span, cut [2]int) {
		part := rowLight{lux: to.lux[within.from:within.to], ppfd: to.ppfd[within.from:within.to]}
		finely(part, cells.part(within), cut, func(to rowLight, cells cellRow) {
			im := s.image(v, cells)
			im.add(to)
		})
	}
	entered := v.run.entry != 0 || v.fix.entry != 0
	if entered || c.near == c.far && (c.near == c.edge || len(v.run.at)+len(v.fix.at) == 0) {
		add(span{0, cells.n}, [2]int{c.near, c.near})
		return
	}
	s.stretches(v, cells, c, add)
}

// state is what has turned on the way of the rays to a place on both sides of a row: at walls across x, and across y.
type state [2][2]int

// stretches yields the cells of a row in runs that are cut alike, along x and y: those in which a view's light begins or
// ends to meet a wall in another way, which are cut more finely along the axis that the wall stands across, and of the others
// those nearer to its source than some distance, and those beyond.
func (s *sum) stretches(v *view, cells cellRow, c cutting, yield func(within span, cut [2]int)) {
	edges := [2]image{s.image(v, cells), s.image(v, cells)}
	for i, sign := range [2]float64{-0.5, 0.5} {
		edges[i].fixed += sign * cells.wideM
	}
	stateAt := func(k int) (at state) { // the start of a cell
		for i := range edges {
			at[i] = edges[i].turns(edges[i].distance(k) - edges[i].step/2)
		}
		return at
	}
	run, runCut := span{}, [2]int{}
	put := func(within span, from, to state, usual int) {
		cut := [2]int{usual, usual}
		for axis := range cut {
			if n := from[0][axis]; n != from[1][axis] || n != to[0][axis] || n != to[1][axis] {
				cut[axis] = c.edge
			}
		}
		if cut != runCut && run.from < run.to {
			yield(run, runCut)
			run.from = within.from
		}
		run.to, runCut = within.to, cut
	}
	var split func(within span, from, to state, usual int)
	split = func(within span, from, to state, usual int) {
		middle := (within.from + within.to) / 2
		if from == to || middle == within.from {
			put(within, from, to, usual)
			return
		}
		at := stateAt(middle)
		split(span{within.from, middle}, from, at, usual)
		split(span{middle, within.to}, at, to, usual)
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
				split(side, stateAt(side.from), stateAt(side.to), usual)
			}
		}
	}
	yield(run, runCut)
}

// turns counts what has changed on the way to a signed distance along the row since the cell nearest to the source: walls
// that are met in the air and no more in the water, over the rim and no more below it, and not totally any more, or
// again. It grows only on either side of the source.
func (im *image) turns(d float64) (n [2]int) {
	p := im.track.look(float64(d*d) + im.fixed*im.fixed)
	r := im.rim.ray(im.track.heightM, p)
	const offTies = 1e-9 // at a wall, on the plane of the surface, both shares are 1 but for rounding
	for axis, c := range [2]*crossings{im.run, im.fix} {
		d := [2]float64{d, im.fixed}[axis]
		for i, at := range c.at {
			beyond := r.sinPerM*math.Abs(d) > c.walls[i].Critical()
			for _, is := range [3]bool{at/d < r.below+offTies, at/d < r.surface+offTies, beyond != (axis == 1)} {
				if is {
					n[axis]++
				}
			}
		}
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

// finely adds a row of cells as the mean of sums over pieces, so many along x and y.
func finely(to rowLight, row cellRow, pieces [2]int, sum func(rowLight, cellRow)) {
	if pieces == [2]int{1, 1} {
		sum(to, row)
		return
	}
	one := row
	one.stepM, one.wideM, one.n = row.stepM/float64(pieces[0]), row.wideM/float64(pieces[1]), row.n*pieces[0]
	fine := newRow(one.n)
	for k := range pieces[1] {
		one.y = row.y + ((float64(k)+0.5)/float64(pieces[1])-0.5)*row.wideM
		sum(fine, one)
	}
	share := 1 / float64(pieces[0]*pieces[1])
	for i := range fine.lux {
		to.lux[i/pieces[0]] += float64(share * fine.lux[i])
		to.ppfd[i/pieces[0]] += float64(share * fine.ppfd[i])
	}
}
