package edit

import (
	"strings"
	"testing"

	"fathomlux/scene"
)

// TestLevels: a channel's level is varied, set by a page and written into the file, and reaches its modules alone.
func TestLevels(t *testing.T) {
	r, err := ParseRange("level.quad-blue=10%:100%:30%")
	if err != nil || r.Name() != "level.quad-blue" || len(r.Values) != 4 || !near(r.Values[3], 1) || r.Variable.Say(r.Values[1]) != "40 %" {
		t.Fatalf("%+v, %v", r, err)
	}
	sc := parseVaried(t)
	dim, err := With(sc, Change{Rail: r.Rail, Variable: r.Variable, Value: 0.4})
	if err != nil || !near(dim.Rails[1].Modules[1].Dim.Level(), 0.4) || dim.Rails[1].Modules[0].Dim.Level() != 1 || sc.Wiring.Channels[1].Level != 1 {
		t.Fatalf("%+v, %v", dim, err)
	}
	if Value(dim, "quad-blue", r.Variable) != 0.4 || Value(dim, "", r.Variable) != 1 {
		t.Error("values of levels")
	}
	out, err := Rewrite(dim)
	if err != nil || !strings.Contains(string(out), "wiring:\n  channels:\n  - {name: \"quad-neutral\", level: 100 %, dimming: current}\n  - {name: \"quad-blue\", level: 40 %, dimming: current}\n") {
		t.Fatalf("%v in\n%s", err, out)
	}
	again, err := scene.Parse("again.yaml", out, nil)
	if err != nil || again.Wiring.Channels[1].Level != 0.4 {
		t.Fatal(err)
	}
	setting := SettingOf(again)
	setting.Levels = []float64{0.25, 0}
	set, err := Set(again, setting)
	if err != nil || set.Wiring.Channels[0].Level != 0.25 || set.Rails[1].Modules[1].Dim.Level() != 0 {
		t.Errorf("%v", err)
	}
	for text, want := range map[string]string{"level=101%": "", "level.quad-blue=1": "has no unit", "level.quad-blue.x=1%": ""} {
		r, err := ParseRange(text)
		if err == nil {
			_, err = With(sc, Change{Rail: r.Rail, Variable: r.Variable, Value: r.Values[0]})
		}
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v", text, err)
		}
	}
	setting.Levels = make([]float64, 3)
	if _, err := Set(again, setting); err == nil {
		t.Error("three levels for two channels")
	}
}

// TestRewriteKeepsWhoFeedsWhom: modules that moved to other numbers keep their driver and channel in the file.
func TestRewriteKeepsWhoFeedsWhom(t *testing.T) {
	sc, err := scene.Parse("varied.yaml", []byte(varied+`wiring:
  drivers: [{name: white, modules: [front, "back:1"]}, {name: blue, modules: ["kind:blue"]}]
  channels: [{name: noon, modules: ["front:2-3"], level: 50 %, dimming: pulses}]
`), nil)
	if err != nil {
		t.Fatal(err)
	}
	if out, err := Rewrite(sc.Copy()); err != nil || string(out) != string(sc.Source()) {
		t.Errorf("%v: without a change\n%s", err, out)
	}
	setting := SettingOf(sc)
	setting.Rails[0].Modules = setting.Rails[0].Modules[1:]                                                           // number 1 goes
	setting.Rails[1].Modules = []Placed{setting.Rails[1].Modules[1], setting.Rails[1].Modules[0], {Like: 1, XM: 0.5}} // blue, white, blue
	moved, err := Set(sc, setting)
	if err != nil {
		t.Fatal(err)
	}
	out, err := Rewrite(moved)
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"{name: white, modules: ['front:1-3', 'back:2']}", "{name: blue, modules: ['back:1,3']}", "- {name: 'noon', modules: ['front:1-2'], level: 50 %, dimming: pulses}"} {
		if !strings.Contains(strings.ReplaceAll(string(out), `"`, "'"), want) {
			t.Errorf("no %s in\n%s", want, out)
		}
	}
	if again, err := scene.Parse("again.yaml", out, nil); err != nil || again.Rails[1].Modules[2].Supply != 1 || again.Rails[0].Modules[1].Dim.Level() != 0.5 || again.Rails[0].Modules[2].Dim.Level() != 1 {
		t.Errorf("%v", err)
	}
}
