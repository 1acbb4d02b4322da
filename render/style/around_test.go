package style

import (
	"bytes"
	"testing"
)

// TestDashedHaloSparesTexts: a frame that runs through a text is left out there.
func TestDashedHaloSparesTexts(t *testing.T) {
	text := Text{Text: "15", At: Point{X: 100, Y: 60}, Anchor: Middle, Font: LabelFont}
	plain, framed := newCanvas(t, 200, 120, 2), newCanvas(t, 200, 120, 2)
	plain.Write(text)
	framed.Write(text)
	framed.Halo(Box{Left: 100, Top: 20, Right: 180, Bottom: 100}, 1.6, 7, 5)
	area := plain.pixels.area(plain.Box(text), 1)
	for y := area.Min.Y; y < area.Max.Y; y++ {
		row := func(c *Canvas) []byte {
			return c.Image().Pix[c.Image().PixOffset(area.Min.X, y):c.Image().PixOffset(area.Max.X, y)]
		}
		if !bytes.Equal(row(plain), row(framed)) {
			t.Fatalf("the frame runs through the text in row %d", y)
		}
	}
	if got := framed.ColourAt(Point{X: 100, Y: 22}); got == plain.ColourAt(Point{X: 100, Y: 22}) {
		t.Error("no frame is drawn")
	}
}

func TestResampleKeepsEndsAndLength(t *testing.T) {
	line := Resample([]Point{{0, 0}, {30, 0}, {30, 40}}, 3)
	if line[0] != (Point{0, 0}) || line[len(line)-1] != (Point{30, 40}) || len(line) != 25 {
		t.Errorf("%d points from %v to %v", len(line), line[0], line[len(line)-1])
	}
	for i := 1; i < len(line); i++ {
		if d := Distance(line[i-1], line[i]); d > 2.92 { // 70 points in 24 steps
			t.Errorf("step %d is %g long", i, d)
		}
	}
	if got := Resample([]Point{{5, 5}, {5, 5}}, 3); got != nil {
		t.Errorf("a line without length gives %v", got)
	}
}
