package live

import (
	"encoding/json"
	"fmt"
	"net/http"
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

// TestDriversChannelsAndDay: each driver, channel and program of a day is a thing with its keys; its points are told one
// by one, those of a program by on and off as what they come to, and each can be changed and taken out.
func TestDriversChannelsAndDay(t *testing.T) {
	t.Parallel()
	text := `tank: {length: 900 mm, width: 400 mm, height: 400 mm, water: {depth: 350 mm}}
rails:
  - {name: main, length: 800 mm, above_water: 100 mm, modules: [{part: quad-neutral, optic: round-60, x: 200 mm, current: 350 mA}, {part: quad-blue, optic: round-60, x: 600 mm, current: 350 mA}]}
wiring:
  drivers:
    - {name: white, driver: cc-350, modules: ["kind:neutral"]}
    - {name: blue, modules: ["kind:blue"]}
  channels: [{name: white, level: 50 %}, {name: blue, dimming: pulses}] # two
day:
  - {channel: blue, points: [{at: 8:00, level: 0 %}, {at: 9:30, level: 90 %}, {at: 20:00, level: 0 %}]}
  - {on: 9:00, off: 19:00, ramp: 30 min}
`
	sc, err := scene.Parse("two.yaml", []byte(text), nil)
	if err != nil {
		t.Fatal(err)
	}
	h := New(Config{Token: token, Hosts: []string{"127.0.0.1:1"}, Open: func(*scene.Scene) (Glance, error) { return spacingGlance, nil }})
	show(t, h, sc)
	o := ask(t, h, "POST", "edit", object{"state": State{numberOf(sc), edit.SettingOf(sc)}, "edits": []object{
		{"path": []any{"day", 0, "points", 1, "at"}, "value": "10:15"}, {"path": []any{"wiring", "channels", 1, "dimming"}, "value": "current"},
		{"path": []any{"wiring", "drivers", 1, "driver"}, "value": "cc-350"}, {"path": []any{"day", 1, "off"}, "value": "18:00"}}})
	data, _ := json.Marshal([]any{o["drivers"], o["knots"], o["refused"]})
	if want := `[[{"modules":["main:1"],"name":"white"},{"modules":["main:2"],"name":"blue"}],[[{"at":"9:00","level":"0 %"},{"at":"9:30","level":"100 %"},{"at":"17:30","level":"100 %"},{"at":"18:00","level":"0 %"}],[{"at":"8:00","level":"0 %"},{"at":"10:15","level":"90 %"},{"at":"20:00","level":"0 %"}]],null]`; string(data) != want {
		t.Errorf("it is\n%s\nnot\n%s", data, want)
	}
	said := map[string]string{}
	for _, one := range o["things"].([]any) {
		thing := one.(object)
		for _, r := range thing["rows"].([]any) {
			said[thing["id"].(string)+" "+r.(object)["key"].(string)] = r.(object)["value"].(string)
		}
		said[thing["id"].(string)] = fmt.Sprint(thing["title"], " ", len(thing["points"].([]any)))
	}
	for key, want := range map[string]string{"driver-1": "Driver blue 0", "driver-1 driver": "cc-350", "driver-0 modules": `["kind:neutral"]`, "channel-1 dimming": "current", "channel-1 name": "blue",
		"day-0": "Day of channel blue 3", "day-1": "Day of all other channels 0", "day-1 ramp": "30 min", "day-1 off": "18:00"} {
		if said[key] != want {
			t.Errorf("%s is %q, not %q", key, said[key], want)
		}
	}
	for _, key := range []string{"channel-0 level", "day-0 on", "day-1 points"} {
		if v, is := said[key]; is {
			t.Errorf("%s is a field, %q", key, v)
		}
	}
	version := int64(o["state"].(object)["version"].(float64))
	o = ask(t, h, "POST", "edit", object{"state": State{version, edit.SettingOf(h.version(version).scene)}, "edits": []object{
		{"path": []any{"day", 0, "points", 2}}, {"path": []any{"wiring", "drivers", 0, "modules"}, "value": `["main:1", "main:2"]`}, {"path": []any{"wiring", "drivers", 1}}, {"path": []any{"wiring", "channels"}}, {"path": []any{"day", 0}}}})
	if o["refused"] != nil || len(o["drivers"].([]any)) != 1 || len(o["knots"].([]any)) != 1 {
		t.Errorf("taken out: %v", o["refused"])
	}
}
