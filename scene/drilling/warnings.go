package drilling

import (
	"fmt"
	"math"
	"slices"

	"fathomlux/scene/finding"
	"fathomlux/scene/unit"
)

// warn fills the warnings, in a fixed order.
func (p *Layout) warn(roomless []int, unhung []float64) {
	var wide, bare []int
	for _, b := range p.Boards {
		if b.WidthM > p.WidthM+slackM {
			wide = append(wide, b.Module)
		}
		if !b.holes {
			bare = append(bare, b.Module)
		}
	}
	p.add(len(wide), finding.BoardsTooWide.Of(modules(wide), finding.Length(p.WidthM)))
	p.add(len(bare), finding.NoScrewHoles.Of(modules(bare)))
	p.warnEdges()
	p.warnSlots()
	p.warnMerging()
	p.add(len(roomless), finding.NoRoomForWires.Of(modules(roomless)))
	p.warnHangers(unhung)
}

// add adds a warning about some things, where there are any.
func (p *Layout) add(about int, f finding.Finding) {
	if about > 0 {
		p.Warnings = append(p.Warnings, f)
	}
}

// warnEdges warns about holes beyond the rail, and about those that leave less metal to an edge than their own
// diameter. Common practice; EN 1993-1-8 asks 1.2 diameters from the hole's middle of a screw that carries.
func (p *Layout) warnEdges() {
	var beyond, near finding.List
	closest := math.Inf(1)
	for _, h := range p.Holes {
		metalM := min(h.FromLeftM, p.LengthM-h.FromLeftM, h.FromFrontM, p.WidthM-h.FromFrontM) - h.DiameterM/2
		switch {
		case metalM < -slackM:
			beyond = append(beyond, name(h))
		case metalM < h.DiameterM-slackM:
			closest = min(closest, metalM)
			near = append(near, name(h))
		}
	}
	p.add(len(beyond), finding.HolesBeyondRail.Of(finding.Length(p.LengthM), finding.Length(p.WidthM), beyond))
	p.add(len(near), finding.HolesNearEdge.Of(finding.Length(closest), near))
}

// warnSlots warns about holes on the rim of a slot, and about holes through the bar that meet a fin on its back.
func (p *Layout) warnSlots() {
	for _, s := range p.Slots {
		var screws, rims []int
		for _, h := range p.Holes {
			switch onRim := s.meets(h) && !s.holds(h); {
			case onRim && h.Kind == Screw:
				screws = append(screws, h.Module)
			case onRim && h.Kind == Wire:
				rims = append(rims, h.Module)
			}
		}
		where := finding.Span{FromM: s.FromFrontM - s.WidthM/2, ToM: s.FromFrontM + s.WidthM/2}
		p.add(len(screws), finding.ScrewsOnSlot.Of(modules(screws), where))
		p.add(len(rims), finding.WireHolesOnSlot.Of(modules(rims), where))
	}
	var onFins finding.List
	for _, h := range p.Holes {
		through := h.Kind != Screw || h.Hold == NutBack
		if through && slices.ContainsFunc(p.fins, func(f Slot) bool { return f.meets(h) }) {
			onFins = append(onFins, name(h))
		}
	}
	p.add(len(onFins), finding.HolesOnFins.Of(onFins))
}

// warnHangers warns about hangers without room for a hole, and about such as bear nothing.
func (p *Layout) warnHangers(unhung []float64) {
	var where, slack finding.List
	for _, at := range unhung {
		where = append(where, finding.Length(at))
	}
	for _, h := range p.Hang.Hangers {
		if h.LoadN <= 0 {
			slack = append(slack, finding.Length(h.AtM))
		}
	}
	p.add(len(where), finding.NoRoomForHangers.Of(where))
	p.add(len(slack), finding.HangersSlack.Of(slack))
}

func (p *Layout) warnMerging() {
	var pairs finding.List
	widest := 0.0
	for _, h := range p.Holes {
		widest = max(widest, h.DiameterM)
	}
	for i, a := range p.Holes {
		for _, b := range p.Holes[i+1:] {
			alongM, acrossM, reachM := b.FromLeftM-a.FromLeftM, b.FromFrontM-a.FromFrontM, (a.DiameterM+b.DiameterM)/2
			if alongM >= widest || len(pairs) > 9 {
				break
			}
			if alongM*alongM+acrossM*acrossM < reachM*reachM-slackM*slackM {
				pairs = append(pairs, name(a)+" with "+name(b))
			}
		}
	}
	p.add(len(pairs), finding.HolesMerge.Of(pairs))
}

func name(h Place) finding.Text {
	of := ""
	if h.Module > 0 {
		of = fmt.Sprintf(" of module %d", h.Module)
	}
	return finding.Text(fmt.Sprintf("%s%s at %s mm", h.Kind, of, Millimetres(h.FromLeftM)))
}

// modules returns "module 3" or "modules 1 to 4, 7"; a number that occurs twice counts once.
func modules(list []int) finding.Text {
	list = slices.Compact(slices.Sorted(slices.Values(list)))
	noun := "modules "
	if len(list) == 1 {
		noun = "module "
	}
	return finding.Text(noun + unit.Runs(list, " to ", ", "))
}
