// Package bill counts what a scene takes to build, with prices where the parts have them: modules, optics, drivers,
// profiles, screws and wire.
package bill

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"

	"fathomlux/scene"
	"fathomlux/scene/drilling"
	"fathomlux/scene/finding"
	"fathomlux/scene/hanging"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
	"fathomlux/scene/wiring"
)

// Line is one kind of thing to buy. Counted things come in pieces, others in metres.
type Line struct {
	Kind  string  // module, optic, driver, profile, screw, fuse, wire and the like
	Name  string  // of the part
	Unit  string  // "pcs" or "m"
	Used  float64 // what is built in
	Spare float64 // what is bought beside it
	Each  parts.Money
	Sum   parts.Money // of used and spare; no currency where no price is known
	Note  finding.Finding

	pieces finding.Each // that the note names
}

// Bill is what a scene takes.
type Bill struct {
	Lines  []Line
	Totals []parts.Money // by currency, in the order of their codes
	Blank  int           // lines without a price, which the totals leave out
}

// cuttingShare is wire that is lost in cutting and stripping. Common practice, no published source.
const cuttingShare = 0.10

// Of counts what a scene takes that is wired as these groups are. spareShare is the share of modules and optics that
// are bought beside those that are built in, rounded up for each part: 0.1 is one spare for ten. There is one optic a
// module; one that passes all light and costs nothing is no lens but its absence. There is one screw a hole of the
// boards, with a nut where the rail takes no thread, a grommet a wire hole, and what the rails hang from.
func Of(s *scene.Scene, groups []wiring.Group, spareShare float64) Bill {
	var t, optics tally
	for _, r := range s.Rails {
		for _, m := range r.Modules {
			t.add(1, Line{Kind: "module", Name: m.Part.Name, Unit: "pcs", Each: m.Part.Price})
			if o := m.Optic; o.Efficiency < 1 || o.Price.Currency != "" {
				optics.add(1, Line{Kind: "optic", Name: o.Name, Unit: "pcs", Each: o.Price,
					Note: finding.OpticAModule.Of()})
			}
		}
	}
	t = append(t, optics...)
	for i := range t { // the slack keeps a tenth of ten from becoming two
		t[i].Spare = math.Ceil(t[i].Used*spareShare - 1e-9)
	}
	t.drivers(s, groups)
	t.profiles(s)
	t.hardware(s)
	for _, g := range groups {
		if fuse := g.Guard.FuseName(); fuse != "" {
			t.add(float64(len(g.Circuit.Strings)), Line{Kind: "fuse", Name: fmt.Sprintf("%s, %.0f V DC", fuse,
				math.Ceil(g.Guard.FuseV)), Unit: "pcs", Each: parts.FusePrice, Note: finding.FuseAString.Of()})
		}
		for _, w := range g.Wires {
			name := "none fits"
			if advice := w.Advice(); advice != "" {
				name = "copper " + advice
			}
			l := t.add(w.LengthM, Line{Kind: "wire", Name: name, Unit: "m", Each: parts.WirePrice(w.Advised[0].Gauge.AreaM2),
				Note: finding.SingleCore.Of(finding.Percent(cuttingShare))})
			l.Spare = l.Used * cuttingShare
		}
	}
	return t.bill()
}

// hardware counts screws, nuts, grommets and hangers.
func (t *tally) hardware(s *scene.Scene) {
	var screws, others tally
	for _, r := range s.Rails {
		rail, err := drilling.Make(r, true)
		if err != nil {
			continue // more holes than anybody drills
		}
		for _, h := range rail.Holes {
			name := cmp.Or(h.Thread, "for holes of "+unit.Length.Say(h.DiameterM))
			switch {
			case h.Kind == drilling.Screw:
				screws.add(1, Line{Kind: "screw", Name: name, Unit: "pcs", Note: finding.WithWasher.Of()})
			case h.Kind == drilling.Wire:
				others.add(1, Line{Kind: "grommet", Name: name, Unit: "pcs", Note: finding.AWireHole.Of()})
			}
			switch h.Hold {
			case drilling.NutBack:
				others.add(1, Line{Kind: "nut", Name: name, Unit: "pcs", Note: finding.NutsBehind.Of()})
			case drilling.SlotNut:
				others.add(1, Line{Kind: "slot nut", Name: name, Unit: "pcs", Note: finding.NutsInSlot.Of()})
			}
		}
		others.add(float64(len(rail.Hang.Hangers)), Line{Kind: "hanger",
			Name: "to bear " + finding.Value{V: hanging.HeldKg(rail.Hang.HangerN()), Decimals: 1, Unit: "kg"}.Say(unit.Metric),
			Unit: "pcs", Note: finding.HangerBears.Of()})
	}
	*t = append(append(*t, screws...), others...)
}

// tally is lines by kind and name, in the order in which they first appear.
type tally []Line

// add counts n of a thing, which is like the line where it is new, and returns its line.
func (t *tally) add(n float64, like Line) *Line {
	at := slices.IndexFunc(*t, func(l Line) bool {
		return l.Kind == like.Kind && l.Name == like.Name && l.Name != noDriver
	})
	if at < 0 {
		at = len(*t)
		*t = append(*t, like)
	}
	(*t)[at].Used += n
	return &(*t)[at]
}

// noDriver names the line of a group that no driver feeds.
const noDriver = "none fits"

// drivers counts a driver for each group that one feeds, and for the others those of the split that would.
func (t *tally) drivers(s *scene.Scene, groups []wiring.Group) {
	for _, g := range groups {
		switch fit := g.Chosen.Fit; {
		case g.Chosen.Fed():
			t.add(1, Line{Kind: "driver", Name: fit.Driver.Name, Unit: "pcs", Each: fit.Driver.Price})
		case len(g.Apart) == 0:
			t.add(0, Line{Kind: "driver", Name: noDriver, Unit: "pcs", Note: g.Chosen.Why})
		}
		for _, p := range g.Apart {
			l := t.add(1, Line{Kind: "driver", Name: p.Fit.Driver.Name, Unit: "pcs", Each: p.Fit.Driver.Price})
			l.pieces = append(l.pieces, g.Portion(s, p))
			l.Note = finding.SplitScenes.Of(l.pieces)
		}
	}
}

// bill adds up a tally, by currency.
func (t tally) bill() Bill {
	b, sums := Bill{Lines: t}, map[string]float64{}
	for i := range b.Lines {
		l := &b.Lines[i]
		if l.Each.Currency == "" {
			b.Blank++
			continue
		}
		l.Sum = parts.Money{Amount: l.Each.Amount * (l.Used + l.Spare), Currency: l.Each.Currency}
		sums[l.Each.Currency] += l.Sum.Amount
	}
	for _, currency := range slices.Sorted(maps.Keys(sums)) {
		b.Totals = append(b.Totals, parts.Money{Amount: sums[currency], Currency: currency})
	}
	return b
}

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
