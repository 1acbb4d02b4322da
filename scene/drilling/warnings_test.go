package drilling

import (
	"strings"
	"testing"

	"fathomlux/scene"
	"fathomlux/scene/parts"
)

// single is a board of 20 mm with two screws on the rail's middle line.
func single(diameterM float64) parts.Module {
	return parts.Module{Name: "single", BoardLengthM: 0.020, BoardWidthM: 0.020,
		Holes: []parts.Hole{{AlongM: -0.007, DiameterM: diameterM}, {AlongM: 0.007, DiameterM: diameterM}}}
}

// TestEachWarning has one rail for each warning, and the one warning that it gets.
func TestEachWarning(t *testing.T) {
	slotted := rail(1, single(0.0032), 0.2, 0.4, 0.6)
	slotted.Profile.Slots = []parts.Slot{{WidthM: 0.008}}
	rim := rail(1, quad(), 0.2)
	rim.Profile.Slots = []parts.Slot{{AcrossM: 0.003, WidthM: 0.006}} // from 20 to 26 mm; the wire hole from 17 to 23
	kept := rail(1, quad(), 0.2, 0.5)
	kept.KeepOuts = []scene.KeepOut{{FromM: 0.51, ToM: 0.55, Why: "bracket"}}
	wide := rail(1, quad(), 0.2)
	wide.Profile.WidthM = 0.029
	wide.Modules[0].Part.Holes = nil
	for name, c := range map[string]struct {
		in   scene.Rail
		want []string
	}{
		"none":           {rail(1, quad(), 0.2, 0.4), nil},
		"end":            {rail(1, quad(), 0.01, 0.5), []string{"module 1 reaches over the rail's end; the rail is 1000.0 mm long", "1 hole is beyond the rail, which is 1000.0 mm long and 40.0 mm wide: screw of module 1 at -2.0 mm"}},
		"wide and bare":  {wide, []string{"module 1 is wider than the rail's face of 29.0 mm", "the part of module 1 names no screw holes; mark them"}},
		"overlap":        {rail(1, single(0.0032), 0.2, 0.218), []string{"boards lie on each other: modules 1 and 2 by 2.0 mm"}},
		"inside another": {rail(1, parts.Module{BoardLengthM: 0.1, BoardWidthM: 0.01, Holes: []parts.Hole{{AlongM: -0.04, DiameterM: 0.003}}}, 0.2, 0.21, 0.29), []string{"modules 1 and 2 by 90.0 mm, 2 and 3 by 20.0 mm", "no room for a wire hole on either side of module 2;"}},
		"edge":           {rail(1, single(0.0034), 0.012), []string{"1 hole is closer to an edge than the hole is wide, down to 3.3 mm of metal: screw of module 1 at 5.0 mm"}},
		"slot":           {slotted, []string{"screws of modules 1 to 3 meet the slot 16.0 to 24.0 mm from the front edge, where no thread holds"}},
		"slot's rim":     {rim, []string{"wire holes of module 1 lie on the rim of the slot 20.0 to 26.0 mm"}},
		"keep-out":       {kept, []string{"module 2 is in the keep-out from 510.0 to 550.0 mm (bracket)"}},
		"merge":          {rail(1, single(0.008), 0.2, 0.221), []string{"holes run into each other: screw of module 1 at 207.0 mm with screw of module 2 at 214.0 mm"}},
		"wires":          {rail(0.1, quad(), 0.020, 0.050, 0.080), []string{"no room for a wire hole on either side of modules 1 to 3"}},
	} {
		t.Run(name, func(t *testing.T) {
			got := make1(t, c.in, Options{}).Warnings
			if len(got) != len(c.want) {
				t.Fatalf("got %q, want %q", got, c.want)
			}
			for i, want := range c.want {
				if !strings.Contains(got[i], want) {
					t.Errorf("got %q, want %q", got[i], want)
				}
			}
		})
	}
}

// TestWarningsAtTheirLimits: boards that touch, a board that ends with the rail or where a keep-out begins, a screw beside a
// slot, holes that touch, and a hole as far from the edge as it is wide are all right.
func TestWarningsAtTheirLimits(t *testing.T) {
	in := rail(0.080, single(0.002), 0.010, 0.030, 0.060)
	in.KeepOuts = []scene.KeepOut{{FromM: 0.040, ToM: 0.050}}
	in.Profile.Slots = []parts.Slot{{AcrossM: 0.004, WidthM: 0.006}}
	if w := make1(t, in, Options{NoWireHoles: true}).Warnings; len(w) > 0 {
		t.Errorf("%q", w)
	}
}

func TestMergingHolesOfOneBoardAreFound(t *testing.T) {
	part := quad()
	part.Holes = append(part.Holes, part.Holes[0])
	if w := make1(t, rail(1, part, 0.5), Options{}).Warnings; len(w) != 1 || !strings.HasPrefix(w[0], "holes run into each other") {
		t.Errorf("%q", w)
	}
}

func TestModulesInWords(t *testing.T) {
	for want, list := range map[string][]int{
		"module 3":             {3, 3},
		"modules 1, 2":         {2, 1},
		"modules 1 to 3":       {3, 1, 2, 2},
		"modules 1, 4 to 6, 9": {1, 9, 5, 4, 6},
	} {
		if got := modules(list); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}
