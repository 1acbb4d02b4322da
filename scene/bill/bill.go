// Package bill counts what a scene takes to build, with prices where the parts have them: modules, optics, drivers,
// profiles, screws and wire.
package bill

import (
	"fmt"
	"math"
	"sort"

	"fathomlux/scene"
	"fathomlux/scene/circuit"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
	"fathomlux/scene/wiring"
)

// Line is one kind of thing to buy. Counted things come in pieces, others in metres.
type Line struct {
	Kind  string  // module, optic, driver, profile, screw or wire
	Name  string  // of the part
	Unit  string  // "pcs" or "m"
	Used  float64 // what is built in
	Spare float64 // what is bought beside it
	Each  parts.Money
	Sum   parts.Money // of used and spare; no currency where no price is known
	Note  string
}

// Bill is what a scene takes.
type Bill struct {
	Lines  []Line
	Totals []parts.Money // by currency, in the order of their codes
	Blank  int           // lines without a price, which the totals leave out
}

// Common practice, no published source.
const (
	cuttingShare = 0.10   // wire that is lost in cutting and stripping
	leastWireM2  = 0.5e-6 // thinner wire breaks where it is bent, and many terminals do not hold it
)

// Gauges is one size of wire by its metric and its American name.
type Gauges struct {
	Metric, American   string
	MetricV, AmericanV float64 // drops
}

// AdvisedWire returns the wire to buy for a string: the thinnest that serves but not below 0.5 mm2 or AWG 20, as
// thinner wire breaks where it is bent and many terminals do not hold it. Common practice, no published source. ok is
// false where none serves.
func AdvisedWire(w circuit.Wire) (g Gauges, ok bool) {
	metric, okMetric := advised(w.Metric)
	american, okAmerican := advised(w.American)
	return Gauges{Metric: metric.Gauge.Name, American: american.Gauge.Name, MetricV: metric.DropV,
		AmericanV: american.DropV}, okMetric && okAmerican
}

// advised returns the thinnest that serves and is not thinner than wire that lasts; AWG 20 is 0.518 mm2.
func advised(drops []circuit.Drop) (circuit.Drop, bool) {
	for _, d := range drops {
		if d.Serves && d.Gauge.AreaM2 >= leastWireM2 {
			return d, true
		}
	}
	return circuit.Drop{}, false
}

// Of counts what a scene takes that is wired as these groups are. spareShare is the share of modules and optics that
// are bought beside those that are built in, rounded up for each part: 0.1 is one spare for ten.
func Of(s *scene.Scene, groups []wiring.Group, spareShare float64) Bill {
	var b Bill
	b.Lines = append(b.Lines, moduleLines(s, spareShare)...)
	b.Lines = append(b.Lines, opticLines(s, spareShare)...)
	b.Lines = append(b.Lines, driverLines(s, groups)...)
	b.Lines = append(b.Lines, profileLines(s)...)
	b.Lines = append(b.Lines, screwLines(s)...)
	b.Lines = append(b.Lines, wireLines(groups)...)
	sums := map[string]float64{}
	for i := range b.Lines {
		l := &b.Lines[i]
		if l.Each.Currency == "" {
			b.Blank++
			continue
		}
		l.Sum = parts.Money{Amount: l.Each.Amount * (l.Used + l.Spare), Currency: l.Each.Currency}
		sums[l.Each.Currency] += l.Sum.Amount
	}
	for currency, amount := range sums {
		b.Totals = append(b.Totals, parts.Money{Amount: amount, Currency: currency})
	}
	sort.Slice(b.Totals, func(i, k int) bool { return b.Totals[i].Currency < b.Totals[k].Currency })
	return b
}

// tally adds up things by name, in the order in which they first appear.
type tally struct {
	lines []Line
	at    map[string]int
}

// add counts n of a thing, which is like the line where it is new, and returns its line.
func (t *tally) add(n float64, like Line) *Line {
	if t.at == nil {
		t.at = map[string]int{}
	}
	at, known := t.at[like.Name]
	if !known {
		at = len(t.lines)
		t.at[like.Name], t.lines = at, append(t.lines, like)
	}
	t.lines[at].Used += n
	return &t.lines[at]
}

// withSpares adds a share to each line, rounded up; the slack keeps a tenth of ten from becoming two.
func (t *tally) withSpares(share float64) []Line {
	for i := range t.lines {
		t.lines[i].Spare = math.Ceil(t.lines[i].Used*share - 1e-9)
	}
	return t.lines
}

func moduleLines(s *scene.Scene, share float64) []Line {
	var t tally
	for _, at := range s.Seats() {
		p := s.Rails[at.Rail].Modules[at.Module].Part
		t.add(1, Line{Kind: "module", Name: p.Name, Unit: "pcs", Each: p.Price})
	}
	return t.withSpares(share)
}

// opticLines counts one optic a module. One that passes all light and costs nothing is no lens but its absence.
func opticLines(s *scene.Scene, share float64) []Line {
	var t tally
	for _, at := range s.Seats() {
		o := s.Rails[at.Rail].Modules[at.Module].Optic
		if o.Efficiency < 1 || o.Price.Currency != "" {
			t.add(1, Line{Kind: "optic", Name: o.Name, Unit: "pcs", Each: o.Price,
				Note: "one a module; boards with a lens over each die take more"})
		}
	}
	return t.withSpares(share)
}

// driverLines counts a driver for each group that one feeds, and for the others those of the split that would. Groups
// that none feeds come first.
func driverLines(s *scene.Scene, groups []wiring.Group) (unfed []Line) {
	var t tally
	for i := range groups {
		g := &groups[i]
		for _, p := range g.Plan.Apart {
			l := t.add(1, Line{Kind: "driver", Name: p.Driver, Unit: "pcs", Each: s.Catalogue.Drivers[p.Driver].Price})
			note := "; "
			if l.Note == "" {
				note = "split, a scene each: "
			}
			l.Note += note + wiring.PortionName(s, g, p)
		}
		fit, ok := g.Fit()
		switch {
		case len(g.Plan.Apart) > 0:
		case ok && fit.Fits:
			t.add(1, Line{Kind: "driver", Name: fit.Driver.Name, Unit: "pcs", Each: fit.Driver.Price})
		default:
			note := g.Plan.Chosen.Why
			if _, picked := g.Split(); !picked {
				note = fmt.Sprintf("no driver fits these %d modules together", len(g.Members))
			}
			unfed = append(unfed, Line{Kind: "driver", Name: "none fits", Unit: "pcs", Note: note})
		}
	}
	return append(unfed, t.lines...)
}

func profileLines(s *scene.Scene) []Line {
	var t tally
	for _, r := range s.Rails {
		l := t.add(r.LengthM, Line{Kind: "profile", Name: r.Profile.Name, Unit: "m", Each: r.Profile.PricePerM})
		if l.Note == "" {
			l.Note = "cut to " + unit.Length.Say(r.LengthM)
		} else {
			l.Note += ", " + unit.Length.Say(r.LengthM)
		}
	}
	return t.lines
}

// screwLines counts one screw a hole of the boards.
func screwLines(s *scene.Scene) []Line {
	var t tally
	for _, at := range s.Seats() {
		for _, h := range s.Rails[at.Rail].Modules[at.Module].Part.Holes {
			t.add(1, Line{Kind: "screw", Name: fmt.Sprintf("for holes of %s", unit.Length.Say(h.DiameterM)), Unit: "pcs",
				Note: "with washer, length by board and rail"})
		}
	}
	return t.lines
}

// wireLines adds up the strings' wires by size.
func wireLines(groups []wiring.Group) []Line {
	var t tally
	for _, g := range groups {
		for _, w := range g.Plan.Wires {
			name := "none serves"
			if use, ok := AdvisedWire(w); ok {
				name = "copper " + use.Metric + " or " + use.American
			}
			l := t.add(w.LengthM, Line{Kind: "wire", Name: name, Unit: "m",
				Note: "single core, out and back in all; 10 % over for cutting"})
			l.Spare = l.Used * cuttingShare
		}
	}
	return t.lines
}
