package main

import (
	"cmp"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"fathomlux/scene/longtest"
)

// axe is the script of axe-core, which AXE_CORE names and .ci/run takes from npm; a test is skipped where there is none.
func axe(t *testing.T) string {
	t.Helper()
	path := os.Getenv("AXE_CORE")
	if path == "" {
		t.Skip("AXE_CORE names no script of axe-core; the pages are not held to its rules")
	}
	return readText(t, path)
}

// axeRun tries all rules of axe-core, those of WCAG 2.2 that are off by default too, and lists each violation with its place. In
// the dark only colours differ. Of a page that was held to the rules before, only the part that is new is held to them.
const axeRun = `axe.run(PART, { resultTypes: ["violations"], rules: { "target-size": { enabled: true } }, RULES }).then((found) =>
	found.violations.flatMap((v) => v.nodes.map((n) => v.id + ": " + n.target.join(" ") + ": " + n.failureSummary.replace(/\s+/g, " "))))`

// passes holds a part of what a tab shows, such as document, to the rules, in light and in dark, and in windows of 1024 and
// 390 px, which nothing may leave.
func (b tab) passes(script, part, what string) {
	b.Helper()
	if evaluate[bool](b, `typeof axe === "undefined"`) {
		evaluate[any](b, script+"; null")
	}
	for _, view := range []struct {
		name, rules string
		wide        int64
		scheme      chromedp.Action[chromedp.Void]
	}{{"light", "", 1280, pale}, {"dark", `runOnly: ["color-contrast"]`, 1280, dark}, {"1024", `runOnly: ["target-size"]`, 1024, pale}, {"390", `runOnly: ["target-size"]`, 390, dark}} {
		b.do(view.scheme, chromedp.EmulateViewport(view.wide, 900))
		found, err := chromedp.Run(b.ctx, chromedp.Evaluate[[]string](strings.NewReplacer("PART", part, "RULES", view.rules).Replace(axeRun), chromedp.EvalAwaitPromise))
		if err != nil {
			b.Fatalf("%s, %s: %v", what, view.name, err)
		}
		for _, one := range found {
			b.Errorf("%s, %s: %s", what, view.name, one)
		}
		if over := evaluate[float64](b, `document.documentElement.scrollWidth - innerWidth`); over > 0 {
			b.Errorf("%s, %s: the page is %g px too wide", what, view.name, over)
		}
		b.keep(fmt.Sprintf("axe-%s-%s.png", strings.ReplaceAll(what, " ", "-"), view.name))
	}
	b.do(pale, chromedp.EmulateViewport(1280, 900))
}

// TestPagesPassAxe holds the first screen, the form with faults, the cards of lights, the page of a scene with all its folds,
// each of its sheets and its text, and the report to the rules of axe-core.
func TestPagesPassAxe(t *testing.T) {
	inFull(t, longtest.Pick(false, true))
	script := axe(t)
	t.Parallel()
	browser(t)
	b := emptyTab(t, startBrowser(t), 1280, 900)
	file := dimFoyer(t)
	b.do(chromedp.Navigate(serveLive(t, filepath.Dir(file))))
	b.waitFor(`document.body.dataset.state === "idle"`)
	b.passes(script, "document", "first screen")
	evaluate[bool](b, `document.querySelector("#tank details").open = true`)
	evaluate[any](b, `document.querySelector("#goals label:last-child input").click()`)
	b.typeIn("depth", "900")
	b.press("#lights")
	b.waitFor(`document.activeElement.id === "depth"`)
	b.passes(script, "document", "form with faults")
	b.typeIn("depth", "200")
	evaluate[any](b, `document.querySelector("#goals label:first-child input").click()`)
	b.typeIn("first-only", "quad-neutral,round-60")
	b.typeIn("first-rows", "1")
	b.press("#lights")
	b.arrives(`document.activeElement.textContent === "Take this light"`)
	b.passes(script, "document", "cards of lights")
	b.do(chromedp.Navigate(serveLive(t, file)))
	b.settle()
	b.waitFor(`Boolean(document.body.dataset.checked)`)
	b.passes(script, "document", "page of a scene")
	evaluate[any](b, `for (const d of document.querySelectorAll("details")) d.open = true`)
	b.passes(script, "document", "page with its folds open")
	for _, name := range evaluate[[]string](b, `[...document.querySelectorAll("#chips .chip")].map((c) => c.dataset.sheet)`) {
		evaluate[any](b, fmt.Sprintf(`document.querySelector('#chips [data-sheet="%s"]').click()`, name))
		b.arrives(`((shows) => shows("seen") ? document.getElementById("seen").dataset.state === "idle" && shows("seen-picture") : !shows("sheet") || shows("sheet-picture") || shows("sheet-text"))((id) => !document.getElementById(id).hidden)`)
		b.passes(script, `".cut"`, "sheet "+cmp.Or(name, "slice"))
	}
	b.press("#pin")
	b.passes(script, "document", "pinned")
	b.press("#open-text")
	b.waitFor(`Boolean(document.getElementById("text-says")?.textContent)`)
	b.passes(script, "document", "text of the scene")
	r, _ := openReport(t, foyerPage(t))
	r.passes(script, "document", "report")
}
