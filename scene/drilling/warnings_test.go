package drilling

import (
	"strings"
	"testing"

	"fathomlux/scene"
	"fathomlux/scene/finding"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
)

// single is a board of 20 mm with two screws on the rail's middle line.
func single(diameterM float64) parts.Module {
	return parts.Module{Name: "single", BoardLengthM: 0.020, BoardWidthM: 0.020,
		Holes: []parts.Hole{{AlongM: -0.007, DiameterM: diameterM}, {AlongM: 0.007, DiameterM: diameterM}}}
}

// TestEachWarning has one rail for each warning, and the one warning that it gets.
func TestEachWarning(t *testing.T) {
	slotted := rail(1, single(0.0032), 0.2, 0.4, 0.6)
	slotted.Profile.Slots = []parts.Slot{{WidthM: 0.003}}
	rim := rail(1, parts.Module{BoardLengthM: 0.02, BoardWidthM: 0.02, Holes: []parts.Hole{{AcrossM: -0.004, DiameterM: 0.0022}}}, 0.3)
	rim.Profile.WidthM, rim.Profile.Slots = 0.02, []parts.Slot{{AcrossM: 0.003, WidthM: 0.0058}} // 10.1 to 15.9 mm; the wire hole 7 to 13
	finned := rail(1, single(0.0032), 0.5)
	finned.Profile.FinCount, finned.Profile.FinThicknessM = 9, 0.001 // gaps of 4.9 - 1 = 3.9 mm: too narrow for any hole
	lifted := rail(1, single(0.0032), 0.5)
	lifted.HangersM = []float64{0.05, 0.1, 0.9}
	covered := rail(1, parts.Module{BoardLengthM: 1, BoardWidthM: 0.02, Holes: []parts.Hole{{DiameterM: 0.003}}}, 0.5)
	wide := rail(1, quad(), 0.2)
	wide.Profile.WidthM = 0.029
	wide.Modules[0].Part.Holes = nil
	for name, c := range map[string]struct {
		in   scene.Rail
		want []string
	}{
		"none":          {rail(1, quad(), 0.2, 0.4), nil},
		"end":           {rail(1, quad(), 0.01, 0.5), []string{"holes are beyond the rail, which is 1000 mm long and 40 mm wide: screw hole of module 1 at -2.0 mm"}},
		"wide and bare": {wide, []string{"the boards of module 1 are wider than the rail's face of 29 mm", "the part of module 1 names no screw holes; mark them"}},
		"crowd": {rail(1, parts.Module{BoardLengthM: 0.1, BoardWidthM: 0.01, Holes: []parts.Hole{{AlongM: -0.04, DiameterM: 0.003}}}, 0.2, 0.21, 0.29),
			[]string{"no room for a wire hole on either side of module 2;"}},
		"edge":       {rail(1, single(0.0034), 0.011), []string{"holes are closer to an edge than they are wide, down to 2.4 mm of metal: screw hole of module 1 at 4.0 mm"}},
		"slot":       {slotted, []string{"screws of modules 1 to 3 lie on the rim of the slot 18.5 to 21.5 mm"}},
		"slot's rim": {rim, []string{"wire holes of module 1 lie on the rim of the slot 10.1 to 15.9 mm"}},
		"fins":       {finned, []string{"holes through the bar meet fins on its back: hanger hole at 223.2 mm, screw hole of module 1 at 493.0 mm"}},
		"lifted":     {lifted, []string{"the hanger at 50 mm from the left end bears nothing"}},
		"covered":    {covered, []string{"no room for a wire hole", "no room for a hanger hole at 223.1 mm, 776.9 mm from the left end"}},

		"merge": {rail(1, single(0.0085), 0.2, 0.221), []string{"holes overlap: screw hole of module 1 at 207.0 mm with screw hole of module 2 at 214.0 mm"}},
		"wires": {rail(0.1, quad(), 0.020, 0.050, 0.080), []string{"no room for a wire hole on either side of modules 1 to 3",
			"no room for a hanger hole at 22.3 mm, 77.7 mm"}},
	} {
		t.Run(name, func(t *testing.T) {
			got := finding.Lines(make1(t, c.in, true).Warnings, finding.Warning, unit.Metric)
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
	in.HangersM = []float64{0, 0.080} // it stands on its ends
	in.Profile.Slots = []parts.Slot{{AcrossM: 0.004, WidthM: 0.006}}
	if w := make1(t, in, false).Warnings; len(w) > 0 {
		t.Errorf("%v", w)
	}
}

func TestMergingHolesOfOneBoardAreFound(t *testing.T) {
	part := quad()
	part.Holes = append(part.Holes, part.Holes[0])
	if w := make1(t, rail(1, part, 0.5), true).Warnings; len(w) != 1 || w[0].Code != finding.HolesMerge {
		t.Errorf("%v", w)
	}
}

func TestModulesInWords(t *testing.T) {
	for want, list := range map[string][]int{
		"module 3":             {3, 3},
		"modules 1, 3":         {3, 1},
		"modules 1 to 3":       {3, 1, 2, 2},
		"modules 1, 4 to 6, 9": {1, 9, 5, 4, 6},
	} {
		if got := modules(list); string(got) != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}
