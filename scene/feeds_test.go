package scene_test

import (
	"fmt"
	"strings"
	"testing"

	"fathomlux/scene"
	"fathomlux/scene/parts"
	"fathomlux/scene/scenetest"
)

// reef is two rails of four white and four blue modules, 16 in all; the wiring is to be added.
const reef = `tank: {length: 1200 mm, width: 500 mm, height: 500 mm, water: {depth: 450 mm}}
rails:
  - name: front
    length: 1100 mm
    above_water: 200 mm
    y: 150 mm
    modules:
      - {part: quad-cool, optic: round-60, count: 4, spacing: 240 mm, centre: 480 mm, current: 350 mA}
      - {part: quad-blue, optic: round-60, count: 4, spacing: 240 mm, centre: 600 mm, current: 350 mA}
  - name: back
    length: 1100 mm
    above_water: 200 mm
    y: 350 mm
    modules:
      - {part: quad-cool, optic: round-60, count: 4, spacing: 240 mm, centre: 480 mm, current: 350 mA}
      - {part: quad-blue, optic: round-60, count: 4, spacing: 240 mm, centre: 600 mm, current: 350 mA}
`

// fed writes a scene's drivers and channels as a test reads them.
func fed(s *scene.Scene) string {
	var list []string
	of := func(member func(scene.Module) bool) string {
		var seats []scene.Seat
		for _, at := range s.Seats() {
			if member(s.Rails[at.Rail].Modules[at.Module]) {
				seats = append(seats, at)
			}
		}
		return s.Runs(seats)
	}
	for i, v := range s.Wiring.Supplies {
		list = append(list, fmt.Sprintf("%s %s%d@%d: %s", v.Name, v.Driver.Name, v.Strings, v.Site, of(func(m scene.Module) bool { return m.Supply == i })))
	}
	for i, c := range s.Wiring.Channels {
		dim := parts.Dim{Below: 1 - c.Level, By: c.Dimming}
		list = append(list, fmt.Sprintf("%s at %g: %s", c.Name, c.Level, of(func(m scene.Module) bool { return m.Channel == i && m.Dim == dim })))
	}
	return strings.Join(list, "\n")
}

// TestDriversAndChannels: what a scene says of drivers and channels reaches each module; what it leaves out follows.
func TestDriversAndChannels(t *testing.T) {
	for _, row := range []struct{ name, wiring, want string }{
		{"nothing: a channel for each part", "", "quad-cool at 1: front:1-4 and back:1-4\nquad-blue at 1: front:5-8 and back:5-8"},
		{"a level alone", "wiring: {channels: [{name: quad-blue, level: 10 %, dimming: pulses}]}",
			"quad-cool at 1: front:1-4 and back:1-4\nquad-blue at 0.1: front:5-8 and back:5-8"},
		{"a driver each for like currents", `wiring: {drivers: [{name: white, driver: cc-700, modules: ["kind:cool"], strings: 2, at: wall}, {name: blue, modules: ["kind:blue"]}]}`,
			"white cc-7002@2: front:1-4 and back:1-4\nblue 0@0: front:5-8 and back:5-8\nwhite at 1: front:1-4 and back:1-4\nblue at 1: front:5-8 and back:5-8"},
		{"two drivers on a channel", `wiring: {drivers: [{modules: [front], channel: all}, {modules: [back], channel: all, at: outside}], channels: [{name: all, level: 0 %}]}`,
			"driver 1 0@0: front:1-8\ndriver 2 0@3: back:1-8\nall at 0: front:1-8 and back:1-8"},
		{"a driver of several channels", `wiring: {drivers: [{name: one, modules: [front, back]}], channels: [{name: blue, modules: ["kind:blue"], level: 40 %}, {name: dawn, modules: ["back:1,3-4"]}]}`,
			"one 0@0: front:1-8 and back:1-8\none at 1: front:1-4 and back:2\nblue at 0.4: front:5-8 and back:5-8\ndawn at 1: back:1,3-4"},
	} {
		if got := fed(scenetest.Parse(t, reef+row.wiring)); got != row.want {
			t.Errorf("%s:\n%s\nnot\n%s", row.name, got, row.want)
		}
	}
}

// TestFaultsOfDriversAndChannels: all at once, each with its place, what is wrong and what would serve.
func TestFaultsOfDriversAndChannels(t *testing.T) {
	text := reef + `wiring:
  driver: cc-700
  drivers:
    - {name: white, driver: cc-7oo, modules: ["front:1-4", "frnt:1", "back:9", "kind:pink"], at: hood}
    - {name: white, modules: ["front:3-5"]}
    - {name: blue, modules: ["kind:blue"], at: moon}
  channels:
    - {name: blue, level: 101 %}
    - {name: bleu, level: 0.4}
    - {name: dawn, modules: [back]}
    - {name: dawn, modules: ["back:2"]}
`
	_, err := scene.Parse("foyer.yaml", []byte(text), nil)
	if err == nil {
		t.Fatal("no fault")
	}
	for _, want := range []string{
		"foyer.yaml:18:11: wiring.driver: drivers and driver exclude each other",
		`foyer.yaml:20:29: wiring.drivers[0].driver: there is no driver "cc-7oo"; did you mean "cc-700"?`,
		`foyer.yaml:20:60: wiring.drivers[0].modules[1]: there is no rail "frnt"; did you mean "front"?`,
		"foyer.yaml:20:70: wiring.drivers[0].modules[2]: rail back has modules 1 to 8, not 9",
		`foyer.yaml:20:80: wiring.drivers[0].modules[3]: there is no kind of module "pink"; known: quad-blue, quad-cool, royal-blue, white-6500`,
		"foyer.yaml:20:98: wiring.drivers[0].at: there is no hood; give ambient.hood, or wall or outside here",
		`foyer.yaml:21:14: wiring.drivers[1].name: "white" is the name of the driver on line 20 already; give each driver its own`,
		"foyer.yaml:21:31: wiring.drivers[1].modules[0]: front:3-4: line 20 claims the same already; leave them out of one of the two",
		"foyer.yaml:22:30: wiring.drivers[2].modules[0]: front:5: line 21 claims the same already",
		"foyer.yaml:22:48: wiring.drivers[2].at: moon is not known; known: hood, wall, outside",
		"foyer.yaml:20:5: wiring.drivers: no driver feeds back:1-4; add them to the modules of one, or give another driver",
		"foyer.yaml:24:27: wiring.channels[0].level: 101 % is out of range; give a level from 0 % to 100 %",
		`foyer.yaml:25:14: wiring.channels[1].name: there is no channel "bleu"; did you mean "blue"?; or give the modules of this channel`,
		"foyer.yaml:25:27: wiring.channels[1].level: 0.4 has no unit; write 0.4 %",
		`foyer.yaml:27:14: wiring.channels[3].name: "dawn" is the name of the channel on line 26 already; give each channel its own`,
		"foyer.yaml:27:30: wiring.channels[3].modules[0]: back:2: line 26 claims the same already",
	} {
		if !strings.Contains(err.Error(), want) {
			t.Errorf("no %q in\n%v", want, err)
		}
	}
	if n := strings.Count(err.Error(), "foyer.yaml:"); n != 16 {
		t.Errorf("%d faults:\n%v", n, err)
	}
	// where a rail is wrong, only names of rails can be judged
	wrong := strings.Replace(text, "part: quad-cool", "part: quad-cold", 1)
	if _, err := scene.Parse("foyer.yaml", []byte(wrong), nil); err == nil || strings.Contains(err.Error(), "no driver feeds") || !strings.Contains(err.Error(), `did you mean "front"`) {
		t.Errorf("%v", err)
	}
}
