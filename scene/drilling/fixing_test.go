package drilling

import (
	"math"
	"slices"
	"testing"

	"fathomlux/scene"
	"fathomlux/scene/parts"
)

// TestScrewsByProfile holds what is drilled for an M3 screw (holes of 3.2 mm in the board): the tap drill of 2.5 mm in solid metal,
// the clearance hole of 3.2 mm through a thin wall, nothing in a slot. Source: ISO 2306, ISO 273, as in fixing.go, and the figures.
func TestScrewsByProfile(t *testing.T) {
	built := parts.Builtin().Profiles
	slotted := built["bar-40x20"]
	slotted.Slots = []parts.Slot{{AcrossM: -0.012, WidthM: 0.008}, {AcrossM: 0.012, WidthM: 0.008}}
	for name, c := range map[string]struct {
		profile parts.Profile
		hold    Hold
		wideM   float64
	}{
		"solid":   {built["flat-60x5"], Tapped, 0.0025},
		"base":    {built["finned-80x25"], Tapped, 0.0025}, // 5 mm below the fins
		"hollow":  {built["bar-40x20"], NutBack, 0.0032},   // a wall of 2.35 mm
		"channel": {built["u-30x15"], NutBack, 0.0032},
		"slots":   {slotted, SlotNut, 0},
	} {
		in := rail(1, quad(), 0.5)
		in.Profile = c.profile
		for _, h := range make1(t, in, false).Holes {
			if h.Kind == Screw && (h.Thread != "M3" || h.Hold != c.hold || h.DiameterM != c.wideM) {
				t.Errorf("%s: %+v", name, h)
			}
		}
	}
}

// TestThreads holds which screw passes a board's hole: the thickest whose fine clearance hole is no wider, and none below M1.6.
func TestThreads(t *testing.T) {
	p := Layout{WidthM: 0.1, wallM: 0.02}
	for mm, want := range map[float64]string{1.6: "", 1.7: "M1.6", 2.2: "M2", 2.9: "M2.5", 3.19: "M2.5", 3.2: "M3", 3.6: "M3", 4.3: "M4", 5.5: "M5", 6.6: "M6", 9: "M8", 20: "M12"} {
		h := p.fixed(Place{Kind: Screw, FromFrontM: 0.05, DiameterM: mm / 1000})
		if h.Thread != want || want == "" && h.DiameterM != mm/1000 {
			t.Errorf("%g mm: %+v, want %s", mm, h, want)
		}
	}
}

// TestHolesMissTheFins: with an even number of fins the middle line runs between two; with an odd number a hole through the bar
// moves to the nearest gap: nine fins of 2.6 mm on 80 mm stand (80 - 2.6) / 8 = 9.675 mm apart, the gaps beside the middle at 4.8375 mm.
func TestHolesMissTheFins(t *testing.T) {
	for fins, offM := range map[int]float64{8: 0, 9: 0.0048375} {
		in := rail(1, quad(), 0.5)
		in.Profile = parts.Builtin().Profiles["finned-80x25"]
		in.Profile.FinCount = fins
		p := make1(t, in, true)
		for _, h := range p.Holes {
			if h.Kind != Screw && math.Abs(math.Abs(h.FromFrontM-0.04)-offM) > roundingM {
				t.Errorf("%d fins: %+v", fins, h)
			}
		}
		if len(p.Warnings) > 0 {
			t.Error(p.Warnings)
		}
	}
}

// TestWireHolesBesideASlot: a slot too narrow for the wire hole moves it beside, 3 + 2 + 1 mm from the slot's middle.
func TestWireHolesBesideASlot(t *testing.T) {
	in := rail(1, quad(), 0.5)
	in.Profile.Slots = []parts.Slot{{WidthM: 0.004}}
	p := make1(t, in, true)
	i := slices.IndexFunc(p.Holes, func(h Place) bool { return h.Kind == Wire })
	if math.Abs(p.Holes[i].FromFrontM-0.014) > roundingM || len(p.Warnings) > 0 {
		t.Errorf("%+v, %v", p.Holes[i], p.Warnings)
	}
}

// TestHangersFindRoom: where the rail sags least, 223.15 mm from each end of a metre; a board there moves the hole towards the end
// until it is 2.25 mm clear of its edge; given ones stay, as x of the tank, and those at the very ends get no hole.
func TestHangersFindRoom(t *testing.T) {
	places := func(in scene.Rail) (at []float64) {
		for _, h := range make1(t, in, false).Holes {
			if h.Kind == Hanger {
				at = append(at, h.FromLeftM)
			}
		}
		return at
	}
	in := rail(1, quad(), 0.5)
	if at := places(in); len(at) != 2 || math.Abs(at[0]-0.22315) > 1e-9 || math.Abs(at[1]-0.77685) > 1e-9 {
		t.Errorf("free: %v", at)
	}
	in = rail(1, quad(), 0.215) // its board reaches from 200 to 230 mm: 197.75 mm is the last place on its left
	if at := places(in); len(at) != 2 || !(at[0] <= 0.19775+1e-9 && at[0] > 0.19675) && !(at[0] >= 0.23225 && at[0] < 0.23325) {
		t.Errorf("beside a board: %v", at)
	}
	in.LeftM, in.Modules[0].XM, in.HangersM = 0.1, 0.6, []float64{0.1, 0.4, 1.1}
	if at := places(in); len(at) != 1 || math.Abs(at[0]-0.3) > 1e-9 {
		t.Errorf("given: %v", at)
	}
	h := make1(t, in, false).Hang
	if len(h.Hangers) != 3 || math.Abs(h.Hangers[1].AtM-0.3) > 1e-9 {
		t.Errorf("%+v", h)
	}
}
