package drilling

import (
	"fmt"
	"math"
	"sort"
	"strings"
)

// warn fills the warnings, in a fixed order.
func (p *Plan) warn(roomless []int) {
	p.warnBoards()
	p.warnKeepOuts()
	p.warnOverlaps()
	p.warnEdges()
	p.warnSlots()
	p.warnMerging()
	if len(roomless) > 0 {
		p.warnf("no room for a wire hole on either side of %s; set the boards further apart, or lead the wires along the face", modules(roomless))
	}
}

func (p *Plan) warnf(format string, args ...any) {
	p.Warnings = append(p.Warnings, fmt.Sprintf(format, args...))
}

// warnBoards warns about boards that reach over the rail, and modules whose part names no holes.
func (p *Plan) warnBoards() {
	var over, wide, bare []int
	for _, b := range p.Boards {
		if b.leftM() < -slackM || b.rightM() > p.LengthM+slackM {
			over = append(over, b.Module)
		}
		if b.boardIsWide {
			wide = append(wide, b.Module)
		}
		if !b.holes {
			bare = append(bare, b.Module)
		}
	}
	if len(over) > 0 {
		p.warnf("%s over the rail's end; the rail is %s mm long", does(over, "reaches", "reach"), Millimetres(p.LengthM))
	}
	if len(wide) > 0 {
		p.warnf("%s wider than the rail's face of %s mm", does(wide, "is", "are"), Millimetres(p.WidthM))
	}
	if len(bare) > 0 {
		p.warnf("the part of %s names no screw holes; mark them from a board on the template's middle lines", modules(bare))
	}
}

// warnKeepOuts warns about boards and screw holes in keep-outs.
func (p *Plan) warnKeepOuts() {
	for _, k := range p.KeepOuts {
		var in []int
		for _, b := range p.Boards {
			if b.rightM() > k.FromM+slackM && b.leftM() < k.ToM-slackM {
				in = append(in, b.Module)
			}
		}
		if len(in) > 0 {
			p.warnf("%s in the keep-out from %s to %s mm%s", does(in, "is", "are"), Millimetres(k.FromM), Millimetres(k.ToM), because(k.Why))
		}
	}
}

func because(why string) string {
	if why == "" {
		return ""
	}
	return " (" + why + ")"
}

// warnOverlaps warns about neighbouring boards that lie on each other.
func (p *Plan) warnOverlaps() {
	var pairs []string
	reach := 0 // the board that reaches furthest right of those before
	for i := 1; i < len(p.Boards); i++ {
		if a, b := p.Boards[reach], p.Boards[i]; b.leftM() < a.rightM()-slackM {
			pairs = append(pairs, fmt.Sprintf("%d and %d by %s mm", a.Module, b.Module, Millimetres(min(a.rightM(), b.rightM())-b.leftM())))
		}
		if p.Boards[i].rightM() > p.Boards[reach].rightM() {
			reach = i
		}
	}
	if len(pairs) > 0 {
		p.warnf("boards lie on each other: modules %s", few(pairs))
	}
}

// warnEdges warns about holes beyond the rail, and about those that leave less metal to an edge than their own diameter.
// Common practice; EN 1993-1-8 asks 1.2 diameters from the hole's middle of a screw that carries.
func (p *Plan) warnEdges() {
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
	if len(beyond) > 0 {
		p.warnf("%s beyond the rail, which is %s mm long and %s mm wide: %s", holes(len(beyond)), Millimetres(p.LengthM), Millimetres(p.WidthM), few(beyond))
	}
	if len(close) > 0 {
		p.warnf("%s closer to an edge than the hole is wide, down to %s mm of metal: %s", holes(len(close)), Millimetres(closest), few(close))
	}
}

// warnSlots warns about screws that find no metal because a slot is there, and about wire holes on the rim of a slot.
func (p *Plan) warnSlots() {
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
		where := fmt.Sprintf("the slot %s to %s mm from the front edge", Millimetres(s.FromFrontM-s.WidthM/2), Millimetres(s.FromFrontM+s.WidthM/2))
		if len(screws) > 0 {
			p.warnf("screws of %s meet %s, where no thread holds; use slot nuts, or another module or profile", modules(screws), where)
		}
		if len(rims) > 0 {
			p.warnf("wire holes of %s lie on the rim of %s, where a drill wanders", modules(rims), where)
		}
	}
}

// warnMerging warns about holes that run into each other.
func (p *Plan) warnMerging() {
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
	if len(pairs) > 0 {
		p.warnf("holes run into each other: %s", few(pairs))
	}
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
	text := modules(list)
	if strings.HasPrefix(text, "module ") {
		return text + " " + one
	}
	return text + " " + more
}

// fewest is how many things a warning names.
const fewest = 4

// few joins words and leaves out those after the fourth.
func few(words []string) string {
	if len(words) > fewest {
		return strings.Join(words[:fewest], ", ") + " and more"
	}
	return strings.Join(words, ", ")
}

// modules returns "module 3" or "modules 1 to 4, 7"; a number that occurs twice counts once.
func modules(list []int) string {
	list = append([]int(nil), list...)
	sort.Ints(list)
	var runs []string
	count := 0
	for i := 0; i < len(list); {
		from, to := list[i], list[i]
		for ; i < len(list) && list[i] <= to+1; i++ {
			if i == 0 || list[i] != list[i-1] {
				count++
			}
			to = list[i]
		}
		switch {
		case to == from:
			runs = append(runs, fmt.Sprint(from))
		case to == from+1:
			runs = append(runs, fmt.Sprint(from), fmt.Sprint(to))
		default:
			runs = append(runs, fmt.Sprintf("%d to %d", from, to))
		}
	}
	if count == 1 {
		return "module " + runs[0]
	}
	if len(runs) > 2*fewest {
		runs = append(runs[:2*fewest], "and more")
	}
	return "modules " + strings.Join(runs, ", ")
}
