package stream

import (
	"fmt"
	"image/color"
	"math"
	"slices"
	"strings"
	"testing"

	"fathomlux/render/fig"
	"fathomlux/render/style"
)

func lm(v float64) Flux { return Flux{Drawn: v} }

func said(f Flux) (string, string) { return fmt.Sprintf("%.0f lm", f.Drawn), "" }

func page() Page {
	return Page{Say: said, Page: fig.Page{Title: "A tank", Subtitle: "where the 1000 lm end", Footer: "invented"}, Emitted: lm(1000), Floor: lm(250),
		Above: []Loss{{Name: "lenses", Flux: lm(100)}, {Name: "spill", Flux: lm(1)}, {Name: "cover", Flux: lm(299)}},
		Below: []Loss{{Name: "water", Flux: lm(50)}, {Name: "walls", Flux: lm(200)}, {Name: "bounced", Flux: lm(100), Strange: true}}}
}

// run is the longest row of one colour between two heights, in points: what is drawn there to scale.
func run(c *style.Canvas, y float64, want color.NRGBA) (from, to float64) {
	best := 0.0
	for x, start := 0.0, -1.0; x < pageWidth; x++ {
		same := c.ColourAt(style.Pt(x+0.5, y)) == color.RGBA(want)
		switch {
		case same && start < 0:
			start = x
		case !same && start >= 0:
			if x-start > best {
				best, from, to = x-start, start, x
			}
			start = -1
		}
	}
	return from, to
}

// TestWidthsAreToScale reads the drawn stream's width off the pixels above and below each loss.
func TestWidthsAreToScale(t *testing.T) {
	p := page()
	c, err := p.Draw()
	if err != nil {
		t.Fatal(err)
	}
	left, y := p.Emitted.Drawn, fig.Margin+style.TitleFont.LineHeight()+style.SubtitleFont.LineHeight()+16
	y += start
	check := func(at float64) {
		t.Helper()
		from, to := run(c, at, light)
		if math.Abs(to-from-left/p.Emitted.Drawn*widest) > 1.01 { // edges lie on whole pixels
			t.Errorf("at %g the stream is %g points wide, %g lm are %g", at, to-from, left, left/p.Emitted.Drawn*widest)
		}
	}
	check(y - 2)
	for _, l := range p.Above {
		y, left = y+p.row(l), left-l.Flux.Drawn
		check(y - 2)
	}
	if from, to := run(c, y+between/2, line); to-from < pageWidth-2*fig.Margin-2 {
		t.Errorf("the surface is drawn from %g to %g points", from, to)
	}
	if want, _ := said(lm(left)); !slices.ContainsFunc(c.Texts(), func(text style.Placed) bool { return text.Text == want }) {
		t.Errorf("nothing says that %s go on", want)
	}
	y += between
	for _, l := range p.Below {
		y, left = y+p.row(l), left-l.Flux.Drawn
		check(y - 2)
	}
	if left != p.Floor.Drawn {
		t.Fatalf("%g lm are left", left)
	}
	check(y + tail/2)
	if from, to := run(c, y+tail+5, sand); to-from < pageWidth-2*fig.Margin-2 {
		t.Errorf("the floor reaches from %g to %g", from, to)
	}
}

// TestLossesAreToScale reads a loss's thickness off the pixels of a column to the right of the stream.
func TestLossesAreToScale(t *testing.T) {
	c, err := page().Draw()
	if err != nil {
		t.Fatal(err)
	}
	x := fig.Margin + labelLeft - 3*arrow
	var thick []float64
	var before bool
	for y := 0.0; y < c.Page().Bottom; y++ {
		at := c.ColourAt(style.Pt(x, y+0.5))
		is := at == color.RGBA(lost) || at == color.RGBA(strange)
		if is && !before {
			thick = append(thick, 0)
		}
		if is {
			thick[len(thick)-1]++
		}
		before = is
	}
	want := []float64{34, 1.5, 101.7, 17, 68, 34}
	if len(thick) != len(want) {
		t.Fatalf("%d losses of %v", len(thick), thick)
	}
	for i, w := range want {
		if math.Abs(thick[i]-w) > 2 { // both edges are smoothed
			t.Errorf("loss %d is %g points thick, not %g", i, thick[i], w)
		}
	}
}

func TestTextsStandClear(t *testing.T) {
	for name, p := range map[string]Page{"plain": page(), "all on the floor": {Emitted: lm(5), Floor: lm(5)}, "nothing on the floor": {Page: fig.Page{Title: strings.Repeat("long ", 80)}, Emitted: lm(1e6), Above: []Loss{{Name: strings.Repeat("a name ", 30), Flux: lm(1e6)}}},
		"no light": {Page: fig.Page{Title: "dark", Subtitle: "no module shines"}}, "beside": {Emitted: Flux{1234.5, 98765}, Floor: Flux{1000, 9e4}, Below: []Loss{{Name: "walls", Flux: Flux{234.5, 8765}}}}, "sharp": {Page: fig.Page{PixelFactor: 2}, Emitted: lm(20), Floor: lm(1), Below: []Loss{{Name: "walls", Flux: lm(19)}}}} {
		if p.Say = said; name == "beside" {
			p.Say = func(f Flux) (string, string) {
				return fmt.Sprintf("%.1f µmol/s", f.Drawn), fmt.Sprintf("%.0f lm", f.Beside)
			}
		}
		c, err := p.Draw()
		if err != nil {
			t.Fatal(err)
		}
		if hits := c.Collisions(); len(hits) > 0 {
			t.Errorf("%s: %v", name, hits)
		}
		for _, text := range c.Texts() {
			if !c.Page().Contains(text.Box) {
				t.Errorf("%s: %q leaves the page", name, text.Text)
			}
		}
	}
}
