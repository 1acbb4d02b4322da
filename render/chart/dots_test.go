package chart

import (
	"math"
	"testing"

	"fathomlux/render/style"
)

// dotted is a line with three dots, one of them no number.
func dotted() Lines {
	return Lines{Title: "dots", Lines: []Line{{Name: "rail", X: []float64{0, 100}, Y: []float64{30, 31}, Plain: true}},
		Dots: []Dots{{Name: "junctions", X: []float64{20, 50, 80}, Y: []float64{60, math.NaN(), 70}, From: []float64{30, 30, 30}}}}
}

// inked counts the pixels of the first look's colour.
func inked(t *testing.T, l Lines) int {
	t.Helper()
	img, err := picture(l.Draw())
	if err != nil {
		t.Fatal(err)
	}
	want, n := style.SeriesPen(0, 0).Colour, 0
	for y := range img.Bounds().Dy() {
		for x := range img.Bounds().Dx() {
			if c := img.RGBAAt(x, y); c.R == want.R && c.G == want.G && c.B == want.B {
				n++
			}
		}
	}
	return n
}

func TestDotsAreDrawnOnTheirStems(t *testing.T) {
	bare, loose, all := dotted(), dotted(), dotted()
	bare.Dots = []Dots{{X: []float64{math.NaN()}, Y: []float64{1}}}
	loose.Dots[0].From = nil
	a, b, c := inked(t, bare), inked(t, loose), inked(t, all)
	if b < a+100 || c < b+100 { // two dots and their sample have 80 pixels each, two stems 200 and more
		t.Errorf("%d pixels without dots, %d with them, %d with stems", a, b, c)
	}
	marked := dotted()
	marked.Dots, marked.Lines[0].Plain = bare.Dots, false
	if d := inked(t, marked); d < a+100 {
		t.Errorf("a plain line has %d pixels, one with marks %d", a, d)
	}
}

func TestDotsCountInTheRanges(t *testing.T) {
	x, y, ok := dotted().ranges()
	if !ok || y.high < 70 || x.low > 0 || x.high < 100 {
		t.Errorf("ranges %+v %+v", x, y)
	}
	for _, d := range []Dots{{X: []float64{1}}, {X: []float64{1}, Y: []float64{1}, From: []float64{1, 2}}} {
		l := dotted()
		l.Dots = []Dots{d}
		if _, err := l.Draw(); err == nil {
			t.Errorf("%+v: taken", d)
		}
	}
}
