// Package diagram draws how strings of modules hang on their drivers: the driver on one side, each string a line of
// its own with a diode symbol for each module in its place along the rail. It computes no circuit. Symbols follow IEC
// 60617: the ideal current source, and the light-emitting diode. Next: package wiring for what is drawn, package style
// for pens, texts and rulers.
package diagram

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"fathomlux/render/fig"
	"fathomlux/render/style"
	"fathomlux/scene"
	"fathomlux/scene/parts"
	"fathomlux/scene/wiring"
)

// Diagram is all that a wiring diagram shows.
type Diagram struct {
	fig.Page
	Rails    []scene.Rail   // all rails of the scene, for one scale and place
	Groups   []wiring.Group // one a driver, below each other; those without strings are left out
	Figures  []fig.Figure
	Cautions []string
	Kinds    []string // of light, by their parts: each has a symbol of its own
	Back     bool     // also as seen from behind, with the list of connections
}

// mostLanes is the highest number of lines of strings on a page; further ones are left out, and a note says so. With it
// a page at the highest pixel factor stays below style.MaxPixels.
const mostLanes = 40

var nameFont = style.Font{SizePt: style.TextFont.SizePt, Bold: true}

var errNothing = errors.New("there is nothing to draw: no string has a module")

const blockGap = 16.0

const legend = "Each diode stands for one module, in its place along the rail and pointing with the current. The " +
	"upper line of a string runs from plus through its modules, the lower one takes it back. Lines join only at dots. " +
	"Numbers above a rail count its modules, those below are distances from its left end."

// Draw draws the diagram, 1400 points wide.
func (d Diagram) Draw() (*style.Canvas, error) {
	if !slices.ContainsFunc(d.Groups, func(g wiring.Group) bool { return len(g.Circuit.Strings) > 0 }) {
		return nil, errNothing
	}
	return d.Page.Draw(fig.PageWidth, func(t *style.Typesetter, textPt float64) (blocks []fig.Block) {
		notes, cautions, room, cut := append([]string{legend}, d.symbols()...), []string{}, mostLanes, 0
		for i := range d.Groups {
			g := &d.Groups[i]
			p := newPanel(g, d.Rails, t, d.Units, room)
			p.kinds = d.Kinds
			room, cut = room-len(p.lanes), cut+p.cut
			if !g.Chosen.Fed() {
				if why := g.Chosen.Why.Words(d.Units) + "."; !slices.Contains(notes, why) {
					notes = append(notes, why)
				}
			}
			if len(p.lanes) == 0 {
				continue
			}
			first := len(blocks) == 0
			blocks = append(blocks, fig.Block{HeightPt: p.height(), Draw: func(c *style.Canvas, box style.Box) {
				if y := box.Top - blockGap/2; !first {
					c.Line(style.Pt(box.Left, y), style.Pt(box.Right, y), style.Pen{Width: 1, Colour: style.Rule})
				}
				p.drawOn(c, box.Top)
			}})
			if d.Back {
				list, note := p.links()
				table, _ := list.Block(t, textPt)
				blocks = append(append(blocks, p.back()...), table)
				notes = append(notes, backLegend, note)
			}
		}
		if cut > 0 {
			notes = append(notes, fmt.Sprintf("%d further lines of strings are wired likewise and not drawn, for lack of room.",
				cut))
		}
		for _, c := range d.Cautions {
			cautions = append(cautions, "Caution: "+c)
		}
		return append(blocks, d.Told(fig.Figures(t, d.Figures, textPt)), fig.Paragraph(t, notes, style.SmallFont, textPt),
			d.Told(fig.Paragraph(t, cautions, style.TextFont, textPt)))
	})
}

// symbols says which symbol stands for which kind of light, where there are several.
func (d Diagram) symbols() (list []string) {
	if len(d.Kinds) < 2 {
		return nil
	}
	for i, kind := range d.Kinds {
		list = append(list, kind+": "+symbolWords[i%len(symbolWords)])
	}
	return []string{"Symbols: " + strings.Join(list, "; ") + "."}
}

// symbolWords tell the symbols of kinds of light apart, in the order of diode.
var symbolWords = []string{"open triangle", "filled triangle", "triangle with a ring", "triangle with a bar"}

// Sizes of a panel, in points. x counts from the driver's side; a driver at the right is the mirror image.
const (
	driverWide   = 188.0
	driverFacts  = 92.0 // from the driver's top to its first fact
	mostFacts    = 7
	plusTerminal = 26.0 // below the driver's top
	lessTerminal = 66.0
	plusBus      = fig.Margin + driverWide + 26
	minusBus     = plusBus + 18
	riserStart   = minusBus + 14 // lines from rail to rail, one a string
	riserStep    = 7.0
	gutterWide   = 176.0 // labels of strings
	signRoom     = 16.0
	totalRow     = 24.0 // the line above the rails
	headRow      = 24.0 // name of the rail
	numberRow    = 17.0
	laneHigh     = 50.0
	laneLine     = 26.0 // from a lane's top to the line through its modules
	laneBack     = 44.0 // to the line back
	placeRow     = 24.0 // distances below the rail
	bandGap      = 14.0
	guideGap     = 5.0 // lines at modules that are nearer than this are thinned out
	largestLED   = 15.0
)

// panel is one driver with its rails, laid out. Heights count from its top.
type panel struct {
	*wiring.Group
	rails      []scene.Rail
	set        *style.Typesetter
	units      style.Units
	canvas     *style.Canvas // while it is drawn
	top        float64       // on the canvas
	bands      []band
	lanes      []lane  // in the order of the bands
	risers     int     // strings that go on to another rail
	fromM, toM float64 // tank's axis: what stands at the left of the rails' room, and at its right
	name       string  // of the driver
	facts      []string
	cut        int // lanes that have no room
	kinds      []string
}

// band is one rail with all modules of the strings on it.
type band struct {
	rail             int
	top, head, under float64 // of the band, of its first lane, and below its last lane
	stops            []parts.Mounted
}

// lane is a string's part on one rail.
type lane struct {
	index       int // of the string in the group
	first, last bool
	riser       float64 // x of the string's lines between rails
	top         float64
	stops       []parts.Mounted
	sizePt      float64 // of a module's symbol
}

// newPanel lays out one group with at most so many lanes. Strings are left out from the first on that has no room.
func newPanel(g *wiring.Group, rails []scene.Rail, t *style.Typesetter, units style.Units, most int) *panel {
	p := &panel{Group: g, rails: rails, set: t, units: units, fromM: math.Inf(1), toM: math.Inf(-1)}
	for _, r := range rails {
		p.fromM, p.toM = math.Min(p.fromM, r.LeftM), math.Max(p.toM, r.LeftM+r.LengthM)
	}
	facts := p.driverFacts()
	p.name = t.Shorten(facts[0], nameFont, driverWide-16)
	for _, fact := range facts[1:] {
		p.facts = append(p.facts, t.Wrap(fact, style.SmallFont, driverWide-20, 2)...)
	}
	p.facts = p.facts[:min(len(p.facts), mostFacts)]
	byRail, n := make([][]lane, len(rails)), 0
	for i, line := range g.Circuit.Strings {
		var on []lane // in the order of the current
		for _, m := range line {
			if k := len(on) - 1; k < 0 || on[k].stops[0].Rail != m.Rail {
				on = append(on, lane{index: i, first: k < 0, riser: riserStart + float64(p.risers)*riserStep})
			}
			on[len(on)-1].stops = append(on[len(on)-1].stops, m)
		}
		if n += len(on); p.cut > 0 || n > most {
			p.cut += len(on)
			continue
		}
		on[len(on)-1].last = true
		if len(on) > 1 {
			p.risers++
		}
		for _, l := range on {
			byRail[l.stops[0].Rail] = append(byRail[l.stops[0].Rail], l)
		}
	}
	top := totalRow
	for rail, lanes := range byRail {
		if len(lanes) == 0 {
			continue
		}
		b := band{rail: rail, top: top, head: top + headRow + numberRow}
		for k, l := range lanes {
			l.top = b.head + float64(k)*laneHigh
			l.sizePt = largestLED
			for k := 1; k < len(l.stops); k++ { // they run away from the driver
				l.sizePt = math.Min(l.sizePt, math.Max(1, 0.62*(p.x(l.stops[k])-p.x(l.stops[k-1]))))
			}
			b.stops, p.lanes = append(b.stops, l.stops...), append(p.lanes, l)
		}
		b.under = b.head + float64(len(lanes))*laneHigh
		p.bands, top = append(p.bands, b), b.under+placeRow+bandGap
	}
	return p
}

func (p *panel) height() float64 {
	return math.Max(p.bands[len(p.bands)-1].under+placeRow, p.driverHeight())
}

func (p *panel) driverHeight() float64 {
	return driverFacts + style.TextFont.LineHeight() + float64(len(p.facts))*style.SmallFont.LineHeight() + 10
}

// railsLeft returns where the rails' room begins, seen from the driver.
func (p *panel) railsLeft() float64 {
	return riserStart + float64(p.risers)*riserStep + gutterWide + signRoom
}

// x returns how far from the driver's side of the page a module is.
func (p *panel) x(m parts.Mounted) float64 {
	at := p.rails[m.Rail].LeftM + m.AlongM
	if p.Job.Feed.Right {
		at = p.toM - at
	} else {
		at -= p.fromM
	}
	left, right := p.railsLeft(), fig.PageWidth-fig.Margin-8
	return left + at/math.Max(p.toM-p.fromM, 1e-9)*(right-left)
}

// point returns the place on the page of a place that is seen from the driver.
func (p *panel) point(x, y float64) style.Point {
	if p.Job.Feed.Right {
		x = fig.PageWidth - x
	}
	return style.Pt(x, y)
}

// driverFacts returns the driver's name and what stands below it, one a line.
func (p *panel) driverFacts() []string {
	facts := []string{"no driver fits"}
	if fit := p.Chosen.Fit; fit != nil {
		d := fit.Driver
		facts = []string{d.Name, fmt.Sprintf("constant current, %.0f mA", 1000*fit.CurrentA),
			fmt.Sprintf("%.0f to %.0f V, %.3g W", d.LowestV, d.HighestV, d.RatedW), d.IP}
		if p.Group.Name != "" {
			facts = slices.Insert(facts, 1, "driver "+p.Group.Name)
		}
		if !fit.Fits {
			facts = append(facts, "does not fit, see below")
		}
	}
	if lead := p.Job.Feed.LeadM; lead > 0 && p.units == style.US {
		facts = append(facts, fmt.Sprintf("lead of %.3g ft", lead/0.3048)) // exact by definition
	} else if lead > 0 {
		facts = append(facts, fmt.Sprintf("lead of %.3g m", lead))
	}
	return facts
}
