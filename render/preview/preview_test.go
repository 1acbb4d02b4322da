package preview_test

import (
	"fmt"
	"image/color"
	"math"
	"regexp"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"fathomlux/render/preview"
	"fathomlux/render/style"
)

// ramp is a plan whose value rises from 0 at the left to nx-1 at the right, and by ten a row towards the back.
func ramp(nx, ny int) preview.Plan {
	p := preview.Plan{Heading: "illuminance", Unit: "lx", LengthM: 0.8, WidthM: 0.4, NX: nx, NY: ny, Columns: 44}
	for iy := range ny {
		for ix := range nx {
			p.Values = append(p.Values, float64(ix+10*iy))
		}
	}
	return p
}

var escapes = regexp.MustCompile("\x1b\\[[0-9;]*m")

func lines(text string) []string { return strings.Split(strings.TrimSuffix(text, "\n"), "\n") }

// TestLetters: the back edge is at the top, the front at the bottom, left is left, and shades grow with the light.
func TestLetters(t *testing.T) {
	p := ramp(8, 2)
	p.Values = []float64{0, 1, 2, 3, 4, 5, 6, 7, 8, 8, 8, 8, 8, 8, 8, 8} // the back row is bright
	p.Modules = []preview.Mark{{XM: 0.05, YM: 0.3}, {XM: 0.75, YM: 0.3, Dead: true}, {XM: 2, YM: 0.1}}
	got := lines(preview.Draw(p))
	want := []string{
		"illuminance",
		" +----------------------------------------+",
		" |########################################|",
		" |########################################|",
		" |##o##################################x##|", // 3/4 of the way back, 1/16 and 15/16 along
		" |########################################|",
		" |########################################|",
		" |     .....:::::-----=====+++++*****#####|", // eight values, five columns each
		" |     .....:::::-----=====+++++*****#####|",
		" |     .....:::::-----=====+++++*****#####|",
		" |     .....:::::-----=====+++++*****#####|",
		" |     .....:::::-----=====+++++*****#####|",
		" +----------------------------------------+",
		"  0                front            800 mm",
		"  lx:  ' ' 0  '.' 1.00  ':' 2.00  '-' 3.00",
		"  '=' 4.00  '+' 5.00  '*' 6.00  '#' 7.00",
		"  o module  x dead module",
	}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// TestBlocksShowTheMapsColours: the first half block of the plan has the colours of the two cells there.
func TestBlocksShowTheMapsColours(t *testing.T) {
	p := ramp(40, 20)
	p.Depth = preview.TrueColour
	text := preview.Draw(p)
	scale := style.ScaleFor(p.Values)
	upper, lower := style.Light().At(scale.Share(190)), style.Light().At(scale.Share(180)) // back left and the row before it
	want := "  \x1b[38;2;" + code(upper) + "m\x1b[48;2;" + code(lower) + "m\u2580"
	if first := lines(text)[1]; !strings.HasPrefix(first, want) {
		t.Errorf("the plan begins with %q, want %q", first[:60], want)
	}
	if !strings.Contains(text, "\n  0                front            800 mm\n") {
		t.Errorf("no ruler in\n%s", escapes.ReplaceAllString(text, ""))
	}
}

func code(c color.RGBA) string { return fmt.Sprintf("%d;%d;%d", c.R, c.G, c.B) }

// TestColours256: the command takes an index alone, and pure colours find their own place in the cube.
func TestColours256(t *testing.T) {
	p := ramp(40, 20)
	p.Depth = preview.Colours256
	text := preview.Draw(p)
	if strings.Contains(text, "38;2;") || !regexp.MustCompile("\x1b\\[38;5;(1[6-9]|[2-9][0-9]|1[0-9][0-9]|2[0-5][0-9])m").MatchString(text) {
		t.Errorf("no 256 colours in %q", text[:80])
	}
	for index, c := range map[int]color.RGBA{16: {}, 231: {255, 255, 255, 255}, 196: {255, 0, 0, 255}, 244: {128, 128, 128, 255}, 67: {95, 135, 175, 255}} {
		if got := preview.Nearest256(c); got != index {
			t.Errorf("%v is %d, want %d", c, got, index)
		}
	}
}

// TestFitsThePage: whatever the tank's shape, the page's width and the depth of colour, no line is too long, the plan is
// not taller than asked, plain text has no escape, and each coloured line ends as it began.
func TestFitsThePage(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := ramp(rapid.IntRange(1, 60).Draw(t, "nx"), rapid.IntRange(1, 60).Draw(t, "ny"))
		p.LengthM, p.WidthM = rapid.Float64Range(0.01, 20).Draw(t, "length"), rapid.Float64Range(0.01, 20).Draw(t, "width")
		p.Columns, p.Lines = rapid.IntRange(-5, 200).Draw(t, "columns"), rapid.IntRange(-1, 50).Draw(t, "lines")
		p.Depth = preview.Depth(rapid.IntRange(0, 2).Draw(t, "depth"))
		p.Heading = strings.Repeat("wide ", rapid.IntRange(0, 50).Draw(t, "heading"))
		for range rapid.IntRange(0, 5).Draw(t, "modules") {
			p.Modules = append(p.Modules, preview.Mark{XM: rapid.Float64Range(-1, 21).Draw(t, "x"), YM: rapid.Float64Range(-1, 21).Draw(t, "y")})
		}
		p.Values[0] = rapid.SampledFrom([]float64{0, 1e9, math.NaN(), math.Inf(1), -5}).Draw(t, "value")
		checkPage(t, p, preview.Draw(p))
	})
}

func checkPage(t *rapid.T, p preview.Plan, text string) {
	plan := 0
	for _, line := range lines(text) {
		bare := escapes.ReplaceAllString(line, "")
		if n := len([]rune(bare)); n > max(p.Columns, 20) {
			t.Errorf("%d columns in %q, page of %d", n, bare, p.Columns)
		}
		if strings.Contains(bare, "\x1b") || p.Depth == preview.Plain && bare != line {
			t.Errorf("an escape in %q", line)
		}
		if bare != line && !strings.HasSuffix(line, "\x1b[0m") {
			t.Errorf("%q leaves its colours on", line)
		}
		if strings.Contains(bare, "\u2580") || strings.HasPrefix(bare, " |") {
			plan++
		}
	}
	if most := map[bool]int{true: p.Lines, false: 32}[p.Lines > 0]; plan > most {
		t.Errorf("the plan has %d lines, %d were asked for", plan, most)
	}
}

func TestNothingToDraw(t *testing.T) {
	for name, p := range map[string]preview.Plan{
		"empty": {}, "no values": {NX: 2, NY: 2, LengthM: 1, WidthM: 1}, "no size": {NX: 1, NY: 1, Values: []float64{1}},
		"no length": {NX: 1, NY: 1, Values: []float64{1}, LengthM: math.NaN(), WidthM: 1},
	} {
		if got := preview.Draw(p); got != "" {
			t.Errorf("%s: %q", name, got)
		}
	}
}

// TestUnknownValues: a hole is a question mark, or the grey of the map, and does not spread to cells that are known.
func TestUnknownValues(t *testing.T) {
	p := ramp(2, 1)
	p.Values = []float64{math.NaN(), 1}
	if got := lines(preview.Draw(p))[2]; got != " |"+strings.Repeat("?", 20)+strings.Repeat("#", 20)+"|" {
		t.Errorf("got %q", got)
	}
	p.Depth = preview.TrueColour
	if none := style.Light().None(); !strings.HasPrefix(lines(preview.Draw(p))[1], "  \x1b[38;2;"+code(none)) {
		t.Errorf("a hole has not the colour of none")
	}
}
