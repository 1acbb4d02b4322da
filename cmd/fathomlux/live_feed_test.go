package main

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"fathomlux/scene/longtest"
)

// pressNamed presses a button by what it says, and returns the version that comes of it.
func (b tab) pressNamed(name, before string) string {
	b.Helper()
	b.waitFor(fmt.Sprintf(`(() => { const n = [...document.querySelectorAll("#things button")].find((e) => e.textContent === %q || e.ariaLabel === %[1]q); if (!n) return false; n.closest("details")?.setAttribute("open", ""); n.focus(); return true; })()`, name))
	b.do(chromedp.KeyEvent(kb.Enter))
	return b.version(before)
}

// focused is the thing that has the focus, and its field.
func (b tab) focused() string {
	b.Helper()
	return evaluate[string](b, `document.activeElement.closest("details")?.id + " " + document.activeElement.tagName`)
}

// TestLiveDriversChannelsAndDay gives a scene drivers, channels and a day by keys alone: what is added has the focus, both
// halves are fed, a point of the day moves and another goes, and what is removed leaves its modules to its neighbour.
func TestLiveDriversChannelsAndDay(t *testing.T) {
	inFull(t, longtest.Pick(false, true))
	t.Parallel()
	file, b := openDim(t, 2)
	first := b.version("")
	at := b.pressNamed("Name the drivers", first)
	if got := b.focused(); got != "thing-driver-0 SUMMARY" {
		t.Errorf("after a driver the focus is at %s", got)
	}
	at = b.pressNamed("Add a driver", at)
	at = b.pressNamed("Add a channel", at)
	at = b.pressNamed("Add a day", at)
	at = b.pressNamed("Write it as points", at)
	b.put("day-0-1-level", "80 %")
	at = b.version(at)
	at = b.pressNamed("remove point 3", at)
	b.put("channel-1-dimming", "pulses")
	at = b.version(at)
	b.typeIn("level-1", "50"+kb.Enter)
	b.settle()
	b.saveText(file, `modules: ["main:2"]`, "level: 50 %", "dimming: pulses", "level: 0 %}, {at: '10:00', level: 80 %}, {at: '19:00', level: 0 %}")
	at = b.pressNamed("Remove this channel", at)
	at = b.pressNamed("Remove this channel", at)
	at = b.pressNamed("Remove this driver", at)
	at = b.pressNamed("Remove this driver", at)
	b.pressNamed("Remove this program", at)
	if got := evaluate[[]string](b, `[...document.querySelectorAll("#things details")].map((e) => e.id).filter((id) => /driver|channel|day/.test(id))`); len(got) > 0 {
		t.Errorf("%q are left", got)
	}
	b.silent()
}

// TestLiveFindingsComeAndGo brings about each thing that cannot be, or should not: it stands beside the control that causes
// it, and goes when that is put right.
func TestLiveFindingsComeAndGo(t *testing.T) {
	inFull(t, longtest.Pick(false, true))
	t.Parallel()
	dir := t.TempDir()
	write(t, dir, "two.yaml", `tank: {length: 600 mm, width: 300 mm, height: 300 mm, water: {depth: 250 mm}, floor: {diffuse: 0}}
rails:
  - {name: front, length: 560 mm, y: 100 mm, above_water: 100 mm, keep_out: [{from: 250 mm, to: 280 mm, why: cable}], modules: {part: quad-neutral, optic: round-60, count: 2, spacing: 200 mm, current: 350 mA}}
  - {name: back, length: 560 mm, y: 200 mm, above_water: 100 mm, modules: {part: quad-neutral, optic: round-60, count: 2, spacing: 200 mm, current: 350 mA}}
wiring: {drivers: [{name: one, driver: cc-350, modules: [front], strings: 1}, {name: two, driver: cc-350, modules: [back], strings: 1}], hours: 9 h}
ambient: {air: 24 C}
goal: {plane: floor, illuminance: 500 lx}
`)
	b := openBrowser(t, serveLive(t, filepath.Join(dir, "two.yaml")), 1280, 800)
	flags := `[...document.querySelectorAll(".flag")].map((f) => (f.closest(".control")?.querySelector("input").id || f.previousElementSibling?.id || f.parentElement.id) + (f.matches(".grave") ? " red" : " amber") + ": " + f.textContent)`
	b.waitFor(`Boolean(document.body.dataset.checked)`)
	before := evaluate[[]string](b, flags)
	for _, c := range []struct {
		id, bad, good string
		at, words     string
	}{
		{"r0-current", "500", "350", "r0-current-slider red", "does not fit"},
		{"r0-y", "195", "100", "r0-y-slider red", "overlap"},
		{"r1-spacing", "20", "200", "r1-spacing-slider red", "overlap"},
		{"r0-spacing", "60", "200", "r0-spacing-slider red", "keep-out"},
		{"r0-y", "10", "100", "r0-y-slider amber", "beyond"},
		{"depth", "299", "250", "depth-slider amber", "rim"},
		{"budget", "1", "", "over red", "above the budget of 1"},
	} {
		b.typeIn(c.id, c.bad+kb.Enter)
		b.waitFor(fmt.Sprintf(`%s.some((f) => f.startsWith(%q) && f.includes(%q))`, flags, c.at, c.words))
		if c.good == "" {
			b.typeIn(c.id, " ")
		} else {
			b.typeIn(c.id, c.good+kb.Enter)
		}
		b.waitFor(fmt.Sprintf(`%s.length === %d`, flags, len(before)))
		if after := evaluate[[]string](b, flags); !slices.Equal(after, before) {
			t.Errorf("%s put right: %q, at first %q", c.id, after, before)
		}
	}
	b.silent()
}

// TestLiveJobsInTheBrowser runs arrange to its end and takes it, undoes it, and cancels a second run in its middle; the page
// stays as it was, and a third run comes to its end again.
func TestLiveJobsInTheBrowser(t *testing.T) {
	inFull(t, longtest.Pick(false, true))
	t.Parallel()
	_, b := openDim(t, 3)
	start := b.look()
	b.press("#open-arrange")
	b.do(chromedp.KeyEvent(kb.Tab), chromedp.KeyEvent(kb.Enter))
	b.waitFor(`document.activeElement.textContent === "Take it"`)
	b.do(chromedp.KeyEvent(kb.Enter))
	b.waitFor(`document.querySelector("#panel-arrange .job-status").textContent.startsWith("Taken")`)
	b.settle()
	taken := b.look()
	if taken.Numbers == start.Numbers {
		t.Errorf("what was taken changes nothing: %+v", taken)
	}
	b.do(chromedp.KeyEvent(kb.Escape))
	if got := evaluate[string](b, `document.activeElement.id`); got != "open-arrange" {
		t.Errorf("after Escape the focus is at %q", got)
	}
	b.press("#undo")
	b.settle()
	if now := b.look(); now != start {
		t.Errorf("undone it shows %+v, at first %+v", now, start)
	}
	b.press("#open-arrange")
	evaluate[any](b, `(() => { const p = document.getElementById("panel-arrange"); p.querySelector('[type="submit"]').click(); setTimeout(() => p.querySelector(".job-cancel").click(), 50); })()`)
	b.waitFor(`document.querySelector("#panel-arrange .job-status").textContent === "Cancelled."`)
	b.press(`#panel-arrange [type="submit"]`)
	b.waitFor(`document.querySelector("#panel-arrange .preview") !== null`)
	if words := evaluate[string](b, `document.querySelector("#panel-arrange .preview").innerText`); !strings.Contains(words, "\u2192") {
		t.Errorf("the preview says %q", words)
	}
	if now := b.look(); now != start {
		t.Errorf("with a preview it shows %+v, at first %+v", now, start)
	}
	b.silent()
}
