package main

import (
	"bytes"
	"context"
	"image"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"

	"fathomlux/render/report"
	"fathomlux/scene"
	"fathomlux/scene/longtest"
)

// pageOf does the whole job of a scene file.
func pageOf(t *testing.T, o *reportOptions, file string) report.Page {
	t.Helper()
	sc, err := scene.Read(file)
	if err != nil {
		t.Fatal(err)
	}
	j, err := o.job(context.Background(), streams{}, sc)
	if err != nil {
		t.Fatal(err)
	}
	return j.page()
}

var foyerOnce struct {
	sync.Once
	page report.Page
}

// foyerPage is the report of the foyer by the straight light alone, with candidates, computed once for all tests.
func foyerPage(t *testing.T) report.Page {
	t.Helper()
	foyerOnce.Do(func() {
		file := dimFoyer(t)
		foyerOnce.page = pageOf(t, reported(t, file, "--step", "20 mm", "--scale", "0.5", "--optic", "round-60", "--vary", "height=100mm,140mm"), file)
	})
	return foyerOnce.page
}

// openReport writes a page, opens it from disk and keeps what the browser asks for and what the console says.
func openReport(t *testing.T, p report.Page) (b tab, asked func() []string) {
	t.Helper()
	var data bytes.Buffer
	if err := report.Write(&data, p); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "report.html")
	if err := os.WriteFile(path, data.Bytes(), 0o666); err != nil {
		t.Fatal(err)
	}
	b = emptyTab(t, startBrowser(t), 1280, 900)
	var lock sync.Mutex
	var list []string
	if err := chromedp.Listen(b.ctx, func(event any) {
		if e, ok := event.(*network.EventRequestWillBeSent); ok && !strings.HasPrefix(e.Request.URL, "data:") {
			lock.Lock()
			defer lock.Unlock()
			list = append(list, e.Request.URL)
		}
	}); err != nil {
		t.Fatal(err)
	}
	b.do(chromedp.Navigate("file://" + path))
	return b, func() []string {
		lock.Lock()
		defer lock.Unlock()
		return append([]string(nil), list...)
	}
}

// TestReportInABrowser opens the page of the example from disk: silent, asking for nothing, all pictures there, nothing
// wider than the window, tables sorted by their heads, dark where that is wished, with the pictures on light panels.
func TestReportInABrowser(t *testing.T) {
	const pictures = 11
	inFull(t, longtest.Pick(false, true))
	t.Parallel()
	browser(t)
	b, asked := openReport(t, foyerPage(t))
	if list := asked(); len(list) != 1 || !strings.HasPrefix(list[0], "file://") {
		t.Errorf("the browser asks for %q", list)
	}
	if n := evaluate[int](b, `[...document.images].filter((i) => i.complete && i.naturalWidth > 200).length`); n != pictures {
		t.Errorf("%d pictures are shown, want %d", n, pictures)
	}
	for _, wide := range []int64{360, 1280, 1920} {
		b.do(chromedp.EmulateViewport(wide, 1080))
		if over := evaluate[int](b, `document.documentElement.scrollWidth - innerWidth`); over > 0 {
			t.Errorf("at %d pixels the page is %d pixels too wide", wide, over)
		}
	}
	b.enlarges()
	const first = `document.querySelector("#light table.sorts tbody th").textContent`
	const head = `document.querySelectorAll("#light table.sorts thead th button")[2].click()`
	evaluate[any](b, head)
	if lowest := evaluate[string](b, first); lowest != "floor" {
		t.Errorf("by rising mean %q comes first", lowest)
	}
	evaluate[any](b, head)
	if most := evaluate[string](b, first+` + document.querySelectorAll("#light table.sorts thead th")[2].getAttribute("aria-sort")`); most != "surfacedescending" {
		t.Errorf("by falling mean %q comes first", most)
	}
	const inches = `[...document.querySelectorAll("#drilling thead button")].find((b) => b.textContent.includes("from left, in")).click(),
		[...document.querySelector("#drilling table.sorts").querySelectorAll("tbody tr")].map((r) => Number(r.cells[2].textContent)).every((v, i, all) => i === 0 || all[i - 1] <= v)`
	evaluate[any](b, `[...document.querySelectorAll("#drilling thead button")][7].click()`)
	if !evaluate[bool](b, "("+inches+")") {
		t.Error("inches with fractions are not sorted by size")
	}
	const look = `getComputedStyle(document.body).backgroundColor + getComputedStyle(document.querySelector(".panel")).backgroundColor`
	light := evaluate[string](b, look)
	if _, err := chromedp.Call(b.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: "dark"}}}); err != nil {
		t.Fatal(err)
	}
	if dark := evaluate[string](b, look); dark != "rgb(20, 24, 28)rgb(252, 252, 250)" || light != "rgb(255, 255, 255)rgb(252, 252, 250)" {
		t.Errorf("light %s, dark %s", light, dark)
	}
	if said := b.said(); len(said) > 0 {
		t.Errorf("the console says %q", said)
	}
	b.withoutScripts(pictures)
}

// enlarges taps a picture on a telephone: it fits the screen before and after, and is larger than that in between.
func (b tab) enlarges() {
	b.Helper()
	b.do(chromedp.EmulateViewport(390, 844))
	const tap = `(() => { const panel = document.querySelector(".panel"), wide = () => Math.round(panel.firstChild.getBoundingClientRect().width - panel.clientWidth);
		return [0, 1, 2].map((i) => { if (i) panel.click(); return wide() > 0 ? wide() : 0; }).concat(document.documentElement.scrollWidth - innerWidth); })()`
	if got := evaluate[[]int](b, tap); got[0] != 0 || got[1] < 300 || got[2] != 0 || got[3] > 0 {
		b.Errorf("a picture reaches beyond its panel, before a tap, after it and after another, and the page beyond the window: %v px", got)
	}
	b.do(chromedp.EmulateViewport(1920, 1080))
}

// withoutScripts loads a report again where no script runs: it has all its texts, pictures and tables, and no head of a table
// promises what it cannot do.
func (b tab) withoutScripts(pictures int) {
	b.Helper()
	b.do(chromedp.EmulateViewport(1280, 900))
	const count = `[document.querySelectorAll("thead button").length, [...document.images].filter((i) => i.complete && i.naturalWidth > 200 && i.getBoundingClientRect().width > 200).length,
		document.querySelectorAll("tbody tr").length, document.body.innerText.length]`
	with := evaluate[[]int](b, count)
	if _, err := chromedp.Call(b.ctx, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true}); err != nil {
		b.Fatal(err)
	}
	b.do(chromedp.Reload())
	without := evaluate[[]int](b, count)
	if with[0] == 0 || without[0] != 0 || without[1] != pictures || !slices.Equal(with[1:], without[1:]) {
		b.Errorf("buttons, pictures, rows and letters: %v with scripts, %v without", with, without)
	}
}

// TestReportWithHostileTexts: what a title says is seen and does nothing.
func TestReportWithHostileTexts(t *testing.T) {
	t.Parallel()
	browser(t)
	const title = `</title><script>window.hit = 1</script><img src=x onerror="window.hit = 1">`
	b, asked := openReport(t, report.Page{Title: title, Verdict: title, Sections: []report.Section{{ID: "a", Title: title, Parts: []any{report.Listing{Name: title, Text: title}}}}})
	if got := evaluate[string](b, `document.querySelector("h1").textContent + "|" + document.querySelector("code").textContent.trim() + "|" + String(window.hit)`); got != title+"|"+title+"|undefined" {
		t.Errorf("shown is %s", got)
	}
	if list := asked(); len(list) != 1 {
		t.Errorf("the browser asks for %q", list)
	}
	if said := b.said(); len(said) > 0 {
		t.Errorf("the console says %q", said)
	}
}

// TestReportOnPaper prints the page on A4, in full on Letter too, and looks at each sheet: light although the screen is dark, nothing
// beyond the margins, no sheet all but empty, and the head of a long table on each of its sheets.
func TestReportOnPaper(t *testing.T) {
	inFull(t, longtest.Pick(false, true))
	t.Parallel()
	browser(t)
	if _, err := exec.LookPath("pdftoppm"); err != nil {
		t.Skip("no pdftoppm here")
	}
	b, _ := openReport(t, foyerPage(t))
	for name, paper := range longtest.Pick(map[string]chromedp.PaperSize{"a4": chromedp.PaperA4}, map[string]chromedp.PaperSize{"a4": chromedp.PaperA4, "letter": chromedp.PaperLetter}) {
		data, err := chromedp.Run(b.ctx, chromedp.PrintToPDF(chromedp.PDFPaper(paper), chromedp.PDFPrintBackground()))
		if err != nil {
			t.Fatal(err)
		}
		for i, words := range worded(t, data) {
			if len(strings.Fields(words)) < 15 {
				t.Errorf("%s, sheet %d says no more than %q", name, i+1, words)
			}
			if strings.Contains(words, "screw hole ") && !strings.Contains(words, "rounding,") && !strings.Contains(words, "Bill of parts") {
				t.Errorf("%s, sheet %d goes on with the table of holes without its head", name, i+1)
			}
		}
		sheets := rasterised(t, name, data)
		if len(sheets) < 8 || len(sheets) > 12 { // two of them for the candidates
			t.Errorf("%s: %d sheets", name, len(sheets))
		}
		for i, s := range sheets {
			if r, g, bl, _ := s.At(2, 2).RGBA(); r < 0xf000 || g < 0xf000 || bl < 0xf000 {
				t.Errorf("%s, sheet %d is not on light paper", name, i+1)
			}
			left, top, right, bottom := inked(s)
			w, h := float64(s.Bounds().Dx()), float64(s.Bounds().Dy())
			// margins of 14 and 15 mm of 210 and 279 mm; half of that is left for round-off and the page's number
			if left < 0.05*w || right > 0.95*w || top < 0.03*h || bottom > 0.985*h {
				t.Errorf("%s, sheet %d: ink from %.0f, %.0f to %.0f, %.0f of %.0f x %.0f", name, i+1, left, top, right, bottom, w, h)
			}
		}
	}
}

// TestManyCautionsOnPaper: more cautions than a sheet holds begin on the first one, below their chapter's title, and go on.
func TestManyCautionsOnPaper(t *testing.T) {
	inFull(t, longtest.Pick(false, true))
	t.Parallel()
	browser(t)
	if _, err := exec.LookPath("pdftotext"); err != nil {
		t.Skip("no pdftotext here")
	}
	const caution = "unplug the light"
	b, _ := openReport(t, report.Page{Title: "Tank", Sections: []report.Section{{ID: "a", Title: "a", Parts: []any{report.Cautions(slices.Repeat([]string{caution}, 100))}}}})
	data, err := chromedp.Run(b.ctx, chromedp.PrintToPDF(chromedp.PDFPaper(chromedp.PaperA4), chromedp.PDFPrintBackground()))
	if err != nil {
		t.Fatal(err)
	}
	sheets := worded(t, data)
	if n := strings.Count(sheets[0], caution); len(sheets) != 2 || n < 30 || n == 100 {
		t.Errorf("the first of %d sheets holds %d of 100 cautions", len(sheets), n)
	}
}

// worded returns the words of each page of a PDF.
func worded(t testing.TB, pdf []byte) []string {
	t.Helper()
	command := exec.Command("pdftotext", "-layout", "-", "-")
	command.Stdin = bytes.NewReader(pdf)
	out, err := command.Output()
	if err != nil {
		t.Fatal(err)
	}
	return strings.Split(strings.TrimSuffix(string(out), "\f"), "\f") // a form feed ends each page
}

// rasterised turns a PDF into pictures at 50 points an inch.
func rasterised(t *testing.T, name string, pdf []byte) []image.Image {
	t.Helper()
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, name+".pdf"), pdf, 0o666); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command("pdftoppm", "-r", "50", "-png", filepath.Join(dir, name+".pdf"), filepath.Join(dir, name)).CombinedOutput(); err != nil {
		t.Fatalf("pdftoppm: %v: %s", err, out)
	}
	paths, _ := filepath.Glob(filepath.Join(dir, name+"-*.png")) // in the order of their numbers, which have leading zeros
	var list []image.Image
	for _, path := range paths {
		file, err := os.Open(path)
		if err != nil {
			t.Fatal(err)
		}
		img, err := png.Decode(file)
		_ = file.Close()
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, img)
	}
	return list
}

// inked returns the box of all that is not paper.
func inked(img image.Image) (left, top, right, bottom float64) {
	b := img.Bounds()
	left, top = float64(b.Dx()), float64(b.Dy())
	for y := range b.Dy() {
		for x := range b.Dx() {
			if r, _, _, _ := img.At(x, y).RGBA(); r < 0xe000 {
				left, right = min(left, float64(x)), max(right, float64(x))
				top, bottom = min(top, float64(y)), max(bottom, float64(y))
			}
		}
	}
	return left, top, right, bottom
}
