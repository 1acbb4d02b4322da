package heatmap

import (
	"fmt"
	"slices"
	"testing"

	"fathomlux/optics/result"
)

// braced is a long tank with two kinds of modules, a brace and a box that run through numbers, and dark corners so narrow
// that no letter has room inside.
func braced() Plan {
	p := planOf(2, 0.7, 100, 35, spots(6, 2, 0.7, 0.15))
	for row := range 3 {
		y := 0.15 + 0.2*float64(row)
		p.Rails = append(p.Rails, Rail{LeftM: 0.05, RightM: 1.95, YM: y, WidthM: 0.08, Name: fmt.Sprint("rail ", row)})
		for i := range 11 {
			p.Modules = append(p.Modules, Mark{XM: 0.15 + 0.17*float64(i), YM: y, LengthM: 0.03, WidthM: 0.03, Kind: (row + i) % 2})
		}
	}
	p.Obstacles = []Rect{{LeftM: 0.64, RightM: 0.7, BackM: 0.7, Name: "brace"}, {LeftM: 1.85, FrontM: 0.5, RightM: 2, BackM: 0.7, Name: "box"}}
	corner := func(fromX, toX, fromY, toY float64) {
		p.Dark = append(p.Dark, result.DarkCorner{Where: "somewhere", FromXM: fromX, ToXM: toX, FromYM: fromY, ToYM: toY})
	}
	corner(1.85, 2, 0.21, 0.7)
	corner(1.28, 1.41, 0, 0.7)
	corner(0.63, 0.66, 0.17, 0.51) // as wide as a few points
	corner(0, 0.04, 0.23, 0.46)
	corner(0.6, 0.72, 0, 0.16)
	corner(0.63, 0.71, 0.57, 0.7)
	p.Signs = "Modules: plain quad-cool; with a slash quad-blue."
	return p
}

// TestEveryFrameHasItsLetterAndEveryModuleItsNumber: none is left out or lies under a frame or an outline.
func TestEveryFrameHasItsLetterAndEveryModuleItsNumber(t *testing.T) {
	p := braced()
	c, err := Draw(p)
	if err != nil {
		t.Fatal(err)
	}
	for _, fault := range c.Collisions() {
		t.Error(fault)
	}
	var texts []string
	for _, placed := range c.Texts() {
		texts = append(texts, placed.Text)
	}
	for i := range p.Dark {
		if !slices.Contains(texts, darkLetter(i)) {
			t.Errorf("frame %s has no letter", darkLetter(i))
		}
	}
	for i := range p.Modules {
		if !slices.Contains(texts, fmt.Sprint(i+1)) {
			t.Errorf("module %d has no number", i+1)
		}
	}
	if !slices.Contains(texts, p.Signs) {
		t.Errorf("%q is not on the page", p.Signs)
	}
}
