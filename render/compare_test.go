package render

import (
	"testing"

	"fathomlux/optics/result"
)

// TestOnlyWhatIsCommonIsMarked: a sheet marks a goal and names a plane in its title only where they are those of all.
func TestOnlyWhatIsCommonIsMarked(t *testing.T) {
	shown := func(plane string, lux, ppfd float64) Shown {
		goal := result.Goal{Level: lux}
		if lux == 0 {
			goal = result.Goal{Level: ppfd, Shown: result.PPFD}
		}
		return Shown{Goal: goal, Plane: &result.Plane{Name: plane}}
	}
	for _, row := range []struct {
		list   []Shown
		goal   float64
		common bool
	}{
		{[]Shown{shown("floor", 2000, 0), shown("floor", 2000, 90)}, 2000, true},
		{[]Shown{shown("floor", 2000, 0), shown("floor", 2500, 0)}, 0, true},
		{[]Shown{shown("floor", 2000, 0), shown("150 mm", 0, 2000)}, 0, false},
		{[]Shown{shown("floor", 2000, 0), shown("floor", 2000, 0), shown("mid", 2000, 0)}, 2000, false},
	} {
		c := Comparison{List: row.list}
		if got := c.commonGoal(); got != row.goal {
			t.Errorf("%+v: goal %g; want %g", row, got, row.goal)
		}
		if plane, common := c.commonPlane(); common != row.common || plane != "floor" {
			t.Errorf("%+v: plane %q, common %t", row, plane, common)
		}
	}
}
