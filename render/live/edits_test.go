package live

import (
	"context"
	"encoding/json"
	"net/http"
	"net/url"
	"strings"
	"testing"

	"fathomlux/scene"
	"fathomlux/scene/edit"
)

// outlined is what an edit answers, as far as the tests look at it.
type outlined struct {
	Refused string
	State   struct{ Version int64 }
	Disk    int64
	Rails   []struct{ Name string }
	Things  []struct {
		ID   string
		Rows []struct{ Key, Value string }
	}
}

func (o outlined) value(id, key string) string {
	for _, t := range o.Things {
		for _, r := range t.Rows {
			if t.ID == id && r.Key == key {
				return r.Value
			}
		}
	}
	return "no such key"
}

// TestEditsMakeVersions: keys of the file change beside a slider that has moved, rails come and go, the version before
// stays as it was, and faults are told by their places.
func TestEditsMakeVersions(t *testing.T) {
	h, sc := handler(t, Config{})
	state := State{numberOf(sc), edit.SettingOf(sc)}
	state.Rails[0].AboveWaterM = 0.2
	ask := func(s State, edits ...any) (o outlined) {
		t.Helper()
		w := call(h, "POST", "/"+token+"/edit", object{"state": s, "edits": edits}, nil)
		if err := json.Unmarshal(w.Body.Bytes(), &o); err != nil || w.Code != http.StatusOK {
			t.Fatalf("%d, %v: %s", w.Code, err, w.Body)
		}
		return o
	}
	put := func(value string, path ...any) object { return object{"path": path, "value": value} }
	made := ask(state, put("{mirror: 0.9}", "tank", "walls", "back"), put("900 lx", "goal", "illuminance"))
	if made.Refused != "" || made.State.Version == numberOf(sc) || made.Disk != numberOf(sc) || made.value("walls", "back") != "{mirror: 0.9}" ||
		made.value("goal", "illuminance") != "900 lx" {
		t.Errorf("a mirror and a goal: %+v", made)
	}
	if v := h.version(made.State.Version).scene; v.Tank.Walls.Back.Kind != scene.MirrorWall || v.Rails[0].AboveWaterM != 0.2 {
		t.Errorf("the version has %+v and a rail at %g m", v.Tank.Walls.Back, v.Rails[0].AboveWaterM)
	}
	if h.version(numberOf(sc)).scene.Tank.Walls.Back.Kind == scene.MirrorWall {
		t.Error("the version before has changed")
	}
	state = State{made.State.Version, edit.SettingOf(h.version(made.State.Version).scene)}
	rail := "{name: second, length: 300 mm, y: 40 mm, above_water: 90 mm, modules: {part: quad-cool, optic: round-60, count: 1, current: 350 mA}}"
	two := ask(state, put(rail, "rails", len(state.Rails)))
	if n := len(two.Rails); two.Refused != "" || n != len(state.Rails)+1 || two.Rails[n-1].Name != "second" {
		t.Errorf("one more rail: %+v", two)
	}
	if one := ask(State{two.State.Version, edit.SettingOf(h.version(two.State.Version).scene)}, put("", "rails", len(state.Rails))); len(one.Rails) != len(state.Rails) {
		t.Errorf("the rail is not taken out: %+v", one)
	}
	for name, c := range map[string]struct {
		edit object
		says string
	}{
		"no quantity":   {put("many", "tank", "length"), "tank.length: "},
		"not YAML":      {put("{", "tank", "length"), "not YAML"},
		"a needed key":  {put("", "tank", "length"), "missing"},
		"an own key":    {put("1", "tank", "colour"), "unknown key"},
		"nowhere":       {put("1"), "no place"},
		"an odd place":  {put("1", "rails", 9), "no item"},
		"half a number": {put("1", "rails", 0.5, "name"), ""},
	} {
		if o := ask(state, c.edit); c.says != "" && !strings.Contains(o.Refused, c.says) {
			t.Errorf("%s: %q does not say %q", name, o.Refused, c.says)
		}
	}
}

// TestModulesOfTheirOwn: one module of a rail gets another part, optic and current, within what the part takes.
func TestModulesOfTheirOwn(t *testing.T) {
	h, sc := handler(t, Config{})
	state := State{numberOf(sc), edit.SettingOf(sc)}
	r := &state.Rails[0]
	r.Optic, r.CurrentA = "", 0
	r.Modules[1].Part, r.Modules[1].Optic, r.Modules[1].CurrentA = "quad-blue", "round-25", 0.3
	made, err := h.edit(editRequest{State: state})
	if err != nil {
		t.Fatal(err, made)
	}
	modules := h.version(made.(object)["state"].(State).Version).scene.Rails[0].Modules
	if m, other := modules[1], modules[0]; m.Part.Name != "quad-blue" || m.Optic.Name != "round-25" || m.CurrentA != 0.3 ||
		other.Part.Name == "quad-blue" || other.CurrentA == 0.3 {
		t.Errorf("the modules are %s %s %g A and %s %g A", m.Part.Name, m.Optic.Name, m.CurrentA, other.Part.Name, other.CurrentA)
	}
	for _, spoil := range []func(*edit.Placed){func(p *edit.Placed) { p.CurrentA = 40 }, func(p *edit.Placed) { p.Part = "none" },
		func(p *edit.Placed) { p.Optic = "none" }, func(p *edit.Placed) { p.CurrentA = -1 }} {
		bad := state
		bad.Rails = append([]edit.RailSetting(nil), state.Rails...)
		bad.Rails[0].Modules = append([]edit.Placed(nil), r.Modules...)
		spoil(&bad.Rails[0].Modules[1])
		if _, err := h.edit(editRequest{State: bad}); err == nil {
			t.Errorf("%+v is taken", bad.Rails[0].Modules[1])
		}
	}
}

// TestSheetsAreOfTheState: a sheet is asked for with a state in its address, and drawn of the scene that this makes.
func TestSheetsAreOfTheState(t *testing.T) {
	h, sc := handler(t, Config{Sheet: func(_ context.Context, sc *scene.Scene, name string) ([]byte, bool, error) {
		return []byte(name + " at " + scene.RailWord(sc.Rails[0].Name)), name == "heat", nil
	}})
	state := State{numberOf(sc), edit.SettingOf(sc)}
	data, _ := json.Marshal(state)
	for name, want := range map[string]struct {
		query string
		code  int
		kind  string
	}{
		"heat":   {"?state=" + url.QueryEscape(string(data)), 200, "image/svg+xml"},
		"money":  {"?state=" + url.QueryEscape(string(data)), 200, "text/plain; charset=utf-8"},
		"nobody": {"", 400, "text/plain; charset=utf-8"},
		"late":   {`?state={"version":7}`, 200, "text/plain; charset=utf-8"},
	} {
		w := call(h, "GET", "/"+token+"/sheet/"+name+want.query, nil, nil)
		if w.Code != want.code || w.Header().Get("Content-Type") != want.kind {
			t.Errorf("%s: %d %s: %s", name, w.Code, w.Header().Get("Content-Type"), w.Body)
		}
	}
}
