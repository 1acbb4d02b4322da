package scene_test

import (
	"errors"
	"reflect"
	"strings"
	"testing"

	"fathomlux/scene"
	"fathomlux/scene/document"
	"fathomlux/scene/scenetest"
	"fathomlux/scene/space"
)

// goalOf returns the sound scene with another goal.
func goalOf(goal string) string {
	before, _, _ := strings.Cut(scenetest.Sound, "goal:")
	return before + "goal: " + goal + "\n"
}

func TestGoalOfSeveralParts(t *testing.T) {
	t.Parallel()
	g := scenetest.Parse(t, goalOf(`
  - {name: foreground, area: {x: 100..400 mm, y: 0 mm .. 15 cm}, ppfd: 40..80 umol/m2/s, uniformity: 0.5}
  - {plane: 170 mm, ppfd: ..300 umol/m2/s, highest: 350 umol/m2/s}
  - {plane: mid, area: {x: 0 mm..0.5 m, y: 10 mm..20 mm}, ppfd: 100 umol/m2/s, lowest: 30 umol/m2/s}`)).Goal
	first, second, third := g.Parts()[0], g.Others[0], g.Others[1]
	if want := (scene.Goal{Name: "foreground", Plane: scene.PlaneRef{Name: "floor", DepthM: 0.42}, PPFD: 40, MostPPFD: 80,
		Uniformity: 0.5, Area: space.Area{FromXM: 0.1, ToXM: 0.4, ToYM: 0.15}}); !reflect.DeepEqual(first, want) {
		t.Errorf("first part %+v", first)
	}
	if second.Label() != "170 mm" || second.PPFD != 0 || second.MostPPFD != 300 || second.HighestPPFD != 350 {
		t.Errorf("second part %+v", second)
	}
	if third.Label() != "part 3" || third.LowestPPFD != 30 || third.Area != (space.Area{ToXM: 0.5, FromYM: 0.01, ToYM: 0.02}) {
		t.Errorf("third part %+v", third)
	}
	if !g.Photons() || !g.Set() || len(g.Depths()) != 3 {
		t.Errorf("counts photons %v, asks %v, depths %v", g.Photons(), g.Set(), g.Depths())
	}
	if g := scenetest.Parse(t, goalOf("{ppfd: 50 umol/m2/s, illuminance: 900 lx}")).Goal; g.Photons() || g.Others != nil {
		t.Errorf("a goal in lx, too: %+v", g)
	}
}

func TestWrongGoals(t *testing.T) {
	t.Parallel()
	for goal, want := range map[string]string{
		"{ppfd: 40..80}":                                                                 "goal.ppfd: 80 has no unit; write 80 umol/m2/s, as in 40..80 umol/m2/s",
		"{ppfd: 80..40 umol/m2/s}":                                                       "goal.ppfd: 80..40 umol/m2/s: the first of both must be the lower one, as in 40..80",
		"{ppfd: 40..99999 umol/m2/s}":                                                    "out of range; give a photon flux density from",
		"{ppfd: -4..9 umol/m2/s}":                                                        "out of range; give a photon flux density from",
		"{ppfd: 0 umol/m2/s}":                                                            "out of range; give a photon flux density from",
		"{illuminance: 1 klx..9 mm}":                                                     `"mm" is not a unit of illuminance`,
		"{area: {x: 0..100 mm, y: 0..999 mm}, illuminance: 9 lx}":                        "goal.area.y: the area reaches out of the tank; inside, y runs from 0 mm to 430 mm",
		"{area: {x: 100 mm, y: 0..90 mm}, illuminance: 9 lx}":                            "goal.area.x: one end alone; give both, as in 100..400 mm",
		"{area: {x: 90..90 mm, y: 0..90 mm}, illuminance: 9 lx}":                         "goal.area.x: 90..90 mm: the first of both must be the lower",
		"{area: {x: 0..90 mm}, illuminance: 9 lx}":                                       "goal.area.y: missing; give",
		"{lowest: 90 lx, highest: 80 lx}":                                                "goal.lowest: the dimmest place would be as bright as the brightest one may be",
		"{illuminance: 90 lx, highest: 80 lx}":                                           "goal.highest: the brightest place may not be as bright as the mean has to be",
		"{illuminance: ..90 lx, lowest: 100 lx}":                                         "goal.lowest: the dimmest place would be brighter than the mean may be",
		"{ppfd: 90 umol/m2/s, highest: 350}":                                             "goal.highest: 350 has no unit; write 350 umol/m2/s",
		"[]":                                                                             "goal: the list is too short; give at least 1",
		"[{ppfd: 9 umol/m2/s}, {plane: 420 mm, ppfd: 8 umol/m2/s}]":                      "goal[1]: the part on line",
		"[{name: a, plane: mid, illuminance: 9 lx}, {name: a, illuminance: 9 lx}]":       `goal[1].name: "a" is the name of the part on line`,
		"[{plane: mid, illuminance: 9 lx}, {ppfd: 8 umol/m2/s}]":                         "goal[1]: a goal is judged in one quantity: give this part and the one on line",
		"{plane: 300 mm, area: {x: 570..610 mm, y: 100..200 mm}, illuminance: 9 lx}":     "goal.area: the area lies inside the obstacle rock, where no light is; its top is 120 mm below the surface",
		"[{plane: mid, illuminance: 9 lx}, {plane: 999 mm, uniformity: 2}, {pfd: 1 lx}]": "goal[2].pfd: unknown key",
	} {
		text := strings.Replace(goalOf(goal), "obstacles:", "obstacles:\n    - {name: rock, from: [560 mm, 90 mm, 0 mm], to: [620 mm, 300 mm, 300 mm]}", 1)
		_, err := scene.Parse("it.yaml", []byte(text), nil)
		if _, is := errors.AsType[*document.Error](err); !is || !strings.Contains(err.Error(), want) {
			t.Errorf("goal: %s\n%v\nwant %s", goal, err, want)
		}
	}
	for _, goal := range []string{ // the top of the rock is lit; an empty part asks for nothing
		"{plane: 120 mm, area: {x: 560..620 mm, y: 90..300 mm}, highest: 350 umol/m2/s}", "[{illuminance: 5 lx}, {plane: mid}]"} {
		text := strings.Replace(goalOf(goal), "obstacles:", "obstacles:\n    - {name: rock, from: [560 mm, 90 mm, 0 mm], to: [620 mm, 300 mm, 300 mm]}", 1)
		if _, err := scene.Parse("it.yaml", []byte(text), nil); err != nil {
			t.Errorf("goal: %s\n%v", goal, err)
		}
	}
}
