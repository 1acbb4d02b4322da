package diagram

import (
	"math"
	"sort"

	"fathomlux/render/fig"
	"fathomlux/render/style"
)

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
	headRow      = 24.0 // name of the rail
	numberRow    = 17.0
	laneHigh     = 50.0
	laneLine     = 26.0 // from a lane's top to the line through its modules
	laneBack     = 44.0 // to the line back
	placeRow     = 24.0 // distances below the rail
	bandGap      = 14.0
	closest      = 9.5 // symbols that are nearer than this are thinned out
	largestLED   = 15.0
)

// panel is one driver with its rails, laid out.
type panel struct {
	feed    Feed
	set     *style.Typesetter
	units   style.Units
	bands   []band
	risers  int     // strings that go on to another rail
	fromM   float64 // tank's axis: what stands at the left of the rails' room, and at its right
	toM     float64
	facts   []string
	strings int // drawn
}

// band is one rail with a lane for each string on it.
type band struct {
	rail  int
	lanes []lane
}

// lane is a string's part on one rail.
type lane struct {
	index       int // of the string in the feed
	first, last bool
	riser       int // column of the string's lines between rails
	stops       []Module
	shown       []Module // those with a symbol
	sizePt      float64
	hidden      int
}

// newPanel lays out one feed with at most so many lanes and returns it with the number of lanes that had no room.
func newPanel(f Feed, t *style.Typesetter, most int) (p panel, left int) {
	p = panel{feed: f, set: t, fromM: math.Inf(1), toM: math.Inf(-1)}
	for _, r := range f.Rails {
		p.fromM, p.toM = math.Min(p.fromM, r.FromM), math.Max(p.toM, r.FromM+r.LengthM)
	}
	for _, fact := range f.Facts {
		p.facts = append(p.facts, t.Wrap(fact, style.SmallFont, driverWide-20, 2)...)
	}
	p.facts = p.facts[:min(len(p.facts), mostFacts)]
	wanted := p.choose(most)
	for _, s := range f.Strings {
		left += len(railsOf(s))
	}
	left -= p.collect(wanted)
	for i := range p.bands {
		for k := range p.bands[i].lanes {
			p.place(p.bands[i].rail, &p.bands[i].lanes[k])
		}
	}
	return p, left
}

// railsOf returns the rails of a string in the order of the current, each once.
func railsOf(s String) []int {
	var all []int
	for _, m := range s.Stops {
		if len(all) == 0 || all[len(all)-1] != m.Rail {
			all = append(all, m.Rail)
		}
	}
	return all
}

// choose returns the indices of the strings that have room.
func (p *panel) choose(most int) []int {
	var all []int
	for i, s := range p.feed.Strings {
		if n := len(railsOf(s)); n > 0 && n <= most {
			all, most = append(all, i), most-n
		} else if n > 0 {
			break
		}
	}
	return all
}

// collect makes the bands of the chosen strings and returns the number of lanes.
func (p *panel) collect(wanted []int) (lanes int) {
	byRail := map[int][]lane{}
	for _, i := range wanted {
		rails, riser := railsOf(p.feed.Strings[i]), 0
		if len(rails) > 1 {
			riser = p.risers
			p.risers++
		}
		for k, rail := range rails {
			l := lane{index: i, first: k == 0, last: k == len(rails)-1, riser: riser}
			for _, m := range p.feed.Strings[i].Stops {
				if m.Rail == rail {
					l.stops = append(l.stops, m)
				}
			}
			byRail[rail] = append(byRail[rail], l)
			lanes++
		}
	}
	for rail := range p.feed.Rails {
		if len(byRail[rail]) > 0 {
			p.bands = append(p.bands, band{rail: rail, lanes: byRail[rail]})
		}
	}
	p.strings = len(wanted)
	return lanes
}

// place chooses which modules of a lane have a symbol, and how large it is. Stops run away from the driver.
func (p *panel) place(rail int, l *lane) {
	least, lastX := math.Inf(1), math.Inf(-1)
	for i, m := range l.stops {
		x := p.x(rail, m.AlongM)
		if x-lastX < closest && !(i == 0) {
			l.hidden++
			continue
		}
		if i > 0 {
			least = math.Min(least, x-lastX)
		}
		l.shown, lastX = append(l.shown, m), x
	}
	l.sizePt = math.Min(largestLED, 0.62*least)
}

// lanes returns the number of lanes of a panel.
func (p *panel) lanes() int {
	n := 0
	for _, b := range p.bands {
		n += len(b.lanes)
	}
	return n
}

// railsLeft returns where the rails' room begins, seen from the driver.
func (p *panel) railsLeft() float64 {
	return riserStart + float64(p.risers)*riserStep + gutterWide + signRoom
}

// x returns how far from the driver's side of the page a place along a rail is.
func (p *panel) x(rail int, alongM float64) float64 {
	at := p.feed.Rails[rail].FromM + alongM - p.fromM
	if p.feed.Right {
		at = p.toM - p.feed.Rails[rail].FromM - alongM
	}
	left, right := p.railsLeft(), fig.PageWidth-fig.Margin-8
	return left + at/math.Max(p.toM-p.fromM, 1e-9)*(right-left)
}

// point returns the place on the page of a place that is seen from the driver.
func (p *panel) point(x, y float64) style.Point {
	if p.feed.Right {
		x = fig.PageWidth - x
	}
	return style.Pt(x, y)
}

// away turns an anchor for a driver at the right.
func (p *panel) away(a style.Anchor) style.Anchor {
	if p.feed.Right {
		a.X = 1 - a.X
	}
	return a
}

func (b band) height() float64 {
	return headRow + numberRow + float64(len(b.lanes))*laneHigh + placeRow
}

// driverHeight returns the height of the driver's box.
func (p *panel) driverHeight() float64 {
	return driverFacts + style.TextFont.LineHeight() + float64(len(p.facts))*style.SmallFont.LineHeight() + 10
}

// totalRow is the room of the line above the rails.
const totalRow = 24.0

// height returns the panel's height.
func (p *panel) height() float64 {
	h := totalRow
	for i, b := range p.bands {
		if i > 0 {
			h += bandGap
		}
		h += b.height()
	}
	return math.Max(h, p.driverHeight())
}

// byPlace returns the modules of a band from left to right.
func (b band) byPlace() []Module {
	var all []Module
	for _, l := range b.lanes {
		all = append(all, l.stops...)
	}
	sort.SliceStable(all, func(i, k int) bool { return all[i].AlongM < all[k].AlongM })
	return all
}
