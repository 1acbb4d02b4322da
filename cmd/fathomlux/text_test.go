package main

import (
	"testing"

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
	sc := &scene.Scene{Rails: []scene.Rail{{Modules: []scene.Module{hotModule(t, 0.7), hotModule(t, 0.7)}}}}
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

func TestWaterAndWallText(t *testing.T) {
	if got := waterText(scene.Water{HalfDepthM: 0.9}); got != "measured (half the light left at 900 mm)" {
		t.Errorf("got %q", got)
	}
	if got := wallText(scene.Wall{Kind: scene.DiffuseWall, Reflectance: 0.08}) + ", " + wallText(scene.Wall{Kind: scene.GlassWall}); got != "diffuse 0.08, glass" {
		t.Errorf("got %q", got)
	}
}
