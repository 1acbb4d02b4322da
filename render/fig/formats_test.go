package fig

import (
	"bytes"
	"encoding/base64"
	"encoding/xml"
	"image"
	"image/color"
	"image/png"
	"io"
	"math"
	"os/exec"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"fathomlux/render/style"
)

// drawnPage is a page with each kind of thing on it.
func drawnPage(t *testing.T) *style.Canvas {
	t.Helper()
	setter, err := style.NewTypesetter(2)
	if err != nil {
		t.Fatal(err)
	}
	c, err := style.NewCanvas(400, 300, setter)
	if err != nil {
		t.Fatal(err)
	}
	Heat{Frame: style.Box{Left: 20, Top: 20, Right: 120, Bottom: 80}, NX: 2, NY: 1, Values: []float64{0, 1}, Scale: style.Scale{High: 1}}.Fill(c)
	c.FillBox(style.Box{Left: 200, Top: 20, Right: 260, Bottom: 80}, color.NRGBA{R: 200, A: 255})
	c.FillBox(style.Box{Left: 300, Top: 20, Right: 360, Bottom: 80}, color.NRGBA{B: 200, A: 51})
	c.StrokeBox(style.Box{Left: 20, Top: 120, Right: 120, Bottom: 180}, style.Pen{Width: 4, Colour: style.Ink})
	c.Polyline([]style.Point{{X: 200, Y: 120}, {X: 260, Y: 120}, {X: 260, Y: 180}}, style.Pen{Width: 2, Colour: style.Ink, Dash: []float64{6, 3}})
	c.Polygon([]style.Point{{X: 300, Y: 120}, {X: 360, Y: 120}, {X: 330, Y: 180}}, style.Ink)
	c.Dot(style.Pt(50, 230), 12, style.Ink)
	c.Ring(style.Pt(100, 230), 12, style.Pen{Width: 2, Colour: style.Ink})
	c.Write(style.Text{Text: `50 <m> & "lx"`, At: style.Pt(200, 220), Font: style.TextFont})
	c.Write(style.Text{Text: "µmol/m²/s", At: style.Pt(200, 250), Font: style.Font{SizePt: 20, Bold: true}})
	return c
}

func encoded(t *testing.T, c *style.Canvas, f style.Format) []byte {
	t.Helper()
	var files [2]bytes.Buffer
	for i := range files {
		if err := c.Encode(&files[i], f, style.Meta{Title: "a <page>", Software: "fathomlux 0", Comment: "fathomlux map"}); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(files[0].Bytes(), files[1].Bytes()) {
		t.Errorf("%s: two files of one page differ", f)
	}
	return files[0].Bytes()
}

// TestVectorHoldsWhatIsDrawn: the SVG is sound XML of the page's size, its texts are texts, its field is a picture of
// the field's pixels, and colours keep their opacity.
func TestVectorHoldsWhatIsDrawn(t *testing.T) {
	t.Parallel()
	var texts []string
	count, opacity, inside := map[string]int{}, "", ""
	for d := xml.NewDecoder(bytes.NewReader(encoded(t, drawnPage(t), style.SVG))); ; {
		token, err := d.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		switch e := token.(type) {
		case xml.StartElement:
			inside = e.Name.Local
			count[inside]++
			for _, a := range e.Attr {
				switch {
				case inside == "svg" && a.Name.Local == "width" && a.Value != "400", inside == "svg" && a.Name.Local == "height" && a.Value != "300":
					t.Errorf("%s is %s", a.Name.Local, a.Value)
				case a.Name.Local == "shape-rendering" && a.Value == "crispEdges":
					count["crisp"]++
				case a.Name.Local == "fill-opacity":
					opacity = a.Value
				case a.Name.Local == "href":
					checkField(t, strings.TrimPrefix(a.Value, "data:image/png;base64,"))
				}
			}
		case xml.CharData:
			if inside == "text" && len(bytes.TrimSpace(e)) > 0 {
				texts = append(texts, string(e))
			}
		}
	}
	if got := strings.Join(texts, "|"); got != `50 <m> & "lx"|µmol/m²/s` {
		t.Errorf("texts %s", got)
	}
	want := map[string]int{"rect": 4, "polyline": 1, "polygon": 1, "circle": 2, "image": 1, "title": 1, "desc": 1, "crisp": 4} // the paper is a rect
	for name, n := range want {
		if count[name] != n {
			t.Errorf("%d elements %s; want %d", count[name], name, n)
		}
	}
	if opacity != "0.2" { // 51 of 255
		t.Errorf("opacity %s", opacity)
	}
}

func checkField(t *testing.T, data string) {
	t.Helper()
	img, err := png.Decode(base64.NewDecoder(base64.StdEncoding, strings.NewReader(data)))
	if err != nil {
		t.Fatal(err)
	}
	if img.Bounds() != image.Rect(0, 0, 200, 120) {
		t.Errorf("a field of 100 by 60 points has %v pixels at factor 2", img.Bounds())
	}
	for x, want := range map[int]color.RGBA{0: style.Light().At(0), 199: style.Light().At(1)} {
		if r, g, b, _ := img.At(x, 60).RGBA(); uint8(r>>8) != want.R || uint8(g>>8) != want.G || uint8(b>>8) != want.B {
			t.Errorf("field at %d is %v, want %v", x, img.At(x, 60), want)
		}
	}
}

// TestDocumentLooksAsThePicture: poppler draws the PDF at 192 pixels an inch, two a point, as the PNG has it, but for the
// edges of lines and letters; its text can be searched, and the page has the size of 400 by 300 points of 1/96 in.
func TestDocumentLooksAsThePicture(t *testing.T) {
	t.Parallel()
	tool, err := exec.LookPath("pdftoppm")
	if err != nil {
		t.Skip("pdftoppm is not here (Debian: poppler-utils)")
	}
	c := drawnPage(t)
	file := encoded(t, c, style.PDF)
	if box := regexp.MustCompile(`/MediaBox \[0 0 ([\d.]+ [\d.]+)\]`).FindSubmatch(file); box == nil || string(box[1]) != "300.00 225.00" {
		t.Errorf("page of %s points of 1/72 in, want 300 by 225", box)
	}
	run := func(tool string, args ...string) []byte {
		cmd := exec.Command(tool, args...)
		cmd.Stdin = bytes.NewReader(file)
		out, err := cmd.Output()
		if err != nil {
			t.Fatal(tool, err)
		}
		return out
	}
	if text := string(run("pdftotext", "-", "-")); !strings.Contains(text, `50 <m> & "lx"`) || !strings.Contains(text, "µmol/m²/s") {
		t.Errorf("the text is %q", text)
	}
	drawn, err := png.Decode(bytes.NewReader(run(tool, "-r", "192", "-png", "-")))
	if err != nil || drawn.Bounds() != c.Image().Bounds() {
		t.Fatal(err, drawn.Bounds())
	}
	off := 0
	for y := range drawn.Bounds().Dy() {
		for x := range drawn.Bounds().Dx() {
			r, _, b, _ := drawn.At(x, y).RGBA()
			if p := c.Image().RGBAAt(x, y); max(differs(p.R, r), differs(p.B, b)) > 24 {
				off++
			}
		}
	}
	if all := drawn.Bounds().Dx() * drawn.Bounds().Dy(); off > all/100 {
		t.Errorf("%d of %d pixels differ", off, all)
	}
}

// TestDocumentTextsTakeTheirWidth: letters that are kerned, "11" and "V,", run no wider in PDF than their box.
func TestDocumentTextsTakeTheirWidth(t *testing.T) {
	t.Parallel()
	tool, err := exec.LookPath("pdftotext")
	if err != nil {
		t.Skip("pdftotext is not here (Debian: poppler-utils)")
	}
	setter, err := style.NewTypesetter(1)
	if err != nil {
		t.Fatal(err)
	}
	c, err := style.NewCanvas(400, 100, setter)
	if err != nil {
		t.Fatal(err)
	}
	text := style.Text{Text: strings.Repeat("11V,", 8), At: style.Pt(20, 40), Font: style.TextFont}
	c.Write(text)
	cmd := exec.Command(tool, "-bbox", "-", "-")
	cmd.Stdin = bytes.NewReader(encoded(t, c, style.PDF))
	out, err := cmd.Output()
	found := regexp.MustCompile(`xMin="([\d.]+)" yMin="[\d.]+" xMax="([\d.]+)"`).FindSubmatch(out)
	if err != nil || found == nil {
		t.Fatalf("%v: %s", err, out)
	}
	left, _ := strconv.ParseFloat(string(found[1]), 64)
	right, _ := strconv.ParseFloat(string(found[2]), 64)
	if want := c.Width(text.Text, text.Font) * 0.75; math.Abs(right-left-want) > 0.5 { // points of 1/72 in
		t.Errorf("%g wide; want %g", right-left, want)
	}
}

func differs(a uint8, b uint32) int { return max(int(a)-int(b>>8), int(b>>8)-int(a)) }

func TestUnknownFormatIsRefused(t *testing.T) {
	t.Parallel()
	if err := drawnPage(t).Encode(io.Discard, "gif", style.Meta{}); err == nil || !strings.Contains(err.Error(), "not one of png, svg, pdf") {
		t.Errorf("gif: %v", err)
	}
}
