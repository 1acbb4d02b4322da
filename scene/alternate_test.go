package scene

import (
	"fmt"
	"strings"
	"testing"
)

// alternating is a rail with counted entries, as a scene.
func alternating(entries ...string) string {
	return `tank: {length: 900 mm, width: 400 mm, height: 450 mm, water: {depth: 400 mm}}
rails:
  - length: 880 mm
    above_water: 160 mm
    modules:
      - ` + strings.Join(entries, "\n      - ") + "\n"
}

const (
	neutral = "{part: quad-neutral, optic: round-60, count: %d, spacing: 200 mm, alternate: true, current: 350 mA}"
	blue    = "{part: quad-blue, optic: round-60, count: %d, spacing: 200 mm, alternate: true, current: 350 mA}"
	warm    = "{part: quad-warm, optic: round-60, count: %d, spacing: 200 mm, alternate: true, current: 350 mA}"
)

// TestEntriesTakeTurns: by hand: entries of equal counts take turns and keep their spacing; of unequal ones the larger has the
// ends; without alternate they lie on each other, and that is warned of.
func TestEntriesTakeTurns(t *testing.T) {
	t.Parallel()
	for want, entries := range map[string][]string{
		"n300 b400 n500 b600":           {fmt.Sprintf(neutral, 2), fmt.Sprintf(blue, 2)},
		"n250 b350 n450 b550 n650":      {fmt.Sprintf(neutral, 3), fmt.Sprintf(blue, 2)},
		"b200 n300 b400 b500 n600 b700": {fmt.Sprintf(neutral, 2), fmt.Sprintf(blue, 4)},
		"n283 b350 w417 n483 b550 w617": {fmt.Sprintf(neutral, 2), fmt.Sprintf(blue, 2), fmt.Sprintf(warm, 2)},
	} {
		sc, err := Parse("tank.yaml", []byte(alternating(entries...)), nil)
		if err != nil {
			t.Fatal(err)
		}
		r := sc.Rails[0]
		if why := r.PlacementError(); why.Any() {
			t.Errorf("%s: %v", want, why)
		}
		r.SortModules()
		var got []string
		for _, m := range r.Modules {
			got = append(got, fmt.Sprintf("%c%.0f", strings.TrimPrefix(m.Part.Name, "quad-")[0], m.XM*1000))
		}
		if text := strings.Join(got, " "); text != want {
			t.Errorf("%s, want %s", text, want)
		}
	}
	stacked, err := Parse("tank.yaml", []byte(strings.ReplaceAll(alternating(fmt.Sprintf(neutral, 2), fmt.Sprintf(blue, 2)), ", alternate: true", "")), nil)
	if err != nil || !stacked.Rails[0].PlacementError().Any() {
		t.Errorf("without it: %v", err)
	}
}

// TestEntriesThatCannotTakeTurns: unlike spacings or centres are faults, as is alternate of a single module.
func TestEntriesThatCannotTakeTurns(t *testing.T) {
	t.Parallel()
	for want, entry := range map[string]string{
		"spacing: entries that alternate have one spacing": strings.Replace(fmt.Sprintf(blue, 2), "200 mm", "190 mm", 1),
		"centre: entries that alternate have one centre":   strings.Replace(fmt.Sprintf(blue, 2), "count", "centre: 400 mm, count", 1),
		"exclude each other":                               "{part: quad-blue, optic: round-60, x: 100 mm, alternate: true, current: 350 mA}",
	} {
		_, err := Parse("tank.yaml", []byte(alternating(fmt.Sprintf(neutral, 2), entry)), nil)
		if err == nil || !strings.Contains(err.Error(), want) || strings.Count(err.Error(), "\n") > 1 {
			t.Errorf("%s: %v", want, err)
		}
	}
}
