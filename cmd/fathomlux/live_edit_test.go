package main

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"fathomlux/scene/longtest"
)

// put types a value into a field of a thing, and waits for what comes of it.
func (b tab) put(id, value string) {
	b.Helper()
	b.waitFor(fmt.Sprintf(`(() => { const e = document.getElementById(%q); if (!e) return false; e.closest("details").open = true; e.focus(); e.value = %q;
		e.dispatchEvent(new Event("change")); return true; })()`, id, value))
}

// version waits until the page shows another version of the scene than one before, and returns its number.
func (b tab) version(before string) string {
	b.Helper()
	const number = `document.getElementById("things").dataset.version`
	b.waitFor(fmt.Sprintf(`%s !== %q && document.body.dataset.state === "idle"`, number, before))
	return evaluate[string](b, number)
}

// TestLiveEdits changes on one page what has no slider, by hand and by keys: a wall, a fault, a rail, one module's lens
// and part, an obstacle; undo goes back over all of it, and what is saved says what was done and keeps its comments.
func TestLiveEdits(t *testing.T) {
	inFull(t, longtest.Pick(false, true))
	t.Parallel()
	file, b := openDim(t, 2)
	start, first := b.look(), b.version("")
	b.put("walls-back", "{mirror: 0.9}")
	at := b.version(first)
	if now := b.look(); now.Numbers == start.Numbers || evaluate[string](b, `document.activeElement.id`) != "walls-back" {
		t.Errorf("a mirror changes nothing, or its field has lost the focus: %+v", now)
	}
	b.put("tank-length", "many")
	b.waitFor(`document.getElementById("tank-length").closest(".control").querySelector(".said").textContent.includes("does not begin with a number")`)
	b.do(chromedp.KeyEvent(kb.Escape))
	b.press(".adders button")
	at = b.version(at)
	b.do(chromedp.Focus(`#plan .grip.rail:nth-child(2)`), chromedp.KeyEvent(kb.ArrowUp, chromedp.KeyModifiers(chromedp.ModifierShift)))
	b.waitFor(`document.querySelector("#undo:enabled") && document.getElementById("r1-y").value === "325"`)
	b.do(chromedp.Focus(`#plan .handle:nth-child(3)`))
	b.choose("module-optic", "wide-60f")
	if got := evaluate[string](b, `[...document.querySelectorAll("#rails .remark:not([hidden])")].map((e) => e.textContent).join()`); !strings.Contains(got, "different optics") {
		t.Errorf("one lens of its own: %q", got)
	}
	b.choose("module-part", "quad-blue")
	at = b.version(at)
	before := b.look()
	b.dragBy("#plan .grip.box", -60, 0)
	at = b.version(at)
	if now := b.look(); now.Numbers == before.Numbers {
		t.Error("an obstacle that moves changes nothing")
	}
	b.saveText(file, `mirror: 0.9`, "name: rail 2", "y: 325 mm", "part: quad-blue, optic: wide-60f", "# floor to rim")
	for range 8 {
		b.do(chromedp.KeyEvent("z", chromedp.KeyModifiers(chromedp.ModifierCtrl)))
		b.settle()
	}
	if b.version(at) != first {
		t.Error("undo does not lead back to the first version")
	}
	if now := b.look(); now != start {
		t.Errorf("after undo it shows %+v, at first %+v", now, start)
	}
	b.silent()
}

// dragBy drags a node by some pixels with the mouse.
func (b tab) dragBy(selector string, dx, dy float64) {
	b.Helper()
	at := evaluate[[]float64](b, fmt.Sprintf(`(() => { const n = document.querySelector(%q); n.scrollIntoView({ block: "center" }); const r = n.getBoundingClientRect(); return [r.x + r.width / 2, r.y + r.height * 0.2]; })()`, selector))
	b.do(chromedp.DragAndDropXY(at[0], at[1], at[0]+dx, at[1]+dy, 6))
}

// saveText saves and looks for passages in the file that was saved.
func (b tab) saveText(file string, passages ...string) {
	b.Helper()
	b.do(chromedp.SetValue("#name", "edited"))
	b.press("#save button")
	b.waitFor(`document.getElementById("saved").textContent.includes("edited.yaml")`)
	text, err := os.ReadFile(filepath.Join(filepath.Dir(file), "edited.yaml"))
	if err != nil {
		b.Fatal(err)
	}
	for _, p := range passages {
		if !strings.Contains(string(text), p) {
			b.Errorf("the saved scene lacks %q:\n%s", p, text)
		}
	}
}

// TestLiveViews shows another plane and another cut: the figures stay those of the goal's plane, the pictures change, and
// the pointer reads both.
func TestLiveViews(t *testing.T) {
	inFull(t, longtest.Pick(false, true))
	t.Parallel()
	_, b := openDim(t, 2)
	start := b.look()
	b.do(chromedp.Focus("#plan .grip.cut"), chromedp.KeyEvent(kb.ArrowDown, chromedp.KeyModifiers(chromedp.ModifierShift)))
	b.waitFor(`document.getElementById("cut-title").textContent.includes("y = 205 mm")`)
	cut := b.look()
	if cut.Numbers != start.Numbers || cut.Plan != start.Plan || cut.Cut == start.Cut {
		t.Errorf("another cut: %+v, before %+v", cut, start)
	}
	b.choose("cut-way", "across")
	b.waitFor(`document.getElementById("cut-title").textContent.includes("x = 590 mm")`)
	evaluate[any](b, `(() => { const s = document.getElementById("plane-depth"); s.value = 100; s.dispatchEvent(new Event("change")); })()`)
	b.waitFor(`document.getElementById("plan-title").textContent === "Plan: 100 mm under the surface"`)
	if now := b.look(); now.Numbers != start.Numbers || now.Plan == start.Plan {
		t.Errorf("another plane: %+v, before %+v", now, start)
	}
	for _, name := range []string{"plan", "cut"} {
		evaluate[any](b, fmt.Sprintf(`(() => { const r = document.querySelector("#%s .light").getBoundingClientRect();
			document.getElementById(%q).dispatchEvent(new PointerEvent("pointermove", { clientX: r.x + r.width / 2, clientY: r.y + r.height / 2 })); })()`, name, name))
		if here := evaluate[string](b, `document.getElementById("here").textContent`); !strings.Contains(here, " lx, ") || strings.Contains(here, "NaN") {
			t.Errorf("over the %s it reads %q", name, here)
		}
	}
	b.press("#plane-goal")
	b.choose("cut-way", "along")
	b.settle()
	if now := b.look(); now != start {
		t.Errorf("back again it shows %+v, at first %+v", now, start)
	}
	b.silent()
}

// TestLiveBesideTheControl pins a state and goes on: the figures say by how much they changed, two pins are a table, and
// the pin leads back. What cannot be built is said beside the slider that causes it, and a sheet is drawn of what is on
// the screen.
func TestLiveBesideTheControl(t *testing.T) {
	inFull(t, longtest.Pick(false, true))
	t.Parallel()
	_, b := openDim(t, 2)
	start := b.look()
	b.press("#pin")
	b.slideTo("r0-current", 350)
	b.waitFor(`/^ \u2212(1|2)\d(\.\d)? %$/.test(document.getElementById("watts").dataset.change)`)
	b.press("#pin")
	b.slideTo("r0-spacing", 20)
	b.waitFor(`document.querySelector("#r0-spacing").closest(".control").querySelector(".flag.grave")?.textContent.includes("overlap")`)
	if got := evaluate[int](b, `document.querySelectorAll("#pin-table thead th").length * 100 + document.querySelectorAll("#pin-table tbody td").length`); got != 321 {
		t.Errorf("two pins and the screen make a table of %d", got)
	}
	b.press(`[data-sheet="day"]`)
	b.waitFor(`document.querySelector('[data-sheet="drilling"]').textContent.includes("to be changed") && document.getElementById("sheet-says").textContent.includes("has no day")`)
	b.press(`[data-sheet="heat"]`)
	b.press("#pin-table th:nth-child(2) button")
	b.waitFor(`document.getElementById("sheet-picture").naturalWidth > 100 && !document.getElementById("sheet-picture").hidden && !document.querySelector("#r0-spacing").closest(".control").querySelector(".flag")`)
	b.press(`[data-sheet="money"]`)
	b.waitFor(`document.getElementById("sheet-text").textContent.includes("quad-neutral")`)
	b.press(`[data-sheet=""]`)
	if now := b.look(); now != start {
		t.Errorf("back at the first pin it shows %+v, at first %+v", now, start)
	}
	b.slideTo("r0-beam", 80)
	if got := evaluate[string](b, `document.getElementById("r0-optic").selectedOptions[0].textContent`); got != "round-40 at 80°" {
		t.Errorf("with a beam of 80° the list says %q", got)
	}
	b.silent()
}

// TestLiveInches opens a scene that is written in inches: sliders, rulers, titles and the verdict say inches, and what a
// slider is moved to is that many.
func TestLiveInches(t *testing.T) {
	inFull(t, longtest.Pick(false, true))
	t.Parallel()
	dir := t.TempDir()
	write(t, dir, "small.yaml", `tank: {length: 12 in, width: 10 in, height: 10 in, water: {depth: 8 in}, floor: {diffuse: 0}}
rails: [{length: 11 in, above_water: 3 in, modules: {part: quad-neutral, optic: round-60, count: 1, current: 350 mA}}]
goal: {illuminance: 500 lx, uniformity: 0.9}
`)
	b := openBrowser(t, serveLive(t, filepath.Join(dir, "small.yaml")), 1280, 800)
	b.typeIn("r0-height", "4")
	b.do(chromedp.KeyEvent(kb.Enter))
	b.settle()
	for expression, want := range map[string]string{
		`document.getElementById("r0-height").closest(".control").querySelector(".unit").textContent`: "in",
		`document.getElementById("plan-title").textContent`:                                           "floor, 8 in under",
		`document.getElementById("cut-title").textContent`:                                            "y = 5 in",
		`document.getElementById("verdict").textContent`:                                              " in",
		`document.querySelector("#plan .handle").getAttribute("aria-valuetext")`:                      "x 6 in",
		`document.getElementById("r0-height-slider").getAttribute("aria-valuetext")`:                  "4 in",
	} {
		if got := evaluate[string](b, expression); !strings.Contains(got, want) {
			t.Errorf("%s is %q, without %q", expression, got, want)
		}
	}
	if wide := evaluate[bool](b, `document.getElementById("pictures").classList.contains("beside")`); !wide {
		t.Error("plan and slice of a square tank do not stand side by side")
	}
	b.saveText(filepath.Join(dir, "small.yaml"), "above_water: 4 in")
	b.silent()
}
