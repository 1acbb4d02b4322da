package main

import (
	"context"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"fathomlux/optics"
	"fathomlux/scene"
	"fathomlux/scene/longtest"
)

// strayShares says how far along its way each slider of the foyer is moved.
var strayShares = map[string]float64{"r0-spacing": 0.7, "r0-count": 0.25, "r0-beam": 0.4, "r0-current": 0.4, "r0-height": 0.35, "r0-y": 0.4, "r0-tilt": 0.55, "depth": 0.7, "extra": 0.1}

// TestLivePage plays with the page as a user would: a slider, in full all, change the numbers and the pixels, a module is dragged
// and moved by keys, undone, kept over a reload, saved, and the saved scene shows the same numbers. The console stays silent.
func TestLivePage(t *testing.T) {
	t.Parallel()
	browser(t)
	const arrow = "an arrow key" // moves a module by 1 mm, which may show in no number
	file, b := openDim(t, 3)
	start := b.look()
	b.waitFor(`document.querySelectorAll("#controls .caution").length > 2`)
	if top := evaluate[float64](b, `document.querySelector("#findings li:last-child").getBoundingClientRect().top`); top > 800 {
		t.Errorf("the last caution begins %g pixels down, out of sight of the sliders that it is about", top)
	}
	last := start
	changes := func(what string) {
		t.Helper()
		now := b.look()
		if now.Plan == last.Plan || now.Cut == last.Cut {
			t.Errorf("%s paints nothing anew: %+v", what, now)
		}
		if now.Numbers == last.Numbers && what != arrow {
			t.Errorf("%s changes nothing: %+v", what, now)
		}
		last = now
	}
	sliders := evaluate[[]string](b, `[...document.querySelectorAll("input[type=range]:not(.view)")].map((s) => s.id.replace("-slider", ""))`)
	for id := range strayShares {
		if !slices.Contains(sliders, id) {
			t.Errorf("there is no slider %s", id)
		}
	}
	if label := evaluate[string](b, `document.querySelector("label[for=extra]").textContent`); label != "extra absorption" {
		t.Errorf("the slider of extra_absorption is called %q", label)
	}
	for _, id := range longtest.Pick([]string{"r0-spacing"}, sliders) {
		b.slide(id, strayShares[id])
		changes(id)
	}
	if longtest.Pick(false, true) {
		b.choose("kind", "tea")
		changes("kind")
	}
	b.choose("r0-optic", "wide-60f")
	changes("optic")
	b.drag("#plan .handle:nth-child(2)", 40)
	changes("a dragged module")
	dragged := last
	b.do(chromedp.Focus(`#plan .handle:nth-child(1)`), chromedp.KeyEvent(kb.ArrowRight))
	changes(arrow)
	moved := last
	before := evaluate[[]int](b, `[document.querySelectorAll("#undo:enabled").length, document.querySelectorAll("#redo:enabled").length]`)
	if before[0] != 1 || before[1] != 0 {
		t.Errorf("undo and redo are %v", before)
	}
	b.do(chromedp.Click("#undo"))
	changes("undo")
	if last != dragged {
		t.Errorf("undo shows %+v, before the arrow key it was %+v", last, dragged)
	}
	b.do(chromedp.Click("#redo"))
	changes("redo")
	if last != moved {
		t.Errorf("redo shows %+v, after the arrow key it was %+v", last, moved)
	}
	b.leaveUnasked()
	if _, err := chromedp.RunResponse(b.ctx, chromedp.Reload()); err != nil {
		t.Fatal(err)
	}
	if now := b.look(); now != last {
		t.Errorf("a reload shows %+v, before it was %+v", now, last)
	}
	b.linesAreJoined()
	b.saveAs(file, last)
	b.press("#reset")
	if now := b.look(); now != start {
		t.Errorf("as in the file: %+v, was %+v", now, start)
	}
	b.silent()
}

// drag moves a node to the right by some pixels with the mouse.
func (b tab) drag(selector string, by float64) {
	b.Helper()
	at := evaluate[[]float64](b, fmt.Sprintf(`(() => { const r = document.querySelector(%q).getBoundingClientRect(); return [r.x + r.width / 2, r.y + r.height / 2]; })()`, selector))
	b.do(chromedp.DragAndDropXY(at[0], at[1], at[0]+by, at[1], 12))
	b.settle()
}

// saveAs saves the page's state, refuses to do so twice, and opens what was saved.
func (b tab) saveAs(file string, want picture) {
	b.Helper()
	b.do(chromedp.SetValue("#name", "played"))
	b.press("#save button")
	if err := b.wait(`document.getElementById("saved").textContent === "Saved as played.yaml."`); err != nil {
		b.Fatalf("%v: %s", err, evaluate[string](b, `document.getElementById("saved").textContent`))
	}
	b.do(chromedp.SetValue("#name", "played")) // the page offers the next free name
	b.press("#save button")
	if err := b.wait(`document.getElementById("saved").textContent.includes("exists; tick overwrite")`); err != nil {
		b.Fatalf("%v: %s", err, evaluate[string](b, `document.getElementById("saved").textContent`))
	}
	saved := filepath.Join(filepath.Dir(file), "played.yaml")
	text, err := os.ReadFile(saved)
	if err != nil || !strings.Contains(string(text), "# floor to rim") {
		b.Fatalf("%v: the saved scene lost its comments:\n%s", err, text)
	}
	ctx, cancel := chromedp.NewContext(b.ctx)
	defer cancel()
	again := openTab(b.TB, ctx, serveLive(b.TB, saved), 1280, 800)
	if got := again.look(); got != want {
		b.Errorf("the saved scene shows %+v, the page showed %+v", got, want)
	}
	again.silent()
}

// hostile is a scene whose names try to be markup, to break out of quotes and to run from right to left.
const hostile = `title: "<script>document.title='x'</script><img src=x onerror=alert(1)> \"'` + "`" + `${1} \u05d0\u05d1\u05d2"
tank:
  length: 600 mm
  width: 300 mm
  height: 300 mm
  water: {depth: 260 mm}
  floor: {diffuse: 0}
  obstacles: [{name: "<b>&amp;'\"", from: [1 mm, 1 mm, 1 mm], to: [20 mm, 20 mm, 20 mm]}]
rails:
  - name: "</legend><script>alert(2)</script>"
    length: 550 mm
    above_water: 100 mm
    modules: {part: quad-neutral, optic: round-40, count: 2, spacing: 200 mm, current: 350 mA}
  - name: "\u05d0 second one \" onfocus=alert(3)"
    length: 550 mm
    above_water: 100 mm
    y: 100 mm
    modules: [{part: quad-neutral, optic: round-60, x: 100 mm, current: 350 mA}, {part: single-neutral, optic: bare-120, x: 300 mm, current: 300 mA}]
goal: {plane: 100 mm, ppfd: 50 umol/m2/s}
`

func TestLiveShowsHostileNamesAsText(t *testing.T) {
	inFull(t, longtest.Pick(false, true))
	t.Parallel()
	browser(t)
	file := filepath.Join(t.TempDir(), "hostile.yaml")
	if err := os.WriteFile(file, []byte(hostile), 0o666); err != nil {
		t.Fatal(err)
	}
	b := openBrowser(t, serveLive(t, file), 1280, 900)
	sc, err := scene.Read(file)
	if err != nil {
		t.Fatal(err)
	}
	if got := evaluate[string](b, `document.querySelector("h1").textContent`); got != sc.Title {
		t.Errorf("the title is %q, not %q", got, sc.Title)
	}
	if got := evaluate[string](b, `document.querySelector("#rail-1 legend").textContent`); got != "Rail "+sc.Rails[1].Name {
		t.Errorf("the second rail is %q", got)
	}
	if got := evaluate[[]int](b, `[document.scripts.length, document.images.length, document.querySelectorAll("b").length]`); fmt.Sprint(got) != "[1 1 0]" { // the picture of sheets
		t.Errorf("scripts, images and b elements: %v", got)
	}
	if got := evaluate[string](b, `document.getElementById("quantity").value`); got != "ppfd" {
		t.Errorf("a goal in photons shows %s first", got)
	}
	before := b.look()
	b.slide("r1-height", 0.4)
	if after := b.look(); after.Numbers == before.Numbers {
		t.Error("the second rail's slider changes nothing")
	}
	b.silent()
}

// TestLiveManyTabs moves a slider to a different value in each of five tabs at once: each shows its own light, which is
// that of a tab alone.
func TestLiveManyTabs(t *testing.T) {
	inFull(t, longtest.Pick(false, true))
	t.Parallel()
	browser(t)
	address := serveLive(t, dimFoyer(t))
	first := openBrowser(t, address, 1280, 800)
	tabs := []tab{first}
	for range 4 {
		ctx, cancel := chromedp.NewContext(first.ctx)
		t.Cleanup(cancel)
		tabs = append(tabs, openTab(t, ctx, address, 1280, 800))
	}
	for i, b := range tabs {
		evaluate[bool](b, fmt.Sprintf(`(() => { const s = document.getElementById("r0-spacing"); for (let v = 20; v <= 100 + 10 * %d; v += 4) { s.value = v; s.dispatchEvent(new Event("input")); }
			s.value = 100 + 10 * %d; s.dispatchEvent(new Event("change")); return true; })()`, i, i))
	}
	seen := map[string]int{}
	for i, b := range tabs {
		b.settle()
		if got := evaluate[string](b, `document.getElementById("r0-spacing").value`); got != fmt.Sprint(100+10*i) {
			t.Errorf("tab %d shows a spacing of %s", i, got)
		}
		numbers := evaluate[picture](b, lookExpression).Numbers
		if other, ok := seen[numbers]; ok {
			t.Errorf("tabs %d and %d show the same", i, other)
		}
		seen[numbers] = i
		first.slideTo("r0-spacing", 100+10*i)
		if alone := first.look().Numbers; alone != numbers {
			t.Errorf("tab %d shows %s; alone it is %s", i, numbers, alone)
		}
	}
}

func (b tab) slideTo(id string, v int) {
	b.Helper()
	evaluate[bool](b, fmt.Sprintf(`(() => { const s = document.getElementById(%q); s.value = %d; s.dispatchEvent(new Event("change")); return true; })()`, id, v))
	b.settle()
}

// TestLiveLayout looks for what is cut or overlaps at two widths, in light and dark, and keeps a picture of each where
// LIVE_PICTURES names a folder.
func TestLiveLayout(t *testing.T) {
	inFull(t, longtest.Pick(false, true))
	t.Parallel()
	browser(t)
	for _, example := range longtest.Pick([]string{"frag"}, []string{"foyer", "frag", "shelf"}) {
		address := serveLive(t, filepath.Join("..", "..", "examples", example, example+".yaml"))
		b := openBrowser(t, address, 1280, 800)
		for _, size := range [][2]int64{{1280, 800}, {1920, 1080}} {
			b.do(chromedp.EmulateViewport(size[0], size[1]))
			b.settle()
			faults := evaluate[[]string](b, layoutExpression)
			if len(faults) > 0 {
				t.Errorf("%s at %d px: %v", example, size[0], faults)
			}
			b.keep(fmt.Sprintf("%s-%d.png", example, size[0]))
		}
		light := evaluate[string](b, `getComputedStyle(document.body).backgroundColor`)
		b.do(dark)
		b.settle()
		if night := evaluate[string](b, `getComputedStyle(document.body).backgroundColor`); night == light {
			t.Errorf("%s: the dark page is %s too", example, light)
		}
		b.keep(example + "-dark.png")
	}
}

// dark and pale ask for dark and for light pages.
var dark, pale = schemed("dark"), schemed("light")

func schemed(name string) chromedp.Action[chromedp.Void] {
	return chromedp.Func(func(ctx context.Context, t *chromedp.Target) error {
		_, err := chromedp.Call(ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: name}}})
		return err
	})
}

// layoutExpression lists elements that are wider than the window, texts that are cut, and sections that overlap.
const layoutExpression = `(() => {
	const faults = [];
	const wide = document.documentElement.clientWidth;
	for (const e of document.querySelectorAll("body *")) {
		const r = e.getBoundingClientRect();
		if (r.width && !e.closest(".spoken") && r.right > wide + 0.5) faults.push((e.id || e.className || e.tagName) + " reaches beyond the window");
		if (e.children.length === 0 && e.textContent.trim() && e.scrollWidth > e.clientWidth + 1 && getComputedStyle(e).display !== "inline" && !e.closest(".spoken, select, .handle")) faults.push((e.id || e.tagName) + " is cut: " + e.textContent);
	}
	const boxes = ["controls", "pictures", "answers"].map((id) => document.getElementById(id).getBoundingClientRect());
	for (let i = 0; wide > 1080 && i + 1 < 3; i++) if (boxes[i].right > boxes[i + 1].left) faults.push("columns " + i + " and " + (i + 1) + " overlap");
	for (const id of ["plan", "cut"]) if (document.getElementById(id).getBoundingClientRect().right > (boxes[1].right || wide) + 1) faults.push(id + " leaves its column");
	return faults;
})()`

// keep writes a picture of the whole page into the folder that LIVE_PICTURES names.
func (b tab) keep(name string) {
	b.Helper()
	dir := os.Getenv("LIVE_PICTURES")
	if dir == "" {
		return
	}
	png, err := chromedp.Run(b.ctx, chromedp.FullScreenshot(100))
	if err == nil {
		err = os.WriteFile(filepath.Join(dir, name), png, 0o666)
	}
	if err != nil {
		b.Fatal(err)
	}
}

// TestLiveStateIsTheScene holds the mean on the page against the direct sum that map makes of the same scene: sessions cut
// images module by module, which is less than 0.05 % of the light.
func TestLiveStateIsTheScene(t *testing.T) {
	inFull(t, longtest.Pick(false, true))
	t.Parallel()
	browser(t)
	file := foyerCopy(t)
	b := openBrowser(t, serveLive(t, file), 1280, 800)
	sc, err := scene.Read(file)
	if err != nil {
		t.Fatal(err)
	}
	m, err := optics.Map(context.Background(), sc, optics.Options{StepM: 0.01, Workers: 2, Planes: []scene.PlaneRef{sc.Goal.Plane}})
	if err != nil {
		t.Fatal(err)
	}
	digits := strings.Map(func(r rune) rune {
		if r >= '0' && r <= '9' {
			return r
		}
		return -1
	}, evaluate[string](b, `document.getElementById("mean").textContent`))
	var shown float64
	if _, err := fmt.Sscan(digits, &shown); err != nil || math.Abs(shown/m.Planes[0].Illuminance.Mean-1) > 5e-4 {
		t.Errorf("the page shows %s lx, map says %g lx", digits, m.Planes[0].Illuminance.Mean)
	}
}

// TestLiveTellsWhatIsWrong moves modules to where none can be mounted, and changes the scene's file under an open page.
func TestLiveTellsWhatIsWrong(t *testing.T) {
	inFull(t, longtest.Pick(false, true))
	t.Parallel()
	browser(t)
	file := dimFoyer(t)
	b := openBrowser(t, serveLive(t, file), 1280, 800)
	b.slideTo("r0-spacing", 20)
	b.do(chromedp.WaitVisible("#misfit"))
	if got := evaluate[string](b, `document.getElementById("misfit").textContent`); !strings.Contains(got, "overlap") {
		t.Errorf("it says %q", got)
	}
	rewrite(t, file, "spacing: 220 mm", "spacing: 150 mm")
	b.do(chromedp.WaitVisible("#reload"))
	b.keep("notice.png")
	b.slideTo("r0-height", 200) // the page goes on with the scene that it was opened with
	if hidden := evaluate[bool](b, `document.getElementById("misfit").hidden`); hidden {
		t.Error("the boards lie on each other no more")
	}
	if _, err := chromedp.RunResponse(b.ctx, chromedp.Click("#reload")); err != nil {
		t.Fatal(err)
	}
	b.settle()
	if got := evaluate[string](b, `document.getElementById("r0-spacing").value`); got != "150" {
		t.Errorf("after loading it anew the spacing is %s", got)
	}
	b.silent()
}
