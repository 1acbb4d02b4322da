package edit

import (
	"math"
	"os"
	"strings"
	"testing"

	"fathomlux/scene"
	"fathomlux/scene/scenetest"
	"fathomlux/scene/unit"
)

func TestRewriteKeepsCommentsAndNumbers(t *testing.T) {
	data, err := os.ReadFile("../../examples/foyer/foyer.yaml")
	if err != nil {
		t.Fatal(err)
	}
	open := func(name string) ([]byte, error) { return os.ReadFile("../../examples/foyer/" + name) }
	sc, err := scene.Parse("foyer.yaml", data, open)
	if err != nil {
		t.Fatal(err)
	}
	moved, err := With(sc, change(t, "", "spacing", 0.1637), change(t, "", "height", 0.175), change(t, "", "tilt", 0.1), change(t, "", "depth", 0.4))
	if err != nil {
		t.Fatal(err)
	}
	text, err := Rewrite(moved)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"# An invented scene", "# floor to rim", "# dark film behind the back pane", "above_water: 175 mm", "# emitting face to water surface",
		"- {part: quad-neutral, optic: round-40, x: 262.6 mm, current: 450 mA}", "parts: foyer-parts.yaml"} {
		if !strings.Contains(string(text), want) {
			t.Errorf("the new text has no %q:\n%s", want, text)
		}
	}
	if files := sc.Files(); len(files) != 1 || files[0].Name != "foyer-parts.yaml" || len(files[0].Content) == 0 {
		t.Errorf("files %+v", files)
	}
	again, err := scene.Parse("again.yaml", text, open)
	if err != nil {
		t.Fatal(err)
	}
	for i, m := range again.Rails[0].Modules {
		if !near(m.XM, moved.Rails[0].Modules[i].XM) || m.Optic.Name != "round-40" {
			t.Errorf("module %d at %g, not %g", i, m.XM, moved.Rails[0].Modules[i].XM)
		}
	}
	if !near(again.Rails[0].TiltRad, 0.1) || again.Tank.Water.DepthM != 0.4 {
		t.Errorf("tilt %g, depth %g", again.Rails[0].TiltRad, again.Tank.Water.DepthM)
	}
}

func TestRewriteQuotesNames(t *testing.T) {
	text := strings.ReplaceAll(varied, "optic: round-40", `optic: "123"`) + `
parts:
  optics:
    "123": {about: a name that looks like a number, beam: 40 deg, efficiency: 0.9}
`
	sc, err := scene.Parse("varied.yaml", []byte(text), nil)
	if err != nil {
		t.Fatal(err)
	}
	out, err := Rewrite(sc)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := scene.Parse("again.yaml", out, nil); err != nil {
		t.Errorf("%v in\n%s", err, out)
	}
}

// TestRewriteOfWhatIsAsItWas: a scene in which nothing changes is written as it was typed.
func TestRewriteOfWhatIsAsItWas(t *testing.T) {
	text := strings.ReplaceAll(varied, "rails:", "# the bar\nrails:   # over the water")
	sc, err := scene.Parse("varied.yaml", []byte(text), nil)
	if err != nil {
		t.Fatal(err)
	}
	if out, err := Rewrite(sc.Copy()); err != nil || string(out) != text {
		t.Errorf("%v: written as\n%s\nnot as\n%s", err, out, text)
	}
}

// TestRewriteFitted: the new numbers are in, and every line of the file that says something else is still there.
func TestRewriteOfACalibration(t *testing.T) {
	text := "# by the window\n" + strings.Replace(scenetest.Sound, "  width: 430 mm", "  width: 430 mm   # inside", 1)
	s := scenetest.Parse(t, text)
	out, err := Rewrite(Calibrated(s, 0.9312345, 0.2123))
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"# by the window", "# inside", "flux_factor: 0.931234", "extra_absorption: 0.2123 1/m", "modules: {part: quad-neutral, optic: round-40, count: 6, spacing: 180 mm, current: 350 mA}"} {
		if !strings.Contains(string(out), want) {
			t.Errorf("no %q in\n%s", want, out)
		}
	}
	again := scenetest.Parse(t, string(out))
	if math.Abs(again.FluxFactor-0.9312345) > 1e-6 || again.Tank.Water.ExtraAbsorbPerM != 0.2123 {
		t.Errorf("%g and %g", again.FluxFactor, again.Tank.Water.ExtraAbsorbPerM)
	}
	second, err := Rewrite(Calibrated(again, 0.8, 0.2123))
	if err != nil || strings.Count(string(second), "flux_factor") != 1 || !strings.Contains(string(second), "flux_factor: 0.8") {
		t.Errorf("%v\n%s", err, second)
	}
	if low := s.Tank.Water.LowestExtraPerM(); low < 0 { // rounded to a millionth, the lowest value must still be taken
		out, err := Rewrite(Calibrated(s, 1, low))
		if err != nil {
			t.Fatal(err)
		}
		scenetest.Parse(t, string(out))
	}
}

// TestRewriteKeepsAlternate: where modules stay, so do the entries that take turns, and the text read again has them there.
func TestRewriteKeepsAlternate(t *testing.T) {
	t.Parallel()
	const text = `tank: {length: 900 mm, width: 400 mm, height: 450 mm, water: {depth: 400 mm}}
rails:
  - length: 880 mm
    above_water: 160 mm
    modules:
      - {part: quad-neutral, optic: round-60, count: 3, spacing: 200 mm, alternate: true, current: 350 mA}
      - {part: quad-blue, optic: round-60, count: 2, spacing: 200 mm, alternate: true, current: 350 mA}
`
	sc, err := scene.Parse("tank.yaml", []byte(text), nil)
	if err != nil {
		t.Fatal(err)
	}
	lifted, err := With(sc, change(t, "", "height", 0.2))
	if err != nil {
		t.Fatal(err)
	}
	out, err := Rewrite(lifted)
	if err != nil || strings.Count(string(out), "alternate: true") != 2 {
		t.Fatalf("%v:\n%s", err, out)
	}
	again, err := scene.Parse("tank.yaml", out, nil)
	if err != nil || again.Rails[0].AboveWaterM != 0.2 {
		t.Fatal(err)
	}
	for i, m := range again.Rails[0].Modules {
		if !near(m.XM, sc.Rails[0].Modules[i].XM) {
			t.Errorf("module %d at %g, not %g", i, m.XM, sc.Rails[0].Modules[i].XM)
		}
	}
}

// TestRewriteKeepsInches: what a hand moves in a scene that is written in inches is written in inches again, exactly enough
// to be where it was put; names that look like lengths stay as they are.
func TestRewriteKeepsInches(t *testing.T) {
	t.Parallel()
	text := `tank: {length: 12 in, width: 10 in, height: 10 in, water: {depth: 8 in}}
rails: [{name: "side: 5 mm", length: 11 in, above_water: 3 in, modules: {part: quad-neutral, optic: round-60, count: 1, current: 350 mA}}]
wiring: {channels: [{name: "at: 5 mm", modules: ["kind:neutral"]}]}
`
	sc, err := scene.Parse("inches.yaml", []byte(text), nil)
	if err != nil {
		t.Fatal(err)
	}
	setting := SettingOf(sc)
	setting.Rails[0].AboveWaterM, setting.Rails[0].Modules[0].XM, setting.WaterDepthM, setting.Levels[0] = 0.1016, 0.1237, 0.19, 0.5
	moved, err := Set(sc, setting)
	if err != nil {
		t.Fatal(err)
	}
	out, err := Rewrite(moved)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"above_water: 4 in", "x: 4.87008 in", "depth: 7.48031 in", `"side: 5 mm"`, `name: "at: 5 mm"`, "level: 50 %"} {
		if !strings.Contains(string(out), want) {
			t.Errorf("it lacks %s:\n%s", want, out)
		}
	}
	again, err := scene.Parse("inches.yaml", out, nil)
	if err != nil || math.Abs(again.Rails[0].Modules[0].XM-0.1237) > 1e-6 || math.Abs(again.Tank.Water.DepthM-0.19) > 1e-6 || again.Units() != unit.US {
		t.Errorf("%v: read again, the module is at %g m, the water %g m deep", err, again.Rails[0].Modules[0].XM, again.Tank.Water.DepthM)
	}
}
