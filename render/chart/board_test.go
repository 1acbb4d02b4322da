package chart

import (
	"image"
	"image/color"
	"math"
	"testing"

	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"

	"fathomlux/render/style"
)

func near(a, b style.Point) bool { return math.Hypot(a.X-b.X, a.Y-b.Y) < 1e-9 }

func TestBoardMovesAsAsked(t *testing.T) {
	b := newBoard(blank(t)) // 800 by 600 points
	if got := b.at(vg.Point{X: 10, Y: 20}); !near(got, style.Pt(10, 580)) {
		t.Errorf("10, 20 lies at %v; the origin is the lower left corner", got)
	}
	b.Push()
	b.Translate(vg.Point{X: 100, Y: 50})
	b.Rotate(math.Pi / 2)
	b.Scale(2, 3)
	if got := b.at(vg.Point{X: 10, Y: 20}); !near(got, style.Pt(100-60, 600-70)) { // scaled (20, 60), turned (-60, 20)
		t.Errorf("moved, 10, 20 lies at %v", got)
	}
	b.Pop()
	b.Pop() // one too many
	if got := b.at(vg.Point{}); !near(got, style.Point{Y: 600}) {
		t.Errorf("after Pop the origin lies at %v", got)
	}
}

func TestBoardFollowsArcsAndCurves(t *testing.T) {
	b := newBoard(blank(t))
	var p vg.Path
	p.Move(vg.Point{X: 110, Y: 100})
	p.Arc(vg.Point{X: 100, Y: 100}, 10, 0, math.Pi)
	p.Close()
	p.Move(vg.Point{})
	p.QuadTo(vg.Point{X: 50, Y: 100}, vg.Point{X: 100, Y: 0})
	p.CubeTo(vg.Point{X: 100, Y: 50}, vg.Point{X: 200, Y: 50}, vg.Point{X: 200})
	lines := b.lines(p)
	if len(lines) != 2 {
		t.Fatalf("%d lines; want 2", len(lines))
	}
	for _, q := range lines[0] {
		if r := math.Hypot(q.X-100, q.Y-500); math.Abs(r-10) > 1e-9 {
			t.Errorf("a place of the arc lies %g from its middle; want 10", r)
		}
	}
	if first, last := lines[0][0], lines[0][len(lines[0])-1]; !near(first, last) {
		t.Errorf("closed, the arc runs from %v to %v", first, last)
	}
	if got := lines[1][pieces/2]; !near(got, style.Pt(50, 550)) { // halfway: a quarter of each end and half the corner
		t.Errorf("halfway the first curve lies at %v", got)
	}
	if got := lines[1][len(lines[1])-1]; !near(got, style.Pt(200, 600)) {
		t.Errorf("the second curve ends at %v", got)
	}
}

func TestBoardDraws(t *testing.T) {
	c := blank(t)
	b := newBoard(c)
	var line, area vg.Path
	line.Move(vg.Point{X: 10, Y: 300})
	line.Line(vg.Point{X: 90, Y: 300})
	b.SetColor(color.RGBA{R: 200, A: 255})
	b.SetLineWidth(4)
	b.Stroke(line)
	for _, p := range []vg.Point{{X: 200, Y: 200}, {X: 300, Y: 200}, {X: 300, Y: 300}, {X: 200, Y: 300}} {
		if len(area) == 0 {
			area.Move(p)
		} else {
			area.Line(p)
		}
	}
	area.Close()
	b.SetColor(nil) // black
	b.Fill(area)
	b.SetLineWidth(0)
	b.SetColor(color.White)
	b.Stroke(area) // no width: nothing
	img := image.NewRGBA(image.Rect(0, 0, 2, 2))
	for i := range img.Pix {
		img.Pix[i] = 255
	}
	b.DrawImage(vg.Rectangle{Min: vg.Point{X: 400, Y: 400}, Max: vg.Point{X: 500, Y: 500}}, img)
	for at, want := range map[style.Point]color.RGBA{
		{X: 50, Y: 300}: {R: 200, A: 255}, {X: 250, Y: 350}: {A: 255}, {X: 200.5, Y: 350}: {A: 255},
		{X: 450, Y: 150}: {R: 255, G: 255, B: 255, A: 255}, {X: 600, Y: 150}: color.RGBA(style.Paper),
	} {
		if got := c.ColourAt(at); got != want {
			t.Errorf("%v is %v; want %v", at, got, want)
		}
	}
}

func TestBoardWritesWhereAsked(t *testing.T) {
	c := blank(t)
	b := newBoard(c)
	f := plotFont(style.LabelFont)
	hand := letters{b}
	width, height, depth := hand.Box("1200", f)
	if math.Abs(float64(width)-c.Width("1200", style.LabelFont)) > 1e-9 || depth != 0 || float64(height) <= style.LabelFont.CapHeight() {
		t.Errorf("box %g, %g, %g", width, height, depth)
	}
	hand.Draw(b, "1200", text.Style{Font: f, Color: style.Ink, XAlign: text.XCenter, YAlign: text.YTop, Handler: hand}, vg.Point{X: 400, Y: 300})
	b.FillString(font.Face{Font: f}, vg.Point{X: 100, Y: 100}, "left")
	texts := c.Texts()
	if len(texts) != 2 {
		t.Fatalf("%d texts", len(texts))
	}
	if box := texts[0].Box; math.Abs(box.Centre().X-400) > 1e-9 || math.Abs(box.Top-300-textGap) > 1e-9 {
		t.Errorf("a text below 400, 300 stands at %v", box)
	}
	if box := texts[1].Box; math.Abs(box.Left-100) > 1e-9 || math.Abs(box.Top+style.LabelFont.CapHeight()-500) > 1e-9 {
		t.Errorf("a text with its base line at 100, 500 stands at %v", box)
	}
}
