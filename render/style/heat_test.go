package style

import (
	"image/color"
	"math"
	"testing"
)

func unitHeat(frame Box, nx, ny int, values []float64) Heat {
	return Heat{Frame: frame, NX: nx, NY: ny, Values: values, Scale: Scale{High: 1}, Colours: Light()}
}

func TestFillMatchesTheScale(t *testing.T) {
	c := newCanvas(t, 60, 40, 1)
	h := unitHeat(Box{10, 10, 50, 30}, 2, 1, []float64{0, 1})
	c.Fill(h)
	if got := c.Image().RGBAAt(10, 15); got != Light().At(0) {
		t.Errorf("left edge is %v; want the low end", got)
	}
	if got := c.Image().RGBAAt(49, 15); got != Light().At(1) {
		t.Errorf("right edge is %v; want the high end", got)
	}
	// Cell centres lie at x = 20 and 40 points; the pixel from 30 to 31 has its centre at 30.5.
	if got, want := c.Image().RGBAAt(30, 15), Light().At(10.5/20); got != want {
		t.Errorf("middle is %v; want %v", got, want)
	}
	if c.Image().RGBAAt(9, 15) != color.RGBA(Paper) || c.Image().RGBAAt(50, 15) != color.RGBA(Paper) || c.Image().RGBAAt(20, 9) != color.RGBA(Paper) {
		t.Error("the fill leaves its frame")
	}
}

func TestFillPutsTheFirstRowWhereAsked(t *testing.T) {
	for _, bottom := range []bool{false, true} {
		c := newCanvas(t, 40, 40, 1)
		h := unitHeat(Box{0, 0, 40, 40}, 2, 2, []float64{1, 0, 0, 0})
		h.FirstRowAtBottom = bottom
		c.Fill(h)
		top, below := c.Image().RGBAAt(1, 1), c.Image().RGBAAt(1, 38)
		if bottom {
			top, below = below, top
		}
		if top != Light().At(1) || below != Light().At(0) {
			t.Errorf("first row at the bottom %v: got %v and %v", bottom, top, below)
		}
	}
}

func TestFillMarksMissingCells(t *testing.T) {
	c := newCanvas(t, 40, 10, 1)
	c.Fill(unitHeat(Box{0, 0, 40, 10}, 4, 1, []float64{0.5, math.NaN(), 0.5, math.Inf(1)}))
	none := Light().None()
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
	c.Fill(unitHeat(Box{0, 0, 40, 10}, 4, 2, []float64{1}))
	c.Fill(unitHeat(Box{0, 0, 60, 10}, 1, 1, []float64{1}))
	c.Fill(unitHeat(Box{0, 0, 40, 10}, 0, 0, nil))
	if string(before) != string(c.Image().Pix) {
		t.Error("an unsound field was painted")
	}
}

func TestContoursReachTheFrame(t *testing.T) {
	values := gridOf(20, 10, func(x, _ float64) float64 { return (x + 0.5) / 20 })
	h := unitHeat(Box{100, 50, 300, 150}, 20, 10, values)
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
	frame := Box{20, 20, 820, 420}
	c := newCanvas(t, 840, 440, 1)
	mark := Box{280, 210, 320, 240}
	c.Claim(mark)
	h := unitHeat(frame, 120, 60, values)
	c.Fill(h)
	c.Isolines(h, plainLevels(contourLevels(values, 8)))
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
	h := unitHeat(Box{0, 0, 500, 500}, 50, 50, values)
	c.Isolines(h, []Level{{Value: 0.25, Label: "a"}, {Value: 0.75, Label: "b", Strong: true}})
	for _, p := range c.Texts() {
		want := map[string]float64{"a": 125, "b": 375}[p.Text]
		if got := p.Box.Bottom - descentShare*LabelFont.SizePt - capShare/2*LabelFont.SizePt; math.Abs(got-want) > 0.5 {
			t.Errorf("label %s stands at y = %g; its line is at %g", p.Text, got, want)
		}
	}
	if len(c.Texts()) < 2 {
		t.Errorf("texts %v; want both labels", c.Texts())
	}
}

func TestResampleKeepsEndsAndLength(t *testing.T) {
	line := resample([]Point{{0, 0}, {30, 0}, {30, 40}}, 3)
	if line[0] != (Point{0, 0}) || line[len(line)-1] != (Point{30, 40}) || len(line) != 25 {
		t.Errorf("%d points from %v to %v", len(line), line[0], line[len(line)-1])
	}
	for i := 1; i < len(line); i++ {
		if d := distance(line[i-1], line[i]); d > 2.92 { // 70 points in 24 steps
			t.Errorf("step %d is %g long", i, d)
		}
	}
	if got := resample([]Point{{5, 5}, {5, 5}}, 3); got != nil {
		t.Errorf("a line without length gives %v", got)
	}
}
