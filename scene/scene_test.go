package scene_test

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"fathomlux/scene"
	"fathomlux/scene/parts"
	"fathomlux/scene/scenetest"
)

// near tells whether two lengths agree to a nanometre; they come from a few sums of decimals.
func near(a, b float64) bool { return math.Abs(a-b) < 1e-9 }

func TestParseTank(t *testing.T) {
	s := scenetest.Parse(t, scenetest.Sound)
	tank := s.Tank
	if s.Title != "Library foyer, planted tank" || s.File != "foyer.yaml" || len(s.Warnings) != 0 {
		t.Errorf("title %q, file %q, warnings %v", s.Title, s.File, s.Warnings)
	}
	if tank.LengthM != 1.18 || tank.WidthM != 0.43 || tank.HeightM != 0.48 || !near(tank.RimAboveWaterM(), 0.06) {
		t.Errorf("tank %g x %g x %g m, rim %g m above the water", tank.LengthM, tank.WidthM, tank.HeightM, tank.RimAboveWaterM())
	}
	want := scene.Walls{
		Front: scene.Wall{Kind: scene.GlassWall}, Left: scene.Wall{Kind: scene.AcrylicWall},
		Right: scene.Wall{Kind: scene.MirrorWall, Reflectance: 0.9}, Back: scene.Wall{Kind: scene.PaintWall, Reflectance: 0.08},
	}
	if tank.Walls != want || tank.FloorReflectance != 0.25 {
		t.Errorf("walls %+v, floor %g", tank.Walls, tank.FloorReflectance)
	}
	if c := tank.Cover; c == nil || *c != (scene.Cover{Material: scene.ClearGlass, ThicknessM: 0.004, AboveWaterM: 0.03}) {
		t.Errorf("cover %+v", c)
	}
	box := tank.Obstacles[0].Box
	if tank.Obstacles[0].Name != "brace" || box.Empty() || box.Min.X != 0.56 || box.Max.Z != 0.48 {
		t.Errorf("the corners of %+v were not put in order", tank.Obstacles[0])
	}
}

func TestParseWater(t *testing.T) {
	w := scenetest.Parse(t, scenetest.Sound).Tank.Water
	if w.DepthM != 0.42 || w.Kind != parts.Builtin().Waters["clear"] || w.TemperatureC != 25 || w.HalfDepthM != 0 {
		t.Errorf("water %+v", w)
	}
	own := scenetest.Edit(t, scenetest.Sound, "kind: clear, temperature: 25 C, salinity: 0 g/kg", "kind: tinted, temperature: 77 F, salinity: 35 ppt, "+
		"cdom_absorption_440: 0.3 1/m, cdom_spectral_slope: 0.015 1/nm, particle_absorption: 0.02 1/m, particle_scattering: 0.3 1/m, asymmetry: 0.9")
	w = scenetest.Parse(t, own).Tank.Water
	k := w.Kind
	if !near(w.TemperatureC, 25) || w.SalinityGPerKg != 35 || k.Name != "tinted" || k.CDOM440PerM != 0.3 ||
		k.CDOMSlopePerNm != 0.015 || k.ParticleAbsorbPerM != 0.02 || k.ParticleScatterPerM != 0.3 || k.Asymmetry != 0.9 {
		t.Errorf("the water's own numbers were not taken: %+v", w)
	}
	measured := scenetest.Edit(t, scenetest.Sound, "kind: clear", "half_depth: 900 mm")
	if got := scenetest.Parse(t, measured).Tank.Water.HalfDepthM; got != 0.9 {
		t.Errorf("half depth %g m", got)
	}
}

func TestParseRail(t *testing.T) {
	s := scenetest.Parse(t, scenetest.Sound)
	rail := s.Rails[0]
	if rail.Name != "main" || rail.Profile.Name != "bar-40x20" || !near(rail.LeftM, 0.04) || rail.YM != 0.215 || rail.AboveWaterM != 0.16 {
		t.Errorf("rail %s at x %g, y %g, %g m above the water", rail.Name, rail.LeftM, rail.YM, rail.AboveWaterM)
	}
	if len(rail.KeepOuts) != 1 || rail.KeepOuts[0] != (scene.KeepOut{FromM: 0.57, ToM: 0.61, Why: "cable gland"}) {
		t.Errorf("keep-outs %+v", rail.KeepOuts)
	}
	wantX := []float64{0.14, 0.32, 0.5, 0.68, 0.86, 1.04} // 180 mm apart around the rail's middle at 590 mm
	for i, m := range rail.Modules {
		if !near(m.XM, wantX[i]) || m.CurrentA != 0.35 || m.Part.Name != "quad-neutral" || m.Optic.Name != "round-40" {
			t.Errorf("module %d: %s at %g m, not %g", i, m.Part.Name, m.XM, wantX[i])
		}
	}
	if dieLm := parts.Builtin().Modules["quad-neutral"].FluxLm.AtOrZero(0.35); math.Abs(rail.Modules[0].FluxLm()-4*dieLm) > 1e-9 {
		t.Errorf("flux of a module %g lm, of one of its four dies %g lm", rail.Modules[0].FluxLm(), dieLm)
	}
}

func TestParseWiringAndGoal(t *testing.T) {
	s := scenetest.Parse(t, scenetest.Sound)
	w := s.Wiring
	if w.Driver.Name != "cc-700" || w.Strings != 2 || w.HoursPerDay != 9 || w.TariffPerKWh != (parts.Money{Amount: 0.28, Currency: "EUR"}) {
		t.Errorf("wiring %+v", w)
	}
	if s.Ambient.AirC != 24 ||
		!reflect.DeepEqual(s.Goal, scene.Goal{Plane: scene.PlaneRef{Name: "floor", DepthM: 0.42}, IlluminanceLx: 2500, Uniformity: 0.5}) {
		t.Errorf("air %g C, goal %+v", s.Ambient.AirC, s.Goal)
	}
	other := scenetest.Edit(t, scenetest.Sound, "plane: floor, illuminance: 2500 lx", "plane: 200 mm, ppfd: 50 umol/m2/s, dli: 1.5 mol/m2/day")
	g := scenetest.Parse(t, other).Goal
	if !reflect.DeepEqual(g, scene.Goal{Plane: scene.PlaneRef{Name: "200 mm", DepthM: 0.2}, PPFD: 50, DLI: 1.5, Uniformity: 0.5}) {
		t.Errorf("goal %+v", g)
	}
}

func TestDefaults(t *testing.T) {
	s, err := scene.Parse("some/small.yaml", []byte(scenetest.Smallest), nil)
	if err != nil {
		t.Fatal(err)
	}
	rail, m := s.Rails[0], s.Rails[0].Modules[0]
	if s.Title != "small" || s.Ambient.AirC != 24 || s.Tank.FloorReflectance != 0.2 || s.Tank.Walls != (scene.Walls{}) || s.Tank.Cover != nil {
		t.Errorf("title %q, air %g, floor %g, walls %+v", s.Title, s.Ambient.AirC, s.Tank.FloorReflectance, s.Tank.Walls)
	}
	if w := s.Tank.Water; w.Kind.Name != "clear" || w.TemperatureC != 25 || w.SalinityGPerKg != 0 {
		t.Errorf("water %+v", w)
	}
	if rail.Name != "rail 1" || rail.Profile.Name != "bar-40x20" || !near(rail.LeftM, 0.05) || !near(rail.YM, 0.15) || !near(m.XM, 0.3) {
		t.Errorf("rail %s, %s at %g, %g, module at %g", rail.Name, rail.Profile.Name, rail.LeftM, rail.YM, m.XM)
	}
	if s.Goal.Set() || s.Goal.Plane.Name != "floor" || s.Goal.Plane.DepthM != 0.33 || s.Wiring.Strings != 0 {
		t.Errorf("goal %+v, wiring %+v", s.Goal, s.Wiring)
	}
}

func TestModulesInTheOrderOfTheFile(t *testing.T) {
	text := scenetest.Edit(t, scenetest.Sound, "{part: quad-neutral, optic: round-40, count: 6, spacing: 180 mm, current: 350 mA}", `
      - {part: quad-blue, optic: round-60, x: 900 mm, current: 500 mA}
      - {part: quad-neutral, optic: round-40, count: 2, spacing: 200 mm, centre: 300 mm, current: 0.35 A}
      - {part: quad-warm, optic: round-25, count: 1, current: 350 mA}`, "{from: 570 mm, to: 610 mm, why: cable gland}", "{from: 50 mm, to: 60 mm}")
	want := []struct {
		part string
		x    float64
	}{{"quad-blue", 0.9}, {"quad-neutral", 0.2}, {"quad-neutral", 0.4}, {"quad-warm", 0.59}}
	s := scenetest.Parse(t, text)
	if len(s.Rails[0].Modules) != len(want) || len(s.Warnings) != 0 {
		t.Fatalf("%d modules, warnings %v", len(s.Rails[0].Modules), s.Warnings)
	}
	for i, m := range s.Rails[0].Modules {
		if m.Part.Name != want[i].part || !near(m.XM, want[i].x) {
			t.Errorf("module %d is %s at %g m, not %+v", i, m.Part.Name, m.XM, want[i])
		}
	}
}

func TestPlane(t *testing.T) {
	tank := scenetest.Parse(t, scenetest.Sound).Tank
	for text, want := range map[string]scene.PlaneRef{
		"surface":  {Name: "surface"},
		"mid":      {Name: "mid", DepthM: 0.21},
		" floor ":  {Name: "floor", DepthM: 0.42},
		"200 mm":   {Name: "200 mm", DepthM: 0.2},
		"0 mm":     {Name: "0 mm"},
		"420 mm":   {Name: "420 mm", DepthM: 0.42},
		"0.1 m":    {Name: "0.1 m", DepthM: 0.1},
		"7.874 in": {Name: "7.874 in", DepthM: 7.874 * 0.0254},
	} {
		if got, err := tank.Plane(text); err != nil || got.Name != want.Name || !near(got.DepthM, want.DepthM) {
			t.Errorf("%q is %+v, %v", text, got, err)
		}
	}
	for text, want := range map[string]string{
		"flor":    `did you mean "floor"?`,
		"bottom":  "use surface, mid, floor or a depth such as 200 mm",
		"":        "use surface, mid, floor or a depth",
		"500 mm":  "500 mm is out of range; a plane lies from 0 mm to 420 mm below the surface",
		"-1 mm":   "out of range",
		"200":     "200 has no unit; write 200 mm or 0.2 m",
		"1e999 m": "too large",
		"20 lx":   "not a unit of length",
	} {
		if got, err := tank.Plane(text); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q is %+v, %v", text, got, err)
		}
	}
}

func TestStarterIsSoundAndUsesBuiltinPartsOnly(t *testing.T) {
	s := scenetest.Parse(t, scene.Starter())
	if len(s.Warnings) != 0 || !s.Goal.Set() || len(s.Rails) != 1 || len(s.Rails[0].Modules) != 4 {
		t.Errorf("warnings %v, goal %+v", s.Warnings, s.Goal)
	}
	if strings.Count(scene.Starter(), "#") < 15 {
		t.Error("the starter scene explains too little")
	}
	// What stands in comments as an alternative works too.
	other := scenetest.Edit(t, scene.Starter(), "# half_depth: 900 mm ", "half_depth: 900 mm ",
		"# obstacles: ", "obstacles: ", "  #   - {name: brace", "      - {name: brace", "# things: ", "things: ",
		"  #   - {name: root", "      - {name: root", "  #   - {name: heap", "      - {name: heap",
		"  floor: {diffuse", "  # floor: {diffuse", "# floor: {substrate", "floor: {substrate",
		"    modules: {part: quad-neutral", "    # modules: {part: quad-neutral", "    # modules:\n", "    modules:\n",
		"#   - {part: quad-neutral", "  - {part: quad-neutral", "#   - {part: quad-blue", "  - {part: quad-blue", "# keep_out", "keep_out")
	if s := scenetest.Parse(t, other); len(s.Rails[0].Modules) != 2 || len(s.Tank.Obstacles) != 1 || len(s.Tank.Things) != 2 || s.Tank.Ground.Level() || len(s.Rails[0].KeepOuts) != 1 {
		t.Errorf("alternatives gave %d modules, %d obstacles", len(s.Rails[0].Modules), len(s.Tank.Obstacles))
	}
}
