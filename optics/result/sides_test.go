package result

import (
	"math"
	"testing"

	"fathomlux/scene/form"
	"fathomlux/scene/space"
	"fathomlux/scene/unit"
)

// shadowed is a field over an outline, dark within a distance of a place alone.
func shadowed(o form.Outline, x, y, withinM float64) Field {
	length, width := o.Size()
	g := NewGrid(length, width, 0.01)
	f := Field{Grid: g, Illuminance: make([]float64, g.Cells()), Solid: make(Solid, g.Cells())}
	for i := range f.Illuminance {
		at := space.Point{X: g.CentreX(i % g.NX), Y: g.CentreY(i / g.NX)}
		inside, _ := o.Within(space.Area{FromXM: at.X - g.StepXM/2, ToXM: at.X + g.StepXM/2, FromYM: at.Y - g.StepYM/2, ToYM: at.Y + g.StepYM/2})
		f.Solid[i] = 1 - inside/(g.StepXM*g.StepYM)
		if math.Hypot(at.X-x, at.Y-y) > withinM {
			f.Illuminance[i] = 1
		}
	}
	f.PPFD = f.Illuminance
	return f
}

// TestDarkPlacesOfOutlines: dark places are named after the true corners and sides, and in a rectangle of four points as in one
// without an outline.
func TestDarkPlacesOfOutlines(t *testing.T) {
	t.Parallel()
	outlines := map[string][]form.Point{"bow": form.BowFront(0.9, 0.6, 0.15), "cut": form.CutCorner(0.8, 0.8, 0.4, 1),
		"round": form.Round(0.8), "hexagon": form.Hexagon(0.8, 0.7), "four": form.Rectangle(0.9, 0.6)}
	for _, row := range []struct {
		of         string
		x, y, r    float64
		want, said string
	}{
		{"bow", 0.45, 0, 0.12, "bow's middle", "at the bow's middle"},
		{"bow", 0, 0.15, 0.1, "front left", "in the front left corner"},
		{"bow", 0.9, 0.6, 0.1, "back right", "in the back right corner"},
		{"bow", 0.45, 0.6, 0.1, "back middle", "at the back middle"},
		{"bow", 0.45, 0.33, 0.05, "middle", "at the middle"},
		{"cut", 0.6, 0.2, 0.1, "middle of the front right side", "at the middle of the front right side"},
		{"cut", 0, 0.8, 0.1, "back left", "in the back left corner"},
		{"cut", 0.8, 0.4, 0.05, "right", "in the right corner"},
		{"cut", 0.6, 0.2, 0.22, "along the front right side", "along the front right side"},
		{"round", 0.4, 0, 0.1, "front edge", "at the front edge"},
		{"round", 0.13, 0.13, 0.1, "front left edge", "at the front left edge"},
		{"hexagon", 0, 0.35, 0.1, "left", "in the left corner"},
		{"hexagon", 0.6, 0.7, 0.1, "back right", "in the back right corner"},
		{"four", 0.9, 0.6, 0.1, "back right", "in the back right corner"},
	} {
		o, _, err := form.Draw(outlines[row.of])
		if err != nil {
			t.Fatal(err)
		}
		f := shadowed(o, row.x, row.y, row.r)
		found := DarkCorners(f, f.Illuminance, 0.5, o)
		if len(found) != 1 || found[0].Place(unit.Metric) != row.want || found[0].Say(unit.Metric) != row.said {
			t.Errorf("%s at %g, %g m: %+v, want %q", row.of, row.x, row.y, found, row.want)
		}
		for _, c := range found { // of a quarter or half disc or a full one, within the cells at its rim
			if area := c.AreaShare * o.AreaM2(); area > math.Pi*row.r*row.r*1.05 || area < math.Pi*row.r*row.r/5 {
				t.Errorf("%s at %g, %g m: %g m2 dark", row.of, row.x, row.y, area)
			}
		}
	}
}
