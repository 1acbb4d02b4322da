package fig

import (
	"image/color"
	"testing"

	"fathomlux/render/style"
)

// TestBeadsAreLeftOut: of two spots of one height the larger gets its ring, and the one of a single cell none.
func TestBeadsAreLeftOut(t *testing.T) {
	inked := func(radius int) bool {
		const n = 40
		values := make([]float64, n*n)
		for y := range n {
			for x := range n {
				if dx, dy := x-n/2, y-n/2; dx*dx+dy*dy <= radius*radius {
					values[y*n+x] = 1
				}
			}
		}
		ts, err := style.NewTypesetter(1)
		if err != nil {
			t.Fatal(err)
		}
		c, err := style.NewCanvas(200, 200, ts)
		if err != nil {
			t.Fatal(err)
		}
		before := map[color.RGBA]bool{}
		Heat{Frame: style.Box{Right: 200, Bottom: 200}, NX: n, NY: n, Values: values, Scale: style.NewScale(0, 1)}.isolines(c, []level{{value: 0.5}})
		for x := range 200 {
			before[c.ColourAt(style.Pt(float64(x)+0.5, 102.5))] = true
		}
		return len(before) > 1
	}
	if inked(0) {
		t.Error("a spot of one cell has a ring")
	}
	if !inked(8) {
		t.Error("a large spot has none")
	}
}
