package main

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"image/png"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	cdpbrowser "github.com/chromedp/cdproto/browser"
	"github.com/chromedp/cdproto/target"
	"github.com/chromedp/chromedp"
	"go.yaml.in/yaml/v4"

	"fathomlux/scene/longtest"
)

// downloads lets a tab save files into a folder of the test.
func (b tab) downloads() (dir string) {
	b.Helper()
	dir = b.TempDir()
	info, err := chromedp.Call(b.ctx, target.GetTargetInfo, target.GetTargetInfoParams{})
	if err == nil {
		_, err = chromedp.CallBrowser(b.ctx, cdpbrowser.SetDownloadBehavior, cdpbrowser.SetDownloadBehaviorParams{Behavior: "allow", DownloadPath: dir, BrowserContextID: info.TargetInfo.BrowserContextID})
	}
	if err != nil {
		b.Fatal(err)
	}
	return dir
}

// file waits for a file that is being saved.
func (b tab) file(path string) (data []byte) {
	b.Helper()
	for len(data) == 0 {
		if data, _ = os.ReadFile(path); b.ctx.Err() != nil {
			b.Fatalf("%s is not saved", path)
		}
		time.Sleep(20 * time.Millisecond)
	}
	return data
}

// opens tells whether a file can be opened as what its name says.
func opens(name string, data []byte) error {
	switch filepath.Ext(name) {
	case ".png":
		_, err := png.Decode(bytes.NewReader(data))
		return err
	case ".svg":
		for d := xml.NewDecoder(bytes.NewReader(data)); ; {
			if _, err := d.Token(); err == io.EOF {
				return nil
			} else if err != nil {
				return err
			}
		}
	case ".pdf":
		if !bytes.HasPrefix(data, []byte("%PDF-")) || !bytes.HasSuffix(bytes.TrimSpace(data), []byte("%%EOF")) {
			return fmt.Errorf("no PDF: %.20q", data)
		}
	case ".html":
		if !strings.HasSuffix(strings.TrimSpace(string(data)), "</html>") {
			return fmt.Errorf("half a page: %d bytes", len(data))
		}
	case ".yaml":
		var any any
		return yaml.Unmarshal(data, &any)
	case ".csv":
		if rows := strings.Count(string(data), "\n"); rows < 2 || !strings.Contains(string(data), ",") {
			return fmt.Errorf("a table of %d rows", rows)
		}
	}
	return nil
}

// TestLiveSavesFiles saves what is on the screen as files of each format, and opens them: the plan of another depth, the
// slice across, a sheet, the drilling template of the second rail, and how much two states differ.
func TestLiveSavesFiles(t *testing.T) {
	inFull(t, longtest.Pick(false, true))
	t.Parallel()
	dir := t.TempDir()
	write(t, dir, "two.yaml", strings.Replace(limitTank, "rails:", "  floor: {diffuse: 0}\nrails:\n  - {name: second, length: 300 mm, y: 40 mm, above_water: 90 mm, modules: {part: quad-cool, optic: round-60, count: 1, current: 350 mA}}", 1))
	b := openBrowser(t, serveLive(t, filepath.Join(dir, "two.yaml")), 1280, 800)
	folder := b.downloads()
	save := func(at, format, name string) {
		t.Helper()
		evaluate[bool](b, fmt.Sprintf(`(document.querySelector("%s .saver").open = true)`, at))
		b.waitFor(fmt.Sprintf(`document.querySelector('%s [data-format="%s"]') !== null`, at, format))
		b.press(fmt.Sprintf(`%s [data-format="%s"]`, at, format))
		if err := opens(name, b.file(filepath.Join(folder, name))); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		evaluate[bool](b, fmt.Sprintf(`(document.querySelector("%s .saver").open = false, true)`, at))
	}
	evaluate[any](b, `(() => { const s = document.getElementById("plane-depth"); s.value = 100; s.dispatchEvent(new Event("change")); })()`)
	b.settle()
	save(".plan", "png", "two-depth-100-mm.png")
	save(".plan", "svg", "two-depth-100-mm.svg")
	b.choose("cut-way", "across")
	save("#pane", "pdf", "two-section-across.pdf")
	b.press(`[data-sheet="drilling"]`)
	b.waitFor(`document.getElementById("sheet-says").textContent === ""`)
	b.choose("sheet-rail", "second")
	b.waitFor(`document.getElementById("sheet-says").textContent === ""`)
	save("#pane", "letter", "two-drill-second.pdf")
	save("#pane", "csv", "two-drill-second.csv")
	b.press(`[data-sheet="wiring"]`)
	b.waitFor(`document.getElementById("sheet-says").textContent === ""`)
	save("#pane", "pdf", "two-wiring.pdf")
	b.press("#pin")
	b.slideTo("r1-current", 250)
	plain := b.look()
	b.choose("against", "A now")
	b.waitFor(`document.querySelector("#plan .lines").getAttribute("aria-label").startsWith("plan of the change from A to now")`)
	b.settle()
	if now := b.look(); now.Plan == plain.Plan || now.Numbers != plain.Numbers {
		t.Errorf("the change since A: %+v, the light %+v", now, plain)
	}
	save(".plan", "png", "difference.png")
	b.press(`[data-sheet="compare"]`)
	b.waitFor(`document.getElementById("sheet-picture").naturalWidth > 100 && document.getElementById("sheet-says").textContent === ""`)
	save("#pane", "csv", "two-compare.csv")
	b.silent()
}

// TestLiveWaitsForTheReport opens the report as a click does: a page tells how far it is, and then becomes the report of what
// is on the screen.
func TestLiveWaitsForTheReport(t *testing.T) {
	inFull(t, longtest.Pick(false, true))
	t.Parallel()
	dir := t.TempDir()
	write(t, dir, "flat.yaml", strings.NewReplacer("height: 300 mm", "height: 80 mm", "depth: 250 mm", "depth: 60 mm", "rails:", "  floor: {diffuse: 0}\nrails:").Replace(limitTank))
	b := openBrowser(t, serveLive(t, filepath.Join(dir, "flat.yaml")), 1280, 800)
	b.slideTo("r0-height", 133)
	link := evaluate[string](b, `(() => { const a = document.getElementById("report"); a.addEventListener("click", (e) => e.preventDefault()); a.click(); return a.href; })()`)
	b.leaveUnasked()
	b.do(chromedp.Navigate(link))
	b.arrives(`document.querySelector("#job progress")?.max > 1 || location.pathname.endsWith("/report")`)
	b.arrives(`location.pathname.endsWith("/report") && document.body.textContent.includes("133 mm")`)
	b.silent()
}
