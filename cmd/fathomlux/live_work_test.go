package main

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/input"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"fathomlux/scene/longtest"
)

// mixed is a square tank with four white and four blue modules side by side on one rail, and the same in turns on another.
// A part of its own, a driver that fits nothing and a keep-out are there to be told about.
const mixed = `title: Two orders of colours
tank: {length: 900 mm, width: 900 mm, height: 500 mm, water: {depth: 450 mm, kind: clear}, floor: {diffuse: 0},
  walls: {front: {paint: 0}, back: {paint: 0}, left: {paint: 0}, right: {paint: 0}}}
rails:
  - name: blocks
    length: 860 mm
    y: 300 mm
    above_water: 160 mm
    keep_out: [{from: 780 mm, to: 800 mm, why: cable}]
    modules: [W65, W175, W285, W395, B505, B615, B725, B835]
  - name: turns
    length: 860 mm
    y: 600 mm
    above_water: 160 mm
    modules: [W65, B175, W285, B395, W505, B615, W725, B835]
wiring: {driver: cc-700-20w, strings: 1, hours: 9 h}
goal: {illuminance: 5000 lx, uniformity: 0.5}
parts: mixed-parts.yaml
`

const mixedParts = "optics: {mine: {beam: 50 deg, efficiency: 0.9}}\n"

// writeMixed writes the scene with its parts into a folder of the test.
func writeMixed(t *testing.T) (file string) {
	t.Helper()
	text := mixed
	for letter, part := range map[string]string{"W": "quad-cool", "B": "quad-blue"} {
		for x := 65; x < 900; x += 110 {
			text = strings.ReplaceAll(text, fmt.Sprint(letter, x), fmt.Sprintf("{part: %s, optic: mine, x: %d mm, current: 350 mA}", part, x))
		}
	}
	dir := t.TempDir()
	write(t, dir, "mixed.yaml", text)
	write(t, dir, "mixed-parts.yaml", mixedParts)
	return filepath.Join(dir, "mixed.yaml")
}

func readText(t testing.TB, file string) string {
	t.Helper()
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// module is what the handle of a module tells.
type module struct {
	X    float64
	Kind string
}

// modulesOf returns the modules of a rail of the mixed scene, W and B for white and blue, in the order of their handles.
func (b tab) modulesOf(rail string) (list []module, kinds string) {
	b.Helper()
	list = evaluate[[]module](b, fmt.Sprintf(`[...document.querySelectorAll("#plan .handle")].filter((n) => n.getAttribute("aria-label").startsWith("module %s:"))
		.map((n) => ({ X: Number(n.getAttribute("aria-valuenow")), Kind: n.getAttribute("aria-valuetext").includes("blue") ? "B" : "W" }))`, rail))
	for _, m := range list {
		kinds += m.Kind
	}
	return list, kinds
}

// typeIn selects what a field holds and types over it.
func (b tab) typeIn(id, text string) {
	b.Helper()
	b.do(chromedp.Focus("#" + id))
	evaluate[any](b, fmt.Sprintf(`document.getElementById(%q).select()`, id))
	b.do(chromedp.KeyEvent(text))
}

// told is what stands under a field.
func (b tab) told(id string) string {
	b.Helper()
	return evaluate[string](b, fmt.Sprintf(`document.getElementById(%q).closest(".control").querySelector(".said:not([hidden])")?.textContent || ""`, id))
}

func (b tab) waitFor(expression string) {
	b.Helper()
	if err := b.wait(expression); err != nil {
		b.Fatalf("%v: %s; console: %q", err, expression, b.said())
	}
}

func (b tab) value(id string) string {
	b.Helper()
	return evaluate[string](b, fmt.Sprintf(`document.getElementById(%q).value`, id))
}

// TestLiveCountKeepsKinds types a count digit by digit, and moves the slider to 1 and back: white and blue modules stay in their
// order, and what was done is said. As many modules as there are stay within tank and rail.
func TestLiveCountKeepsKinds(t *testing.T) {
	inFull(t, longtest.Pick(false, true))
	t.Parallel()
	b := openBrowser(t, serveLive(t, writeMixed(t)), 1280, 800)
	start, _ := b.modulesOf("blocks")
	b.typeIn("r0-count", "1")
	if _, kinds := b.modulesOf("blocks"); kinds != "WWWWBBBB" {
		t.Errorf("the first digit of 10 leaves %s", kinds)
	}
	b.do(chromedp.KeyEvent("0"), chromedp.KeyEvent(kb.Enter))
	b.settle()
	list, kinds := b.modulesOf("blocks")
	if kinds != "WWWWWBBBBB" {
		t.Errorf("ten modules are %s", kinds)
	}
	if said := b.told("r0-count"); !strings.HasPrefix(said, "10 modules: 5 quad-cool, 5 quad-blue; 92 mm apart in place of 110 mm, so that they fit") {
		t.Errorf("it says %q", said)
	}
	checkRoom(t, list)
	b.slide("r0-count", 0)
	if _, kinds := b.modulesOf("blocks"); len(kinds) != 1 {
		t.Fatalf("one module is %s", kinds)
	}
	b.slideTo("r0-count", 8)
	if back, _ := b.modulesOf("blocks"); !slices.Equal(back, start) {
		t.Errorf("from 1 back to 8 there are %v, were %v", back, start)
	}
	b.slideTo("r1-count", 11)
	if _, kinds := b.modulesOf("turns"); kinds != "WBWBWBWBWBW" {
		t.Errorf("eleven modules in turns are %s", kinds)
	}
	b.slide("r1-count", 1)
	list, kinds = b.modulesOf("turns")
	if len(list) < 14 || !strings.HasPrefix(kinds, "WBWBWBWB") {
		t.Errorf("at the slider's end there are %s", kinds)
	}
	checkRoom(t, list)
	b.slide("r1-spacing", 1)
	list, _ = b.modulesOf("turns")
	checkRoom(t, list)
	b.typeIn("r1-count", "99"+kb.Enter)
	if now, _ := b.modulesOf("turns"); !slices.Equal(now, list) || !strings.Contains(b.told("r1-count"), "“99” is out of range: 1 to ") {
		t.Errorf("99 modules: %v, %q", now, b.told("r1-count"))
	}
}

// checkRoom tells whether boards of 50 mm at most stand on the rail of the mixed scene, and not on each other.
func checkRoom(t *testing.T, list []module) {
	t.Helper()
	for i, m := range list {
		if m.X < 20 || m.X > 880 || i > 0 && m.X-list[i-1].X < 30 {
			t.Errorf("module %d of %v finds no room", i+1, list)
		}
	}
}

// TestLiveNumbersAsTyped: a comma is a decimal point, what may be two numbers or is too large is refused in words, and the
// extra absorption comes back to 0 by its slider.
func TestLiveNumbersAsTyped(t *testing.T) {
	inFull(t, longtest.Pick(false, true))
	t.Parallel()
	b := openBrowser(t, serveLive(t, writeMixed(t)), 1280, 800)
	for _, c := range []struct{ id, typed, want, says string }{
		{"r0-beam", "12,5", "12.5", ""},
		{"r0-beam", "25.5°", "25.5", ""},
		{"r0-beam", "0", "25.5", "“0” is out of range: 1 to 150° is possible."},
		{"r0-beam", " 20.5 deg", "20.5", ""},
		{"r0-height", "1,200", "160", "“1,200” may be 1200 or 1.2; write one of them."},
		{"r0-height", "900", "160", "“900” is out of range: 1 to 600 mm is possible."},
		{"r0-height", "tall", "160", "“tall” is not a number."},
		{"r0-height", "200", "200", ""},
		{"depth", "501", "450", "“501” is out of range: 1 to 500 mm is possible."},
	} {
		b.typeIn(c.id, c.typed+kb.Enter)
		b.settle()
		if got := b.value(c.id); got != c.want || b.told(c.id) != c.says {
			t.Errorf("%s typed into %s gives %s and %q; want %s and %q", c.typed, c.id, got, b.told(c.id), c.want, c.says)
		}
	}
	b.typeIn("r0-y", "250") // and no key more: a pause is the end too
	b.waitFor(`document.querySelector("#plan .handle").getAttribute("aria-label") && document.getElementById("r0-y-slider").value === "250"`)
	b.choose("kind", "tea")
	b.typeIn("extra", evaluate[string](b, `document.getElementById("extra").getAttribute("aria-valuemin")`)+kb.Enter)
	b.choose("kind", "clear")
	if said := b.told("kind"); !strings.HasPrefix(said, "The extra absorption was raised from -") || !strings.HasSuffix(said, "1/m, the least that this kind of water allows.") {
		t.Errorf("water that absorbs less says %q", said)
	}
	b.slide("extra", 0.1)
	if got := b.value("extra"); got == "0" {
		t.Error("the slider moves nothing")
	}
	b.do(chromedp.Focus("#extra-slider"), chromedp.KeyEvent(kb.Home))
	if got := b.value("extra"); got != "0" {
		t.Errorf("the slider's end is %s 1/m", got)
	}
}

// TestLiveUndoAndEscape: many presses of an arrow key are one step back, Home is one of its own; Escape puts a drag back, of a
// module and of a slider, and leaves no step.
func TestLiveUndoAndEscape(t *testing.T) {
	inFull(t, longtest.Pick(false, true))
	t.Parallel()
	b := openBrowser(t, serveLive(t, writeMixed(t)), 1280, 800)
	press := func(node, key string, times int) {
		evaluate[any](b, fmt.Sprintf(`{ const n = document.querySelector(%q); for (let i = 0; i < %d; i++) for (const kind of ["keydown", "keyup"]) n.dispatchEvent(new KeyboardEvent(kind, { key: %q, bubbles: true })); }`, node, times, key))
	}
	first := func() float64 { list, _ := b.modulesOf("blocks"); return list[0].X }
	press("#plan .handle", "ArrowRight", 40)
	press("#plan .handle", "End", 1)
	b.press("#undo")
	if at := first(); at != 105 {
		t.Errorf("after 40 presses the module is at %g", at)
	}
	b.press("#undo")
	if at := first(); at != 65 || evaluate[bool](b, `!document.getElementById("undo").disabled`) {
		t.Errorf("one step back it is at %g", at)
	}
	press("#r0-height", "ArrowUp", 7)
	if got := b.value("r0-height"); got != "167" {
		t.Errorf("seven presses in a field make %s", got)
	}
	b.press("#undo")
	for _, c := range []struct{ node, value string }{{"#plan .handle", "first"}, {"#r0-tilt-slider", "tilt"}} {
		at := evaluate[[]float64](b, fmt.Sprintf(`(() => { const r = document.querySelector(%q).getBoundingClientRect(); return [r.x + r.width / 2, r.y + r.height / 2]; })()`, c.node))
		read := func() string { return fmt.Sprint(first(), " ", b.value("r0-tilt")) }
		hold := func(p *input.DispatchMouseEventParams) {
			p.Button, p.Buttons, p.ClickCount = input.MouseButtonLeft, 1, 1
		}
		before := read()
		b.do(chromedp.MouseEvent(chromedp.MousePressed, at[0], at[1], hold), chromedp.MouseEvent(chromedp.MouseMoved, at[0]+20, at[1], hold))
		if read() == before {
			t.Errorf("%s: the drag moves nothing", c.value)
		}
		b.do(chromedp.KeyEvent(kb.Escape))
		b.settle()
		b.do(chromedp.MouseEvent(chromedp.MouseMoved, at[0]+40, at[1], hold), chromedp.MouseEvent(chromedp.MouseReleased, at[0]+40, at[1], hold))
		if now := read(); now != before || evaluate[bool](b, `!document.getElementById("undo").disabled`) {
			t.Errorf("%s: after Escape %s, was %s, and there is a step to undo", c.value, now, before)
		}
	}
}

// TestLiveKeepsWork types a count, reloads the page, and changes the parts file under it: what was changed on the page is still
// there, beside what is loaded, with its steps back.
func TestLiveKeepsWork(t *testing.T) {
	inFull(t, longtest.Pick(false, true))
	t.Parallel()
	file := writeMixed(t)
	b := openBrowser(t, serveLive(t, file), 1280, 800)
	b.typeIn("r0-count", "10"+kb.Enter)
	b.slideTo("r0-height", 200)
	b.slideTo("r0-height", 210)
	worked := b.look()
	reload := func(step chromedp.Action[chromedp.Void]) {
		t.Helper()
		if _, err := chromedp.RunResponse(b.ctx, step); err != nil {
			t.Fatal(err)
		}
		b.settle()
	}
	b.leaveUnasked()
	reload(chromedp.Reload())
	if got := b.value("r0-height"); got != "210" || b.look() != worked {
		t.Errorf("after a reload the height is %s", got)
	}
	if _, kinds := b.modulesOf("blocks"); kinds != "WWWWWBBBBB" {
		t.Errorf("four white and four blue modules, typed to be ten, are %s", kinds)
	}
	write(t, filepath.Dir(file), "mixed-parts.yaml", strings.Replace(mixedParts, "50 deg", "30 deg", 1))
	b.do(chromedp.WaitVisible("#reload"))
	reload(chromedp.Click("#reload"))
	if height, beam := b.value("r0-height"), b.value("r0-beam"); height != "160" || beam != "30" {
		t.Errorf("loaded are a height of %s and a beam of %s", height, beam)
	}
	reload(chromedp.Click("#back"))
	if height, beam := b.value("r0-height"), b.value("r0-beam"); height != "210" || beam != "50" || b.look() != worked {
		t.Errorf("back are a height of %s and a beam of %s: %+v, was %+v", height, beam, b.look(), worked)
	}
	if said := evaluate[string](b, `document.getElementById("file").textContent`); !strings.HasSuffix(said, "changed here, not saved") {
		t.Errorf("the head says %s", said)
	}
	b.press("#undo")
	if got := b.value("r0-height"); got != "200" {
		t.Errorf("a step back the height is %s", got)
	}
	b.do(chromedp.SetValue("#name", "kept"))
	b.press("#save button")
	b.waitFor(`document.getElementById("saved").textContent === "Saved as kept.yaml."`)
	if said := evaluate[string](b, `document.getElementById("file").textContent`); strings.Contains(said, "not saved") {
		t.Errorf("the head of what was saved says %s", said)
	}
	if saved := readText(t, filepath.Join(filepath.Dir(file), "kept.yaml")); strings.Count(saved, "above_water: 200 mm") != 1 {
		t.Errorf("saved is %s", saved)
	}
}

// TestLiveStaleFiguresArePale: figures of another state than the one on the page are faint, while that state cannot be and when
// nobody answers any more.
func TestLiveStaleFiguresArePale(t *testing.T) {
	inFull(t, longtest.Pick(false, true))
	t.Parallel()
	address, end := startLive(t, writeMixed(t))
	b := openBrowser(t, address, 1280, 800)
	opacity := func() float64 {
		return evaluate[float64](b, `Math.max(...["#mean", "#outcome", "#plan .light", "#cut .light"].map((s) => Number(getComputedStyle(document.querySelector(s)).opacity)))`)
	}
	if o := opacity(); o != 1 {
		t.Errorf("at first the figures have an opacity of %g", o)
	}
	b.slideTo("r0-height", 1)
	b.slideTo("r0-tilt", 80)
	if o := opacity(); o > 0.5 || !strings.HasPrefix(evaluate[string](b, `document.getElementById("misfit").textContent`), "Not possible: ") {
		t.Errorf("beside what cannot be they have %g", o)
	}
	b.press("#undo")
	b.settle()
	if o := opacity(); o != 1 {
		t.Errorf("a step back they have %g", o)
	}
	end()
	b.waitFor(`document.getElementById("notice-text").textContent.startsWith("The program has ended")`)
	if o := opacity(); o > 0.5 {
		t.Errorf("after the end of the program they have %g", o)
	}
}

// TestLiveSaysWhatIsMissing: a daily goal is judged in photons, and one that would be met with boards on each other is not met.
func TestLiveSaysWhatIsMissing(t *testing.T) {
	inFull(t, longtest.Pick(false, true))
	t.Parallel()
	file := writeMixed(t)
	write(t, filepath.Dir(file), "mixed.yaml", strings.Replace(readText(t, file), "goal: {illuminance: 5000 lx, uniformity: 0.5}", "goal: {dli: 1 mol/m2/day}", 1))
	b := openBrowser(t, serveLive(t, file), 1280, 800)
	shown := func(id string) string {
		return evaluate[string](b, fmt.Sprintf(`(() => { const e = document.getElementById(%q); return e.offsetParent ? e.textContent : ""; })()`, id))
	}
	if said := shown("goal"); said != "met" {
		t.Fatalf("the goal is %s", said)
	}
	if unit := evaluate[string](b, `document.getElementById("mean").textContent`); !strings.Contains(unit, "µmol") {
		t.Errorf("a daily goal's mean is %s", unit)
	}
	b.slideTo("r0-spacing", 20)
	if said := shown("goal"); said != "not met" || !strings.Contains(shown("misfit"), "overlap") {
		t.Errorf("with boards on each other the goal is %s: %s", said, shown("misfit"))
	}
}

// TestLiveSaysWhatCheckKnows: a driver that does not fit, a module in a keep-out and two bars that overlap are told on the page.
func TestLiveSaysWhatCheckKnows(t *testing.T) {
	inFull(t, longtest.Pick(false, true))
	t.Parallel()
	file := writeMixed(t)
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	write(t, filepath.Dir(file), "mixed.yaml", strings.Replace(string(text), "{driver: cc-700-20w, strings: 1,",
		"{drivers: [{name: one, driver: cc-700-20w, strings: 1, modules: [blocks, turns]}],", 1))
	b := openBrowser(t, serveLive(t, file), 1280, 800)
	says := func(words string, yes bool) {
		t.Helper()
		b.waitFor(fmt.Sprintf(`[...document.querySelectorAll("#findings .warning")].some((n) => n.textContent.includes(%q)) === %v`, words, yes))
	}
	says("cc-700-20w does not fit", true)
	says("in the keep-out from x = 780 to 800 mm", false)
	says("overlap", false)
	b.slideTo("r1-y", 330)
	says("the bars of rail blocks and rail turns overlap", true)
	if said := evaluate[string](b, `document.getElementById("goal").textContent + ": " + document.getElementById("misfit").textContent`); said != "not met: To be changed: the bars of rail blocks and rail turns overlap; move one of them" {
		t.Error(said)
	}
	b.press("#undo")
	says("overlap", false)
	b.slideTo("r0-spacing", 97) // the last one to x = 789.5 mm
	says("in the keep-out from x = 780 to 800 mm", true)
	if n := evaluate[int](b, `document.querySelectorAll("#findings .caution").length`); n < 2 {
		t.Errorf("%d cautions", n)
	}
}
