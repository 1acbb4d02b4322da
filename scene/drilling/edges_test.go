package drilling

import (
	"testing"
)

// TestHolesAtTheirEdges holds what counts as room, as metal and as a meeting of holes to a hundredth of a hole, by sums of half
// diameters and half widths.
func TestHolesAtTheirEdges(t *testing.T) {
	p := Layout{LengthM: 1, WidthM: 0.04}
	for at, want := range map[float64]bool{0.00895: false, 0.00905: true, 0.99095: true, 0.99105: false} { // 1.5 times 6 mm from an end
		if p.hasRoom(at, wireHoleM) != want {
			t.Errorf("room for a wire hole at %g m: %v", at, !want)
		}
	}
	screw := func(fromLeft, fromFront float64) Place {
		return Place{Kind: Screw, Module: 1, FromLeftM: fromLeft, FromFrontM: fromFront, DiameterM: 0.004}
	}
	wire := func(fromLeft, fromFront float64) Place {
		return Place{Kind: Wire, Module: 1, FromLeftM: fromLeft, FromFrontM: fromFront, DiameterM: 0.006}
	}
	slot := []Slot{{FromFrontM: 0.02, WidthM: 0.01}}
	for name, c := range map[string]struct {
		holes []Place
		slots []Slot
		warns bool
	}{
		"an edge 0.99 holes away":         {[]Place{screw(0.00596, 0.02)}, nil, true},
		"an edge 1.01 holes away":         {[]Place{screw(0.00604, 0.02)}, nil, false},
		"a screw on a slot's rim":         {[]Place{screw(0.5, 0.02693)}, slot, true},
		"a screw on its inner rim":        {[]Place{screw(0.5, 0.02302)}, slot, true},
		"a screw inside a slot":           {[]Place{screw(0.5, 0.02298)}, slot, false},
		"a screw beside a slot":           {[]Place{screw(0.5, 0.02707)}, slot, false},
		"a wire hole on a slot's rim":     {[]Place{wire(0.5, 0.02202)}, slot, true},
		"a wire hole inside a slot":       {[]Place{wire(0.5, 0.02195)}, slot, false},
		"two holes into each other":       {[]Place{screw(0.5, 0.02), screw(0.50396, 0.02)}, nil, true},
		"two holes just beside the other": {[]Place{screw(0.5, 0.02), screw(0.50404, 0.02)}, nil, false},
	} {
		p := Layout{LengthM: 1, WidthM: 0.04, Holes: c.holes, Slots: c.slots}
		p.warnEdges()
		p.warnSlots()
		p.warnMerging()
		if (len(p.Warnings) > 0) != c.warns {
			t.Errorf("%s: %v", name, p.Warnings)
		}
	}
	p.Boards = []Board{{Module: 1, FromLeftM: 0.3}}
	if rows := p.Rows(); len(rows) == 0 || rows[0].Kind != ModuleMiddle || rows[0].FromFrontM != 0.02 {
		t.Errorf("the middle of a board on a rail of 40 mm: %+v", rows)
	}
}
