package scene

import (
	"fmt"
	"math"
	"sort"
	"strings"

	"fathomlux/scene/circuit"
	"fathomlux/scene/parts"
)

// BillLine is one kind of thing to buy. Counted things come in pieces, others in metres.
type BillLine struct {
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
	Lines  []BillLine
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

// AdvisedWire returns the wire to buy for a string: the thinnest that serves but not below 0.5 mm2 or AWG 20, as thinner
// wire breaks where it is bent and many terminals do not hold it. Common practice, no published source. ok is false where
// none serves.
func AdvisedWire(w circuit.Wire) (g Gauges, ok bool) {
	metric, okMetric := advised(w.Metric)
	american, okAmerican := advised(w.American)
	return Gauges{Metric: metric.Gauge.Name, American: american.Gauge.Name, MetricV: metric.DropV, AmericanV: american.DropV}, okMetric && okAmerican
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

// Bill counts what a scene takes that is wired as these groups are. spareShare is the share of modules and optics that are
// bought beside those that are built in, rounded up for each part: 0.1 is one spare for ten.
func (s *Scene) Bill(groups []WireGroup, spareShare float64) Bill {
	var b Bill
	b.Lines = append(b.Lines, s.moduleLines(spareShare)...)
	b.Lines = append(b.Lines, s.opticLines(spareShare)...)
	b.Lines = append(b.Lines, s.driverLines(groups)...)
	b.Lines = append(b.Lines, s.profileLines()...)
	b.Lines = append(b.Lines, s.screwLines()...)
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

// count adds up things by name, in the order in which they first appear.
type count struct {
	names []string
	used  map[string]float64
}

func (c *count) add(name string, n float64) {
	if c.used == nil {
		c.used = map[string]float64{}
	}
	if _, ok := c.used[name]; !ok {
		c.names = append(c.names, name)
	}
	c.used[name] += n
}

// spareOf rounds up; the slack keeps a tenth of ten from becoming two.
func spareOf(used, share float64) float64 { return math.Ceil(used*share - 1e-9) }

func (s *Scene) moduleLines(share float64) (lines []BillLine) {
	var c count
	price := map[string]parts.Money{}
	for _, at := range s.Seats() {
		p := s.Rails[at.Rail].Modules[at.Module].Part
		c.add(p.Name, 1)
		price[p.Name] = p.Price
	}
	for _, name := range c.names {
		lines = append(lines, BillLine{Kind: "module", Name: name, Unit: "pcs", Used: c.used[name], Spare: spareOf(c.used[name], share), Each: price[name]})
	}
	return lines
}

// opticLines counts one optic a module. One that passes all light and costs nothing is no lens but its absence.
func (s *Scene) opticLines(share float64) (lines []BillLine) {
	var c count
	price := map[string]parts.Money{}
	for _, at := range s.Seats() {
		o := s.Rails[at.Rail].Modules[at.Module].Optic
		if o.Efficiency == 1 && o.Price.Currency == "" {
			continue
		}
		c.add(o.Name, 1)
		price[o.Name] = o.Price
	}
	for _, name := range c.names {
		lines = append(lines, BillLine{Kind: "optic", Name: name, Unit: "pcs", Used: c.used[name], Spare: spareOf(c.used[name], share), Each: price[name],
			Note: "one a module; boards with a lens over each die take more"})
	}
	return lines
}

// driverLines counts a driver for each group that one feeds, and for the others those of the split that would.
func (s *Scene) driverLines(groups []WireGroup) (lines []BillLine) {
	var c count
	price, feeds := map[string]parts.Money{}, map[string][]string{}
	for i := range groups {
		g := &groups[i]
		fit, ok := g.Fit()
		for _, p := range g.Plan.Apart {
			c.add(p.Driver, 1)
			price[p.Driver] = s.Catalogue.Drivers[p.Driver].Price
			feeds[p.Driver] = append(feeds[p.Driver], s.portionName(g, p))
		}
		if len(g.Plan.Apart) > 0 {
			continue
		}
		if !ok || !fit.Fits {
			note := g.Plan.Chosen.Why
			if _, picked := g.Split(); !picked {
				note = fmt.Sprintf("no driver fits these %d modules together", len(g.Members))
			}
			lines = append(lines, BillLine{Kind: "driver", Name: "none fits", Unit: "pcs", Note: note})
			continue
		}
		c.add(fit.Driver.Name, 1)
		price[fit.Driver.Name] = fit.Driver.Price
	}
	for _, name := range c.names {
		l := BillLine{Kind: "driver", Name: name, Unit: "pcs", Used: c.used[name], Each: price[name]}
		if len(feeds[name]) > 0 {
			l.Note = "split, a scene each: " + strings.Join(feeds[name], "; ")
		}
		lines = append(lines, l)
	}
	return lines
}

func (s *Scene) profileLines() (lines []BillLine) {
	var c count
	price, pieces := map[string]parts.Money{}, map[string]string{}
	for _, r := range s.Rails {
		c.add(r.Profile.Name, r.LengthM)
		price[r.Profile.Name] = r.Profile.PricePerM
		if pieces[r.Profile.Name] != "" {
			pieces[r.Profile.Name] += ", "
		}
		pieces[r.Profile.Name] += say(r.LengthM)
	}
	for _, name := range c.names {
		lines = append(lines, BillLine{Kind: "profile", Name: name, Unit: "m", Used: c.used[name], Each: price[name], Note: "cut to " + pieces[name]})
	}
	return lines
}

// screwLines counts one screw a hole of the boards.
func (s *Scene) screwLines() (lines []BillLine) {
	var c count
	for _, at := range s.Seats() {
		for _, h := range s.Rails[at.Rail].Modules[at.Module].Part.Holes {
			c.add(fmt.Sprintf("for holes of %s", say(h.DiameterM)), 1)
		}
	}
	for _, name := range c.names {
		lines = append(lines, BillLine{Kind: "screw", Name: name, Unit: "pcs", Used: c.used[name], Note: "with washer, length by board and rail"})
	}
	return lines
}

// wireLines adds up the strings' wires by size.
func wireLines(groups []WireGroup) (lines []BillLine) {
	var c count
	for _, g := range groups {
		for _, w := range g.Plan.Wires {
			name := "none serves"
			if use, ok := AdvisedWire(w); ok {
				name = "copper " + use.Metric + " or " + use.American
			}
			c.add(name, w.LengthM)
		}
	}
	for _, name := range c.names {
		lines = append(lines, BillLine{Kind: "wire", Name: name, Unit: "m", Used: c.used[name], Spare: c.used[name] * cuttingShare,
			Note: "single core, out and back in all; 10 % over for cutting"})
	}
	return lines
}
