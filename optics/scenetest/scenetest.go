// Package scenetest holds the scenes that the tests of package optics and of what stands on it share. It is for tests
// alone.
package scenetest

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fathomlux/scene"
	"fathomlux/scene/edit"
)

// Shelf is a small scene of its own: one quad module over a 600 mm tank with black walls, whose lines a test may
// change.
const Shelf = `
title: test shelf
tank:
  length: 600 mm
  width: 300 mm
  height: 360 mm
  water: {depth: 300 mm, kind: pure, temperature: 25 C}
  walls: {front: {paint: 0}, back: {paint: 0}, left: {paint: 0}, right: {paint: 0}}
  floor: {diffuse: 0}
rails:
  - length: 500 mm
    above_water: 150 mm
    modules: {part: quad-neutral, optic: bare-120, count: 1, current: 350 mA}
wiring: {hours: 10 h}
goal: {plane: floor, illuminance: 400 lx, uniformity: 0.6}
`

// Read parses a scene with the given replacements made: old, new, old, new.
func Read(t testing.TB, text string, replace ...string) *scene.Scene {
	t.Helper()
	for i := 0; i < len(replace); i += 2 {
		if !strings.Contains(text, replace[i]) {
			t.Fatalf("the scene has no %q", replace[i])
		}
		text = strings.Replace(text, replace[i], replace[i+1], 1)
	}
	sc, err := scene.Parse("shelf.yaml", []byte(text), nil)
	if err != nil {
		t.Fatal(err)
	}
	return sc
}

// Example reads one of the examples.
func Example(t testing.TB, name string) *scene.Scene {
	t.Helper()
	root := "."
	for _, err := os.Stat(filepath.Join(root, "go.mod")); err != nil; _, err = os.Stat(filepath.Join(root, "go.mod")) {
		root = filepath.Join(root, "..")
	}
	sc, err := scene.Read(filepath.Join(root, "examples", name, name+".yaml"))
	if err != nil {
		t.Fatal(err)
	}
	return sc
}

// DimFoyer is the example foyer with black floor and a back painted black, whose light is found soon.
func DimFoyer(t testing.TB) *scene.Scene {
	t.Helper()
	sc := Example(t, "foyer")
	sc.Tank.FloorReflectance, sc.Tank.Walls.Back = 0, scene.Wall{Kind: scene.PaintWall}
	return sc
}

// Axis is a range of the variable of a name.
func Axis(t testing.TB, name string, values ...float64) edit.Range {
	t.Helper()
	v, err := edit.VariableNamed(name)
	if err != nil {
		t.Fatal(err)
	}
	return edit.Range{Variable: v, Values: values}
}

// Steps are n values from low, a step apart.
func Steps(low, step float64, n int) []float64 {
	var list []float64
	for i := range n {
		list = append(list, low+float64(i)*step)
	}
	return list
}

// TwoColours is the shelf with a white module and a blue one far from it, which give lux and photons in unlike shares:
// the floor is far more even in PPFD than in lux.
func TwoColours(t testing.TB, goal string) *scene.Scene {
	t.Helper()
	return Read(t, Shelf, "{part: quad-neutral, optic: bare-120, count: 1, current: 350 mA}",
		"[{part: quad-neutral, optic: bare-120, x: 100 mm, current: 350 mA}, "+
			"{part: quad-blue, optic: bare-120, x: 500 mm, current: 350 mA}]",
		"{plane: floor, illuminance: 400 lx, uniformity: 0.6}", goal)
}

// Narrow is a scene with a few narrow beams, small enough to try every place on a 10 mm raster. Nothing in it is matt,
// so that its light is found soon.
const Narrow = `
tank:
  length: 500 mm
  width: 200 mm
  height: 300 mm
  water: {depth: 250 mm, kind: pure}
  walls: {back: {paint: 0}}
  floor: {diffuse: 0}
rails:
  - length: 460 mm
    above_water: 120 mm
    modules: {part: quad-neutral, optic: round-60, count: 3, spacing: 80 mm, current: 350 mA}
goal: {plane: floor, illuminance: 1000 lx, uniformity: 0.6}
`
