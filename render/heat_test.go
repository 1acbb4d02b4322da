package render

import (
	"bytes"
	"context"
	"fmt"
	"image/png"
	"strings"
	"testing"

	"fathomlux/render/chart"
	"fathomlux/render/style"
	"fathomlux/scene"
	"fathomlux/scene/operating"
)

const heated = `title: heat
tank: {length: 1180 mm, width: 430 mm, height: 480 mm, water: {depth: 420 mm}}
rails:
  - {name: main, length: 1100 mm, above_water: 160 mm, modules: {part: quad-neutral, optic: round-40, count: %d, spacing: %d mm, current: %d mA}}%s
ambient: {air: 24 C%s}
`

const second = "\n  - {length: 600 mm, above_water: 160 mm, y: 320 mm, modules: {part: single-neutral, optic: round-40, count: 5, spacing: 100 mm, current: 500 mA}}"

func heatScene(t *testing.T, args ...any) (*scene.Scene, *operating.Point) {
	t.Helper()
	return operated(t, fmt.Sprintf(heated, args...))
}

// operated is a scene in its balance of heat.
func operated(t *testing.T, text string) (*scene.Scene, *operating.Point) {
	t.Helper()
	sc, err := scene.Parse("heat.yaml", []byte(text), nil)
	if err != nil {
		t.Fatal(err)
	}
	o, err := operating.Of(sc)
	if err != nil {
		t.Fatal(err)
	}
	return sc, o
}

// TestHeatPicturesOfManySizes draws rails of 1 to 100 modules; pages refuse texts that meet.
func TestHeatPicturesOfManySizes(t *testing.T) {
	for _, c := range [][]any{{1, 100, 1000, "", ""}, {6, 180, 350, "", ""}, {14, 75, 700, "", ""}, {40, 27, 200, "", ""}, {100, 10, 100, "", ""},
		{6, 180, 350, second, ", hood: {length: 1200 mm, width: 450 mm, height: 120 mm}"}} {
		sc, o := heatScene(t, c...)
		for _, look := range []Look{{PixelFactor: 1, Version: "test"}, {PixelFactor: 0.5, Units: style.US}} {
			list, err := Heat(context.Background(), o, sc, []string{"a note"}, look)
			if err != nil || len(list) != 1 || list[0].Name != "heat.png" {
				t.Fatalf("%v: %d pictures, error %v", c[:3], len(list), err)
			}
			img, err := png.Decode(bytes.NewReader(list[0].Data))
			if err != nil || img.Bounds().Dx() != int(1400*look.PixelFactor) {
				t.Errorf("%v: %v, error %v", c[:3], img.Bounds(), err)
			}
		}
	}
}

// subtitle returns that of a chart.
func subtitle(d drawing) string {
	c, _ := d.picture.(chart.Chart)
	return c.Subtitle
}

func TestHeatPictureSaysItsSurroundings(t *testing.T) {
	sc, o := heatScene(t, 6, 180, 350, second, ", hood: {length: 1200 mm, width: 450 mm, height: 120 mm}")
	if d := subtitle(heatDrawing(o, sc, nil, Look{})); !strings.Contains(d, "room of 24 \u00b0C, hood of 1200 x 450 x 120 mm with 3") {
		t.Errorf("subtitle %q", d)
	}
	sc, o = heatScene(t, 6, 180, 350, "", "")
	if d := subtitle(heatDrawing(o, sc, nil, Look{})); !strings.Contains(d, "along the rail, and of the junctions: room of 24 \u00b0C, no hood") {
		t.Errorf("subtitle %q", d)
	}
	limits := heatLimits(o, sc)
	if len(limits) != 3 || limits[0].At != 55 || limits[1].At != 24 || limits[2].At != 125 {
		t.Errorf("limits %+v", limits)
	}
}

// TestRailsThatLieOnEachOtherAreOneLine: front and back are alike and middle is not; numbers where all stand at the same places.
func TestRailsThatLieOnEachOtherAreOneLine(t *testing.T) {
	three := func(names [3]string, second, shift string) (*scene.Scene, *operating.Point) {
		text := "tank: {length: 1 m, width: 400 mm, height: 400 mm, water: {depth: 300 mm}}\nrails:\n"
		for i, part := range []string{"quad-cool", second, "quad-cool"} {
			text += fmt.Sprintf("  - {%slength: 600 mm, above_water: 200 mm, y: %d mm, modules: {part: %s, optic: round-60, count: 4, spacing: 140 mm%s, current: 350 mA}}\n", names[i], 100+100*i, part, map[bool]string{true: shift}[i == 1])
		}
		return operated(t, text)
	}
	for _, c := range []struct {
		names         [3]string
		second, shift string
		want          string
		numbered      bool
	}{
		{[3]string{"name: front, ", "name: middle, ", "name: back, "}, "quad-blue", "", "rail front, rail back; rail middle", true},
		{[3]string{"", "", ""}, "quad-blue", ", centre: 480 mm", "rail 1, rail 3; rail 2", false},
		{[3]string{"name: front, ", "", "name: back, "}, "quad-cool", "", "rail front, rail 2, rail back", true},
	} {
		sc, o := three(c.names, c.second, c.shift)
		var got []string
		series := heatDrawing(o, sc, nil, Look{}).picture.(chart.Chart).Panels[0].Series
		for i := 0; i < len(series); i += 2 {
			if got = append(got, series[i].Name); series[i+1].Name != "junctions on "+series[i].Name {
				t.Errorf("dots of %q are %q", series[i].Name, series[i+1].Name)
			}
		}
		if strings.Join(got, "; ") != c.want || sameSeats(sc) != c.numbered {
			t.Errorf("%q, numbered %v; want %q, %v", got, sameSeats(sc), c.want, c.numbered)
		}
		if _, err := Heat(context.Background(), o, sc, nil, Look{PixelFactor: 1}); err != nil {
			t.Error(err)
		}
	}
}
