package drill

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"testing"
	"unicode"

	"fathomlux/scene"
)

// readSVG parses an SVG as XML and returns its elements and all of its text.
func readSVG(t testing.TB, data []byte) (elements []xml.StartElement, text string) {
	t.Helper()
	d := xml.NewDecoder(bytes.NewReader(data))
	var b strings.Builder
	for {
		token, err := d.Token()
		if err == io.EOF {
			return elements, b.String()
		}
		if err != nil {
			t.Fatalf("%v in %.2000s", err, data)
		}
		switch e := token.(type) {
		case xml.StartElement:
			elements = append(elements, e.Copy())
		case xml.CharData:
			b.Write(e)
		}
	}
}

func attribute(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

func svgOf(t testing.TB, plan Template) []byte {
	t.Helper()
	_, svg, err := Draw(plan, a4)
	if err != nil {
		t.Fatal(err)
	}
	return svg
}

// TestSVGIsInMillimetres: one unit is one millimetre, the origin is the rail's corner, and each hole's circle is at its place.
func TestSVGIsInMillimetres(t *testing.T) {
	plan := planOf(t, bar(1.4, 14, 0.095))
	elements, _ := readSVG(t, svgOf(t, plan))
	root := elements[0]
	var left, top, wide, high float64
	if n, err := fmt.Sscan(attribute(root, "viewBox"), &left, &top, &wide, &high); n != 4 {
		t.Fatal(err)
	}
	if attribute(root, "width") != figure(wide)+"mm" || attribute(root, "height") != figure(high)+"mm" || left > -8 || wide < 1416 {
		t.Errorf("width %s, height %s, viewBox %s", attribute(root, "width"), attribute(root, "height"), attribute(root, "viewBox"))
	}
	circles := map[string]bool{}
	ruler := false
	for _, e := range elements {
		switch e.Name.Local {
		case "circle":
			circles[attribute(e, "cx")+" "+attribute(e, "cy")+" "+attribute(e, "r")] = true
		case "polyline":
			var x1, y1, x2, y2 float64
			_, err := fmt.Sscanf(attribute(e, "points"), "%g,%g %g,%g", &x1, &y1, &x2, &y2)
			ruler = ruler || err == nil && attribute(e, "stroke-width") == figure(rulerStroke.Width) && y1 == y2 && x2-x1 == 100
		}
	}
	for _, h := range plan.Rail.Holes {
		if !circles[figure(h.FromLeftM*1000)+" "+figure(h.FromFrontM*1000)+" "+figure(h.DiameterM*500)] {
			t.Errorf("no circle for %+v", h)
		}
	}
	if !ruler {
		t.Error("no ruler of 100 mm")
	}
}

// TestSVGShowsAllAndCutsNothing lays out the one piece of all plans.
func TestSVGShowsAllAndCutsNothing(t *testing.T) {
	for name, plan := range plans(t) {
		elements, text := readSVG(t, svgOf(t, plan))
		for _, want := range []string{"LEFT END", "FRONT EDGE", "back edge", "check ruler", "Print at 100 %"} {
			if !strings.Contains(text, want) {
				t.Errorf("%s: no %q", name, want)
			}
		}
		var view box
		fmt.Sscan(attribute(elements[0], "viewBox"), &view.Left, &view.Top, &view.Right, &view.Bottom)
		view.Right, view.Bottom = view.Left+view.Right, view.Top+view.Bottom
		s, _ := newSheet(plan)
		c := &collector{}
		s.drawPage(unclipped{c}, s.onePiece(), 0)
		for _, fault := range c.faults(view.Grown(0.5 - marginMM)) {
			t.Errorf("%s: %s", name, fault)
		}
	}
}

// TestHostileTextsStayText: tags, quotes, control characters and turned writing of a title, a name and a reason are text.
func TestHostileTextsStayText(t *testing.T) {
	elements, text := readSVG(t, svgOf(t, plans(t)["keep-outs"]))
	for _, e := range elements {
		if e.Name.Local == "script" {
			t.Error("a script got in")
		}
	}
	for _, want := range []string{`<script>alert(1)</script> "quoted" 'x' &`, "\u05e9\u05dc\u05d5\u05dd \u0645\u0631\u062d\u0628\u0627 \u6c34\u69fd"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in the text", want)
		}
	}
	if strings.ContainsFunc(text, func(r rune) bool { return r != '\n' && unicode.IsControl(r) || r == '\u202e' }) {
		t.Error("control characters got in")
	}
}

// FuzzTexts: whatever a title, a name or a reason is, the SVG is sound XML and has no elements but ours. Its time goes into
// setting the texts, so they are short, and the PDF, which embeds fonts, is left to other tests.
func FuzzTexts(f *testing.F) {
	f.Add("title", "rail", "why")
	f.Add("]]><script/>", "\x00\x1b", "\xff\xfe\u202e\u05d0")
	f.Fuzz(func(t *testing.T, title, name, why string) {
		if len(title)+len(name)+len(why) > 200 {
			return
		}
		in := bar(0.3, 2, 0.1)
		in.Name, in.KeepOuts = name, []scene.KeepOut{{FromM: 0.01, ToM: 0.05, Why: why}}
		plan := planOf(t, in)
		plan.Title = title
		s, err := newSheet(plan)
		if err != nil {
			t.Fatal(err)
		}
		elements, _ := readSVG(t, s.svg())
		for _, e := range elements {
			if !strings.Contains(" svg title rect polyline circle text ", " "+e.Name.Local+" ") {
				t.Fatalf("element %s", e.Name.Local)
			}
			if x, err := strconv.ParseFloat(attribute(e, "x"), 64); err == nil && math.IsNaN(x) {
				t.Fatal("x is not a number")
			}
		}
	})
}

// figure writes millimetres to a micrometre.
func figure(v float64) string { return strconv.FormatFloat(math.Round(v*1000)/1000+0, 'f', -1, 64) }
