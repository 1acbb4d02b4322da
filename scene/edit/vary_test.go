package edit

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"fathomlux/scene"
	"fathomlux/scene/readertest"
)

// varied is a scene with two rails, one of which has unlike modules and a keep-out.
const varied = `
tank:
  length: 1000 mm
  width: 400 mm
  height: 450 mm
  water: {depth: 400 mm}
  cover: {material: glass, thickness: 4 mm, above_water: 20 mm}
rails:
  - name: front
    length: 900 mm
    y: 100 mm
    above_water: 150 mm
    modules: {part: quad-neutral, optic: oval-60x25, count: 4, spacing: 200 mm, current: 350 mA}
  - name: back
    length: 900 mm
    above_water: 150 mm
    keep_out: [{from: 480 mm, to: 520 mm, why: brace}]
    modules:
      - {part: quad-neutral, optic: round-40, x: 700 mm, current: 350 mA}
      - {part: quad-blue, optic: round-40, x: 300 mm, current: 500 mA}
goal: {plane: mid, illuminance: 100 lx}
`

func parseVaried(t interface {
	Helper()
	Fatal(...any)
}) *scene.Scene {
	t.Helper()
	sc, err := scene.Parse("varied.yaml", []byte(varied), nil)
	if err != nil {
		t.Fatal(err)
	}
	return sc
}

func change(t *testing.T, rail, name string, value float64) Change {
	t.Helper()
	v, err := VariableNamed(name)
	if err != nil {
		t.Fatal(err)
	}
	return Change{Rail: rail, Variable: v, Value: value}
}

func TestWithLeavesTheSceneAlone(t *testing.T) {
	sc := parseVaried(t)
	if _, err := With(sc, change(t, "", "spacing", 0.1), change(t, "", "depth", 0.2), change(t, "", "current", 0.5)); err != nil {
		t.Fatal(err)
	}
	again := parseVaried(t)
	for i, r := range sc.Rails {
		for k, m := range r.Modules {
			if m.XM != again.Rails[i].Modules[k].XM || m.CurrentA != again.Rails[i].Modules[k].CurrentA {
				t.Errorf("rail %s, module %d changed", r.Name, k)
			}
		}
	}
	if sc.Tank.Water.DepthM != 0.4 || sc.Goal.Plane.DepthM != 0.2 {
		t.Errorf("depth %g, goal at %g", sc.Tank.Water.DepthM, sc.Goal.Plane.DepthM)
	}
}

func TestWithEachVariable(t *testing.T) {
	places := func(r scene.Rail) (list []float64) {
		for _, m := range r.Modules {
			list = append(list, m.XM)
		}
		return list
	}
	for _, row := range []struct {
		name  string
		made  Change
		check func(*scene.Scene) bool
	}{
		{"spacing", change(t, "front", "spacing", 0.1), func(s *scene.Scene) bool { p := places(s.Rails[0]); return near(p[0], 0.35) && near(p[3], 0.65) }},
		{"spacing of unlike modules keeps their order", change(t, "back", "spacing", 0.2), func(s *scene.Scene) bool {
			return near(s.Rails[1].Modules[0].XM, 0.4) && s.Rails[1].Modules[0].Part.Name == "quad-blue"
		}},
		{"count", change(t, "front", "count", 3), func(s *scene.Scene) bool {
			p := places(s.Rails[0])
			return len(p) == 3 && near(p[0], 0.3) && near(p[1], 0.5)
		}},
		{"count of unlike modules takes turns", change(t, "back", "count", 3), func(s *scene.Scene) bool {
			m := s.Rails[1].Modules
			return len(m) == 3 && m[0].Part.Name == "quad-blue" && m[1].Part.Name == "quad-neutral" && m[2].Part.Name == "quad-blue"
		}},
		{"height on all rails", change(t, "", "height", 0.2), func(s *scene.Scene) bool { return s.Rails[0].AboveWaterM == 0.2 && s.Rails[1].AboveWaterM == 0.2 }},
		{"y on one", change(t, "front", "y", 0.3), func(s *scene.Scene) bool { return s.Rails[0].YM == 0.3 && s.Rails[1].YM == 0.2 }},
		{"tilt", change(t, "", "tilt", 0.1), func(s *scene.Scene) bool { return s.Rails[1].TiltRad == 0.1 }},
		{"current", change(t, "back", "current", 0.4), func(s *scene.Scene) bool {
			return s.Rails[1].Modules[1].CurrentA == 0.4 && s.Rails[0].Modules[0].CurrentA == 0.35
		}},
		{"beam keeps an oval's shape", change(t, "front", "beam", 0.5), func(s *scene.Scene) bool {
			o, was := s.Rails[0].Modules[0].Optic, parseVaried(t).Rails[0].Modules[0].Optic
			return o.BeamRad == 0.5 && near(o.BeamAcrossRad/o.BeamRad, was.BeamAcrossRad/was.BeamRad) && o.Name != was.Name
		}},
		{"depth moves the middle plane", change(t, "", "depth", 0.3), func(s *scene.Scene) bool { return s.Tank.Water.DepthM == 0.3 && near(s.Goal.Plane.DepthM, 0.15) }},
	} {
		s, err := With(parseVaried(t), row.made)
		if err != nil || !row.check(s) {
			t.Errorf("%s: error %v", row.name, err)
			continue
		}
		if got := Value(s, row.made.Rail, row.made.Variable); !near(got, row.made.Value) {
			t.Errorf("%s: the changed scene says %g, not %g", row.name, got, row.made.Value)
		}
	}
}

func TestBeamKeepsItsFieldInProportion(t *testing.T) {
	sc, err := scene.Parse("varied.yaml", []byte(strings.Replace(varied, "oval-60x25", "wide-60f", 1)), nil)
	if err != nil {
		t.Fatal(err)
	}
	was := sc.Rails[0].Modules[0].Optic
	out, err := With(sc, change(t, "front", "beam", was.BeamRad/2))
	if err != nil {
		t.Fatal(err)
	}
	if is := out.Rails[0].Modules[0].Optic; was.FieldRad == 0 || !near(is.FieldRad, was.FieldRad/2) || !near(is.FieldAcrossRad, was.FieldAcrossRad/2) {
		t.Errorf("field %g x %g rad, half of %g x %g", is.FieldRad, is.FieldAcrossRad, was.FieldRad, was.FieldAcrossRad)
	}
}

func TestLowestDieIsHalfThePitchDown(t *testing.T) {
	sc := parseVaried(t)
	m := sc.Rails[0].Modules[0].Part
	tilt := 80 * math.Pi / 180
	reach := m.PitchAcrossM / 2 * math.Sin(tilt) // two dies across: the lower one is half a pitch from the middle
	cover := 0.024
	for _, row := range []struct {
		height float64
		ok     bool
	}{{cover + 1.05*reach, true}, {cover + 0.95*reach, false}} {
		if _, err := With(sc, change(t, "front", "height", row.height), change(t, "front", "tilt", tilt)); (err == nil) != row.ok {
			t.Errorf("%g mm above the cover, reach %g mm: error %v", (row.height-cover)*1000, reach*1000, err)
		}
	}
}

func near(a, b float64) bool { return math.Abs(a-b) < 1e-9 }

func TestWithRefuses(t *testing.T) {
	for _, row := range []struct {
		made Change
		want string
	}{
		{change(t, "side", "height", 0.2), `there is no rail "side"`},
		{change(t, "", "height", 0.02), "not above the cover, whose top is at 24 mm"},
		{change(t, "", "height", -1), "outside"},
		{change(t, "", "depth", 0.6), "above the rim"},
		{change(t, "", "current", 99), "outside the table of quad-neutral"},
		{change(t, "", "count", 2.5), "not a whole number"},
		{change(t, "", "tilt", 2), "outside"},
		{change(t, "front", "beam", 179*math.Pi/180), ""},
		{change(t, "", "beam", math.NaN()), "outside"},
	} {
		_, err := With(parseVaried(t), row.made)
		if row.want == "" {
			continue // may or may not serve, but must not panic
		}
		if err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%s = %g: error %v, want %q", row.made.Variable.Name, row.made.Value, err, row.want)
		}
	}
}

func TestWaterStaysAboveTheGoalsPlane(t *testing.T) {
	sc, err := scene.Parse("varied.yaml", []byte(strings.Replace(varied, "plane: mid", "plane: 200 mm", 1)), nil)
	if err != nil {
		t.Fatal(err)
	}
	if s, err := With(sc, change(t, "", "depth", 0.3)); err != nil || !near(s.Goal.Plane.DepthM, 0.2) {
		t.Errorf("300 mm of water: %v", err)
	}
	if _, err := With(sc, change(t, "", "depth", 0.15)); err == nil || !strings.Contains(err.Error(), "the goal's plane, 200 mm under the surface, is below the floor") {
		t.Errorf("150 mm of water: %v", err)
	}
}

func TestWaterStaysAboveTheGround(t *testing.T) {
	sc, err := scene.Parse("varied.yaml", []byte(strings.Replace(varied, "tank:\n", "tank:\n  floor: {front: 0 mm, back: 160 mm}\n", 1)), nil)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := With(sc, change(t, "", "depth", 0.15)); err == nil || !strings.Contains(err.Error(), "150 mm of water leaves the ground dry, which rises 160 mm") {
		t.Errorf("150 mm of water: %v", err)
	}
}

func TestPlacementError(t *testing.T) {
	for _, row := range []struct {
		made Change
		want string
	}{
		{change(t, "front", "spacing", 0.25), ""},
		{change(t, "front", "spacing", 0.3), "beyond the end of rail front"},
		{change(t, "front", "spacing", 0.02), "overlap"},
		{change(t, "back", "count", 3), "in the keep-out"},
	} {
		s, err := With(parseVaried(t), row.made)
		if err != nil {
			t.Fatal(err)
		}
		if why := s.PlacementError(); why.Any() != (row.want != "") || !strings.Contains(why.String(), row.want) {
			t.Errorf("%s = %g: %q, want %q", row.made.Variable.Name, row.made.Value, why, row.want)
		}
	}
}

func TestPower(t *testing.T) {
	m := parseVaried(t).Rails[0].Modules[0]
	if dieV, ok := m.Part.ForwardV.At(0.35); !ok || !near(m.PowerW(), 4*dieV*0.35) { // four dies in series at 350 mA
		t.Errorf("%g W at %g V a die (%v)", m.PowerW(), dieV, ok)
	}
}

func TestParseRange(t *testing.T) {
	for _, row := range []struct {
		text   string
		rail   string
		values []float64
	}{
		{"spacing=120mm:260mm:20mm", "", []float64{0.12, 0.14, 0.16, 0.18, 0.2, 0.22, 0.24, 0.26}},
		{"spacing=120 mm:150 mm:20 mm", "", []float64{0.12, 0.14}},
		{"front.beam=25deg,90deg", "front", []float64{25 * math.Pi / 180, math.Pi / 2}},
		{"count=2:4:1", "", []float64{2, 3, 4}},
		{"my.rail.height=6in", "my.rail", []float64{0.1524}},
		{"current=0.35A,500mA", "", []float64{0.35, 0.5}},
	} {
		r, err := ParseRange(row.text)
		if err != nil || r.Rail != row.rail || len(r.Values) != len(row.values) {
			t.Errorf("%s: %+v, error %v", row.text, r.Values, err)
			continue
		}
		for i := range r.Values {
			if !near(r.Values[i], row.values[i]) {
				t.Errorf("%s: value %d is %g, want %g", row.text, i, r.Values[i], row.values[i])
			}
		}
	}
}

// wrongRanges are calls that must be refused, with what the message must say.
var wrongRanges = []struct{ text, want string }{
	{"spacing", "no equals sign"},
	{"spaceing=1mm", `did you mean "spacing"`},
	{"colour=1", "known: depth, height"},
	{"spacing=120:260:20", "has no unit"},
	{"spacing=120mm:260mm", "from:to:step"},
	{"spacing=260mm:120mm:20mm", "the range is empty"},
	{"spacing=120mm:260mm:0mm", "not above 0"},
	{"spacing=1mm:10m:0.00001mm", "more than the limit"},
	{"spacing=1mm:9m:1e-320mm", "more than the limit of 100 000; use a larger step than 1e-320mm"},
	{"spacing=1mm:1e308mm:1mm", "the range from 1mm to 1e308mm is wider than 1 mm to 20 m"},
	{"spacing=", "a value is missing"},
	{"spacing=1mm,,2mm", "a value is missing"},
	{"count=2.5", "not a whole number"},
	{"count=1:9:x", "not a whole number"},
	{"beam=40mm", "angle"},
}

func TestParseRangeRefuses(t *testing.T) {
	for _, row := range wrongRanges {
		if _, err := ParseRange(row.text); err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%s: error %v, want %q", row.text, err, row.want)
		}
	}
}

func TestRangesStayWithinTheirEnds(t *testing.T) {
	v, err := VariableNamed("height")
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(t *rapid.T) {
		from, length := rapid.IntRange(1, 500).Draw(t, "from"), rapid.IntRange(0, 500).Draw(t, "length")
		step := rapid.IntRange(1, 50).Draw(t, "step")
		values, err := v.fromTo(strings.Join([]string{mm(from), mm(from + length), mm(step)}, ":"))
		if err != nil || len(values) != length/step+1 {
			t.Fatalf("%d values, error %v", len(values), err)
		}
		if last := values[len(values)-1]; last > float64(from+length)/1000+1e-9 {
			t.Fatalf("last value %g m", last)
		}
	})
}

func mm(n int) string { return fmt.Sprintf("%dmm", n) }

// TestFrugal: ranges far longer than anybody writes.
func TestFrugal(t *testing.T) {
	for _, c := range []struct{ head, unit string }{{"front.spacing=", "1mm,"}, {"", "="}, {"front.spacing=1mm:", "9"}, {"front.spacing=1mm:", ":"}, {"front.", "."}} {
		text := string(readertest.Filled(c.head, c.unit, 1<<19))
		readertest.Frugal(t, len(text), func() {
			if _, err := ParseRange(text); err == nil || len(err.Error()) > 1000 {
				t.Errorf("%q again and again is taken, or complained about without end", c.unit)
			}
		})
	}
}

func FuzzParseRange(f *testing.F) {
	for _, row := range wrongRanges {
		f.Add(row.text)
	}
	f.Add("front.beam=25deg:90deg:5deg")
	f.Fuzz(func(t *testing.T, text string) {
		var r Range
		var err error
		readertest.Frugal(t, len(text), func() { r, err = ParseRange(text) })
		if err != nil {
			if err.Error() == "" {
				t.Error("an error without words")
			}
			return
		}
		if len(r.Values) == 0 || len(r.Values) > MaxRangeValues {
			t.Errorf("%d values", len(r.Values))
		}
	})
}

// TestLeavesVary: a season takes all leaves from none to all; beyond that is refused, and values are read in percent.
func TestLeavesVary(t *testing.T) {
	r, err := ParseRange("leaves=0%:100%:25%")
	if err != nil || len(r.Values) != 5 || r.Values[1] != 0.25 {
		t.Fatalf("%v (%v)", r.Values, err)
	}
	sc := parseVaried(t)
	sc.Tank.Plants = []scene.Plant{{DensityPerM: 10}}
	sc.Tank.Floating = &scene.Floating{CoverShare: 0.4}
	half, err := With(sc, Change{Variable: r.Variable, Value: 0.5})
	if err != nil {
		t.Fatal(err)
	}
	if plants, floating := half.Tank.LeavesNow(); plants[0].DensityPerM != 5 || floating.CoverShare != 0.2 || Value(half, "", r.Variable) != 0.5 || sc.Tank.LeafShare != 1 {
		t.Errorf("half the leaves: %+v, %+v", plants, floating)
	}
	if _, err := With(sc, Change{Variable: r.Variable, Value: 1.5}); err == nil {
		t.Error("more than all leaves are taken")
	}
}
