package main

import (
	"bytes"
	"context"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"image/color"
	"io"
	"math"
	"net"
	"net/http"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/accessibility"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"fathomlux/render/fig"
	"fathomlux/render/style"
	"fathomlux/scene/longtest"
)

// TestLiveByKeys goes through the page with the tab key alone: everything that can be used comes up once, in the order in
// which it is read, and what is in focus is seen to be. A slider and a module then move by arrow keys.
func TestLiveByKeys(t *testing.T) {
	inFull(t, longtest.Pick(false, true))
	t.Parallel()
	browser(t)
	b := openBrowser(t, serveLive(t, dimFoyer(t)), 1280, 800)
	const usable = `[...document.querySelectorAll("a[href], button, input, select, summary, [tabindex='0']")].filter((e) => !e.disabled && e.checkVisibility())`
	want := evaluate[[]string](b, usable+`.map((e) => e.id || e.getAttribute("aria-label") || e.tagName)`)
	var got []string
	for range want {
		b.do(chromedp.KeyEvent(kb.Tab))
		got = append(got, evaluate[string](b, `document.activeElement.id || document.activeElement.getAttribute("aria-label") || document.activeElement.tagName`))
		if ring := evaluate[string](b, `getComputedStyle(document.activeElement).outlineWidth`); ring != "3px" {
			t.Errorf("%s has a ring of %s", got[len(got)-1], ring)
		}
	}
	if !slices.Equal(got, want) || len(want) < 30 {
		t.Errorf("the tab key leads to\n%q, the page reads\n%q", got, want)
	}
	before := b.look()
	b.do(chromedp.Focus("#r0-height-slider"), chromedp.KeyEvent(kb.ArrowRight))
	after := b.look()
	if height := evaluate[string](b, `document.getElementById("r0-height").value`); height != "161" || after == before {
		t.Errorf("an arrow key on the height: %s, %+v", height, after)
	}
	place := func() string { return evaluate[string](b, `document.activeElement.getAttribute("aria-valuenow")`) }
	b.do(chromedp.Focus(`#plan .handle:nth-child(2)`))
	for _, key := range []struct{ press, want string }{{kb.ArrowRight, "371"}, {kb.ArrowDown, "370"}, {kb.Home, "55"}, {kb.End, "1125"}} {
		b.do(chromedp.KeyEvent(key.press))
		if at := place(); at != key.want {
			t.Errorf("key %q puts the module to %s, want %s", key.press, at, key.want)
		}
	}
	b.do(chromedp.KeyEvent(kb.ArrowLeft, chromedp.KeyModifiers(chromedp.ModifierShift)))
	if at := place(); at != "1115" {
		t.Errorf("with shift it goes to %s", at)
	}
	b.do(chromedp.KeyEvent("z", chromedp.KeyModifiers(chromedp.ModifierCtrl)))
	if at := place(); at != "1125" {
		t.Errorf("Ctrl+Z puts it to %s", at)
	}
}

// TestLiveForScreenReaders reads the accessibility tree: all that can be used has a name and each slider a value with its
// unit, pictures are told in words, and the outcome is spoken once it stands.
func TestLiveForScreenReaders(t *testing.T) {
	inFull(t, longtest.Pick(false, true))
	t.Parallel()
	browser(t)
	b := openBrowser(t, serveLive(t, filepath.Join("..", "..", "examples", "frag", "frag.yaml")), 1280, 800)
	tree, err := chromedp.Call(b.ctx, accessibility.GetFullAXTree, accessibility.GetFullAXTreeParams{})
	if err != nil {
		t.Fatal(err)
	}
	text := func(v *accessibility.Value) (s string) {
		if v != nil {
			_ = json.Unmarshal(v.Value, &s)
		}
		return s
	}
	names := map[string][]string{}
	for _, n := range tree.Nodes {
		role := text(n.Role)
		if n.Ignored {
			continue
		}
		names[role] = append(names[role], text(n.Name))
		if slices.Contains([]string{"slider", "spinbutton", "button", "combobox", "checkbox", "textbox", "link", "image", "group", "form", "region", "Canvas"}, role) && text(n.Name) == "" {
			t.Errorf("a %s has no name", role)
		}
	}
	for role, want := range map[string][]string{
		"slider":     {"spacing", "tilt", "depth", "module back:8"},
		"spinbutton": {"height"},
		"combobox":   {"optic", "kind", "show"},
		"group":      {"Rail front", "Rail back", "Water", "modules; arrow keys move the one in focus by 1 mm, with Shift by 10 mm"},
		"button":     {"Undo", "Save under this name"},
		"link":       {"Report"},
		"image":      {"slice along the tank at y = 165 mm, seen from the front"},
		"heading":    {"Frag tank, white and blue on two rails"},
	} {
		for _, name := range want {
			if !slices.Contains(names[role], name) {
				t.Errorf("there is no %s %q among %q", role, name, names[role])
			}
		}
	}
	if values := evaluate[[]string](b, `[...document.querySelectorAll("input[type=range]")].map((s) => s.getAttribute("aria-valuetext"))`); !slices.Contains(values, "180 mm") || !slices.Contains(values, "350 mA") || !slices.Contains(values, "60°") {
		t.Errorf("sliders say %q", values)
	}
	if about := evaluate[string](b, `document.getElementById("r0-y-slider").ariaDescription + "|" + document.getElementById("r0-y").closest(".control").title`); about != "distance of the rail's centre line from the front|distance of the rail's centre line from the front" {
		t.Errorf("y is %q", about)
	}
	if err := b.wait(`document.getElementById("spoken").textContent === document.getElementById("verdict").textContent && document.getElementById("spoken").textContent.includes("the goal is")`); err != nil {
		t.Errorf("%v: spoken is %q", err, evaluate[string](b, `document.getElementById("spoken").textContent`))
	}
}

// TestLiveMergesFastMoves moves a slider two hundred times without a pause: few questions are asked, the last one wins, and
// no frame on the way shows an empty picture.
func TestLiveMergesFastMoves(t *testing.T) {
	inFull(t, longtest.Pick(false, true))
	t.Parallel()
	browser(t)
	b := openBrowser(t, serveLive(t, dimFoyer(t)), 1280, 800)
	evaluate[bool](b, `(() => {
		window.frames2 = []; window.watching = true;
		const filled = (id) => { const c = document.querySelector(id + " .light"), d = c.getContext("2d").getImageData(0, 0, c.width, c.height).data;
			for (let i = 3; i < d.length; i += 4 * 97) if (d[i] !== 255) return false; return d.length > 0; };
		const step = () => { frames2.push(filled("#plan") && filled("#cut")); if (watching) requestAnimationFrame(step); };
		requestAnimationFrame(step);
		performance.clearResourceTimings();
		return true; })()`)
	if _, err := chromedp.Run(b.ctx, chromedp.Evaluate[bool](`(async () => {
		const s = document.getElementById("r0-height-slider");
		for (let i = 0; i < 200; i++) { s.value = 100 + i; s.dispatchEvent(new Event("input")); if (i % 10 === 9) await new Promise((done) => setTimeout(done, 4)); }
		s.value = 240; s.dispatchEvent(new Event("change")); return true; })()`, chromedp.EvalAwaitPromise)); err != nil {
		t.Fatal(err)
	}
	got := b.look()
	asked := evaluate[int](b, `performance.getEntriesByType("resource").filter((e) => e.name.endsWith("/light")).length`)
	if asked < 1 || asked > 60 {
		t.Errorf("201 moves ask %d questions", asked)
	}
	frames := evaluate[[]bool](b, `(() => { watching = false; return frames2; })()`)
	if len(frames) < 3 || slices.Contains(frames, false) {
		t.Errorf("of %d frames some are empty: %v", len(frames), frames)
	}
	b.press("#reset")
	b.settle()
	b.slideTo("r0-height", 240)
	if alone := b.look(); alone != got {
		t.Errorf("after fast moves the page shows %+v, a single one gives %+v", got, alone)
	}
}

// TestLiveColoursAreThoseOfThePNG paints the same numbers by the colours and the interpolation that PNG pictures have, and
// holds the browser's pixels against them.
func TestLiveColoursAreThoseOfThePNG(t *testing.T) {
	inFull(t, longtest.Pick(false, true))
	t.Parallel()
	browser(t)
	address := serveLive(t, dimFoyer(t))
	b := openBrowser(t, address, 1280, 800)
	a := askLight(t, address)
	size := evaluate[[]int](b, `[document.querySelector("#plan .light").width, document.querySelector("#plan .light").height]`)
	pixels := evaluate[[]int](b, `[...document.querySelector("#plan .light").getContext("2d").getImageData(0, 0, `+fmt.Sprintf("%d, %d", size[0], size[1])+`).data]`)
	letters, err := style.NewTypesetter(1)
	if err != nil {
		t.Fatal(err)
	}
	img, err := style.NewCanvas(float64(size[0]), float64(size[1]), letters)
	if err != nil {
		t.Fatal(err)
	}
	fig.Heat{Frame: style.Box{Right: float64(size[0]), Bottom: float64(size[1])}, NX: a.Plane.NX, NY: a.Plane.NY, Values: a.lux,
		Scale: style.Scale{Low: a.Lux.Scale.Low, High: a.Lux.Scale.High}, FirstRowAtBottom: true}.Fill(img)
	seen := map[color.RGBA]bool{}
	for i := 0; i < size[0]*size[1]; i++ {
		want := img.Image().RGBAAt(i%size[0], i/size[0])
		seen[want] = true
		for k, w := range []uint8{want.R, want.G, want.B} {
			// one step of 256 where single and double precision round to two sides
			if math.Abs(float64(pixels[4*i+k])-float64(w)) > 4 {
				t.Fatalf("pixel %d, %d is %v, in a PNG it is %v", i%size[0], i/size[0], pixels[4*i:4*i+4], want)
			}
		}
	}
	if len(seen) < 100 {
		t.Errorf("only %d colours are compared", len(seen))
	}
}

// lightAnswer is what the page is answered for the scene as it is.
type lightAnswer struct {
	Plane struct{ NX, NY int }
	Lux   struct{ Scale struct{ Low, High float64 } }
	lux   []float64
}

// askLight asks for the light of the scene as it is, as the page does.
func askLight(t testing.TB, address string) (a lightAnswer) {
	t.Helper()
	var outline struct{ State json.RawMessage }
	answer, err := http.Get(address + "scene")
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	if err := json.NewDecoder(answer.Body).Decode(&outline); err != nil {
		t.Fatal(err)
	}
	light, err := http.Post(address+"light", "application/json", bytes.NewReader(outline.State))
	if err != nil {
		t.Fatal(err)
	}
	defer light.Body.Close()
	data, err := io.ReadAll(light.Body)
	if err != nil || len(data) < 8 {
		t.Fatalf("%v, %d bytes", err, len(data))
	}
	at := 4 + binary.LittleEndian.Uint32(data)
	if err := json.Unmarshal(data[4:at], &a); err != nil {
		t.Fatal(err)
	}
	for range a.Plane.NX * a.Plane.NY {
		a.lux = append(a.lux, float64(math.Float32frombits(binary.LittleEndian.Uint32(data[at:]))))
		at += 4
	}
	return a
}

// TestLiveReport opens the report from the page: it is what the command report writes, sorts its tables, asks for nothing,
// and cannot reach the page that it came from.
func TestLiveReport(t *testing.T) {
	inFull(t, longtest.Pick(false, true))
	t.Parallel()
	dir := t.TempDir()
	write(t, dir, "flat.yaml", strings.NewReplacer("height: 300 mm", "height: 80 mm", "depth: 250 mm", "depth: 60 mm", "rails:", "  floor: {diffuse: 0}\nrails:").Replace(limitTank)) // little water, small slices
	file := filepath.Join(dir, "flat.yaml")
	address := serveLive(t, file)
	answer, err := http.Get(address + "report")
	if err != nil {
		t.Fatal(err)
	}
	defer answer.Body.Close()
	served, err := io.ReadAll(answer.Body)
	if err != nil {
		t.Fatal(err)
	}
	o := reported(t, file, "--out", t.TempDir(), "--quiet")
	if err := o.run(context.Background(), streams{Out: io.Discard, Err: io.Discard}); err != nil {
		t.Fatal(err)
	}
	if written, err := os.ReadFile(filepath.Join(o.out, "report.html")); err != nil || !bytes.Equal(served, written) {
		t.Errorf("%v: the page serves %d bytes, the command writes %d", err, len(served), len(written))
	}
	browser(t)
	b := openBrowser(t, address, 1280, 800)
	link := evaluate[string](b, `(() => { const a = document.getElementById("report"); return a.offsetParent ? a.href : "hidden"; })()`)
	if link != address+"report?file=flat.yaml" {
		t.Fatalf("the link is %s", link)
	}
	b.do(chromedp.Navigate(link))
	evaluate[any](b, `document.querySelectorAll("#light table.sorts thead th button")[2].click()`)
	if got := evaluate[string](b, `document.querySelector("#light table.sorts tbody th").textContent + origin`); got != "floornull" {
		t.Errorf("the first row and the origin are %s", got)
	}
	b.silent()
}

// TestLiveIsOnThisMachineAlone knocks at every other address of this machine.
func TestLiveIsOnThisMachineAlone(t *testing.T) {
	t.Parallel()
	at, err := url.Parse(serveLive(t, dimFoyer(t)))
	if err != nil || at.Hostname() != "127.0.0.1" || len(strings.Trim(at.Path, "/")) != 26 {
		t.Fatalf("%v: served at %s", err, at)
	}
	addresses, err := net.InterfaceAddrs()
	if err != nil {
		t.Fatal(err)
	}
	for _, a := range addresses {
		ip, _, err := net.ParseCIDR(a.String())
		if err != nil || ip.IsLoopback() {
			continue
		}
		if c, err := net.Dial("tcp", net.JoinHostPort(ip.String(), at.Port())); err == nil {
			_ = c.Close()
			t.Errorf("%s answers too", ip)
		}
	}
	for _, host := range []string{"localhost.example", "evil.example:" + at.Port(), "0.0.0.0:" + at.Port(), "[::1]:" + at.Port()} {
		r, _ := http.NewRequest("GET", at.String(), nil)
		r.Host = host
		answer, err := http.DefaultClient.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		_ = answer.Body.Close()
		if answer.StatusCode != http.StatusMisdirectedRequest || !strings.Contains(answer.Header.Get("Referrer-Policy"), "same-origin") {
			t.Errorf("host %s: %s, %v", host, answer.Status, answer.Header)
		}
	}
}
