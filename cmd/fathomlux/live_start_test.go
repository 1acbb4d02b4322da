package main

import (
	"bytes"
	"context"
	"fmt"
	"net"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"fathomlux/render/live"
	"fathomlux/scene"
	"fathomlux/scene/longtest"
)

// TestLiveFromNothing goes the way of a new user by the keyboard alone: an empty folder, the form, a fault in it, lights, one of
// them taken, a module dragged, saved, printed as a report, changed as text, and the draft of another time restored. The saved scene passes check.
func TestLiveFromNothing(t *testing.T) {
	inFull(t, longtest.Pick(false, true))
	t.Parallel()
	browser(t)
	dir := t.TempDir()
	b := emptyTab(t, startBrowser(t), 1280, 900)
	address := serveLive(t, dir)
	b.do(chromedp.Navigate(address))
	b.waitFor(`document.body.dataset.state === "idle"`)
	b.typeIn("title", "Small tank")
	for id, typed := range map[string]string{"length": "300", "width": "200", "height": "250", "depth": "500"} {
		b.typeIn(id, typed)
	}
	b.do(chromedp.SetValue("#lid", "none"), chromedp.SetValue("#sides", "dark"))
	evaluate[bool](b, `document.querySelector("#tank details").open = true`)
	b.typeIn("first-only", "quad-neutral,round-60")
	b.typeIn("first-rows", "1")
	b.press("#lights")
	b.waitFor(`document.activeElement.id === "depth" && document.getElementById("faults").textContent.includes("above the rim")`)
	b.typeIn("depth", "200")
	b.press("#lights")
	b.arrives(`document.activeElement.textContent === "Take this light"`)
	words := evaluate[string](b, `document.querySelector(".preview").innerText`)
	for _, want := range []string{"Cheapest", "EUR", " W", " lx", "U0", "goal met"} {
		if !strings.Contains(words, want) {
			t.Errorf("the card of a light lacks %q: %s", want, words)
		}
	}
	b.do(chromedp.KeyEvent(kb.Enter))
	b.arrives(`location.search.startsWith("?file=small-tank.yaml") && document.body.dataset.state === "idle" && Number(document.body.dataset.answers) > 0`)
	b.settle()
	b.says("file", "small-tank.yaml \u2013 changed here, not saved")
	taken := evaluate[string](b, `document.getElementById("mean").textContent`)
	b.drag("#plan .handle:nth-child(1)", -20)
	b.waitFor(`document.getElementById("mark").textContent.includes("settled") && document.getElementById("verdict").textContent.includes(" lx on average")`)
	shown := evaluate[string](b, `document.getElementById("mean").textContent`)
	if shown == taken {
		t.Errorf("a dragged module changes nothing: %s", shown)
	}
	b.press("#save-own")
	b.waitFor(`document.getElementById("saved").textContent === "Saved as small-tank.yaml."`)
	b.says("file", "small-tank.yaml")
	file := filepath.Join(dir, "small-tank.yaml")
	var out, errs bytes.Buffer
	if status := run(context.Background(), streams{Out: &out, Err: &errs}, []string{"check", file}); status != statusDone {
		t.Fatalf("check: %s%s", out.String(), errs.String())
	}
	if text := readText(t, file); !strings.Contains(text, "# inside measures") || !strings.Contains(text, "quad-neutral") {
		t.Errorf("the saved scene:\n%s", text)
	}
	b.onPaper("Small tank", " lx on average, uniformity U0")
	b.asText()
	b.asLeft(address, file)
	again := openTab(t, startBrowser(t), address+"?file=small-tank.yaml", 1280, 900)
	if got := evaluate[string](again, `document.getElementById("mean").textContent`); got != shown {
		t.Errorf("the saved scene has a mean of %s, the page showed %s", got, shown)
	}
	if said := append(b.said(), again.said()...); len(said) > 0 {
		t.Errorf("console: %q", said)
	}
}

// onPaper opens the report that the page links to and prints it: the first sheet has the title and the verdict.
func (b tab) onPaper(words ...string) {
	b.Helper()
	b.do(chromedp.Focus("#report"))
	report := emptyTab(b.TB, startBrowser(b.TB), 1280, 900)
	report.do(chromedp.Navigate(evaluate[string](b, `document.getElementById("report").href`)))
	data, err := chromedp.Run(report.ctx, chromedp.PrintToPDF(chromedp.PDFPaper(chromedp.PaperA4), chromedp.PDFPrintBackground()))
	if err != nil || !bytes.HasPrefix(data, []byte("%PDF-")) {
		b.Fatalf("%v, %.20q", err, data)
	}
	if _, err := exec.LookPath("pdftotext"); err != nil {
		return // its words cannot be read here
	}
	sheets := worded(b.TB, data)
	for _, want := range words {
		if !strings.Contains(sheets[0], want) {
			b.Errorf("the first of %d printed sheets lacks %q:\n%s", len(sheets), want, sheets[0])
		}
	}
	if len(sheets) < 5 || len(sheets) > 10 || len(report.said()) > 0 {
		b.Errorf("%d sheets, console: %q", len(sheets), report.said())
	}
}

// arrives waits for something on a page that the present one leads to.
func (b tab) arrives(expression string) {
	b.Helper()
	for there := false; !there; time.Sleep(20 * time.Millisecond) {
		there, _ = chromedp.Run(b.ctx, chromedp.Evaluate[bool](expression)) // the page may be on its way
		if b.ctx.Err() != nil {
			b.Fatalf("%s does not come; console: %q", expression, b.said())
		}
	}
}

func (b tab) says(id, want string) {
	b.Helper()
	if got := evaluate[string](b, `document.getElementById(`+"`"+id+"`"+`).textContent`); got != want {
		b.Errorf("%s says %q, want %q", id, got, want)
	}
}

// asText edits the scene as text: a fault is marked at its line, and what is sound is shown by the page until it is undone.
func (b tab) asText() {
	b.Helper()
	edit := func(passage, by string) {
		evaluate[bool](b, `(() => { const t = document.getElementById("text"); t.value = t.value.replace(/`+passage+`/, "`+by+`"); t.dispatchEvent(new Event("input")); return true; })()`)
	}
	was := b.value("depth")
	b.press("#open-text")
	b.waitFor(`document.getElementById("text")?.value.includes("Small tank") && document.getElementById("text-says").textContent !== ""`)
	edit("depth: 200 mm", "depth: 200")
	b.waitFor(`document.querySelector(".mark.fault")?.textContent.includes("200 has no unit") && document.querySelectorAll(".gutter .fault").length === 1`)
	edit("depth: 200", "depth: 190 mm")
	b.waitFor(`document.getElementById("text-says").textContent.endsWith("Not applied yet.")`)
	b.do(chromedp.Focus("#text"), chromedp.KeyEvent(kb.Enter, chromedp.KeyModifiers(2)))
	b.waitFor(`document.getElementById("text-says").textContent.startsWith("Applied")`)
	b.settle()
	if got := b.value("depth"); got != "190" {
		b.Errorf("the page shows a depth of %s", got)
	}
	b.do(chromedp.KeyEvent(kb.Escape))
	b.press("#undo")
	b.settle()
	if got := b.value("depth"); got != was {
		b.Errorf("a step back the depth is %s", got)
	}
}

// asLeft changes a slider and waits for what is kept; another window offers it, and shows it when it is restored.
func (b tab) asLeft(address, file string) {
	b.Helper()
	kept := filepath.Join(filepath.Dir(file), ".small-tank.yaml.draft")
	b.typeIn("depth", "180"+kb.Enter)
	b.settle()
	for text, ctx := []byte(nil), b.ctx; !bytes.Contains(text, []byte("depth: 180 mm")); text, _ = os.ReadFile(kept) {
		if time.Sleep(20 * time.Millisecond); ctx.Err() != nil {
			b.Fatal("no draft is kept")
		}
	}
	other := openTab(b.TB, startBrowser(b.TB), address+"?file=small-tank.yaml", 1280, 900)
	if got := other.value("depth"); got != "200" {
		b.Errorf("the file holds a depth of %s", got)
	}
	other.press("#restore")
	other.waitFor(`document.getElementById("depth").value === "180"`)
	other.settle()
	b.press("#undo")
	b.settle()
	b.waitFor(`document.getElementById("offer").hidden`)
}

// TestLiveGoesOnAfterARestart: an open page finds a program that was started again at the same port, with what it had changed, and
// also where its version was never in a file.
func TestLiveGoesOnAfterARestart(t *testing.T) {
	inFull(t, longtest.Pick(false, true))
	dir := t.TempDir()
	for _, name := range []string{"HOME", "XDG_CACHE_HOME", "LocalAppData"} {
		t.Setenv(name, dir) // the token is kept there
	}
	free, err := listenAt(0)
	if err != nil {
		t.Fatal(err)
	}
	o := liveOptions{given: givenScene(writeMixed(t)), port: free.Addr().(*net.TCPAddr).Port}
	free.Close()
	address, end := startLiveAs(t, o)
	b := openBrowser(t, address, 1280, 900)
	restart := func() {
		end()
		b.waitFor(`document.getElementById("notice-text").textContent.startsWith("The program has ended")`)
		var again string
		if again, end = startLiveAs(t, o); again != address {
			t.Fatalf("%s is now at %s", address, again)
		}
		b.waitFor(`document.getElementById("notice").hidden && !document.body.classList.contains("stale")`)
		b.settle()
	}
	b.slideTo("r0-height", 200)
	worked := b.look()
	restart()
	if b.look() != worked || b.value("r0-height") != "200" {
		t.Errorf("after a restart the page shows %+v, before %+v", b.look(), worked)
	}
	b.press("#open-text")
	b.waitFor(`document.getElementById("text")?.value.includes("200 mm")`)
	evaluate[bool](b, `(() => { const t = document.getElementById("text"); t.value = t.value.replace(/^title: .*$/m, "title: Only in text"); t.dispatchEvent(new Event("input")); return true; })()`)
	b.do(chromedp.Focus("#text"), chromedp.KeyEvent(kb.Enter, chromedp.KeyModifiers(2)))
	b.waitFor(`document.getElementById("text-says").textContent.startsWith("Applied")`)
	b.settle()
	b.waitFor(`document.body.dataset.kept === "true"`)
	restart()
	b.slideTo("r0-height", 210)
	if said := evaluate[string](b, `document.getElementById("misfit").textContent`); said != "" || b.look().Numbers == worked.Numbers {
		t.Errorf("after the second restart: %s, %+v", said, b.look())
	}
}

// TestFormOfOutlines: the form asks each outline for its own lengths, draws it, and shows a fault at the field that it is of.
func TestFormOfOutlines(t *testing.T) {
	inFull(t, longtest.Pick(false, true))
	t.Parallel()
	browser(t)
	dir := t.TempDir()
	b := emptyTab(t, startBrowser(t), 1280, 900)
	b.do(chromedp.Navigate(serveLive(t, dir)))
	b.waitFor(`document.body.dataset.state === "idle"`)
	drawn := map[string]bool{}
	choose := func(name string) {
		evaluate[bool](b, fmt.Sprintf(`(() => { const s = document.getElementById("outline"); s.value = %q; return s.dispatchEvent(new Event("change")); })()`, name))
	}
	for _, o := range outlines {
		choose(o.name)
		fields := evaluate[[]bool](b, `["measure", "width"].map((id) => document.getElementById(id).offsetParent !== null)`)
		if wants := o.name == "bow-front" || o.name == "corner"; fields[0] != wants || fields[1] != (o.name != "round") {
			t.Errorf("%s: shows measure and width: %v", o.name, fields)
		}
		drawn[evaluate[string](b, `document.getElementById("drawing").innerHTML`)] = true
		b.keep("form-" + o.name + ".png")
	}
	if len(drawn) != len(outlines) {
		t.Errorf("%d drawings of %d outlines", len(drawn), len(outlines))
	}
	choose("corner")
	b.typeIn("measure", "500")
	b.press("#rail")
	b.waitFor(`document.activeElement.id === "measure" && document.getElementById("faults").textContent.includes("leaves nothing of a side")`)
	b.typeIn("measure", "200")
	b.press("#rail")
	b.arrives(`location.search.startsWith("?file=my-tank.yaml") && document.body.dataset.state === "idle"`)
	b.silent()
}

// TestNewTank: each choice of the form makes a scene that is sound with a rail of one's own, in mm and in inches, and none leaves
// the folder.
func TestNewTank(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	f := newFolder(context.Background(), streams{}, []string{dir})
	tank := live.Tank{Title: "../Über: tank", Length: "900 mm", Width: "400 mm", Height: "450 mm", Depth: "400 mm", Lid: "glass",
		Back: "dark", Sides: "glass", Floor: "sand", Goal: "view", Rail: true}
	var made []string
	for _, key := range []string{"lid", "back", "sides", "floor", "goal"} {
		for _, c := range forms[key] {
			one := tank
			*map[string]*string{"lid": &one.Lid, "back": &one.Back, "sides": &one.Sides, "floor": &one.Floor, "goal": &one.Goal}[key] = c.name
			name, marks, err := f.Create(one)
			if err != nil || len(marks) > 0 {
				t.Fatalf("%s %s: %v, %+v", key, c.name, err, marks)
			}
			made = append(made, name)
		}
	}
	for _, o := range outlines {
		one := tank
		if one.Outline, one.Measure = o.name, fmt.Sprint(o.usualMM, " mm"); o.name == "round" {
			one.Width = one.Length
		}
		name, marks, err := f.Create(one)
		if err != nil || len(marks) > 0 {
			t.Fatalf("%s: %v, %+v", o.name, err, marks)
		}
		sc, err := scene.Read(filepath.Join(dir, name))
		if err != nil || sc.Tank.Outline.Empty() != (o.name == "rectangle") || len(sc.Warnings) > 0 {
			t.Errorf("%s: %v, %+v", o.name, err, sc)
		}
		made = append(made, name)
	}
	odd := tank
	odd.Outline, odd.Measure = "corner", "wide"
	if _, marks, err := f.Create(odd); err != nil || len(marks) != 1 || marks[0].Path != "tank.outline.corner.cut" {
		t.Errorf("a cut without a length: %v, %+v", err, marks)
	}
	odd.Outline = "oval"
	if _, _, err := f.Create(odd); err == nil {
		t.Error("an outline that is not offered is taken")
	}
	for _, length := range []string{"80 mm", "120 mm", "12 in", "35.5 in", "4 m"} {
		tank.Length, tank.Goal, tank.Amount, tank.Plane, tank.Even, tank.Photon = length, "", "55", "mid", "0.4", true
		name, marks, err := f.Create(tank)
		if err != nil || len(marks) > 0 {
			t.Fatalf("%s: %v, %+v", length, err, marks)
		}
		sc, err := scene.Read(filepath.Join(dir, name))
		if err != nil || sc.Goal.PPFD != 55e-6 && sc.Goal.PPFD != 55 || sc.Rails[0].LengthM > sc.Tank.LengthM {
			t.Errorf("%s: %v, %+v", length, err, sc.Goal)
		}
		made = append(made, name)
	}
	_, listed := f.List()
	if len(listed) != len(made) || made[0] != "über-tank.yaml" {
		t.Errorf("made are %q; the folder lists %q", made, listed)
	}
	tank.Length, tank.Even = "wide", "most"
	if name, marks, err := f.Create(tank); name != "" || err != nil || len(marks) != 2 {
		t.Errorf("two faults: %q, %+v, %v", name, marks, err)
	}
	if name, _, err := f.Create(live.Tank{Example: true}); err != nil || name != "example.yaml" || readText(t, filepath.Join(dir, name)) != scene.Starter() {
		t.Errorf("the example: %s, %v", name, err)
	}
	if entries, err := os.ReadDir(filepath.Dir(dir)); err != nil || len(entries) != 1 {
		t.Errorf("beside the folder: %v, %v", entries, err)
	}
}

// TestFolderKeepsToItself: no name leads out of the folder or to a hidden file.
func TestFolderKeepsToItself(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	write(t, dir, "secret.yaml", scene.Starter())
	inside := filepath.Join(dir, "inside")
	if err := os.Mkdir(inside, 0o777); err != nil {
		t.Fatal(err)
	}
	write(t, inside, ".hidden.yaml", scene.Starter())
	_ = os.Symlink(filepath.Join(dir, "secret.yaml"), filepath.Join(inside, "link.yaml"))
	f := newFolder(context.Background(), streams{}, []string{inside})
	for _, name := range []string{"../secret.yaml", filepath.Join(dir, "secret.yaml"), ".hidden.yaml", "link.yaml", "", "none.yaml"} {
		if text, err := f.Text(name); err == nil {
			t.Errorf("%q is read: %.40q", name, text)
		}
	}
	for _, name := range []string{"../secret.yaml", "a/b.yaml", ""} {
		if f.Keep(name, []byte("x")) == nil {
			t.Errorf("%q is kept", name)
		}
	}
	if _, names := f.List(); len(names) > 0 {
		t.Errorf("listed are %q", names)
	}
}
