package main

import (
	"bytes"
	"strings"
	"testing"

	"fathomlux/render/answer"
	"fathomlux/scene"
	"fathomlux/scene/parts"
)

func TestGoalText(t *testing.T) {
	for want, g := range map[string]scene.Goal{
		"none": {},
		"floor (420 mm down): mean 2500 lx, U0 0.5":           {Plane: scene.PlaneRef{Name: "floor", DepthM: 0.42}, IlluminanceLx: 2500, Uniformity: 0.5},
		"150 mm down: mean 80 µmol/m²/s, mean 5.4 mol/m²/day": {Plane: scene.PlaneRef{Name: "150 mm", DepthM: 0.15}, PPFD: 80, DLI: 5.4},
	} {
		if got := goalText(g); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

func TestWiringText(t *testing.T) {
	sc := &scene.Scene{Catalogue: &parts.Catalogue{}, Rails: []scene.Rail{{Modules: []scene.Module{hotModule(t, 0.7), hotModule(t, 0.7)}}}}
	volts := number(roundTo(sc.AtSwitchOn().SeriesV/2, 0.1))
	for want, w := range map[string]scene.Wiring{
		"2 strings of about " + volts + " V, driver cc-700, 9.5 h a day": {Driver: parts.Driver{Name: "cc-700"}, Strings: 2, HoursPerDay: 9.5},
		"10 h a day": {HoursPerDay: 10},
	} {
		sc.Wiring = w
		if got := wiringText(sc); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

// Sentences and figures of a summary are the same data: what a scene has stands in both, what it lacks is null.
func TestSummaryIsOneWalk(t *testing.T) {
	var sc scene.Scene
	sc.Tank.Walls.Back = scene.Wall{Kind: scene.PaintWall, Reflectance: 0.08}
	sc.Tank.Water = scene.Water{HalfDepthM: 0.9}
	sc.Ambient.Hood = &scene.Hood{LengthM: 1.2, WidthM: 0.4545, HeightM: 0.1}
	said := map[string]string{}
	for _, p := range answer.On(summary(&sc).Parts, answer.Text) {
		said[p.(answer.Figure).Title] = p.(answer.Figure).Words()
	}
	for title, want := range map[string]string{"walls": "front glass, back paint 0.08, left glass, right glass; floor diffuse 0",
		"water": "0 mm deep, measured (half the light left at 900 mm), 0 °C, 0 g/kg",
		"hood":  "1200 x 454.5 x 100 mm (length x width x height), closed, in a room of 0 °C", "goal": "none", "cover": ""} {
		if said[title] != want {
			t.Errorf("%s: %q, want %q", title, said[title], want)
		}
	}
	var out bytes.Buffer
	if err := answer.WriteJSON(&out, summary(&sc).Parts); err != nil || !strings.Contains(out.String(), "\"cover\": null") ||
		!strings.Contains(out.String(), "\"half_depth_mm\": 900") || !strings.Contains(out.String(), "\"reflectance\": 0.08") {
		t.Errorf("%v: %s", err, &out)
	}
}
