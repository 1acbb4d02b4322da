package drill

import (
	"bytes"
	"compress/zlib"
	"fmt"
	"io"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"fathomlux/render/style"
	"fathomlux/scene/drilling"
	"fathomlux/scene/longtest"
)

// segment is a straight line of a page, millimetres from its upper left corner, with its width.
type segment struct {
	width    string // as it is written, in points
	from, to point
}

// readPage is what a test reads back from one page of a written file.
type readPage struct {
	wideMM, highMM float64
	lines          []segment
	rects          []segment // from upper left to lower right
	clip           box
}

var (
	streamParts = regexp.MustCompile(`(?s)/Filter /FlateDecode /Length (\d+)>>\s+stream\n`)
	mediaBox    = regexp.MustCompile(`/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]`)
	drawingOps  = regexp.MustCompile(`(?m)^([\d.]+) w$|^(-?[\d.]+) (-?[\d.]+) m (-?[\d.]+) (-?[\d.]+) l S$|(-?[\d.]+) (-?[\d.]+) (-?[\d.]+) (-?[\d.]+) re (S|W n)`)
)

// readPDF reads pages back, by the operators of ISO 32000-1, annex A.
func readPDF(t *testing.T, data []byte) []readPage {
	t.Helper()
	media := mediaBox.FindSubmatch(data)
	if media == nil {
		t.Fatal("no MediaBox")
	}
	widePt, highPt := number(t, media[1]), number(t, media[2])
	var pages []readPage
	for _, at := range streamParts.FindAllSubmatchIndex(data, -1) {
		length, _ := strconv.Atoi(string(data[at[2]:at[3]]))
		z, err := zlib.NewReader(bytes.NewReader(data[at[1] : at[1]+length]))
		if err != nil {
			continue
		}
		content, err := io.ReadAll(z)
		if err != nil || !bytes.Contains(content, []byte(" re W n")) {
			continue // a font
		}
		pages = append(pages, readContent(t, content, pt(widePt, highPt)))
	}
	return pages
}

func readContent(t *testing.T, content []byte, pagePt point) readPage {
	page := readPage{wideMM: pagePt.X / ptPerMM, highMM: pagePt.Y / ptPerMM}
	width := ""
	at := func(x, y float64) point { return pt(x/ptPerMM, (pagePt.Y-y)/ptPerMM) }
	for _, m := range drawingOps.FindAllSubmatch(content, -1) {
		switch {
		case m[1] != nil:
			width = string(m[1])
		case m[2] != nil:
			page.lines = append(page.lines, segment{width, at(number(t, m[2]), number(t, m[3])), at(number(t, m[4]), number(t, m[5]))})
		default:
			x, y, w, h := number(t, m[6]), number(t, m[7]), number(t, m[8]), number(t, m[9]) // h is negative: it runs down
			from, to := at(x, y), at(x+w, y+h)
			if string(m[10]) == "S" {
				page.rects = append(page.rects, segment{width, from, to})
				continue
			}
			page.clip = area(from.X, from.Y, to.X, to.Y)
		}
	}
	return page
}

func number(t *testing.T, text []byte) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(string(text), 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func widthOf(s style.Pen) string { return fmt.Sprintf("%.2f", s.Width*ptPerMM) }

// crosses returns the middles of the crosses of a stroke: a level line and the upright one after it.
func (p readPage) crosses(s style.Pen) []point {
	var list []point
	for i := 1; i < len(p.lines); i++ {
		a, b := p.lines[i-1], p.lines[i]
		if a.width == widthOf(s) && b.width == a.width && a.from.Y == a.to.Y && b.from.X == b.to.X {
			list = append(list, pt(b.from.X, a.from.Y))
		}
	}
	return list
}

func pdfOf(t *testing.T, plan Template, paper Paper) []byte {
	t.Helper()
	pdf, _, err := Draw(plan, paper)
	if err != nil {
		t.Fatal(err)
	}
	return pdf
}

// origins returns where the rail's left front corner lies on each page of one row: on the first by its outline, then from page
// to page by the match marks alone, as somebody does who lays them over each other.
func origins(t *testing.T, pages []readPage) []point {
	t.Helper()
	var list []point
	for i, p := range pages {
		marks := p.crosses(matchStroke)
		if i == 0 {
			list = append(list, p.outline(t).from)
		} else {
			before := pages[i-1].crosses(matchStroke)
			last, first := before[len(before)-1], marks[1] // bottom marks: the last of the page before, the first of this one
			list = append(list, pt(list[i-1].X+first.X-last.X, list[i-1].Y+first.Y-last.Y))
		}
		if want := 4; len(marks) != want && i > 0 && i < len(pages)-1 {
			t.Fatalf("page %d has %d match marks, want %d", i+1, len(marks), want)
		}
	}
	return list
}

// outline returns the rail's outline.
func (p readPage) outline(t *testing.T) segment {
	t.Helper()
	for _, r := range p.rects {
		if r.width == widthOf(railStroke) {
			return r
		}
	}
	t.Fatal("no outline")
	return segment{}
}

// drillingToleranceMM is what the template may be off: a punch does not hit a cross better.
const drillingToleranceMM = 0.1

// TestHolesAcrossSeams is the check of the whole: a rail of 1.4 m with 14 modules is put together from its pages by the match
// marks alone; each hole of the plan is then a cross in the visible part of a page, at its place, and no other cross is there.
func TestHolesAcrossSeams(t *testing.T) {
	for _, paper := range []Paper{a4, letter} {
		plan := planOf(t, bar(1.4, 14, 0.095))
		pages := readPDF(t, pdfOf(t, plan, paper))
		if len(pages) < 6 {
			t.Fatalf("%s: %d pages only", paper.Name, len(pages))
		}
		seen := make([]int, len(plan.Rail.Holes))
		for i, origin := range origins(t, pages) {
			if o := pages[i].outline(t).from; math.Hypot(o.X-origin.X, o.Y-origin.Y) > 0.05 { // sums of coordinates rounded to 0.004 mm
				t.Errorf("%s: page %d: marks and outline differ: %v and %v", paper.Name, i+1, origin, o)
			}
			for _, c := range pages[i].crosses(punchStroke) {
				hole := nearest(plan.Rail.Holes, pt(c.X-origin.X, c.Y-origin.Y))
				if hole < 0 {
					t.Errorf("%s: page %d has a cross at %v mm where no hole is", paper.Name, i+1, c.X-origin.X)
				} else if k := pages[i].clip; c.X > k.Left && c.X < k.Right && c.Y > k.Top && c.Y < k.Bottom {
					seen[hole]++
				}
			}
		}
		for i, n := range seen {
			if n == 0 {
				t.Errorf("%s: hole %+v is on no page", paper.Name, plan.Rail.Holes[i])
			}
		}
	}
}

// nearest returns the hole at a place of the rail, or -1 where none is within the tolerance.
func nearest(holes []drilling.Place, at point) int {
	for i, h := range holes {
		if math.Hypot(h.FromLeftM*1000-at.X, h.FromFrontM*1000-at.Y) < drillingToleranceMM {
			return i
		}
	}
	return -1
}

// TestPageSizeAndRuler: pages have the paper's size to the hundredth of a point that a PDF says it in, and on each the ruler
// is 100.0 mm, with 101 ticks a millimetre apart.
func TestPageSizeAndRuler(t *testing.T) {
	const roundedMM = 0.005 // two coordinates, each rounded to 0.01 pt
	for _, c := range []struct {
		paper Paper
		media string
	}{{a4, "/MediaBox [0 0 841.89 595.28]"}, {letter, "/MediaBox [0 0 792.00 612.00]"}} {
		data := pdfOf(t, planOf(t, bar(1.1, 6, 0.180)), c.paper)
		if !bytes.Contains(data, []byte(c.media)) {
			t.Errorf("%s: no %s", c.paper.Name, c.media)
		}
		for i, p := range readPDF(t, data) {
			var ticks []float64
			length := 0.0
			for _, l := range p.lines {
				if l.width != widthOf(rulerStroke) {
					continue
				}
				if l.from.X == l.to.X {
					ticks = append(ticks, l.from.X)
				} else {
					length = l.to.X - l.from.X
				}
			}
			if math.Abs(length-100) > roundedMM || len(ticks) != 101 {
				t.Fatalf("%s: page %d: ruler of %v mm with %d ticks", c.paper.Name, i+1, length, len(ticks))
			}
			for k := range ticks {
				if math.Abs(ticks[k]-ticks[0]-float64(k)) > roundedMM {
					t.Errorf("%s: page %d: tick %d at %v mm", c.paper.Name, i+1, k, ticks[k]-ticks[0])
				}
			}
		}
	}
}

func TestEqualBytes(t *testing.T) {
	all := plans(t)
	for name, plan := range longtest.Pick(map[string]Template{"keep-outs": all["keep-outs"], "plate": all["plate"]}, all) {
		if !bytes.Equal(pdfOf(t, plan, a4), pdfOf(t, plan, a4)) {
			t.Errorf("%s: not the same bytes", name)
		}
	}
}

// TestViewersMustNotScale follows the file as a reader does: startxref, cross-reference, catalog, and the table before it.
func TestViewersMustNotScale(t *testing.T) {
	data := pdfOf(t, planOf(t, bar(1.1, 6, 0.180)), a4)
	if !bytes.HasPrefix(data, []byte("%PDF-1.7\n")) {
		t.Errorf("begins %q", data[:9])
	}
	start := regexp.MustCompile(`startxref\n(\d+)\n%%EOF\n$`).FindSubmatch(data)
	table := regexp.MustCompile(`^xref\n0 \d+\n(?:\d{10} \d{5} [nf] \n)*(\d{10}) 00000 n \ntrailer`).FindSubmatch(data[int(number(t, start[1])):])
	if table == nil {
		t.Fatalf("startxref leads to %.40q", data[int(number(t, start[1])):])
	}
	catalog := string(data[int(number(t, table[1])):]) // the last object
	if !regexp.MustCompile(`^\d+ 0 obj\n<<\n/Type /Catalog\n/ViewerPreferences << /PrintScaling /None >>\n/Pages 1 0 R`).MatchString(catalog) {
		t.Errorf("the catalog is %.300q", catalog)
	}
	if !bytes.Contains(data, []byte("/FontFile2")) || bytes.Contains(data, []byte("/BaseFont /Helvetica")) {
		t.Error("the fonts are not embedded")
	}
}

func TestUpdateRefusesWhatIsNoPDF(t *testing.T) {
	good := string(pdfOf(t, planOf(t, bar(0.2, 1, 0)), a4))
	for _, bad := range []string{"", "trailer", "%PDF-1.3\ntrailer\nstartxref\n1\n%%EOF\n", strings.ReplaceAll(good, "/Catalog", "/Katalog"),
		strings.ReplaceAll(good, "startxref", "xrefstart"), good[:len(good)-20]} {
		if _, err := neverScaled([]byte(bad)); err == nil {
			t.Errorf("%.30q is taken", bad)
		}
	}
}
