package main

import "testing"

func TestGoalText(t *testing.T) {
	for want, g := range map[string]*goalJSON{
		"none": nil,
		"floor (420 mm down): mean 2500 lx, min/mean 0.5":     {Plane: "floor", DepthMM: 420, IlluminanceLx: 2500, Uniformity: 0.5},
		"150 mm down: mean 80 umol/m2/s, mean 5.4 mol/m2/day": {Plane: "150 mm", DepthMM: 150, PPFD: 80, DLI: 5.4},
	} {
		if got := goalText(g); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

func TestWiringText(t *testing.T) {
	for want, w := range map[string]wiringJSON{
		"2 strings of about 42.0 V, driver cc-700, 9.5 h a day": {Driver: "cc-700", Strings: 2, StringV: 42, HoursPerDay: 9.5},
		"10 h a day": {HoursPerDay: 10},
	} {
		if got := wiringText(w); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

func TestWaterAndWallText(t *testing.T) {
	half, share := 900.0, 0.08
	if got := waterText(waterJSON{Kind: "clear", HalfDepthMM: &half}); got != "measured (half the light left at 900 mm)" {
		t.Errorf("got %q", got)
	}
	if got := wallText(wallJSON{Kind: "diffuse", Reflectance: &share}) + ", " + wallText(wallJSON{Kind: "glass"}); got != "diffuse 0.08, glass" {
		t.Errorf("got %q", got)
	}
	if got := several(1, "string") + several(0, "string"); got != "1 string0 strings" {
		t.Errorf("got %q", got)
	}
}
