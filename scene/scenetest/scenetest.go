// Package scenetest holds scenes for the tests of packages that read or change whole scenes, and the ways to vary them.
package scenetest

import (
	"strings"
	"testing"

	"fathomlux/scene"
)

// Sound is a scene without a fault and without a warning; the tests change one line of it.
const Sound = `title: Library foyer, planted tank
tank:
  length: 1180 mm
  width: 430 mm
  height: 480 mm
  water: {depth: 420 mm, kind: clear, temperature: 25 C, salinity: 0 g/kg}
  walls: {front: glass, left: acrylic, right: {mirror: 90 %}, back: {diffuse: 0.08}}
  floor: {diffuse: 0.25}
  cover: {material: glass, thickness: 4 mm, above_water: 30 mm}
  obstacles:
    - {name: brace, from: [620 mm, 0 mm, 480 mm], to: [560 mm, 430 mm, 470 mm], opaque: true}
rails:
  - name: main
    profile: bar-40x20
    length: 1100 mm
    above_water: 160 mm
    y: 215 mm
    tilt: 0 deg
    modules: {part: quad-neutral, optic: round-40, count: 6, spacing: 180 mm, current: 350 mA}
    keep_out: [{from: 570 mm, to: 610 mm, why: cable gland}]
wiring: {driver: cc-700, strings: 2, hours: 9 h, tariff: 0.28 EUR/kWh}
ambient: {air: 24 C}
goal: {plane: floor, illuminance: 2500 lx, uniformity: 0.5}
`

// Smallest is a scene in which all that may be left out is.
const Smallest = `tank: {length: 600 mm, width: 300 mm, height: 360 mm, water: {depth: 330 mm}}
rails: [{length: 500 mm, above_water: 100 mm,
  modules: {part: single-neutral, optic: bare-120, count: 1, current: 350 mA}}]
`

// Edit replaces pairs of texts in a scene; each text that goes must be there.
func Edit(t testing.TB, text string, pairs ...string) string {
	t.Helper()
	for i := 0; i < len(pairs); i += 2 {
		if !strings.Contains(text, pairs[i]) {
			t.Fatalf("%q is not in the scene", pairs[i])
		}
		text = strings.Replace(text, pairs[i], pairs[i+1], 1)
	}
	return text
}

// Parse returns the scene in text, which must have no fault.
func Parse(t testing.TB, text string) *scene.Scene {
	t.Helper()
	s, err := scene.Parse("foyer.yaml", []byte(text), nil)
	if err != nil {
		t.Fatal(err)
	}
	return s
}
