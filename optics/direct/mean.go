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
