package scene_test

import (
	"slices"
	"strings"
	"testing"

	"fathomlux/scene/finding"
	"fathomlux/scene/scenetest"
	"fathomlux/scene/wiring"
)

func TestOddButLegal(t *testing.T) {
	const modules = "modules: {part: quad-neutral, optic: round-40, count: 6, spacing: 180 mm, current: 350 mA}"
	tests := []struct {
		name  string
		pairs []string
		want  []string // the warnings, in order; none of them more
	}{
		{"sound", nil, nil},
		{"beyond the rail's end", []string{"length: 1100 mm", "length: 900 mm"},
			[]string{"foyer.yaml:19:14: rails[0].modules: 2 modules (x = 140 mm, 1040 mm) are beyond the end of rail main"}},
		{"a keep-out", []string{"from: 570 mm", "from: 510 mm"},
			[]string{"rails[0].modules: the module at x = 500 mm is in the keep-out from x = 510 to 610 mm (cable gland)"}},
		{"a keep-out beside the rail", []string{"from: 570 mm, to: 610 mm", "from: 0 mm, to: 40 mm"},
			[]string{"foyer.yaml:13:5: rails[0]: the keep-out from x = 0 to 40 mm touches no part of the rail, which runs from x = 40 to 1140 mm"}},
		{"next to no hours are none", []string{"hours: 9 h", "hours: 1e-308 h", "illuminance: 2500 lx", "dli: 2 mol/m2/day"}, []string{"goal.dli: the light is on for 0 h a day"}},
		{"outside the tank", []string{"length: 1100 mm", "length: 1300 mm", modules,
			"modules: [{part: quad-neutral, optic: round-40, x: -20 mm, current: 350 mA}]"},
			[]string{"foyer.yaml:13:5: rails[0]: the rail reaches beyond the tank's ends: it runs from x = -60 to 1240 mm",
				"rails[0].modules[0]: the module at x = -20 mm is outside the tank", "wiring: 1 module cannot be divided into 2 strings"}},
		{"strings that do not divide", []string{"count: 6, spacing: 180 mm", "count: 5, spacing: 180 mm, centre: 420 mm", "from: 570 mm, to: 610 mm", "from: 1100 mm, to: 1140 mm"}, []string{"foyer.yaml:21:9: wiring: 5 modules cannot be divided into 2 strings of equal length; possible numbers of strings: 1, 5"}},
		{"a driver that does not fit", []string{"strings: 2", "strings: 1"}, []string{"wiring: cc-700 does not fit 1 string of 6"}},
		{"before the front", []string{"y: 215 mm", "y: 5 mm"},
			[]string{"rails[0]: the rail reaches beyond the tank's front or back: its centre line is at y = 5 mm"}},
		{"lower than the rim", []string{"length: 1100 mm", "length: 1300 mm", "above_water: 160 mm", "above_water: 50 mm"},
			[]string{"rails[0]: the rail reaches beyond the tank's ends but hangs 10 mm below the rim"}},
		{"too many amperes", []string{"quad-neutral", "weak"}, []string{"rails[0].modules.current: 350 mA is above the highest current of weak, 300 mA"}},
		{"very wide", []string{"optic: round-40", "optic: flood"}, []string{"rails[0].modules.optic: the beam of flood is wider than 170°"}},
		{"boards on each other", []string{"spacing: 180 mm", "spacing: 20 mm", "from: 570 mm, to: 610 mm", "from: 50 mm, to: 60 mm"},
			[]string{"rails[0].modules: the boards at x = 540 mm and 560 mm of rail main overlap"}},
		{"full to the brim", []string{"depth: 420 mm", "depth: 480 mm"}, []string{"foyer.yaml:6:18: tank.water.depth: the water ends only 0 mm below the rim"}},
		{"wet cover", []string{"above_water: 30 mm", "above_water: 0 mm"}, []string{"tank.cover.above_water: the cover touches the water"}},
		{"no goal", []string{"goal: {plane: floor, illuminance: 2500 lx, uniformity: 0.5}\n", ""}, []string{"foyer.yaml:1:1: no goal is given"}},
		{"a goal of nothing", []string{", illuminance: 2500 lx, uniformity: 0.5", ""}, []string{"foyer.yaml:23:7: goal: the goal asks for nothing"}},
		{"clearer than pure", []string{"kind: clear", "half_depth: 30 m"}, []string{"tank.water.half_depth: 30 m is clearer than pure water"}},
		{"box beside the tank", []string{"from: [620 mm,", "from: [1200 mm,", "to: [560 mm,", "to: [1300 mm,"}, []string{"tank.obstacles[0]: the box stands outside the tank"}},
		{"small hood", []string{"air: 24 C", "hood: {length: 1 m, width: 30 mm, height: 15 mm}"}, []string{
			"foyer.yaml:22:17: ambient.hood: the hood is 1000 mm long, less than the 1100 mm that the rails take",
			"ambient.hood: the hood is 30 mm wide, less than the 40 mm", "ambient.hood: the hood is 15 mm high, less than the 20 mm"}},
		{"hood that fits", []string{"air: 24 C", "hood: {length: 1100 mm, width: 40 mm, height: 20 mm}"}, nil},
		{"dark day", []string{"hours: 9 h", "hours: 0 h", "illuminance: 2500 lx", "dli: 2 mol/m2/day"}, []string{"goal.dli: the light is on for 0 h a day"}},
	}
	const own = "parts: {modules: {weak: {based_on: quad-neutral, highest_current: 300 mA}}, optics: {flood: {beam: 175 deg, efficiency: 0.9}}}\n"
	for _, test := range tests {
		s := scenetest.Parse(t, scenetest.Edit(t, scenetest.Sound, test.pairs...)+own)
		warnings := slices.Concat(s.Warnings, wiring.Warnings(s), s.HoodWarnings())
		if len(warnings) != len(test.want) {
			t.Errorf("%s: warnings %v, want %d", test.name, warnings, len(test.want))
			continue
		}
		for i, want := range test.want {
			if got := warnings[i].String(); !strings.HasPrefix(got, "foyer.yaml:") || !strings.Contains(got, want) {
				t.Errorf("%s: %q does not say %q", test.name, got, want)
			}
		}
	}
}

// A crowd of odd modules is one warning and not one each.
func TestOddGroupsWarnOnce(t *testing.T) {
	text := scenetest.Edit(t, scenetest.Sound, "count: 6, spacing: 180 mm", "count: 60, spacing: 100 mm")
	s := scenetest.Parse(t, text)
	if len(s.Warnings) > 3 {
		t.Errorf("%d warnings: %v", len(s.Warnings), s.Warnings)
	}
	found := false
	for _, w := range s.Warnings {
		found = found || strings.Contains(w.String(), " more) are ")
	}
	if !found {
		t.Errorf("no warning is cut short: %v", s.Warnings)
	}
}

// TestRailsInOneSpace puts two rails side by side, above, behind and into each other, upright and tilted. A bar is 40 mm wide and
// 20 mm high.
func TestRailsInOneSpace(t *testing.T) {
	const scene = `tank: {length: 1 m, width: 1 m, height: 500 mm, water: {depth: 450 mm}}
goal: {illuminance: 100 lx}
rails:
  - {name: a, length: 400 mm, x: 0 mm, y: 500 mm, above_water: 200 mm, modules: {part: quad-neutral, optic: round-40, count: 2, spacing: 100 mm, current: 350 mA}}
  - {name: b, length: 400 mm, PLACE, modules: {part: quad-neutral, optic: round-40, count: 2, spacing: 100 mm, current: 350 mA}}
`
	for place, crossing := range map[string]bool{
		"x: 0 mm, y: 500 mm, above_water: 200 mm":                true,
		"x: 390 mm, y: 539 mm, above_water: 219 mm":              true,
		"x: 400 mm, y: 500 mm, above_water: 200 mm":              false,
		"x: 0 mm, y: 540 mm, above_water: 200 mm":                false,
		"x: 0 mm, y: 500 mm, above_water: 220 mm":                false,
		"x: 0 mm, y: 548 mm, above_water: 214 mm, tilt: 45 deg":  true, // its foremost corner is 28.28 mm before its middle
		"x: 0 mm, y: 549 mm, above_water: 214 mm, tilt: 45 deg":  false,
		"x: 0 mm, y: 525 mm, above_water: 214 mm, tilt: -45 deg": true, // its face runs down to the back, 6 mm before its middle at z = 220 mm
		"x: 0 mm, y: 527 mm, above_water: 214 mm, tilt: -45 deg": false,
	} {
		s := scenetest.Parse(t, strings.Replace(scene, "PLACE", place, 1))
		said := ""
		for _, w := range s.Warnings {
			said += w.String() + "\n"
		}
		if got := strings.Contains(said, "rails[1]: the bars of rail a and rail b overlap"); got != crossing {
			t.Errorf("%s: %v, %q", place, got, said)
		}
		if why := s.PlacementError(); why.Any() != crossing || crossing && why.Code != finding.BarsOverlap {
			t.Errorf("%s: it cannot be built, as %q", place, why)
		}
	}
}
