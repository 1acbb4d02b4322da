package main

import (
	"fathomlux/scene/longtest"
	"os"
	"path/filepath"
	"regexp"
	"testing"
)

const twoPlaces = `
tank:
  length: 600 mm
  width: 300 mm
  height: 300 mm
  water: {depth: 260 mm}
  floor: {diffuse: 0}
rails: [{length: 550 mm, above_water: 100 mm, modules: {part: quad-neutral, optic: round-60, count: 2, spacing: 200 mm, current: 350 mA}}]
goal:
  - {name: "left <b>", area: {x: 0..250 mm, y: 100..300 mm}, ppfd: 1..900 umol/m2/s}
  - {plane: 40 mm, highest: 9 umol/m2/s}
`

// TestLiveShowsThePartsOfAGoal: each part stands with its light and whether it is met, and its area on the plan.
func TestLiveShowsThePartsOfAGoal(t *testing.T) {
	inFull(t, longtest.Pick(false, true))
	t.Parallel()
	browser(t)
	file := filepath.Join(t.TempDir(), "two.yaml")
	if err := os.WriteFile(file, []byte(twoPlaces), 0o666); err != nil {
		t.Fatal(err)
	}
	b := openBrowser(t, serveLive(t, file), 1280, 900)
	b.settle()
	said := evaluate[string](b, `[...document.querySelectorAll("#parts div")].map((row) => row.textContent).join("|")`)
	if !regexp.MustCompile(`^left <b>[\d.]+ \([\d.]+ to [\d.]+\) µmol/m²/s, U0 0\.\d\d: met\|40 mm[\d.]+ \([\d.]+ to [\d.]+\) µmol/m²/s, U0 0\.\d\d: not met$`).MatchString(said) {
		t.Errorf("the parts are %q", said)
	}
	b.silent()
	b.keep("parts.png")
}
