package scene_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"fathomlux/scene"
	"fathomlux/scene/form"
	"fathomlux/scene/space"
)

// read reads a scene whose tank has some more keys; files are beside it.
func withTank(t *testing.T, keys string, files map[string]string, pairs ...string) (*scene.Scene, error) {
	t.Helper()
	text := strings.NewReplacer(append(pairs, "  things:\n", keys+"  things:\n")...).Replace(stony)
	return scene.Parse("foyer.yaml", []byte(text), func(name string) ([]byte, error) {
		if content, ok := files[name]; ok {
			return []byte(content), nil
		}
		return nil, errors.New("there is no such file")
	})
}

// TestGroundIsRead: slopes and heights count from their lowest place, and a level one is none.
func TestGroundIsRead(t *testing.T) {
	t.Parallel()
	for keys, want := range map[string][4]float64{ // front left, front right, back left, back right
		"floor: {front: 30 mm, back: 90 mm}":                         {0, 0, 0.06, 0.06},
		"floor: {diffuse: 0.1, left: 50 mm, right: 0 mm}":            {0.05, 0, 0.05, 0},
		"floor: {front: 30 mm, back: 30 mm}":                         {},
		"floor: {heights: [[10 mm, 20 mm], [30 mm, 60 mm]]}":         {0, 0.01, 0.02, 0.05},
		"floor: {substrate: soil, heights: ground.csv}":              {0, 0.01, 0.02, 0.05},
		"floor: {heights: [[0 mm, 9 mm, 0 mm], [0 mm, 0 mm, 0 mm]]}": {},
	} {
		sc, err := withTank(t, "  "+keys+"\n", map[string]string{"ground.csv": "# from the front\n0 mm, 10 mm\n2 cm,50 mm\n"})
		if err != nil {
			t.Errorf("%s: %v", keys, err)
			continue
		}
		g := &sc.Tank.Ground
		for i, h := range want {
			if got := g.HeightM(0.6*float64(i%2), 0.3*float64(i/2)); math.Abs(got-h) > 1e-12 {
				t.Errorf("%s: corner %d at %g, not %g", keys, i, got, h)
			}
		}
		told := strings.Contains(keys, "30 mm, back: 90") || strings.Contains(keys, "[[10 mm")
		if n := len(sc.Warnings); sc.Warnings[n-1].Code.Name == "heights-from-lowest" != told {
			t.Errorf("%s: %v", keys, sc.Warnings)
		}
	}
	for content, want := range map[string]string{
		"0 mm, 1 mm\n": "1 rows; give 2 to 32", "0 mm, 1 mm\n0 mm\n": "row 2 has 1 heights", "0 mm, 1\n0 mm, 0 mm\n": "row 1: 1 has no unit",
		"0 mm, -1 mm\n0 mm, 0 mm\n": "row 1: -1 mm is out of range", "\"0 mm\n": "it is no CSV",
	} {
		if _, err := withTank(t, "  floor: {heights: ground.csv}\n", map[string]string{"ground.csv": content}); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, not %s", content, err, want)
		}
	}
}

// TestFramesAndThingsOfARoundTank: the rim goes round, within the walls, and what is within length and width but outside
// the outline is refused.
func TestFramesAndThingsOfARoundTank(t *testing.T) {
	t.Parallel()
	text := `tank:
  length: 400 mm
  width: 400 mm
  height: 400 mm
  outline: round
  water: {depth: 360 mm}
  rim: {width: 20 mm, thickness: 10 mm}
  things: [{shape: box, at: [AT], size: [60 mm, 60 mm, 60 mm]}]
rails: [{length: 300 mm, above_water: 150 mm, modules: [{part: quad-neutral, optic: round-60, x: 200 mm, current: 350 mA}]}]
`
	parse := func(at string) (*scene.Scene, error) {
		return scene.Parse("foyer.yaml", []byte(strings.Replace(text, "AT", at, 1)), nil)
	}
	sc, err := parse("120 mm, 120 mm")
	if err != nil {
		t.Fatal(err)
	}
	rim := form.NewPile(sc.Tank.Things[0].Solids)
	for i := range 100 {
		s, c := math.Sincos(float64(i) / 10)
		in, free := space.Point{X: 0.2 + 0.19*c, Y: 0.2 + 0.19*s, Z: 0.395}, space.Point{X: 0.2 + 0.17*c, Y: 0.2 + 0.17*s, Z: 0.395}
		below := in
		if below.Z = 0.38; !rim.Holds(in) || rim.Holds(free) || rim.Holds(below) {
			t.Fatalf("the rim at %v: %v, free at %v: %v", in, rim.Holds(in), free, rim.Holds(free))
		}
	}
	if _, err := parse("70 mm, 70 mm"); err == nil || !strings.Contains(err.Error(), "tank.things[0]: it reaches out of the tank's outline") {
		t.Errorf("a box across the wall: %v", err)
	}
}

// TestThingsAreRead: things stand on the ground, frames are obstacles where they are black and else things.
func TestThingsAreRead(t *testing.T) {
	t.Parallel()
	sc, err := withTank(t, "  floor: {front: 0 mm, back: 60 mm, substrate: sand}\n  rim: {width: 15 mm, thickness: 10 mm}\n"+
		"  braces: [{x: 300 mm, width: 40 mm, thickness: 12 mm, reflectance: 0.5}]\n", nil)
	if err != nil {
		t.Fatal(err)
	}
	tank := sc.Tank
	if len(tank.Things) != 3 || len(tank.Things[2].Solids) < 10 || tank.Things[1].Name != "stone" || tank.Things[2].Name != "thing 2" {
		t.Fatalf("%+v", tank.Things)
	}
	if s := tank.Things[1].Solids[0]; s.Kind != form.Ellipsoid || math.Abs(s.Middle.Z-0.05) > 1e-12 || s.Half.X != 0.05 || s.Half.Y != 0.03 {
		t.Errorf("the stone %+v does not stand on the slope", s)
	}
	if sc, err := withTank(t, "  floor: {front: 0 mm, back: 60 mm}\n", nil, "shape: ellipsoid", "shape: box"); err != nil || math.Abs(sc.Tank.Things[0].Solids[0].Bounds().Min.Z-0.024) > 1e-12 {
		t.Errorf("a box on a slope leaves a gap: %+v, %v", sc.Tank.Things[0].Solids[0], err)
	}
	brace := tank.Things[0]
	if b := brace.Solids[0].Bounds(); brace.Reflectance != 0.5 || math.Abs(b.Min.X-0.28) > 1e-12 || b.Min.Y != 0 || math.Abs(b.Max.Y-0.3) > 1e-12 || math.Abs(b.Min.Z-0.388) > 1e-12 || math.Abs(b.Max.Z-0.4) > 1e-12 {
		t.Errorf("%s: %v", brace.Name, b)
	}
	area := 0.0 // seen from above: all but the opening
	for _, o := range tank.Obstacles {
		area += (o.Box.Max.X - o.Box.Min.X) * (o.Box.Max.Y - o.Box.Min.Y)
	}
	if want := 0.6*0.3 - 0.57*0.27; len(tank.Obstacles) != 4 || math.Abs(area-want) > 1e-12 || tank.FloorReflectance != 0.3 || tank.FloorPane {
		t.Errorf("the rim covers %g m2 of %g, floor %g", area, want, tank.FloorReflectance)
	}
	if sc, err = withTank(t, "  floor: {film: 0.35}\n", nil); err != nil || !sc.Tank.FloorPane || sc.Tank.FloorReflectance != 0.35 || sc.Tank.Things[0].Reflectance != 0.3 {
		t.Errorf("%+v, %v", sc.Tank, err)
	}
}
