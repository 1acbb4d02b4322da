package drilling

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"fathomlux/scene"
	"fathomlux/scene/parts"
)

// roundingM is far above the rounding of sums of metres in binary fractions and far below what anyone can drill.
const roundingM = 1e-9

// quad is a board of 30 mm with two screws on its diagonal, as on a bar 40 mm wide.
func quad() parts.Module {
	return parts.Module{Name: "quad", BoardLengthM: 0.030, BoardWidthM: 0.030,
		Holes: []parts.Hole{{AlongM: -0.012, AcrossM: -0.012, DiameterM: 0.0032}, {AlongM: 0.012, AcrossM: 0.012, DiameterM: 0.0032}}}
}

func rail(lengthM float64, part parts.Module, atM ...float64) scene.Rail {
	in := scene.Rail{Name: "main", LengthM: lengthM, Profile: parts.Profile{Name: "bar", WidthM: 0.040, HeightM: 0.020}}
	for _, x := range atM {
		in.Modules = append(in.Modules, scene.Module{Part: part, XM: x})
	}
	return in
}

func make1(t *testing.T, in scene.Rail, wireHoles bool) Layout {
	t.Helper()
	p, err := Make(in, wireHoles)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// TestPlaces holds every place of a rail of 1100 mm with six modules, 180 mm apart, against sums by hand: the first middle
// is at 550 - 2.5 * 180 = 100 mm, its screws 12 mm to either side, its wire hole 15 + 3 + 3 = 21 mm to the right.
func TestPlaces(t *testing.T) {
	p := make1(t, rail(1.100, quad(), 0.100, 0.280, 0.460, 0.640, 0.820, 1.000), true)
	if len(p.Boards) != 6 || len(p.Holes) != 20 || len(p.Warnings) != 0 {
		t.Fatalf("%d boards, %d holes, warnings %v", len(p.Boards), len(p.Holes), p.Warnings)
	}
	p.Holes = slices.DeleteFunc(p.Holes, func(h Place) bool { return h.Kind == Hanger })
	for i := range 6 {
		middle := 0.100 + 0.180*float64(i)
		for k, want := range []Place{
			{Kind: Screw, Module: i + 1, FromLeftM: middle - 0.012, FromFrontM: 0.008, DiameterM: 0.0032},
			{Kind: Screw, Module: i + 1, FromLeftM: middle + 0.012, FromFrontM: 0.032, DiameterM: 0.0032},
			{Kind: Wire, Module: i + 1, FromLeftM: middle + 0.021, FromFrontM: 0.020, DiameterM: 0.006},
		} {
			got := p.Holes[3*i+k]
			if got.Kind != want.Kind || got.Module != want.Module || got.DiameterM != want.DiameterM ||
				math.Abs(got.FromLeftM-want.FromLeftM) > roundingM || math.Abs(got.FromFrontM-want.FromFrontM) > roundingM {
				t.Errorf("hole %d of module %d: got %+v, want %+v", k, i+1, got, want)
			}
		}
	}
}

func TestModulesKeepTheSceneNumbers(t *testing.T) {
	p := make1(t, rail(1, quad(), 0.800, 0.200), false)
	if p.Boards[0].Module != 2 || p.Boards[1].Module != 1 || p.Holes[0].Module != 2 {
		t.Errorf("from left to right: boards %+v, first hole %+v", p.Boards, p.Holes[0])
	}
}

// TestWireHoleSides: right of the board; left of it at the rail's right end, before a keep-out, and where a neighbour is 7 mm
// away, for 3 + 6 mm do not fit; 0.5 mm from the board where both sides are so narrow; nowhere where boards touch.
func TestWireHoleSides(t *testing.T) {
	for name, c := range map[string]struct {
		in   scene.Rail
		want []float64 // of the wire holes
	}{
		"right":    {rail(0.5, quad(), 0.100), []float64{0.121}},
		"end":      {rail(0.125, quad(), 0.100), []float64{0.079}},
		"at limit": {rail(0.130, quad(), 0.100), []float64{0.121}}, // rim at 124, 6 mm of metal
		"left":     {rail(0.137, quad(), 0.050, 0.087), []float64{0.029, 0.108}},
		"close":    {rail(0.109, quad(), 0.020, 0.057, 0.094), []float64{0.0385, 0.0755}},
		"none":     {rail(0.100, quad(), 0.020, 0.050, 0.080), nil},
	} {
		t.Run(name, func(t *testing.T) {
			var got []float64
			for _, h := range make1(t, c.in, true).Holes {
				if h.Kind == Wire {
					got = append(got, h.FromLeftM)
				}
			}
			if len(got) != len(c.want) {
				t.Fatalf("got %v, want %v", got, c.want)
			}
			for i := range got {
				if math.Abs(got[i]-c.want[i]) > roundingM {
					t.Errorf("got %v, want %v", got, c.want)
				}
			}
		})
	}
	in := rail(0.5, quad(), 0.250)
	in.KeepOuts = []scene.KeepOut{{FromM: 0.270, ToM: 0.300}}
	in.HangersM = []float64{0.05, 0.45}
	if p := make1(t, in, true); math.Abs(p.Holes[1].FromLeftM-0.229) > roundingM {
		t.Errorf("beside a keep-out the wire hole is at %v", p.Holes[1].FromLeftM)
	}
}

func TestKeepOutsAndSlotsAreLaidOnTheRail(t *testing.T) {
	in := rail(1, quad(), 0.5)
	in.KeepOuts = []scene.KeepOut{{FromM: 0.9, ToM: 1.2, Why: "right"}, {FromM: -0.3, ToM: 0.05, Why: "left"}, {FromM: -0.4, ToM: -0.1, Why: "beyond"}}
	in.Profile.Slots = []parts.Slot{{AcrossM: -0.010, WidthM: 0.006}}
	p := make1(t, in, true)
	if len(p.KeepOuts) != 2 || p.KeepOuts[0] != (scene.KeepOut{FromM: 0, ToM: 0.05, Why: "left"}) || p.KeepOuts[1] != (scene.KeepOut{FromM: 0.9, ToM: 1, Why: "right"}) {
		t.Errorf("keep-outs: %+v", p.KeepOuts)
	}
	if len(p.Slots) != 1 || math.Abs(p.Slots[0].FromFrontM-0.010) > roundingM {
		t.Errorf("slots: %+v", p.Slots)
	}
}

func TestTooManyHolesAreRefused(t *testing.T) {
	part := quad()
	part.Holes = make([]parts.Hole, MaxHoles)
	if _, err := Make(rail(1, part, 0.5), true); err == nil {
		t.Error("no error")
	}
}

// mirrored returns the rail as seen from its other end.
func mirrored(in scene.Rail) scene.Rail {
	out := in
	out.Modules, out.KeepOuts = nil, nil
	for _, m := range in.Modules {
		part := m.Part
		part.Holes = nil
		for _, h := range m.Part.Holes {
			h.AlongM = -h.AlongM
			part.Holes = append(part.Holes, h)
		}
		out.Modules = append(out.Modules, scene.Module{Part: part, XM: in.LengthM - m.XM})
	}
	for _, k := range in.KeepOuts {
		out.KeepOuts = append(out.KeepOuts, scene.KeepOut{FromM: in.LengthM - k.ToM, ToM: in.LengthM - k.FromM})
	}
	return out
}

// TestMirror: a mirrored rail has its holes, middles and keep-outs at the mirrored places, whatever they are.
func TestMirror(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		place := rapid.Float64Range(-0.2, 2.2)
		in := rail(rapid.Float64Range(0.05, 2).Draw(r, "length"), quad(), rapid.SliceOfN(place, 1, 20).Draw(r, "middles")...)
		in.KeepOuts = []scene.KeepOut{{FromM: 0.01, ToM: rapid.Float64Range(0.011, 2.5).Draw(r, "to")}}
		a, errA := Make(in, false)
		b, errB := Make(mirrored(in), false)
		if errA != nil || errB != nil || len(a.Holes) != len(b.Holes) || len(a.Warnings) != len(b.Warnings) {
			r.Fatalf("%v, %v, %d and %d holes, warnings %v and %v", errA, errB, len(a.Holes), len(b.Holes), a.Warnings, b.Warnings)
		}
		last := len(a.Holes) - 1
		for i := range a.Holes {
			if math.Abs(a.Holes[i].FromLeftM+b.Holes[last-i].FromLeftM-in.LengthM) > roundingM {
				r.Fatalf("hole %d at %v and %v of %v", i, a.Holes[i].FromLeftM, b.Holes[last-i].FromLeftM, in.LengthM)
			}
		}
		if k, l := a.KeepOuts[0], b.KeepOuts[0]; math.Abs(k.FromM+l.ToM-in.LengthM) > roundingM || math.Abs(k.ToM+l.FromM-in.LengthM) > roundingM {
			r.Fatalf("keep-outs %+v and %+v", k, l)
		}
	})
}

// TestWireHolesKeepOff: no wire hole meets a board, a keep-out, another wire hole or the last diameter of the rail.
func TestWireHolesKeepOff(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		in := rail(1, quad(), rapid.SliceOfN(rapid.Float64Range(0, 1), 1, 30).Draw(r, "middles")...)
		in.KeepOuts = []scene.KeepOut{{FromM: 0.4, ToM: 0.5}}
		p, err := Make(in, true)
		if err != nil {
			r.Fatal(err)
		}
		last := math.Inf(-1)
		for _, h := range p.Holes {
			if h.Kind != Wire {
				continue
			}
			left, right := h.FromLeftM-0.003, h.FromLeftM+0.003
			bad := left < 0.006-2*slackM || right > 0.994+2*slackM || right > 0.4+2*slackM && left < 0.5-2*slackM || left < last
			for _, b := range p.Boards {
				bad = bad || right > b.leftM()+2*slackM && left < b.rightM()-2*slackM
			}
			if bad {
				r.Fatalf("%+v of %+v", h, p)
			}
			last = right
		}
	})
}

// TestDrillingCountsFromTheRailsEnd: a rail that does not begin where the tank does has its modules, numbered as in the file, and
// its keep-outs counted from its own left end.
func TestDrillingCountsFromTheRailsEnd(t *testing.T) {
	text := strings.Replace(scene.Starter(), "    tilt: 0 deg", "    x: 40 mm\n    keep_out: [{from: 60 mm, to: 70 mm, why: brace}]\n    tilt: 0 deg", 1)
	sc, err := scene.Parse("starter.yaml", []byte(text), nil)
	if err != nil {
		t.Fatal(err)
	}
	rail := sc.Rails[0]
	if rail.LeftM != 0.040 {
		t.Fatalf("the starter's rail begins at %v", rail.LeftM)
	}
	p, err := Make(rail, false)
	if err != nil {
		t.Fatal(err)
	}
	if p.Name != rail.Name || p.LengthM != rail.LengthM || p.WidthM != rail.Profile.WidthM || len(p.Boards) != len(rail.Modules) {
		t.Errorf("%+v", p)
	}
	for _, b := range p.Boards {
		if want := rail.Modules[b.Module-1].XM - 0.040; math.Abs(b.FromLeftM-want) > 1e-9 {
			t.Errorf("module %d at %v, want %v", b.Module, b.FromLeftM, want)
		}
	}
	if k := p.KeepOuts[0]; math.Abs(k.FromM-0.020) > 1e-9 || math.Abs(k.ToM-0.030) > 1e-9 || k.Why != "brace" {
		t.Errorf("%+v", k)
	}
}
