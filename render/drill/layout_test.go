package drill

import (
	"fmt"
	"image"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"fathomlux/render/style"
	"fathomlux/scene/drilling"
)

// collector is a surface of pages that keeps where texts and circles come to stand on the page.
type collector struct {
	clips   []box
	off     point
	texts   []string
	boxes   []box
	circles []point
}

func (c *collector) Open(window box, at point) {
	c.off, c.clips = pt(at.X-window.Left, at.Y-window.Top), append(c.clips, window)
}
func (c *collector) Close()                         { c.clips = c.clips[:len(c.clips)-1] }
func (c *collector) Picture(box, func(*image.RGBA)) {}
func (c *collector) Shape(s style.Shape) {
	if s.Radius > 0 {
		c.circles = append(c.circles, s.Points[0])
	}
}

// Set keeps the box of a text: capitals of Liberation Sans are 0.73 high, what hangs below the base line is 0.22.
func (c *collector) Set(l style.Letters) {
	high, under := 0.73*l.Size, 0.22*l.Size
	b := area(l.At.X, l.At.Y-high, l.At.X+l.Width, l.At.Y+under)
	if l.Up {
		b = area(l.At.X-high, l.At.Y-l.Width, l.At.X+under, l.At.Y)
	}
	for _, clip := range c.clips {
		if !clip.Contains(b) {
			l.Text += " (cut)"
		}
	}
	c.texts = append(c.texts, l.Text)
	c.boxes = append(c.boxes, area(b.Left+c.off.X, b.Top+c.off.Y, b.Right+c.off.X, b.Bottom+c.off.Y))
}

// faults names the texts that are cut, meet another, or reach into the margin of the paper.
func (c *collector) faults(paper box) []string {
	var list []string
	for i, a := range c.boxes {
		if strings.HasSuffix(c.texts[i], "(cut)") {
			list = append(list, c.texts[i])
		}
		if !paper.Contains(a) {
			list = append(list, fmt.Sprintf("%q leaves the paper: %v", c.texts[i], a))
		}
		for k, b := range c.boxes[:i] {
			if a.Meets(b) {
				list = append(list, fmt.Sprintf("%q and %q meet", c.texts[i], c.texts[k]))
			}
		}
	}
	return list
}

// TestNoTextIsCutOrOverlaps lays out all pages of all plans on both papers.
func TestNoTextIsCutOrOverlaps(t *testing.T) {
	for name, plan := range plans(t) {
		for _, paper := range []Paper{a4, letter} {
			s, err := newSheet(plan)
			if err != nil {
				t.Fatal(err)
			}
			tiles := s.laid(paper)
			inside := area(marginMM-0.5, marginMM-0.5, tiles.wideMM-marginMM+0.5, tiles.highMM-marginMM+0.5)
			for page := range tiles.pages() {
				c := &collector{}
				s.drawPage(c, tiles, page)
				for _, fault := range c.faults(inside) {
					t.Errorf("%s on %s, page %d: %s", name, paper.Name, page+1, fault)
				}
			}
		}
	}
}

// TestEachLabelIsOnSomePage: what the sheet holds as labels is written whole on at least one page, with the rail's ends, its
// edges and the names of the keep-outs; and each page bears its number and the instruction.
func TestEachLabelIsOnSomePage(t *testing.T) {
	for name, plan := range plans(t) {
		s, _ := newSheet(plan)
		tiles := s.laid(a4)
		written := map[string]int{}
		for page := range tiles.pages() {
			c := &collector{}
			s.drawPage(c, tiles, page)
			all := strings.Join(c.texts, "\n")
			for _, want := range []string{fmt.Sprintf("page %d of %d", page+1, tiles.pages()), "Print at 100 %", "check ruler: 100.0 mm"} {
				if !strings.Contains(all, want) {
					t.Errorf("%s: page %d lacks %q", name, page+1, want)
				}
			}
			for _, text := range c.texts {
				written[text]++
			}
		}
		want := []string{"LEFT END", "right end", "FRONT EDGE", "back edge"}
		for _, p := range append(append([]pin{}, s.upper...), s.lower...) {
			want = append(want, p.text)
		}
		for _, text := range want {
			if written[text] == 0 {
				t.Errorf("%s: %q is on no page", name, text)
			}
		}
	}
}

func TestNothingIsLeftOutWhereThereIsRoom(t *testing.T) {
	for name, plan := range plans(t) {
		s, _ := newSheet(plan)
		if crowded := name == "crowd" || name == "narrow"; (s.leftOut > 0) != crowded {
			t.Errorf("%s: %d labels are left out", name, s.leftOut)
		}
	}
}

// TestPinsStayApart: labels keep their order, stand apart, near their marks and on the rail, and none is lost.
func TestPinsStayApart(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		s := &sheet{lengthMM: 300}
		at := rapid.SliceOfN(rapid.Float64Range(-20, 320), 1, 200).Draw(r, "at")
		pins := make([]pin, len(at))
		for i := range at {
			pins[i].atMM = at[i]
		}
		sortPins(pins)
		kept := s.pinned(pins)
		if len(kept)+s.leftOut != len(pins) {
			r.Fatalf("%d kept, %d left out of %d", len(kept), s.leftOut, len(pins))
		}
		for i, p := range kept {
			if math.Abs(p.labelMM-p.atMM) > shiftMM+1e-6 || p.labelMM < 0 || p.labelMM > s.lengthMM || i > 0 && p.labelMM-kept[i-1].labelMM < labelGapMM-1e-6 {
				r.Fatalf("label %d of %+v", i, kept)
			}
		}
	})
}

func sortPins(pins []pin) {
	for i := range pins {
		for k := i; k > 0 && pins[k].atMM < pins[k-1].atMM; k-- {
			pins[k], pins[k-1] = pins[k-1], pins[k]
		}
	}
}

// TestTilesCoverTheSheet: neighbours overlap by 10 mm or more, all by the same; the first begins and the last ends with the
// sheet, so every place is on some page, and a mark lies in each overlap.
func TestTilesCoverTheSheet(t *testing.T) {
	for name, plan := range plans(t) {
		for _, paper := range []Paper{a4, letter} {
			s, _ := newSheet(plan)
			tiles := s.laid(paper)
			first, last := tiles.place(0), tiles.place(tiles.pages()-1)
			if first.Left != s.paper.Left || first.Top != s.paper.Top || last.Right < s.paper.Right-1e-9 || last.Bottom < s.paper.Bottom-1e-9 {
				t.Errorf("%s on %s: pages from %v to %v do not cover %v", name, paper.Name, first, last, s.paper)
			}
			for page := 1; page < tiles.pages(); page++ {
				a, b := tiles.place(page-1), tiles.place(page)
				if col, _ := tiles.of(page); col > 0 && a.Right-b.Left < overlapMM-1e-9 {
					t.Errorf("%s: pages %d and %d overlap by %v", name, page, page+1, a.Right-b.Left)
				}
				if again := tiles.place(0).Right - tiles.place(min(1, tiles.cols.n-1)).Left; b.Left > a.Left && math.Abs(a.Right-b.Left-again) > 1e-9 {
					t.Errorf("%s: pages %d and %d overlap by %v, the first two by %v", name, page, page+1, a.Right-b.Left, again)
				}
				if n := tiles.cols.n; page >= n && tiles.place(page-n).Bottom-b.Top < overlapMM-1e-9 {
					t.Errorf("%s: page %d does not reach to the row above", name, page+1)
				}
			}
			if bottom := tiles.headMM + tiles.rows.windowMM + s.footMM(tiles.wideMM) + marginMM; bottom > tiles.highMM+1e-9 {
				t.Errorf("%s on %s: head, window and foot need %v of %v mm", name, paper.Name, bottom, tiles.highMM)
			}
		}
	}
}

// TestWayOfThePaper: a long narrow rail lies along the paper's long side; a plank of 110 mm, too wide for that in one row
// and short enough for the other way, stands upright.
func TestWayOfThePaper(t *testing.T) {
	for name, want := range map[string]struct {
		wideMM float64
		pages  int
	}{"6 modules": {297, 5}, "1 modules": {297, 1}, "plank": {210, 1}} {
		s, _ := newSheet(plans(t)[name])
		if tiles := s.laid(a4); tiles.wideMM != want.wideMM || tiles.pages() != want.pages {
			t.Errorf("%s: %v mm wide, %d pages, want %+v", name, tiles.wideMM, tiles.pages(), want)
		}
	}
}

func TestTooManyPagesAreRefused(t *testing.T) {
	in := bar(20, 1, 0)
	in.Profile.WidthM = 3
	if pdf, _, err := Draw(planOf(t, in), a4); err == nil || !strings.Contains(err.Error(), "at most 400 are allowed") || pdf != nil {
		t.Errorf("error %v, %d bytes", err, len(pdf))
	}
}

// TestHeadings: rails whose names the fonts lack are told apart by number, and a long name leaves the measures whole.
func TestHeadings(t *testing.T) {
	plan := Template{Rail: drilling.Layout{Name: "\u524d", Profile: "flat-60x5", LengthM: 0.3, WidthM: 0.06}, Number: 2, Of: 3}
	if got := plan.heading(); got != "Drill template: rail 2 of 3 (\u524d)" {
		t.Errorf("heading %q", got)
	}
	plan.Rail.Name = strings.Repeat("a long name ", 8)
	s, err := newSheet(plan)
	if err != nil {
		t.Fatal(err)
	}
	lines := s.headLines(190)
	if got := lines[1].text; got != "flat-60x5, 300.0 mm long, 60.0 mm wide" {
		t.Errorf("below a long name stands %q", got)
	}
	plan.Rail.Name = "main"
	if s, err = newSheet(plan); err != nil {
		t.Fatal(err)
	}
	if got := s.headLines(190)[0].text; got != "Drill template: rail main, flat-60x5, 300.0 mm long, 60.0 mm wide" {
		t.Errorf("heading %q", got)
	}
}

func TestSmallThings(t *testing.T) {
	for n, want := range map[int]string{1: "A", 26: "Z", 27: "AA", 52: "AZ", 53: "BA", 702: "ZZ", 703: "AAA"} {
		if got := letters(n); got != want {
			t.Errorf("letters(%d) = %s, want %s", n, got, want)
		}
	}
	if p, err := PaperNamed("LETTER"); err != nil || p != letter {
		t.Error(p, err)
	}
	if _, err := PaperNamed("a3"); err == nil {
		t.Error("a3 is taken")
	}
	if got := sizeText(drilling.Place{Kind: drilling.Wire, DiameterM: 0.0060001}); got != "wire \u00f86" {
		t.Error(got)
	}
}

// TestLabelsOfHoles holds what a label says of each kind of hole: a drill before tapping has its thread, a slot nut no hole.
func TestLabelsOfHoles(t *testing.T) {
	for want, h := range map[string]drilling.Place{
		"\u00f83.2":        {Kind: drilling.Screw, Thread: "M3", Hold: drilling.NutBack, DiameterM: 0.0032},
		"M2.5 \u00f82.05":  {Kind: drilling.Screw, Thread: "M2.5", Hold: drilling.Tapped, DiameterM: 0.00205},
		"M3 nut":           {Kind: drilling.Screw, Thread: "M3", Hold: drilling.SlotNut},
		"wire \u00f86":     {Kind: drilling.Wire, DiameterM: 0.006},
		"hanger \u00f84.5": {Kind: drilling.Hanger, DiameterM: 0.0045},
	} {
		if got := sizeText(h); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}
