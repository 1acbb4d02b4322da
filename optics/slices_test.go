package optics

import (
	"strings"
	"testing"

	"fathomlux/optics/result"
	"fathomlux/scene"
)

func TestSlicesOfAShaftAreCoarse(t *testing.T) {
	t.Parallel()
	for name, c := range map[string]struct {
		text               string
		leastWide, layers  int
		mostWide, mostDeep int
	}{
		// Mirrors that stand close are seen thousands of times over: cells as small as elsewhere would take hours.
		"mirrors": {strings.NewReplacer("OBSTACLES", "", "width: 60 mm", "width: 20 mm", "tank:\n  length: 60 mm", "tank:\n  length: 20 mm", "x: 30 mm", "x: 10 mm", "above_water: 150 mm", "above_water: 50 mm").Replace(shaft), fewestSectionCells, fewestSectionCells, 60, 60},
		// A deep tank without them has as many layers as a long one has columns, not one for each width of a cell.
		"glass": {strings.NewReplacer("OBSTACLES", "", "{mirror: 0.99}", "{paint: 0.1}").Replace(shaft), sectionCells, sectionCells, sectionCells, sectionCells},
	} {
		sc, err := scene.Parse("shaft.yaml", []byte(c.text), nil)
		if err != nil {
			t.Fatal(err)
		}
		e := directEngine(t, sc)
		step, stepZ := sectionSteps(e, sc.Tank)
		g, down := result.NewGrid(sc.Tank.LengthM, sc.Tank.WidthM, step), result.NewGrid(1, sc.Tank.Water.DepthM, stepZ)
		if g.NX < c.leastWide || g.NX > c.mostWide || down.NY < c.layers || down.NY > c.mostDeep {
			t.Errorf("%s: %d columns and %d layers, work %d a cell", name, g.NX, down.NY, e.Work())
		}
	}
}
