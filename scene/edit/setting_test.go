package edit

import (
	"math"
	"os"
	"reflect"
	"strings"
	"testing"

	"fathomlux/scene"
)

func readExample(t *testing.T, name string) *scene.Scene {
	t.Helper()
	sc, err := scene.Read("../../examples/" + name)
	if err != nil {
		t.Fatal(err)
	}
	return sc
}

func TestSetOwnSettingChangesNothing(t *testing.T) {
	for _, name := range []string{"foyer/foyer.yaml", "frag/frag.yaml", "shelf/shelf.yaml"} {
		sc := readExample(t, name)
		same, err := Set(sc, SettingOf(sc))
		if err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(same.Rails, sc.Rails) || !reflect.DeepEqual(same.Tank, sc.Tank) || !reflect.DeepEqual(same.Goal, sc.Goal) {
			t.Errorf("%s: its own setting makes another scene", name)
		}
	}
	if frag := SettingOf(readExample(t, "frag/frag.yaml")); frag.Rails[0].Optic != "round-60" || frag.Rails[0].CurrentA != 0.35 || len(frag.Rails) != 2 {
		t.Errorf("frag: %+v", frag.Rails[0])
	}
}

// playedWith is a setting of the foyer that changes all there is.
func playedWith(sc *scene.Scene) Setting {
	t := SettingOf(sc)
	t.WaterDepthM, t.WaterKind, t.ExtraAbsorbPerM = 0.4, "tea", 0.25
	t.Rails[0] = RailSetting{AboveWaterM: 0.2, YM: 0.2, TiltRad: 0.1, Optic: "drawer-50", BeamRad: 33.5 * math.Pi / 180, CurrentA: 0.3,
		Modules: []Placed{{Like: 0, XM: 0.2}, {Like: 4, XM: 0.61}, {Like: 1, XM: 1}}}
	return t
}

func TestSetChangesAll(t *testing.T) {
	sc := readExample(t, "foyer/foyer.yaml")
	is, err := Set(sc, playedWith(sc))
	if err != nil {
		t.Fatal(err)
	}
	r, m := is.Rails[0], is.Rails[0].Modules[1]
	if r.AboveWaterM != 0.2 || r.YM != 0.2 || r.TiltRad != 0.1 || len(r.Modules) != 3 || m.XM != 0.61 || m.CurrentA != 0.3 {
		t.Errorf("%+v", r)
	}
	if m.Optic.Name != "drawer-50 at 33.5 deg" || !near(m.Optic.BeamRad, 33.5*math.Pi/180) || m.Optic.Efficiency != 0.87 {
		t.Errorf("%+v", m.Optic)
	}
	if w := is.Tank.Water; w.DepthM != 0.4 || w.Kind.Name != "tea" || w.ExtraAbsorbPerM != 0.25 || is.Goal.Plane.DepthM != 0.4 {
		t.Errorf("%+v", w)
	}
	if len(sc.Rails[0].Modules) != 5 || sc.Tank.Water.DepthM != 0.42 {
		t.Error("the scene itself changed")
	}
}

func TestSetRefuses(t *testing.T) {
	sc := readExample(t, "foyer/foyer.yaml")
	for want, spoil := range map[string]func(*Setting){
		"2 rails":                      func(t *Setting) { t.Rails = append(t.Rails, t.Rails[0]) },
		"kind of water \"te\"":         func(t *Setting) { t.WaterKind = "te" },
		"extra absorption":             func(t *Setting) { t.ExtraAbsorbPerM = -3 },
		"extra absorption of NaN":      func(t *Setting) { t.ExtraAbsorbPerM = math.NaN() },
		"optic \"round-41\"":           func(t *Setting) { t.Rails[0].Optic = "round-41" },
		"beam: 359°":                   func(t *Setting) { t.Rails[0].BeamRad = 359 * math.Pi / 180 },
		"current: 90 A":                func(t *Setting) { t.Rails[0].CurrentA = 90 },
		"not above the cover":          func(t *Setting) { t.Rails[0].AboveWaterM = 0.02 },
		"no module 6":                  func(t *Setting) { t.Rails[0].Modules[0].Like = 6 },
		"no module -1":                 func(t *Setting) { t.Rails[0].Modules[0].Like = -1 },
		"is beyond":                    func(t *Setting) { t.Rails[0].Modules[0].XM = math.Inf(1) },
		"0 modules":                    func(t *Setting) { t.Rails[0].Modules = nil },
		"depth: 600 mm":                func(t *Setting) { t.WaterDepthM = 0.6 },
		"401 modules; a rail may have": func(t *Setting) { t.Rails[0].Modules = make([]Placed, 401) },
	} {
		setting := SettingOf(sc)
		spoil(&setting)
		if _, err := Set(sc, setting); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("got %v, want %q", err, want)
		}
	}
}

// TestRewriteOfASetting reads the text back that a setting gives, wherever the file has its parts.
func TestRewriteOfASetting(t *testing.T) {
	data, err := os.ReadFile("../../examples/foyer/foyer.yaml")
	if err != nil {
		t.Fatal(err)
	}
	open := func(name string) ([]byte, error) { return os.ReadFile("../../examples/foyer/" + name) }
	own := "parts:\n  drivers: {drawer-450: {based_on: cc-450}}\n  optics: {drawer-50: {beam: 50 deg, efficiency: 0.87, stray: 0.04, price: 0 EUR}}\n"
	noOptics := "parts: {drivers: {drawer-450: {based_on: cc-450}}, waters: {mine: {based_on: tea}}}\n"
	numbers := strings.Replace(string(data), "kind: clear,", "kind: clear, cdom_absorption_440: 0.3 1/m, particle_absorption: 0.02 1/m,", 1)
	for name, c := range map[string]struct{ text, optic string }{
		"a file of parts":          {string(data), "drawer-50"},
		"parts in the scene":       {strings.Replace(string(data), "parts: foyer-parts.yaml", own, 1), "drawer-50"},
		"parts without optics":     {strings.Replace(string(data), "parts: foyer-parts.yaml", noOptics, 1), "oval-60x25"},
		"no parts":                 {strings.Replace(string(data), "parts: foyer-parts.yaml", "", 1), "wide-60f"},
		"numbers of its own water": {numbers, "drawer-50"},
		"numbers by an old name":   {strings.Replace(numbers, "cdom_absorption_440", "colour_440", 1), "drawer-50"},
	} {
		sc, err := scene.Parse("foyer.yaml", []byte(c.text), open)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		setting := playedWith(sc)
		setting.Rails[0].Optic = c.optic
		want, err := Set(sc, setting)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		text, err := Rewrite(want)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		got, err := scene.Parse("again.yaml", text, open)
		if err != nil {
			t.Fatalf("%s: %v in\n%s", name, err, text)
		}
		checkSame(t, name, got, want)
	}
}

func checkSame(t *testing.T, name string, got, want *scene.Scene) {
	t.Helper()
	a, b := got.Tank.Water, want.Tank.Water
	a.Kind.About, b.Kind.About = "", ""
	if a != b || !reflect.DeepEqual(got.Goal, want.Goal) {
		t.Errorf("%s: water %+v, want %+v", name, a, b)
	}
	for i, m := range got.Rails[0].Modules {
		w := want.Rails[0].Modules[i]
		o, p := m.Optic, w.Optic
		if !near(m.XM, w.XM) || m.CurrentA != w.CurrentA || o.Efficiency != p.Efficiency || o.StrayShare != p.StrayShare || o.Price != p.Price {
			t.Errorf("%s: module %d at %g with %+v, want %g with %+v", name, i, m.XM, o, w.XM, p)
		}
		for k, rad := range []float64{o.BeamRad - p.BeamRad, o.BeamAcrossRad - p.BeamAcrossRad, o.FieldRad - p.FieldRad, o.FieldAcrossRad - p.FieldAcrossRad} {
			if math.Abs(rad) > 1e-8 { // they are written to a millionth of a degree, 1.7e-8 rad
				t.Errorf("%s: angle %d of module %d is off by %g rad", name, k, i, rad)
			}
		}
	}
}

// TestBeamNamesDoNotGrow changes the beam of an optic that got another beam before, in memory and in the file.
func TestBeamNamesDoNotGrow(t *testing.T) {
	sc := readExample(t, "foyer/foyer.yaml")
	for _, step := range []struct {
		deg  float64
		want string
	}{{33, " at 33 deg"}, {45, " at 45 deg"}, {50.5, "-at-50.5-deg"}, {41, " at 41 deg"}} {
		own := sc.Rails[0].Modules[0].Optic
		next, err := With(sc, change(t, "", "beam", step.deg*math.Pi/180))
		if err != nil {
			t.Fatal(err)
		}
		if step.want[0] == '-' { // through the file
			text, err := Rewrite(next)
			if err != nil {
				t.Fatal(err)
			}
			if next, err = scene.Parse("foyer.yaml", text, sc.Open); err != nil {
				t.Fatal(err)
			}
		}
		if got := next.Rails[0].Modules[0].Optic; got.Name != "round-40"+step.want || got.BeamOf != "round-40" || got.Efficiency != own.Efficiency {
			t.Errorf("%g deg: %+v", step.deg, got)
		}
		sc = next
	}
}
