package scene_test

import (
	"math"
	"strings"
	"testing"

	"fathomlux/scene"
	"fathomlux/scene/scenetest"
)

// TestDay reads a day of two channels: white 9:30 to 19:00 with ramps of an hour up to 80 %, and blue by points.
func TestDay(t *testing.T) {
	text := scenetest.Edit(t, scenetest.Sound, "{driver: cc-700, strings: 2, hours: 9 h", "{channels: [{name: white, modules: [\"1-3\"]}, {name: blue, modules: [\"4-6\"]}], hours: 9 h") +
		"day: [{on: 9:30, off: 19:00, ramp: 1 h, level: 80 %}, {channel: blue, points: [{at: 6:00, level: 0 %}, {at: 8:00, level: 100 %}, {at: 24:00, level: 50 %}]}]\n"
	s, err := scene.Parse("foyer.yaml", []byte(text), nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		atH         float64
		before      bool
		white, blue float64
	}{
		{0, false, 0, 0}, {7, false, 0, 0.5}, {9.5, false, 0, 1 - 1.5/32}, {10, false, 0.4, 1 - 2.0/32}, {10.5, true, 0.8, 1 - 2.5/32}, {18, false, 0.8, 1 - 10.0/32},
		{18.5, false, 0.4, 1 - 10.5/32}, {19, false, 0, 1 - 11.0/32}, {24, true, 0, 0.5}, {24, false, 0, 0},
	} {
		if w, b := s.Day[0].Level(c.atH, c.before), s.Day[1].Level(c.atH, c.before); math.Abs(w-c.white) > 1e-12 || math.Abs(b-c.blue) > 1e-12 {
			t.Errorf("at %g h: white %g, blue %g, want %g and %g", c.atH, w, b, c.white, c.blue)
		}
	}
	jump := scene.Program{{AtH: 9, Level: 0.7}, {AtH: 10, Level: 0.7}}
	for atH, want := range map[float64][2]float64{9: {0, 0.7}, 9.5: {0.7, 0.7}, 10: {0.7, 0}} { // just before, and from then on
		if got := [2]float64{jump.Level(atH, true), jump.Level(atH, false)}; got != want {
			t.Errorf("at %g h: %v, want %v", atH, got, want)
		}
	}
	// 9.5 h of a trapezium with ramps of an hour at 80 % are 8.5 h * 0.8; blue: 2 h / 2 + 16 h * 0.75 = 13 h.
	bare := strings.Replace(strings.Replace(text, "hours: 9 h, ", "", 1), "illuminance: 2500 lx", "dli: 2 mol/m2/day", 1)
	if s, err = scene.Parse("foyer.yaml", []byte(bare), nil); err != nil || math.Abs(s.Wiring.HoursPerDay-13) > 1e-9 {
		t.Errorf("%v: %+v", err, s)
	}
	if half := jump.Scaled(0.5); half[0].Level != 0.35 || jump[0].Level != 0.7 {
		t.Errorf("half %v of %v", half, jump)
	}
}

// TestWrongDays holds what is said of days that cannot be.
func TestWrongDays(t *testing.T) {
	for day, want := range map[string]string{
		"[{on: 9:00, off: 8:00}]":                                                        "day[0].off: the day ends before it begins: 8:00 is not after 9:00",
		"[{on: 9:00, off: 9:00}]":                                                        "the day ends before it begins",
		"[{on: 9:00, off: 19:00, ramp: 6 h}]":                                            "day[0].ramp: two ramps are longer than the light is on, which is 10 h",
		"[{on: 9:00, off: 19:00, level: 101 %}]":                                         "day[0].level: 101 % is out of range; give a level from 0 % to 100 %",
		"[{on: 9:60, off: 19:00}]":                                                       `"9:60" is no time of the day; write it as in 9:00`,
		"[{on: 9:00, off: 24:01}]":                                                       `"24:01" is no time of the day`,
		"[{on: 9:00}]":                                                                   "day[0].off: missing beside the other values",
		"[{channel: bleu, on: 9:00, off: 19:00}]":                                        `day[0].channel: there is no channel "bleu"`,
		"[{on: 9:00, off: 19:00}, {on: 10:00, off: 12:00}]":                              "day[1]: all other channels have a program on line 24 already",
		"[{channel: quad-neutral, points: [{at: 9:00, level: 0 %}]}]":                    "the list is too short; give at least 2",
		"[{points: [{at: 9:00, level: 0 %}, {at: 9:00, level: 10 %}]}]":                  "day[0].points[1].at: the time is not after the one before it",
		"[{points: [{at: 9:00, level: 0 %}, {at: 10:00, level: 110 %}]}]":                "level: 110 % is out of range",
		"[{points: [{at: 9:00, level: 0 %}, {at: 10:00, level: 10 %}], on: 8:00}]":       "points and on exclude each other",
		"[{points: [" + strings.Repeat("{at: 9:00, level: 0 %}, ", 300) + "]}]":          "300 items are too many; at most 288 are allowed",
		"[{points: [" + strings.Repeat("{at: 9:00, level: 0 %}, ", 10_000) + "]}]":       "are too many; a file may hold",
		"[" + strings.Repeat("{channel: quad-neutral, on: 9:00, off: 10:00}, ", 2) + "]": `channel "quad-neutral" has a program on line 24 already`,
		"[{channel: quad-neutral, on: noon, off: 10:00}]":                                `"noon" is no time of the day`,
	} {
		_, err := scene.Parse("foyer.yaml", []byte(scenetest.Sound+"day: "+day+"\n"), nil)
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%.80s: %v; want %q", day, err, want)
		}
	}
	text := scenetest.Edit(t, scenetest.Sound, "{driver: cc-700, strings: 2", "{channels: [{name: white, modules: [\"1-3\"]}, {name: blue, modules: [\"4-6\"]}]") +
		"day: [{channel: white, on: 9:00, off: 10:00}]\n"
	if _, err := scene.Parse("foyer.yaml", []byte(text), nil); err == nil || !strings.Contains(err.Error(), `day: channel "blue" has no program`) {
		t.Error(err)
	}
}
