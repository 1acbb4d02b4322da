package render_test

import (
	"bytes"
	"context"
	"fmt"
	"image/png"
	"strings"
	"testing"

	"fathomlux/render"
	"fathomlux/render/diagram"
	"fathomlux/render/fig"
	"fathomlux/render/style"
	"fathomlux/scene"
	"fathomlux/scene/wiring"
)

// ownFigures stand below the drawing of one driver.
func ownFigures(i int) []fig.Figure {
	return []fig.Figure{{Label: "load", Value: fmt.Sprintf("%d0 W", i+1)}}
}

// TestADriverAPage: where there are several drivers, each has a page with its own figures and not those of all, seen from behind too, with
// every wire in the list; kinds of light have unlike symbols.
func TestADriverAPage(t *testing.T) {
	sc, err := scene.Parse("reef.yaml", []byte(`title: Reef
tank: {length: 1180 mm, width: 430 mm, height: 480 mm, water: {depth: 420 mm}}
rails:
  - {name: front, length: 1100 mm, above_water: 160 mm, y: 115 mm, modules: {part: quad-cool, optic: round-40, count: 4, spacing: 180 mm, current: 350 mA}}
  - {name: back, length: 900 mm, above_water: 160 mm, y: 315 mm, modules: {part: quad-blue, optic: round-40, count: 4, spacing: 180 mm, current: 350 mA}}
wiring: {drivers: [{name: white, driver: cc-700, modules: [front], strings: 2}, {name: blue, modules: [back]}]}
`), nil)
	if err != nil {
		t.Fatal(err)
	}
	groups, err := wiring.Wire(sc, wiring.Request{LeadM: 3})
	if err != nil {
		t.Fatal(err)
	}
	w := diagram.Diagram{Groups: groups, Page: fig.Page{Subtitle: "wiring"}, Figures: []fig.Figure{{Label: "load", Value: "99 W"}}, Cautions: []string{"mains"}}
	list, err := render.Wire(context.Background(), sc, w, ownFigures, render.Look{PixelFactor: 1, Version: "0", Format: style.SVG})
	if err != nil || len(list) != 3 {
		t.Fatalf("%d pictures, %v", len(list), err)
	}
	for i, want := range [][]string{
		{">99 W<", ">driver white<", ">driver blue<", "Symbols: quad-cool: open triangle; quad-blue: filled triangle.", ">Caution: mains<"},
		{">10 W<", ">driver white<", ">rail front from the back<", ">string 1: driver +<", ">module front:4 +<", ">driver \u2212<", ">red<", ">grey<", ">black<", "driver white, 1 of 2"},
		{">20 W<", ">driver blue<", ">rail back from the back<", ">module back:1 +<", "driver blue, 2 of 2"},
	} {
		for _, text := range want {
			if !strings.Contains(string(list[i].Data), text) {
				t.Errorf("%s: no %q", list[i].Name, text)
			}
		}
		if i > 0 && (strings.Contains(string(list[i].Data), ">99 W<") || strings.Contains(string(list[i].Data), []string{">driver blue<", ">driver white<"}[i-1])) {
			t.Errorf("%s shows what belongs to another driver", list[i].Name)
		}
	}
}

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
		list, err := render.Wire(context.Background(), sc, w, ownFigures, render.Look{PixelFactor: 1, Version: "0"})
		if err != nil {
			t.Fatal(err)
		}
		picture, svg := list[0], list[len(list)-1].Data
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
	if _, err := render.Wire(context.Background(), sc, diagram.Diagram{}, ownFigures, render.Look{PixelFactor: 1}); err == nil {
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
	list, err := render.Wire(context.Background(), sc, diagram.Diagram{Groups: groups}, ownFigures, render.Look{PixelFactor: 1})
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{">does not fit, see below<", "cc-1400-92w does not fit 2 strings of 2: its output of 1400 mA is not the 700 mA that the strings need"} {
		if !strings.Contains(string(list[1].Data), want) {
			t.Errorf("the diagram does not say %q", want)
		}
	}
}
