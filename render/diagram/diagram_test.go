package diagram

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"fathomlux/render/fig"
	"fathomlux/render/style"
	"fathomlux/scene"
	"fathomlux/scene/circuit"
	"fathomlux/scene/parts"
	"fathomlux/scene/wiring"
)

// fixture is a diagram of n modules on some rails, dealt to strings in turn; right hangs it on a driver at the right.
func fixture(n, stringCount, rails int, right bool) Diagram {
	d := Diagram{Page: fig.Page{Title: "Library foyer, planted tank", Subtitle: "wiring", Footer: "fathomlux 1"},
		Figures:  []fig.Figure{{Label: "load", Value: "29.4 W"}, {Label: "from the mains", Value: "34.6 W"}, {Label: "a year", Value: "114 kWh"}, {Label: "light", Value: "96.4 lm/W"}},
		Cautions: []string{"mains beside water", strings.Repeat("a long caution ", 30)}}
	for r := range rails {
		d.Rails = append(d.Rails, scene.Rail{Name: fmt.Sprintf("rail %d", r+1), LeftM: 0.05 * float64(r), LengthM: 1.1})
	}
	g := wiring.Group{Name: "blue", Job: circuit.Job{Feed: circuit.Feed{Right: right, LeadM: 2}, RailLengthsM: slices.Repeat([]float64{1.1}, rails)}}
	g.Chosen.Split = &circuit.Split{Strings: stringCount, PerString: n / stringCount, DriverA: 0.7, LoadW: 29.4, HighestV: 42.3}
	g.Chosen.Fit = &circuit.Fit{Fits: true, CurrentA: 0.7, Driver: parts.Driver{Name: "cc-700", LowestV: 9, HighestV: 48, RatedW: 33.6, IP: "IP67"}}
	g.Circuit.Strings, g.Sharing = make([][]parts.Mounted, stringCount), circuit.Sharing{VoltageV: 42, CurrentA: make([]float64, stringCount)}
	perRail := (n + rails - 1) / rails
	for i := range n {
		k := i % perRail
		if right {
			k = perRail - 1 - k
		}
		m := parts.Mounted{Name: fmt.Sprintf("rail %d:%d", i/perRail+1, k+1), Rail: i / perRail, AlongM: 0.55, Number: k + 1}
		if perRail > 1 {
			m.AlongM = 0.05 + 1.0*float64(k)/float64(perRail-1)
		}
		g.Sharing.CurrentA[i%stringCount] = 0.35
		g.Circuit.Strings[i%stringCount] = append(g.Circuit.Strings[i%stringCount], m)
	}
	d.Groups = []wiring.Group{g}
	return d
}

// layouts are the pages that are looked at.
var layouts = []struct {
	modules, strings, rails int
	right                   bool
}{{1, 1, 1, false}, {6, 1, 1, false}, {6, 2, 1, false}, {6, 3, 1, true}, {14, 2, 2, false}, {40, 4, 1, false}, {40, 5, 2, true},
	{40, 5, 3, false}, {400, 1, 1, false}, {400, 100, 2, false}}

// TestTextsKeepApart: no text is cut by the page's edge or laid over another, at any size. DIAGRAM_DIR keeps the pictures.
func TestTextsKeepApart(t *testing.T) {
	for _, l := range layouts {
		for _, factor := range []float64{1, 2} {
			d := fixture(l.modules, l.strings, l.rails, l.right)
			d.PixelFactor, d.Back, d.Kinds = factor, true, []string{"quad-cool", "quad-blue"}
			name := fmt.Sprintf("%d-%d-%d-%gx", l.modules, l.strings, l.rails, factor)
			c, err := d.Draw()
			if err != nil {
				t.Fatal(name, err)
			}
			for _, fault := range c.Collisions() {
				t.Errorf("%s: %s", name, fault)
			}
			keep(t, name, d)
		}
	}
}

// keep writes the page in all formats where DIAGRAM_DIR says.
func keep(t *testing.T, name string, d Diagram) {
	dir := os.Getenv("DIAGRAM_DIR")
	if dir == "" {
		return
	}
	c, err := d.Draw()
	if err != nil {
		t.Fatal(err)
	}
	for _, format := range []style.Format{style.PNG, style.SVG, style.PDF} {
		var b bytes.Buffer
		if err := c.Encode(&b, format, style.Meta{Title: d.Title}); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, name+"."+string(format)), b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// SVG returns the diagram as a document.
func SVG(d Diagram) ([]byte, error) {
	c, err := d.Draw()
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	err = c.Encode(&b, style.SVG, style.Meta{Title: d.Title})
	return b.Bytes(), err
}

// svgTexts returns the texts of an SVG document, which must be well formed.
func svgTexts(t *testing.T, document []byte) (texts []string, elements map[string]int) {
	t.Helper()
	elements = map[string]int{}
	inside := ""
	for dec := xml.NewDecoder(bytes.NewReader(document)); ; {
		token, err := dec.Token()
		if err == io.EOF {
			return texts, elements
		}
		if err != nil {
			t.Fatal(err)
		}
		switch v := token.(type) {
		case xml.StartElement:
			elements[v.Name.Local]++
			inside = v.Name.Local
		case xml.EndElement:
			inside = ""
		case xml.CharData:
			if inside == "text" {
				texts = append(texts, string(v))
			}
		}
	}
}

// TestPictureAndVectorAgree: the SVG holds the very texts of the picture, in order, whatever stands in them.
func TestPictureAndVectorAgree(t *testing.T) {
	d := fixture(14, 2, 2, false)
	d.Title, d.Groups[0].Chosen.Fit.Driver.Name = `tank <1> & "two"`, "own <driver> & more"
	c, err := d.Draw()
	if err != nil {
		t.Fatal(err)
	}
	document, err := SVG(d)
	if err != nil {
		t.Fatal(err)
	}
	texts, elements := svgTexts(t, document)
	placed := c.Texts()
	if len(texts) != len(placed) {
		t.Fatalf("%d texts in the SVG, %d in the picture", len(texts), len(placed))
	}
	for i := range texts {
		if texts[i] != placed[i].Text {
			t.Errorf("text %d: %q in the SVG, %q in the picture", i, texts[i], placed[i].Text)
		}
	}
	if elements["circle"] != 1+2+2 { // the source, and a dot at each bus for each of two strings
		t.Errorf("%d circles", elements["circle"])
	}
	if again, _ := SVG(d); !bytes.Equal(document, again) {
		t.Error("the same diagram gives other bytes")
	}
}

// TestEveryModuleHasItsDiode counts the symbols: each has one filled body on the page's ground and two arrow heads.
func TestEveryModuleHasItsDiode(t *testing.T) {
	for _, l := range layouts[:9] {
		document, err := SVG(fixture(l.modules, l.strings, l.rails, l.right))
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Count(string(document), "<polygon"); got != 1+3*l.modules { // and the arrow at the source
			t.Errorf("%d modules: %d polygons", l.modules, got)
		}
	}
}

// TestWhatHasNoRoomIsSaid: strings beyond the page's room are counted in a note.
func TestWhatHasNoRoomIsSaid(t *testing.T) {
	for _, c := range []struct {
		d    Diagram
		want string
	}{
		{fixture(400, 100, 1, false), "60 further lines of strings are wired likewise and not drawn"}, // 40 of 100 are drawn
		{Diagram{Rails: fixture(1, 1, 1, false).Rails, Groups: append(fixture(400, 40, 1, false).Groups, fixture(6, 3, 1, false).Groups...)}, "3 further lines"},
	} {
		document, err := SVG(c.d)
		if err != nil {
			t.Fatal(err)
		}
		texts, _ := svgTexts(t, document)
		if !strings.Contains(strings.Join(texts, "\n"), c.want) {
			t.Errorf("no %q in %q", c.want, texts)
		}
	}
}

func TestDiodePointsWithTheCurrent(t *testing.T) {
	for _, right := range []bool{false, true} {
		d := fixture(1, 1, 1, right)
		p := newPanel(&d.Groups[0], d.Rails, mustSet(t), style.Metric, mostLanes)
		c, err := style.NewCanvas(1400, 100, p.set)
		if err != nil {
			t.Fatal(err)
		}
		p.canvas = c
		p.diode(style.Pt(700, 50), 10, style.Ink, 0)
		var v bytes.Buffer
		if err = c.Encode(&v, style.SVG, style.Meta{}); err != nil {
			t.Fatal(err)
		}
		want := `<polygon points="695,45 705,50 695,55"`
		if right {
			want = `<polygon points="705,45 695,50 705,55"`
		}
		if !strings.Contains(v.String(), want) {
			t.Errorf("right is %v: no %s in %s", right, want, v.String())
		}
	}
}

func mustSet(t *testing.T) *style.Typesetter {
	t.Helper()
	set, err := style.NewTypesetter(1)
	if err != nil {
		t.Fatal(err)
	}
	return set
}

func TestRefuses(t *testing.T) {
	if _, err := (Diagram{}).Draw(); !errors.Is(err, errNothing) {
		t.Errorf("nothing: %v", err)
	}
	if _, err := SVG(Diagram{Groups: []wiring.Group{{}}}); !errors.Is(err, errNothing) {
		t.Errorf("a driver alone: %v", err)
	}
	d := fixture(1, 1, 1, false)
	d.PixelFactor = 99
	if _, err := d.Draw(); err == nil {
		t.Error("a pixel factor of 99 serves")
	}
}

// TestFusesAndLevelsAreSaid: a fuse stands on each string and in the list of connections, and the load above a drawing is that of full light where
// the channel is dimmed; no two texts meet.
func TestFusesAndLevelsAreSaid(t *testing.T) {
	d := fixture(6, 2, 1, false)
	g := &d.Groups[0]
	g.Guard.FuseA, g.Level, g.Channel, d.Back = 1, 0.1, "blue", true
	c, err := d.Draw()
	if err != nil || len(c.Collisions()) > 0 {
		t.Fatal(err, c.Collisions())
	}
	svg, err := SVG(d)
	if err != nil {
		t.Fatal(err)
	}
	for what, want := range map[string]int{"fuse 1 A": 4, "red, fuse 1 A": 2, "at full light (the scene has channel blue at 10 %)": 1, "in operation": 0} {
		if got := strings.Count(string(svg), what); got != want {
			t.Errorf("%q stands %d times, want %d", what, got, want)
		}
	}
}
