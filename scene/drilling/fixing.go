package drilling

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"fathomlux/scene"
	"fathomlux/scene/hanging"
)

// thread is a metric screw: its diameter, the drill before tapping, and the narrowest clearance hole, metres.
type thread struct{ wideM, tapM, clearanceM float64 }

// threads are tap drills of coarse threads and fine clearance holes. Sources: ISO 2306:1972, ISO 273:1979; not checked
// against the print.
var threads = []thread{
	{0.0016, 0.00125, 0.0017}, {0.002, 0.0016, 0.0022}, {0.0025, 0.00205, 0.0027}, {0.003, 0.0025, 0.0032},
	{0.004, 0.0033, 0.0043}, {0.005, 0.0042, 0.0053}, {0.006, 0.005, 0.0064}, {0.008, 0.0068, 0.0084},
	{0.010, 0.0085, 0.0105}, {0.012, 0.0102, 0.013},
}

// Hold tells what holds a screw in the rail.
type Hold string

// The ways to hold a screw; a hole of a board that passes no listed screw has none.
const (
	Tapped  Hold = "tapped"                 // a thread in the metal
	NutBack Hold = "through, nut at back"   // a clearance hole through the bar, and a nut behind
	SlotNut Hold = "slot nut, do not drill" // a nut in a slot of the emitting face
)

// fixed returns the hole in the rail for a hole of a board: none where a slot takes it, which a slot nut serves; for a
// thread in metal at least as thick as the screw; else through the bar, for a nut behind (common practice).
func (p *Layout) fixed(h Place) Place {
	var screw thread
	for _, t := range threads {
		if t.clearanceM <= h.DiameterM+slackM {
			screw = t
		}
	}
	if screw.wideM == 0 {
		return h
	}
	h.Thread = "M" + strconv.FormatFloat(1000*screw.wideM, 'g', 3, 64)
	switch {
	case slices.ContainsFunc(p.Slots, func(s Slot) bool { return s.holds(h) }):
		h.Hold, h.DiameterM = SlotNut, 0
	case p.wallM >= screw.wideM-slackM:
		h.Hold, h.DiameterM = Tapped, screw.tapM
	default:
		h.Hold, h.DiameterM = NutBack, screw.clearanceM
	}
	return h
}

// holds tells whether a hole lies within the slot, and meets whether it touches it.
func (s Slot) holds(h Place) bool {
	return math.Abs(h.FromFrontM-s.FromFrontM)+h.DiameterM/2 <= s.WidthM/2+slackM
}

func (s Slot) meets(h Place) bool {
	return math.Abs(h.FromFrontM-s.FromFrontM) < (h.DiameterM+s.WidthM)/2-slackM
}

// finsOf are the fins on the back of a rail, seen through its face.
func finsOf(r scene.Rail) (fins []Slot) {
	n, thickM := r.Profile.FinCount, r.Profile.FinThicknessM
	for i := range n {
		at := r.Profile.WidthM / 2
		if n > 1 {
			at = thickM/2 + (r.Profile.WidthM-thickM)*float64(i)/float64(n-1)
		}
		fins = append(fins, Slot{FromFrontM: at, WidthM: thickM})
	}
	return fins
}

// besideM is the metal that stays between a hole and the slot that it was moved away from.
const besideM = 0.001

// across puts a hole that goes through the bar at the place nearest to the middle line where it meets no fin and no rim
// of a slot; where there is none it is on the middle line, and the warnings say so.
func (p *Layout) across(h Place) Place {
	list := []float64{p.WidthM / 2}
	for _, s := range p.Slots {
		offM := (s.WidthM+h.DiameterM)/2 + besideM
		list = append(list, s.FromFrontM, s.FromFrontM-offM, s.FromFrontM+offM)
	}
	for i := 1; i < len(p.fins); i++ {
		list = append(list, (p.fins[i-1].FromFrontM+p.fins[i].FromFrontM)/2)
	}
	list = slices.DeleteFunc(list, func(atM float64) bool { return min(atM, p.WidthM-atM) < 1.5*h.DiameterM-slackM })
	off := func(atM float64) float64 { return math.Abs(atM - p.WidthM/2) }
	slices.SortStableFunc(list, func(a, b float64) int { return cmp.Compare(off(a), off(b)) })
	for _, atM := range list {
		moved := h
		moved.FromFrontM = atM
		onRim := func(s Slot) bool { return s.meets(moved) && !s.holds(moved) }
		onFin := func(s Slot) bool { return s.meets(moved) }
		if !slices.ContainsFunc(p.Slots, onRim) && !slices.ContainsFunc(p.fins, onFin) {
			return moved
		}
	}
	h.FromFrontM = p.WidthM / 2
	return h
}

// hangerHoleM is the hole for a hanger: M4, medium clearance hole of ISO 273:1979.
const hangerHoleM = 0.0045

// searchM is the step by which a hanger is moved along the rail until it has room.
const searchM = 0.001

// addHangers drills for hangers. What hangs, or stands, at the very ends of the rail, or has no room, gets no hole. It
// returns the places without room.
func (p *Layout) addHangers(places []float64) (roomless []float64) {
	for _, at := range places {
		switch {
		case at < 1.5*hangerHoleM || at > p.LengthM-1.5*hangerHoleM:
		case !p.hasRoom(at, hangerHoleM):
			roomless = append(roomless, at)
		default:
			p.Holes = append(p.Holes, p.across(Place{Kind: Hanger, FromLeftM: at, DiameterM: hangerHoleM}))
		}
	}
	return roomless
}

// leastSag returns the two places where the rail sags least, moved to where they have room, rather towards the ends.
func (p *Layout) leastSag() []float64 {
	endM := hanging.EndShare * p.LengthM
	return []float64{p.near(endM, -searchM), p.near(p.LengthM-endM, searchM)}
}

// near returns the place nearest to a wanted one that has room for a hanger, within a fifth of the rail, first to one
// side; the wanted one where none has.
func (p *Layout) near(wantedM, stepM float64) float64 {
	for i := 0.0; i*searchM <= p.LengthM/5; i++ {
		for _, at := range []float64{wantedM + i*stepM, wantedM - i*stepM} {
			if p.hasRoom(at, hangerHoleM) {
				return at
			}
		}
	}
	return wantedM
}
