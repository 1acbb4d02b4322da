package scene_test

import (
	"math"
	"strings"
	"testing"

	"fathomlux/scene"
)

// outlined reads a tank of 900 mm x 600 mm with an outline and maybe walls.
func outlined(t *testing.T, text string) *scene.Scene {
	t.Helper()
	s, err := scene.Parse("outline.yaml", []byte(`tank: {length: 900 mm, width: 600 mm, height: 400 mm, water: {depth: 360 mm}, `+text+`}
rails: [{length: 400 mm, x: 300 mm, above_water: 150 mm, modules: [{part: quad-neutral, optic: round-60, x: 400 mm, current: 350 mA}]}]
`), nil)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func TestOutlines(t *testing.T) {
	segment := func(chordM, bowM float64) float64 { // of a circle
		r := (chordM*chordM/4 + bowM*bowM) / (2 * bowM)
		a := math.Asin(chordM / 2 / r)
		return r * r * (a - math.Sin(a)*math.Cos(a))
	}
	for text, want := range map[string]float64{
		"outline: {bow-front: {sagitta: 60 mm}}":                                                     0.9*0.54 + segment(0.9, 0.06),
		"outline: {corner: {cut: 200 mm}}":                                                           0.9*0.6 - 0.02,
		"outline: hexagon":                                                                           0.9 * 0.6 * 0.75,
		"outline: [[0 mm, 0 mm], [900 mm, 0 mm], [0 mm, 600 mm]]":                                    0.27,
		"outline: [[0 mm, 0 mm], [0 mm, 600 mm], [900 mm, 0 mm]]":                                    0.27,
		"outline: [[0 mm, 60 mm, 60 mm], [900 mm, 60 mm], [900 mm, 600 mm, -50 mm], [0 mm, 600 mm]]": 0.9*0.54 + segment(0.9, 0.06) - segment(0.9, 0.05),
		"outline: [[0 mm, 600 mm], [900 mm, 600 mm, -50 mm], [900 mm, 60 mm, 60 mm], [0 mm, 60 mm]]": 0.9*0.54 + segment(0.9, 0.06) - segment(0.54, 0.05),
	} {
		o := outlined(t, text).Tank.Outline
		if got := o.AreaM2(); math.Abs(got/want-1) > 0.0005 { // arcs are cut into chords
			t.Errorf("%s: %g m2, not %g", text, got, want)
		}
	}
	round := `tank: {length: 600 mm, width: 600 mm, height: 400 mm, outline: round, water: {depth: 360 mm}}`
	s, err := scene.Parse("round.yaml", []byte(round+"\nrails: [{length: 300 mm, above_water: 150 mm, modules: [{part: quad-neutral, optic: round-60, x: 300 mm, current: 350 mA}]}]\n"), nil)
	if err != nil || math.Abs(s.Tank.Outline.AreaM2()/(math.Pi*0.09)-1) > 0.0005 {
		t.Errorf("round: %g m2, %v", s.Tank.Outline.AreaM2(), err)
	}
}

// TestRectanglesAfterAll: P4. An outline that differs in nothing from the rectangle leaves none.
func TestRectanglesAfterAll(t *testing.T) {
	for _, text := range []string{"outline: rectangle", "outline: {bow-front: {sagitta: 0 mm}}", "outline: {corner: {cut: 0 mm}}",
		"outline: [[0 mm, 0 mm], [900 mm, 0 mm], [900 mm, 600 mm], [0 mm, 600 mm]]"} {
		walls := `, walls: {edges: [{paint: 0.1}, {film: 0.2}, glass, acrylic]}`
		if s := outlined(t, text+walls); !s.Tank.Outline.Empty() || s.Tank.Walls.Front.Reflectance != 0.1 ||
			s.Tank.Walls.Right.Kind != scene.FilmWall || s.Tank.Walls.Left.Kind != scene.AcrylicWall {
			t.Errorf("%s: %+v", text, s.Tank)
		}
	}
}

// TestWallsOfEdges: by the side that an edge forms, or edge by edge as they were written.
func TestWallsOfEdges(t *testing.T) {
	bow := outlined(t, "outline: {bow-front: {sagitta: 200 mm}}, walls: {front: {film: 0.1}, right: acrylic}").Tank
	for i, edge := range bow.Outline.Edges {
		want := map[bool]scene.WallKind{true: scene.FilmWall, false: scene.AcrylicWall}[edge == 0]
		if edge < 2 && bow.Wall(edge).Kind != want {
			t.Errorf("corner %d: the wall of edge %d is %v", i, edge, bow.Wall(edge))
		}
	}
	// Clockwise, so that the outline is turned round: the second edge is the slanting one.
	drawn := outlined(t, "outline: [[0 mm, 0 mm], [0 mm, 600 mm], [900 mm, 0 mm]], walls: {edges: [glass, {mirror: 0.5}, acrylic]}").Tank
	for i, c := range drawn.Outline.Corners {
		n := drawn.Outline.Normal(i)
		if slant := n.X < 0 && n.Y < 0; slant != (drawn.Wall(drawn.Outline.Edges[i]).Kind == scene.MirrorWall) {
			t.Errorf("the wall from %v on is %v", c, drawn.Wall(drawn.Outline.Edges[i]))
		}
	}
}

func TestWrongOutlines(t *testing.T) {
	many := strings.Repeat("[0 mm, 0 mm], ", 65)
	for outline, want := range map[string]string{
		"[[0 mm, 0 mm], [900 mm, 600 mm], [900 mm, 0 mm], [0 mm, 600 mm]]":                             "tank.outline[2]: the edge meets that from point 1; an outline must not cross or touch itself",
		"[[0 mm, 0 mm], [900 mm, 0 mm]]":                                                               "the list is too short; give at least 3",
		"[" + many + "]":                                                                               "65 items are too many; at most 64 are allowed",
		"[[0 mm, 0 mm], [900 mm, 0 mm], [900 mm, 0 mm], [0 mm, 600 mm]]":                               "tank.outline[1]: two points that follow on each other are one",
		"[[0 mm, 0 mm, 500 mm], [900 mm, 0 mm], [0 mm, 600 mm]]":                                       "the arc is deeper than a half circle; give at most half the distance of the points, here 450 mm",
		"[[0 mm, 0 mm, 50 mm], [900 mm, 0 mm], [0 mm, 600 mm]]":                                        "an arc of the outline bows out of the tank's length and width",
		"[[0 mm, 0 mm], [950 mm, 0 mm], [0 mm, 600 mm]]":                                               "tank.outline[1]: the point is outside the tank's length and width, 900 mm x 600 mm",
		"[[0 mm, 0 mm], [900 mm, 0 mm], [450 mm, 0 mm]]":                                               "an outline must not cross or touch itself",
		"[[0 mm], [900 mm, 0 mm], [450 mm, 300 mm]]":                                                   "the list is too short; give at least 2",
		"[[0 mm, 0 mm], [900 mm, 0 mm], [0 mm, 600 mm]], walls: {edges: [glass, glass, glass, glass]}": "4 walls are given for 3 edges; give one for each",
		"{bow-front: {sagitta: 600 mm}}":                                                               "leaves no sides; give less than 450 mm",
		"{corner: {cut: 700 mm}}":                                                                      "a cut of 700 mm leaves nothing of a side; give less than 600 mm",
		"{}":                                                                                           "give exactly one of bow-front, corner",
		"oval":                                                                                         "oval is not known; known: rectangle, round, hexagon",
		"round":                                                                                        "a round tank is as wide as long; give its diameter inside as both, not 900 mm x 600 mm",
	} {
		_, err := scene.Parse("wrong.yaml", []byte(`tank: {length: 900 mm, width: 600 mm, height: 400 mm, water: {depth: 360 mm}, outline: `+outline+`}
rails: [{length: 400 mm, above_water: 150 mm, modules: [{part: quad-neutral, optic: round-60, x: 400 mm, current: 350 mA}]}]
`), nil)
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%.60s: %v, not %q", outline, err, want)
		}
	}
}

// TestBracesEndAtTheOutline: black ones and pale ones, along x and along y.
func TestBracesEndAtTheOutline(t *testing.T) {
	const cut = "outline: {corner: {cut: 350 mm}}, braces: [{y: 100 mm, width: 40 mm, thickness: 10 mm}, {x: 800 mm, width: 40 mm, thickness: 10 mm, reflectance: 0.5}]"
	tank := outlined(t, cut).Tank
	if b := tank.Obstacles[0].Box; b.Min.X != 0 || math.Abs(b.Max.X-0.67) > 1e-4 || math.Abs(b.Max.Y-0.12) > 1e-12 {
		t.Errorf("a black brace reaches %+v", b)
	}
	if b := tank.Things[0].Solids[0].Bounds(); math.Abs(b.Min.Y-0.23) > 1e-4 || math.Abs(b.Max.Y-0.6) > 1e-9 {
		t.Errorf("a pale brace reaches %+v", b)
	}
	_, err := scene.Parse("ell.yaml", []byte(`tank: {length: 900 mm, width: 600 mm, height: 400 mm, water: {depth: 360 mm}, braces: [{y: 400 mm, width: 40 mm, thickness: 10 mm}], outline: [[0 mm, 0 mm], [900 mm, 0 mm], [900 mm, 300 mm], [0 mm, 300 mm]]}
rails: [{length: 400 mm, above_water: 150 mm, y: 150 mm, modules: [{part: quad-neutral, optic: round-60, x: 400 mm, current: 350 mA}]}]
`), nil)
	if want := "ell.yaml:1:92: tank.braces[0].y: the brace is outside of the tank's outline; move it in"; err == nil || !strings.Contains(err.Error(), want) {
		t.Errorf("%v, not %q", err, want)
	}
}

// TestRailsBesideTheTank: modules that shine straight down at (580, 20) mm are 219 mm from the cut of the corner, and 80 mm
// at (680, 300) mm from the side of a box: too far where they hang lower than that over the water.
func TestRailsBesideTheTank(t *testing.T) {
	for rail, wrong := range map[string]bool{
		"above_water: 150 mm": true, "above_water: 250 mm": false, "above_water: 150 mm, tilt: 10 deg": false} {
		_, err := scene.Parse("corner.yaml", []byte(`tank: {length: 600 mm, width: 600 mm, height: 400 mm, water: {depth: 360 mm}, outline: {corner: {cut: 350 mm}}}
rails:
  - {length: 300 mm, above_water: 150 mm, modules: [{part: quad-neutral, optic: round-60, x: 300 mm, current: 350 mA}]}
  - {length: 60 mm, x: 550 mm, y: 20 mm, `+rail+`, modules: [{part: quad-neutral, optic: round-60, x: 580 mm, current: 350 mA}]}
`), nil)
		const want = "corner.yaml:4:5: rails[1]: all its modules shine straight down beside the tank, more than 150 mm from its inside; " +
			"hang it over the tank, whose inside is 600 mm x 600 mm less what its outline leaves out, or tilt it"
		if wrong && (err == nil || !strings.Contains(err.Error(), want)) || !wrong && err != nil {
			t.Errorf("%s: %v", rail, err)
		}
	}
	for height, wrong := range map[string]bool{"70 mm": true, "90 mm": false} {
		_, err := scene.Parse("box.yaml", []byte(`tank: {length: 600 mm, width: 600 mm, height: 400 mm, water: {depth: 360 mm}}
rails: [{length: 600 mm, x: 100 mm, above_water: `+height+`, modules: [{part: quad-neutral, optic: round-60, x: 680 mm, current: 350 mA}]}]
`), nil)
		if (err != nil) != wrong {
			t.Errorf("%s over the water: %v", height, err)
		}
	}
}

// TestTurnedRails: places along a turned rail, and what is said of rails that reach out of an outline.
func TestTurnedRails(t *testing.T) {
	rail := scene.Rail{LeftM: 0.1, LengthM: 0.4, YM: 0.2, TurnRad: math.Pi / 2}
	if x, y := rail.At(0.1); math.Abs(x-0.3)+math.Abs(y-0) > 1e-12 {
		t.Errorf("the left end of a rail turned by a quarter is at %g, %g", x, y)
	}
	frame := rail.Frame(&scene.Module{TurnRad: math.Pi / 2})
	if math.Abs(frame.Along.X+1) > 1e-12 || math.Abs(frame.Across.Y+1) > 1e-12 || frame.Aim.Z != -1 {
		t.Errorf("two quarters make %+v", frame)
	}
	for turn, want := range map[string]string{"0 deg": "", "45 deg": "", "135 deg": "rail-beyond-ends"} {
		s, err := scene.Parse("corner.yaml", []byte(`tank: {length: 600 mm, width: 600 mm, height: 400 mm, water: {depth: 360 mm}, outline: {corner: {cut: 350 mm}}}
rails: [{length: 480 mm, above_water: 150 mm, y: 370 mm, turn: `+turn+`, modules: [{part: quad-neutral, optic: round-60, x: 300 mm, current: 350 mA}]}]
`), nil)
		if err != nil {
			t.Fatal(err)
		}
		said := ""
		for _, w := range s.Warnings {
			if w.Code.Name != "no-goal" {
				said += w.Code.Name
			}
		}
		if said != want {
			t.Errorf("turned by %s: %q, not %q", turn, said, want)
		}
	}
}
