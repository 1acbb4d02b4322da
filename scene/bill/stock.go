package bill

import (
	"cmp"
	"slices"

	"fathomlux/scene"
	"fathomlux/scene/finding"
	"fathomlux/scene/unit"
)

// sawCutM is what a saw takes of a bar for each piece. Common practice, no published source.
const sawCutM = 0.003

// profiles counts the bars of rails: the metres built in, and beside them what is left of the lengths in which a bar is
// sold, where that is known.
func (t *tally) profiles(s *scene.Scene) {
	lengthsM, stock := map[string][]float64{}, map[string][]float64{}
	for _, r := range s.Rails {
		l := t.add(r.LengthM, Line{Kind: "profile", Name: r.Profile.Name, Unit: "m", Each: r.Profile.PricePerM})
		l.pieces = append(l.pieces, length(r.LengthM))
		l.Note = finding.CutTo.Of(l.pieces)
		lengthsM[l.Name], stock[l.Name] = append(lengthsM[l.Name], r.LengthM), r.Profile.StockM
	}
	for i := range *t {
		if l := &(*t)[i]; l.Kind == "profile" && len(stock[l.Name]) > 0 {
			l.cut(lengthsM[l.Name], stock[l.Name])
		}
	}
}

func length(m float64) finding.Amount { return finding.Amount{Of: unit.Length, Value: m} }

// cut puts the bars to buy, and what each is cut to, into the line of a profile.
func (l *Line) cut(piecesM, stockM []float64) {
	bars := cutBars(piecesM, stockM)
	if bars == nil {
		l.Note = finding.NoStockHolds.Of(length(slices.Max(stockM)), length(slices.Max(piecesM)))
		return
	}
	var said finding.Each
	bought := 0.0
	for _, b := range bars {
		var pieces finding.List
		for _, m := range b.piecesM {
			pieces = append(pieces, length(m))
		}
		said, bought = append(said, finding.BarCutTo.Of(length(b.lengthM), pieces)), bought+b.lengthM
	}
	l.Spare = bought - l.Used
	l.Note = finding.CutFromStock.Of(said, length(l.Spare), length(sawCutM))
}

// bar is a length as it is sold, with the pieces that are cut from it.
type bar struct {
	lengthM float64
	piecesM []float64
}

// takesM is what the pieces take of the bar, a saw cut behind each but for one that ends where the bar does.
func (b bar) takesM(moreM ...float64) (m float64) {
	for _, piece := range slices.Concat(b.piecesM, moreM) {
		m += piece + sawCutM
	}
	return m - sawCutM
}

// cutBars finds the lengths to buy for all pieces: the fewest metres of several plans, of equals the fewest bars; nil
// where a piece is longer than all stock. Each plan puts the pieces, the longest first, into the first open bar that
// has room, opens bars of one stock length, or of the shortest that holds a longer piece, and takes a shorter one
// where the pieces fit it.
func cutBars(piecesM, stockM []float64) (best []bar) {
	const slackM = 1e-9
	pieces, stock := slices.Sorted(slices.Values(piecesM)), slices.Sorted(slices.Values(stockM))
	slices.Reverse(pieces)
	if pieces[0] > stock[len(stock)-1]+slackM {
		return nil
	}
	shortest := func(m float64) float64 {
		return stock[slices.IndexFunc(stock, func(s float64) bool { return s >= m-slackM })]
	}
	metres := func(bars []bar) (m float64) {
		for _, b := range bars {
			m += b.lengthM
		}
		return m
	}
	for _, usual := range stock {
		var bars []bar
		for _, piece := range pieces {
			at := slices.IndexFunc(bars, func(b bar) bool { return b.takesM(piece) <= b.lengthM+slackM })
			if at < 0 {
				at, bars = len(bars), append(bars, bar{lengthM: max(usual, shortest(piece))})
			}
			bars[at].piecesM = append(bars[at].piecesM, piece)
		}
		for i, b := range bars {
			bars[i].lengthM = shortest(b.takesM())
		}
		if best == nil || cmp.Or(cmp.Compare(metres(bars), metres(best)+slackM), cmp.Compare(len(bars), len(best))) < 0 {
			best = bars
		}
	}
	return best
}
