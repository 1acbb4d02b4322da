package heatmap

import (
	"image/color"
	"testing"

	"fathomlux/render/style"
)

func TestSmallPlanShowsLightAndMarks(t *testing.T) {
	p := planOf(1, 0.5, 20, 10, func(x, y float64) float64 {
		if x < 0.5 && y < 0.25 {
			return 1000
		}
		return 0
	})
	p.Scale = style.Scale{High: 2000}
	p.Rails = []Rail{{LeftM: 0.1, RightM: 0.9, YM: 0.25, WidthM: 0.02}, {LeftM: 3, RightM: 4, YM: 9, WidthM: 0.02}}
	p.Modules = []Mark{{XM: 0.75, YM: 0.25, LengthM: 0.02, WidthM: 0.02}, {XM: 7, YM: 7}}
	letters, err := style.NewTypesetter(1)
	if err != nil {
		t.Fatal(err)
	}
	c, err := style.NewCanvas(300, 200, letters)
	if err != nil {
		t.Fatal(err)
	}
	frame := style.Box{Left: 40, Right: 240, Top: 50, Bottom: 150}
	p.DrawSmall(c, frame)
	for at, want := range map[style.Point]color.RGBA{
		{X: 60, Y: 140}:  style.Light().At(0.5), // front left
		{X: 60, Y: 60}:   style.Light().At(0),   // back left
		{X: 220, Y: 140}: style.Light().At(0),   // front right
		{X: 20, Y: 100}:  color.RGBA(style.Paper),
	} {
		if got := c.ColourAt(at); got != want {
			t.Errorf("%v is %v; want %v", at, got, want)
		}
	}
	ground := style.Light().At(0)
	rail, module := c.ColourAt(style.Pt(160, 100)), c.ColourAt(style.Pt(190, 101))
	if rail == ground || module == ground {
		t.Errorf("rail %v and module %v do not show on %v", rail, module, ground)
	}
	if len(c.Texts()) != 0 {
		t.Errorf("a small plan has the texts %v", c.Texts())
	}
	if c.Fits(style.Box{Left: 100, Right: 120, Top: 100, Bottom: 110}) {
		t.Error("the place of a small plan is not claimed")
	}
}
