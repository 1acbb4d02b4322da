package render_test

import (
	"bytes"
	"context"
	"image/png"
	"strings"
	"testing"

	"fathomlux/render"
	"fathomlux/render/diagram"
	"fathomlux/render/fig"
	"fathomlux/scene"
	"fathomlux/scene/wiring"
)

// TestWire draws two rails with two drivers: the picture decodes, and the SVG names rails, drivers and all strings.
func TestWire(t *testing.T) {
	sc, err := scene.Parse("two.yaml", []byte(`title: Two rails
tank: {length: 1180 mm, width: 430 mm, height: 480 mm, water: {depth: 420 mm}}
rails:
  - {name: front, length: 1100 mm, above_water: 160 mm, y: 115 mm, modules: {part: quad-neutral, optic: round-40, count: 4, spacing: 180 mm, current: 350 mA}}
  - {name: back, length: 900 mm, above_water: 160 mm, y: 315 mm, modules: {part: quad-blue, optic: round-40, count: 4, spacing: 180 mm, current: 700 mA}}
wiring: {strings: 2}
`), nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, right := range []bool{false, true} {
		groups, err := wiring.Wire(sc, wiring.Request{LeadM: 3, FeedRight: right})
		if err != nil {
			t.Fatal(err)
		}
		w := diagram.Diagram{Groups: groups, Page: fig.Page{Subtitle: "wiring"}, Figures: []fig.Figure{{Label: "load", Value: "1 W"}}, Cautions: []string{"mains"}}
		list, err := render.Wire(context.Background(), sc, w, render.Look{PixelFactor: 1, Version: "0"})
		if err != nil {
			t.Fatal(err)
		}
		picture, svg := list[0], list[1].Data
		img, err := png.Decode(bytes.NewReader(picture.Data))
		if err != nil || picture.Name != "wiring.png" || img.Bounds().Dx() != 1400 {
			t.Errorf("%s: %v", picture.Name, err)
		}
		for _, want := range []string{"rail front, 1100 mm", "rail back, 900 mm", ">string 1: ", ">string 2: ", ">string 3: ", ">string 4: ", ">cc-1400<", ">lead of 3 m<", "2 strings of 2: ", "Caution: mains", ">1 W<"} {
			if n := strings.Count(string(svg), want); n == 0 || n > 2 {
				t.Errorf("right is %v: %d times %q", right, n, want)
			}
		}
	}
	if _, err := render.Wire(context.Background(), sc, diagram.Diagram{}, render.Look{PixelFactor: 1}); err == nil {
		t.Error("nothing is drawn")
	}
}

// TestWireSaysWhyADriverDoesNotFit: the driver's box says that it does not fit, and the whole reason stands below, not cut.
func TestWireSaysWhyADriverDoesNotFit(t *testing.T) {
	sc, err := scene.Parse("unfit.yaml", []byte(`title: Unfit
tank: {length: 1180 mm, width: 430 mm, height: 480 mm, water: {depth: 420 mm}}
rails:
  - {length: 1100 mm, above_water: 160 mm, modules: {part: single-neutral, optic: round-40, count: 4, spacing: 180 mm, current: 350 mA}}
wiring: {strings: 2, driver: cc-1400-92w}
`), nil)
	if err != nil {
		t.Fatal(err)
	}
	groups, err := wiring.Wire(sc, wiring.Request{})
	if err != nil {
		t.Fatal(err)
	}
	if fit := groups[0].Chosen.Fit; fit == nil || fit.Fits {
		t.Fatalf("fit %+v", fit)
	}
	list, err := render.Wire(context.Background(), sc, diagram.Diagram{Groups: groups}, render.Look{PixelFactor: 1})
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{">does not fit, see below<", "cc-1400-92w does not fit 2 strings of 2: its output of 1400 mA is not the 700 mA that the strings need"} {
		if !strings.Contains(string(list[1].Data), want) {
			t.Errorf("the diagram does not say %q", want)
		}
	}
}
