package style

import (
	"image/color"
	"math"
	"strings"
	"sync"
	"testing"
)

func newCanvas(t *testing.T, width, height, factor float64) *Canvas {
	t.Helper()
	setter, err := NewTypesetter(factor)
	if err != nil {
		t.Fatal(err)
	}
	c, err := NewCanvas(width, height, setter)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestCanvasRefusesWrongSizes(t *testing.T) {
	for _, factor := range []float64{-1, 0.1, 5, math.NaN(), math.Inf(1)} {
		if _, err := NewTypesetter(factor); err == nil {
			t.Errorf("pixel factor %g is taken", factor)
		}
	}
	setter, err := NewTypesetter(0)
	if err != nil {
		t.Fatal(err)
	}
	for _, size := range [][2]float64{{0, 10}, {10, -1}, {math.NaN(), 1}, {1e6, 1e6}} {
		if _, err := NewCanvas(size[0], size[1], setter); err == nil {
			t.Errorf("a page of %v is taken", size)
		}
	}
}

func TestTextIsMeasuredAndShortened(t *testing.T) {
	setter, _ := NewTypesetter(1)
	narrow, wide := setter.Width("lux", TextFont), setter.Width("lux lux", TextFont)
	if !(narrow > 10 && wide > 2*narrow) {
		t.Errorf("widths %g and %g points", narrow, wide)
	}
	long := strings.Repeat("planted tank ", 40)
	short := setter.Shorten(long, TitleFont, 300)
	if w := setter.Width(short, TitleFont); w > 300 || w < 270 || !strings.HasSuffix(short, "\u2026") {
		t.Errorf("shortened to %q, %g points; want just under 300 with an ellipsis", short, w)
	}
	if got := setter.Shorten("foyer", TitleFont, 300); got != "foyer" {
		t.Errorf("a short text became %q", got)
	}
	double, _ := NewTypesetter(2)
	if a, b := setter.Width(long, TextFont), double.Width(long, TextFont); math.Abs(a-b) > 0.01*a {
		t.Errorf("width is %g points at factor 1 and %g at 2", a, b)
	}
}

func TestWrapKeepsWordsAndLines(t *testing.T) {
	setter, _ := NewTypesetter(1)
	text := "mean illuminance 2140 lx, goal 2500 lx; U0 0.28, goal 0.50"
	lines := setter.Wrap(text, TextFont, 180, 9)
	if strings.Join(lines, " ") != text || len(lines) < 3 {
		t.Errorf("wrapped to %q", lines)
	}
	for _, l := range append(lines, setter.Wrap(text, TextFont, 180, 2)...) {
		if w := setter.Width(l, TextFont); w > 180 {
			t.Errorf("%q is %g points wide", l, w)
		}
	}
	cut := setter.Wrap(text, TextFont, 180, 2)
	if len(cut) != 2 || !strings.HasSuffix(cut[1], "\u2026") {
		t.Errorf("cut to %q; want two lines, the last with an ellipsis", cut)
	}
	if got := setter.Wrap(" \n", TextFont, 180, 2); len(got) != 0 {
		t.Errorf("an empty text has lines %q", got)
	}
}

func TestUnshownLetters(t *testing.T) {
	for text, want := range map[string]string{
		"front rail": "", "\u00dcbung \u0394\u03b9 \u05e9\u05dc\u05d5\u05dd \u041b\u0435\u0432\u044b\u0439": "", "": "",
		"\u524d": "\u524d", "Leiste \u659c\u3081 \u659c": "\u659c\u3081", "tank \U0001f41f": "\U0001f41f",
	} {
		if got := Unshown(text); got != want {
			t.Errorf("of %q %q are lacking; want %q", text, got, want)
		}
	}
}

func TestCleanKeepsLettersThatTheFontHas(t *testing.T) {
	setter, _ := NewTypesetter(1)
	for _, c := range []struct{ text, want string }{
		{"\u00b5mol/m\u00b2/s \u2013 \u0394\u03b9\u03ce\u03c1\u03c5\u03b3\u03b1 \u00dcbung", "\u00b5mol/m\u00b2/s \u2013 \u0394\u03b9\u03ce\u03c1\u03c5\u03b3\u03b1 \u00dcbung"},
		{"a\tb\n\x00c  d ", "a b c d"},
	} {
		if got := setter.Clean(c.text, TextFont); got != c.want {
			t.Errorf("Clean(%q) = %q; want %q", c.text, got, c.want)
		}
	}
	for _, f := range []Font{TextFont, TitleFont} { // letters and bytes without a glyph must not vanish
		if got := []rune(setter.Clean("x\u706f\xffy", f)); len(got) != 4 || got[0] != 'x' || got[3] != 'y' {
			t.Errorf("missing letters become %q", string(got))
		}
	}
}

func TestGuardKeepsTextsApart(t *testing.T) {
	c := newCanvas(t, 200, 100, 1)
	text := Text{Text: "2500", At: Point{100, 50}, Anchor: Middle, Font: LabelFont}
	if !c.TryWrite(text) || c.TryWrite(text) {
		t.Error("the first text must stand, the second on it must not")
	}
	text.At = Point{195, 80}
	if c.TryWrite(text) {
		t.Error("a text that leaves the page was written")
	}
	c.ClaimEdges(Box{10, 10, 90, 90})
	if c.Fits(Box{5, 20, 15, 30}) || !c.Fits(Box{20, 20, 40, 40}) {
		t.Error("claimed edges must keep texts off the edge and let them inside")
	}
	if got := c.Texts(); len(got) != 1 || got[0].Text != "2500" {
		t.Errorf("texts %v", got)
	}
}

func TestTextStandsWhereItsBoxSays(t *testing.T) {
	for _, a := range []Anchor{TopLeft, TopMiddle, TopRight, MiddleLeft, Middle, MiddleRight, BottomLeft, BottomMiddle, {1, 1}} {
		c := newCanvas(t, 120, 60, 2)
		c.Write(Text{Text: "Hgj5", At: Point{60, 30}, Anchor: a, Font: Font{SizePt: 16}})
		box, inked := c.Texts()[0].Box.Grown(1), 0
		for y := range 120 {
			for x := range 240 {
				if c.Image().RGBAAt(x, y) == color.RGBA(Paper) {
					continue
				}
				inked++
				if p := (Point{(float64(x) + 0.5) / 2, (float64(y) + 0.5) / 2}); !box.Holds(p) {
					t.Fatalf("anchor %v: ink at %v outside the box %v", a, p, box)
				}
			}
		}
		if inked < 100 {
			t.Errorf("anchor %v: only %d pixels of ink", a, inked)
		}
	}
}

func TestThinnedLeavesNoCollision(t *testing.T) {
	setter, _ := NewTypesetter(1)
	row := func(gap float64) []Text {
		labels := make([]Text, 60)
		for i := range labels {
			labels[i] = Text{Text: "188", At: Point{float64(i) * gap, 10}, Anchor: Middle, Font: LabelFont}
		}
		return labels
	}
	for gap, want := range map[float64]int{30: 60, 14: 30, 7: 13, 3: 7, 0: 1} { // every label, every other, the first and every 5th, 10th
		if got := len(setter.Thinned(row(gap))); got != want {
			t.Errorf("%g points apart: %d labels; want %d", gap, got, want)
		}
	}
}

func TestClipLine(t *testing.T) {
	box := Box{0, 0, 10, 10}
	if a, b, ok := ClipLine(Point{-5, 5}, Point{15, 5}, box); !ok || a != (Point{0, 5}) || b != (Point{10, 5}) {
		t.Errorf("clipped to %v %v %v", a, b, ok)
	}
	if a, b, ok := ClipLine(Point{2, 3}, Point{4, 8}, box); !ok || a != (Point{2, 3}) || b != (Point{4, 8}) {
		t.Errorf("a line inside became %v %v %v", a, b, ok)
	}
	for _, l := range [][2]Point{{{-1, -1}, {-1, 20}}, {{-5, 3}, {3, -9}}, {{3, 3}, {3, 3}}, {{math.NaN(), 1}, {3, 3}}} {
		if _, _, ok := ClipLine(l[0], l[1], box); ok && l[0] != l[1] {
			t.Errorf("line %v meets the box", l)
		}
	}
}

func TestDrawingsInParallel(t *testing.T) { // for the race detector: the parsed fonts serve all at once
	var group sync.WaitGroup
	for range 4 {
		group.Go(func() {
			setter, err := NewTypesetter(1)
			if err != nil {
				t.Error(err)
				return
			}
			c, err := NewCanvas(100, 40, setter)
			if err != nil {
				t.Error(err)
				return
			}
			c.Write(Text{Text: "lux", At: Point{10, 10}, Font: TextFont})
		})
	}
	group.Wait()
}

func TestStrokesAreCrisp(t *testing.T) {
	c := newCanvas(t, 40, 40, 1)
	c.StrokeBox(Box{10, 10, 30, 30}, Pen{Width: 1, Colour: Ink})
	c.Line(Point{5, 3}, Point{35, 3}, Pen{Width: 1, Colour: Ink})
	c.Line(Point{3, 5}, Point{3, 35}, Pen{Width: 1, Colour: Ink})
	for y := range 40 {
		for x := range 40 {
			if got := c.Image().RGBAAt(x, y); got != color.RGBA(Paper) && got != color.RGBA(Ink) {
				t.Fatalf("pixel (%d, %d) is %v: neither paper nor ink", x, y, got)
			}
		}
	}
	if c.Image().RGBAAt(10, 20) != color.RGBA(Ink) || c.Image().RGBAAt(20, 20) != color.RGBA(Paper) {
		t.Error("the outline is not on its edge")
	}
}

func TestRightToLeftIsSeenSo(t *testing.T) {
	for text, want := range map[string]string{"a \u05d0\u05d1 \u05d2 b": "a \u05d2 \u05d1\u05d0 b", "\u05d0 ": "\u05d0 ", "plain": "plain", "": ""} {
		if got := visual(text); got != want {
			t.Errorf("visual(%q) = %q, want %q", text, got, want)
		}
	}
}

// TestTextsBesideABox: a text keeps the gap to its box, or to the box's edge inside, in the direction asked for.
func TestTextsBesideABox(t *testing.T) {
	c := newCanvas(t, 400, 300, 1)
	box := Box{Left: 100, Top: 100, Right: 300, Bottom: 200}
	text := Text{Text: "lux", Font: LabelFont}
	for _, way := range []Point{Above, Below, Leftwards, Rightwards, Corners[0], Corners[1], Corners[2], Corners[3]} {
		outside, inside := c.Box(text.Beside(box, 5, way)), c.Box(text.Beside(box, -5, way))
		if !box.Contains(inside) || outside.Meets(box.Grown(3)) {
			t.Errorf("%v: %v is not inside, or %v not beside %v", way, inside, outside, box)
		}
		for _, got := range []Box{outside, inside} {
			if d := got.Centre(); way.X*(d.X-200) < 0 || way.Y*(d.Y-150) < 0 {
				t.Errorf("%v: the text stands about %v", way, d)
			}
		}
	}
	forms := text.Around(box, 5, Above, Below)
	if len(forms) != 2 || forms[0] != text.Beside(box, 5, Above) || forms[1] != text.Beside(box, 5, Below) {
		t.Errorf("forms %v", forms)
	}
}

// TestWrapCutsLettersWiderThanTheLine: a line of one letter is the least there is, and no text is lost before the last line.
func TestWrapCutsLettersWiderThanTheLine(t *testing.T) {
	setter, _ := NewTypesetter(1)
	for text, want := range map[string]string{"W": "W", "WW": "W|\u2026", "a b": "a|\u2026"} {
		if got := strings.Join(setter.Wrap(text, TitleFont, 1, 2), "|"); got != want {
			t.Errorf("%q becomes %q, want %q", text, got, want)
		}
	}
}
