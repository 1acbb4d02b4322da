package drill

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"sort"
	"testing"

	"fathomlux/scene/longtest"
)

// pxPerMM is the resolution of the check: 254 dpi.
const pxPerMM = 10

// greyPage is a page as a viewer's renderer shows it.
type greyPage struct {
	wide, high int
	grey       []byte
}

// rendered renders all pages with Debian's poppler tools, or skips the test where these are not there.
func rendered(t *testing.T, pdf []byte) []greyPage {
	t.Helper()
	tool, err := exec.LookPath("pdftoppm")
	if err != nil {
		t.Skip("pdftoppm is not here (Debian: poppler-utils)")
	}
	dir := t.TempDir()
	file := filepath.Join(dir, "drill.pdf")
	if err := os.WriteFile(file, pdf, 0o644); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command(tool, "-r", fmt.Sprint(25.4*pxPerMM), "-gray", file, filepath.Join(dir, "page")).CombinedOutput(); err != nil || len(out) > 0 {
		t.Fatalf("pdftoppm: %v, %s", err, out) // it complains about files that are not sound
	}
	names, _ := filepath.Glob(filepath.Join(dir, "page*.pgm"))
	sort.Strings(names)
	var pages []greyPage
	for _, name := range names {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		var p greyPage
		var most int
		if n, err := fmt.Sscanf(string(data[:20]), "P5\n%d %d\n%d\n", &p.wide, &p.high, &most); n != 3 {
			t.Fatal(err)
		}
		p.grey = data[len(data)-p.wide*p.high:]
		pages = append(pages, p)
	}
	return pages
}

// darkAlong returns the middles of the dark runs, in mm, on the straight line of pixels from one place to another.
func (p greyPage) darkAlong(from, to point) []float64 {
	n := int(math.Round(math.Max(to.X-from.X, to.Y-from.Y) * pxPerMM))
	var runs []float64
	var weight, sum float64
	for i := 0; i <= n; i++ {
		x, y := from.X*pxPerMM, from.Y*pxPerMM
		if to.X > from.X {
			x += float64(i)
		} else {
			y += float64(i)
		}
		dark := 255 - float64(p.grey[int(y)*p.wide+int(x)])
		if dark > 40 && i < n {
			at := math.Floor(x) + 0.5
			if to.X <= from.X {
				at = math.Floor(y) + 0.5
			}
			weight, sum = weight+dark, sum+dark*at
			continue
		}
		if weight > 0 {
			runs = append(runs, sum/weight/pxPerMM)
		}
		weight, sum = 0, 0
	}
	return runs
}

// onePixelMM is what a rendered line may be off: half a pixel of rasterising, and hinting of thin lines to whole pixels.
const onePixelMM = 1.0 / pxPerMM

// TestRenderedSizes measures pages as they are seen: the paper, the ruler's end ticks 100.0 mm apart, and the arms of each punch
// cross where the written file has them, which TestHolesAcrossSeams holds against the plan.
func TestRenderedSizes(t *testing.T) {
	const modules = 8
	for _, paper := range longtest.Pick([]Paper{letter}, []Paper{a4, letter}) {
		data := pdfOf(t, planOf(t, bar(0.8, modules, 0.095)), paper)
		written, pages := readPDF(t, data), rendered(t, data)
		if len(pages) != len(written) {
			t.Fatalf("%d pages rendered, %d written", len(pages), len(written))
		}
		crosses := 0
		for i, p := range pages {
			if math.Abs(float64(p.wide)-paper.LongMM*pxPerMM) > 1 || math.Abs(float64(p.high)-paper.ShortMM*pxPerMM) > 1 {
				t.Errorf("%s: page of %d by %d pixels", paper.Name, p.wide, p.high)
			}
			y := paper.ShortMM - marginMM - rulerHighMM + 0.5 + 4.5 // only the end ticks reach so low
			if ends := p.darkAlong(pt(5, y), pt(118, y)); len(ends) != 2 || math.Abs(ends[1]-ends[0]-100) > onePixelMM {
				t.Errorf("%s: page %d: the ruler's ends are at %v mm", paper.Name, i+1, ends)
			}
			for _, c := range written[i].crosses(punchStroke) {
				if k := written[i].clip; c.X-5 > k.Left && c.X+5 < k.Right {
					crosses++
					p.checkCross(t, c)
				}
			}
		}
		if crosses < 3*modules-4 { // all but those that a seam cuts
			t.Errorf("%s: measured %d crosses only", paper.Name, crosses)
		}
	}
}

// checkCross looks for the upper and the left arm of a cross, above and beside its circle of 3.2 or 6 mm.
func (p greyPage) checkCross(t *testing.T, c point) {
	t.Helper()
	const off = 3.6 // beyond a circle of 6 mm, and within the arm of one of 3.2 mm
	upper := p.darkAlong(pt(c.X-0.8, c.Y-off), pt(c.X+0.8, c.Y-off))
	left := p.darkAlong(pt(c.X-off, c.Y-0.8), pt(c.X-off, c.Y+0.8))
	if len(upper) != 1 || math.Abs(upper[0]-c.X) > onePixelMM || len(left) != 1 || math.Abs(left[0]-c.Y) > onePixelMM {
		t.Errorf("a cross at %.2f, %.2f mm has its arms at %v and %v", c.X, c.Y, upper, left)
	}
}

// TestRenderedPagesDiffer: each page has its own drawing, so that no page was written twice.
func TestRenderedPagesDiffer(t *testing.T) {
	pages := rendered(t, pdfOf(t, planOf(t, bar(0.5, 3, 0.150)), a4))
	for i := range pages {
		for k := range i {
			if bytes.Equal(pages[i].grey, pages[k].grey) {
				t.Errorf("pages %d and %d are the same", k+1, i+1)
			}
		}
	}
}
