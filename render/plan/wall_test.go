package plan

import (
	"fmt"
	"strings"
	"testing"

	"fathomlux/optics/result"
	"fathomlux/render/fig"
	"fathomlux/render/style"
)

// wallOf is a wall whose light rises to the right and falls from the floor up.
func wallOf(lengthM, heightM float64) Wall {
	g := result.NewGrid(lengthM, heightM, 0.01)
	w := &result.Wall{Name: "back", Ends: [2]string{"left", "right"}, Field: result.Field{Grid: g, Illuminance: make([]float64, g.Cells()), PPFD: make([]float64, g.Cells())}}
	for i := range w.Field.Illuminance {
		w.Field.Illuminance[i] = 100 + 400*g.CentreX(i%g.NX)/lengthM + 500*(1-g.CentreY(i/g.NX)/heightM)
	}
	w.Illuminance = g.Summarise(w.Field.Illuminance, nil, 0)
	return Wall{Page: fig.Page{Title: "Library foyer"}, Wall: w}
}

// TestWallsStandUpright: the floor is below, the first end on the left, and nothing is written over another, whatever
// the proportions; the brightest corner is where the light is.
func TestWallsStandUpright(t *testing.T) {
	for _, size := range [][2]float64{{1.18, 0.42}, {0.43, 0.42}, {0.2, 0.9}, {3, 0.12}} {
		w := wallOf(size[0], size[1])
		text, c := onPage(t, fmt.Sprint(size), w)
		at := map[string]style.Box{}
		for _, one := range c.Texts() {
			at[one.Text] = one.Box
		}
		for _, want := range []string{"left", "right", "water surface", "uniformity U0 (min/mean)"} {
			if !strings.Contains(text, "\n"+want+"\n") {
				t.Errorf("%v: no %q in %s", size, want, text)
			}
		}
		if floor, ok := at["floor"]; at["left"].Right >= at["right"].Left || ok && at["water surface"].Bottom >= floor.Top {
			t.Errorf("%v: %v", size, at)
		}
	}
	w := wallOf(1.18, 0.42)
	_, c := onPage(t, "colours", w)
	v := sized(1.18, 0.42, planRoom).on(nil, style.Pt(fig.Margin+fig.RulerWidth, fig.Margin+edgeName+16+style.TitleFont.LineHeight()))
	bright, dark := c.ColourAt(v.at(1.17, 0.01)), c.ColourAt(v.at(0.01, 0.41))
	if int(bright.R)+int(bright.G) < 400 || int(dark.R)+int(dark.G) > 150 {
		t.Errorf("at the floor on the right %v, at the surface on the left %v", bright, dark)
	}
}

// TestWallsWithoutLight: a wall that no light reaches says so.
func TestWallsWithoutLight(t *testing.T) {
	w := wallOf(1, 0.4)
	clear(w.Wall.Field.Illuminance)
	w.Wall.Illuminance = result.Statistics{}
	if text, _ := onPage(t, "dark", w); !strings.Contains(text, "No light reaches this face.") {
		t.Errorf("no word of the dark in %s", text)
	}
}
