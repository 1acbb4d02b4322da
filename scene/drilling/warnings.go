package drilling

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// warn fills the warnings, in a fixed order.
func (p *Layout) warn(roomless []int) {
	length, width := Millimetres(p.LengthM), Millimetres(p.WidthM)
	boards := func(wrong func(b Board) bool) (list []int) {
		for _, b := range p.Boards {
			if wrong(b) {
				list = append(list, b.Module)
			}
		}
		return list
	}
	over := boards(func(b Board) bool { return b.leftM() < -slackM || b.rightM() > p.LengthM+slackM })
	p.about(over, "%s over the rail's end; the rail is %s mm long", does(over, "reaches", "reach"), length)
	wide := boards(func(b Board) bool { return b.WidthM > p.WidthM+slackM })
	p.about(wide, "%s wider than the rail's face of %s mm", does(wide, "is", "are"), width)
	bare := boards(func(b Board) bool { return !b.holes })
	p.about(bare, "the part of %s names no screw holes; mark them from a board on the template's middle lines",
		modules(bare))
	for _, k := range p.KeepOuts {
		why := ""
		if k.Why != "" {
			why = " (" + k.Why + ")"
		}
		in := boards(func(b Board) bool { return b.rightM() > k.FromM+slackM && b.leftM() < k.ToM-slackM })
		p.about(in, "%s in the keep-out from %s to %s mm%s", does(in, "is", "are"), Millimetres(k.FromM), Millimetres(k.ToM),
			why)
	}
	p.warnOverlaps()
	p.warnEdges()
	p.warnSlots()
	p.warnMerging()
	p.about(roomless, "no room for a wire hole on either side of %s; set the boards further apart, or lead the wires "+
		"along the face", modules(roomless))
}

// about adds a warning about some modules, where there are any.
func (p *Layout) about(list []int, format string, args ...any) {
	if len(list) > 0 {
		p.Warnings = append(p.Warnings, fmt.Sprintf(format, args...))
	}
}

// warnf adds a warning about some things, where there are any; of more than a few the others are not named.
func (p *Layout) warnf(names []string, format string, args ...any) {
	if shown := names[:min(len(names), fewest)]; len(names) > 0 {
		text := fmt.Sprintf(format, args...) + strings.Join(shown, ", ")
		if len(names) > fewest {
			text += " and more"
		}
		p.Warnings = append(p.Warnings, text)
	}
}

// warnOverlaps warns about neighbouring boards that lie on each other.
func (p *Layout) warnOverlaps() {
	var pairs []string
	reach := 0 // the board that reaches furthest right of those before
	for i := 1; i < len(p.Boards); i++ {
		if a, b := p.Boards[reach], p.Boards[i]; b.leftM() < a.rightM()-slackM {
			pairs = append(pairs, fmt.Sprintf("%d and %d by %s mm", a.Module, b.Module,
				Millimetres(min(a.rightM(), b.rightM())-b.leftM())))
		}
		if p.Boards[i].rightM() > p.Boards[reach].rightM() {
			reach = i
		}
	}
	p.warnf(pairs, "boards lie on each other: modules ")
}

// warnEdges warns about holes beyond the rail, and about those that leave less metal to an edge than their own
// diameter. Common practice; EN 1993-1-8 asks 1.2 diameters from the hole's middle of a screw that carries.
func (p *Layout) warnEdges() {
	var beyond, close []string
	var closest float64
	for _, h := range p.Holes {
		metalM := min(h.FromLeftM, p.LengthM-h.FromLeftM, h.FromFrontM, p.WidthM-h.FromFrontM) - h.DiameterM/2
		switch {
		case metalM < -slackM:
			beyond = append(beyond, name(h))
		case metalM < h.DiameterM-slackM:
			if len(close) == 0 || metalM < closest {
				closest = metalM
			}
			close = append(close, name(h))
		}
	}
	p.warnf(beyond, "%s beyond the rail, which is %s mm long and %s mm wide: ", holes(len(beyond)), Millimetres(p.LengthM),
		Millimetres(p.WidthM))
	p.warnf(close, "%s closer to an edge than the hole is wide, down to %s mm of metal: ", holes(len(close)),
		Millimetres(closest))
}

// warnSlots warns about screws that find no metal because a slot is there, and about wire holes on the rim of a slot.
func (p *Layout) warnSlots() {
	for _, s := range p.Slots {
		var screws, rims []int
		for _, h := range p.Holes {
			offM := math.Abs(h.FromFrontM - s.FromFrontM)
			meets := offM < (h.DiameterM+s.WidthM)/2-slackM
			inside := offM+h.DiameterM/2 <= s.WidthM/2+slackM
			switch {
			case meets && h.Kind == Screw:
				screws = append(screws, h.Module)
			case meets && !inside:
				rims = append(rims, h.Module)
			}
		}
		where := fmt.Sprintf("the slot %s to %s mm from the front edge", Millimetres(s.FromFrontM-s.WidthM/2),
			Millimetres(s.FromFrontM+s.WidthM/2))
		p.about(screws, "screws of %s meet %s, where no thread holds; use slot nuts, or another module or profile",
			modules(screws), where)
		p.about(rims, "wire holes of %s lie on the rim of %s, where a drill wanders", modules(rims), where)
	}
}

// warnMerging warns about holes that run into each other.
func (p *Layout) warnMerging() {
	var pairs []string
	widest := 0.0
	for _, h := range p.Holes {
		widest = max(widest, h.DiameterM)
	}
	for i, a := range p.Holes {
		for _, b := range p.Holes[i+1:] {
			alongM, acrossM, reachM := b.FromLeftM-a.FromLeftM, b.FromFrontM-a.FromFrontM, (a.DiameterM+b.DiameterM)/2
			if alongM >= widest || len(pairs) > fewest {
				break
			}
			if alongM*alongM+acrossM*acrossM < reachM*reachM-slackM*slackM {
				pairs = append(pairs, fmt.Sprintf("%s with %s", name(a), name(b)))
			}
		}
	}
	p.warnf(pairs, "holes run into each other: ")
}

func name(h Hole) string {
	return fmt.Sprintf("%s of module %d at %s mm", h.Kind, h.Module, Millimetres(h.FromLeftM))
}

func holes(n int) string {
	if n == 1 {
		return "1 hole is"
	}
	return fmt.Sprintf("%d holes are", n)
}

// does returns "module 3 is" or "modules 1 to 4 are".
func does(list []int, one, more string) string {
	if len(slices.Compact(slices.Sorted(slices.Values(list)))) == 1 {
		more = one
	}
	return modules(list) + " " + more
}

// fewest is how many things a warning names.
const fewest = 4

// modules returns "module 3" or "modules 1 to 4, 7"; a number that occurs twice counts once.
func modules(list []int) string {
	list = slices.Compact(slices.Sorted(slices.Values(list)))
	var runs []string
	for i := 0; i < len(list); {
		last := i
		for last+1 < len(list) && list[last+1] == list[last]+1 {
			last++
		}
		switch last - i {
		case 0:
			runs = append(runs, fmt.Sprint(list[i]))
		case 1:
			runs = append(runs, fmt.Sprint(list[i]), fmt.Sprint(list[last]))
		default:
			runs = append(runs, fmt.Sprintf("%d to %d", list[i], list[last]))
		}
		i = last + 1
	}
	if len(list) == 1 {
		return "module " + runs[0]
	}
	if len(runs) > 2*fewest {
		runs = append(runs[:2*fewest], "and more")
	}
	return "modules " + strings.Join(runs, ", ")
}
