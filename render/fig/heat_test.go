package fig

import (
	"image/color"
	"math"
	"testing"

	"fathomlux/render/style"
)

func unitHeat(frame style.Box, nx, ny int, values []float64) Heat {
	return Heat{Frame: frame, NX: nx, NY: ny, Values: values, Scale: style.Scale{High: 1}}
}

func TestFillMatchesTheScale(t *testing.T) {
	c := newCanvas(t, 60, 40, 1)
	h := unitHeat(style.Box{Left: 10, Top: 10, Right: 50, Bottom: 30}, 2, 1, []float64{0, 1})
	h.Fill(c)
	if got := c.Image().RGBAAt(10, 15); got != style.Light().At(0) {
		t.Errorf("left edge is %v; want the low end", got)
	}
	if got := c.Image().RGBAAt(49, 15); got != style.Light().At(1) {
		t.Errorf("right edge is %v; want the high end", got)
	}
	// Cell centres lie at x = 20 and 40 points; the pixel from 30 to 31 has its centre at 30.5.
	if got, want := c.Image().RGBAAt(30, 15), style.Light().At(10.5/20); got != want {
		t.Errorf("middle is %v; want %v", got, want)
	}
	if c.Image().RGBAAt(9, 15) != color.RGBA(style.Paper) || c.Image().RGBAAt(50, 15) != color.RGBA(style.Paper) || c.Image().RGBAAt(20, 9) != color.RGBA(style.Paper) {
		t.Error("the fill leaves its frame")
	}
}

func TestFillPutsTheFirstRowWhereAsked(t *testing.T) {
	for _, bottom := range []bool{false, true} {
		c := newCanvas(t, 40, 40, 1)
		h := unitHeat(style.Box{Left: 0, Top: 0, Right: 40, Bottom: 40}, 2, 2, []float64{1, 0, 0, 0})
		h.FirstRowAtBottom = bottom
		h.Fill(c)
		top, below := c.Image().RGBAAt(1, 1), c.Image().RGBAAt(1, 38)
		if bottom {
			top, below = below, top
		}
		if top != style.Light().At(1) || below != style.Light().At(0) {
			t.Errorf("first row at the bottom %v: got %v and %v", bottom, top, below)
		}
	}
}

func TestFillMarksMissingCells(t *testing.T) {
	c := newCanvas(t, 40, 10, 1)
	unitHeat(style.Box{Left: 0, Top: 0, Right: 40, Bottom: 10}, 4, 1, []float64{0.5, math.NaN(), 0.5, math.Inf(1)}).Fill(c)
	none := style.Light().None()
	for x := range 40 { // the nearest cell decides: cell 1 is from 10 to 20
		want := x >= 10 && x < 20
		if got := c.Image().RGBAAt(x, 5) == none; got != want {
			t.Errorf("pixel %d missing: %v; want %v", x, got, want)
		}
	}
}

func TestFillRefusesWhatDoesNotFit(t *testing.T) {
	c := newCanvas(t, 40, 10, 1)
	before := append([]byte(nil), c.Image().Pix...)
	unitHeat(style.Box{Left: 0, Top: 0, Right: 40, Bottom: 10}, 4, 2, []float64{1}).Fill(c)
	unitHeat(style.Box{Left: 0, Top: 0, Right: 60, Bottom: 10}, 1, 1, []float64{1}).Fill(c)
	unitHeat(style.Box{Left: 0, Top: 0, Right: 40, Bottom: 10}, 0, 0, nil).Fill(c)
	if string(before) != string(c.Image().Pix) {
		t.Error("an unsound field was painted")
	}
}

func TestContoursReachTheFrame(t *testing.T) {
	values := gridOf(20, 10, func(x, _ float64) float64 { return (x + 0.5) / 20 })
	h := unitHeat(style.Box{Left: 100, Top: 50, Right: 300, Bottom: 150}, 20, 10, values)
	lines := h.contour(h.padded(), 0.5)
	if len(lines) != 1 {
		t.Fatalf("%d lines; want 1", len(lines))
	}
	first, last := lines[0][0], lines[0][len(lines[0])-1]
	if math.Abs(first.X-200) > 1e-9 || math.Abs(first.Y-last.Y) != 100 {
		t.Errorf("line from %v to %v; want x = 200 from edge to edge", first, last)
	}
}

func TestLabelsStandApart(t *testing.T) {
	values := gridOf(120, 60, func(x, y float64) float64 {
		return math.Exp(-(math.Pow(x-40, 2)+math.Pow(y-30, 2))/500) + 0.8*math.Exp(-(math.Pow(x-90, 2)+math.Pow(y-20, 2))/200)
	})
	frame := style.Box{Left: 20, Top: 20, Right: 820, Bottom: 420}
	c := newCanvas(t, 840, 440, 1)
	mark := style.Box{Left: 280, Top: 210, Right: 320, Bottom: 240}
	c.Claim(mark)
	h := unitHeat(frame, 120, 60, values)
	h.Fill(c)
	h.Isolines(c, 0)
	texts := c.Texts()
	if len(texts) < 5 {
		t.Fatalf("only %d labels", len(texts))
	}
	for i, a := range texts {
		if !frame.Contains(a.Box) || mark.Meets(a.Box) {
			t.Errorf("label %v leaves the frame or covers the mark", a)
		}
		for _, b := range texts[:i] {
			if a.Box.Meets(b.Box) {
				t.Errorf("labels %v and %v meet", a, b)
			}
		}
	}
}

func TestLabelsStandOnTheirLevel(t *testing.T) {
	values := gridOf(50, 50, func(_, y float64) float64 { return (y + 0.5) / 50 })
	c := newCanvas(t, 500, 500, 1)
	h := unitHeat(style.Box{Left: 0, Top: 0, Right: 500, Bottom: 500}, 50, 50, values)
	h.isolines(c, []level{{0.25, false}, {0.75, true}})
	for _, p := range c.Texts() {
		want := map[string]float64{"0.25": 125, "0.75": 375}[p.Text]
		if got := p.Box.Bottom - 0.22*style.LabelFont.SizePt - 0.73/2*style.LabelFont.SizePt; math.Abs(got-want) > 0.5 {
			t.Errorf("label %s stands at y = %g; its line is at %g", p.Text, got, want)
		}
	}
	if len(c.Texts()) < 2 {
		t.Errorf("texts %v; want both labels", c.Texts())
	}
}
