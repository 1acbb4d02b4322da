package main

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"
)

// browserPatience is how long a test in the browser may take: a loaded machine with two cores needs minutes for it.
const browserPatience = 8 * time.Minute

// findBrowser returns the path of a Chromium, or nothing where there is none.
func findBrowser() string {
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if path, err := exec.LookPath(name); err == nil {
			return path
		}
	}
	return ""
}

// browser finds a Chromium, and skips the test where there is none.
func browser(t testing.TB) string {
	t.Helper()
	path := findBrowser()
	if path == "" {
		t.Skip("no chromium here; the page is not tried")
	}
	return path
}

// serveLive runs the command live on a scene file until the test ends, and returns the address that it prints.
func serveLive(t testing.TB, sceneFile string) (address string) {
	t.Helper()
	address, _ = startLive(t, sceneFile)
	return address
}

// startLive is serveLive that can be ended before the test.
func startLive(t testing.TB, sceneFile string) (address string, end func()) {
	t.Helper()
	return startLiveAs(t, liveOptions{given: givenScene(sceneFile)})
}

func startLiveAs(t testing.TB, o liveOptions) (address string, end func()) {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	reader, writer := io.Pipe()
	var said bytes.Buffer
	done := make(chan error, 1)
	go func() {
		err := o.run(ctx, streams{Out: writer, Err: &said})
		_ = writer.CloseWithError(err) // one that ends at once prints no address
		done <- err
	}()
	t.Cleanup(func() {
		cancel()
		select {
		case err := <-done:
			if err != nil {
				t.Errorf("the end of live: %v", err)
			}
		case <-time.After(browserPatience):
			t.Error("live does not end")
		}
	})
	line, err := bufio.NewReader(reader).ReadString('\n')
	if err != nil {
		t.Fatal(err)
	}
	return strings.TrimSpace(line), cancel
}

// tab is one tab of a browser.
type tab struct {
	testing.TB
	ctx     context.Context
	lock    *sync.Mutex
	console *[]string
}

// openBrowser opens the page in a window of its own.
func openBrowser(t testing.TB, address string, wide, high int64) tab {
	t.Helper()
	return openTab(t, startBrowser(t), address, wide, high)
}

// inFull skips a test that runs in full only: that of the whole tour, and those of the page that take long and have nothing
// to take a sample of. They name longtest.Pick themselves, by which .ci/run finds them.
func inFull(t *testing.T, full bool) {
	t.Helper()
	if !full {
		t.Skip("FATHOMLUX_LONG=1 runs it")
	}
}

// endBrowser ends the browser that all tests share, where one was started.
var endBrowser = func() {}

// sharedBrowser starts a browser without a profile and returns the context of its first tab.
var sharedBrowser = sync.OnceValues(func() (context.Context, error) {
	ctx, cancel := chromedp.NewExecAllocator(context.Background(), chromedp.ExecPath(findBrowser()), chromedp.Headless, chromedp.NoSandbox,
		chromedp.DisableGPU, chromedp.Flag("in-process-gpu", true), chromedp.NoFirstRun, chromedp.Flag("disable-quic", true), chromedp.Flag("disable-background-networking", true),
		chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-sync", true),
		// Tabs that stand behind another are drawn as fast as that.
		chromedp.Flag("disable-background-timer-throttling", true), chromedp.Flag("disable-renderer-backgrounding", true),
		chromedp.Flag("disable-backgrounding-occluded-windows", true))
	first, _ := chromedp.NewContext(ctx)
	endBrowser = func() { _ = chromedp.Cancel(first); cancel() }
	return first, chromedp.Do(first)
})

// startBrowser returns the context of a new window in the shared browser, which keeps nothing of other tests.
func startBrowser(t testing.TB) context.Context {
	t.Helper()
	browser(t)
	first, err := sharedBrowser()
	if err != nil {
		t.Fatal(err)
	}
	ctx, cancel := chromedp.NewContext(first, chromedp.WithNewBrowserContext())
	t.Cleanup(cancel)
	ctx, cancel = context.WithTimeout(ctx, browserPatience)
	t.Cleanup(cancel)
	return ctx
}

// openTab opens the page in the tab of a context and waits for its first light.
func openTab(t testing.TB, ctx context.Context, address string, wide, high int64) tab {
	t.Helper()
	b := emptyTab(t, ctx, wide, high)
	b.do(chromedp.Navigate(address))
	b.settle()
	return b
}

// emptyTab takes the tab of a context and listens to its console.
func emptyTab(t testing.TB, ctx context.Context, wide, high int64) tab {
	t.Helper()
	b := tab{TB: t, ctx: ctx, lock: &sync.Mutex{}, console: &[]string{}}
	b.do(chromedp.EmulateViewport(wide, high))
	messages := chromedp.Console(ctx)
	go func() {
		for m := range messages {
			b.lock.Lock()
			*b.console = append(*b.console, m.String())
			b.lock.Unlock()
		}
	}()
	return b
}

func (b tab) do(steps ...chromedp.Action[chromedp.Void]) {
	b.Helper()
	if err := chromedp.Do(b.ctx, steps...); err != nil {
		b.Fatal(err)
	}
}

// press presses a button by the keyboard: a click aims at where the button stood when it was asked, and misses it where a notice
// that appears moves the page under the pointer.
func (b tab) press(selector string) {
	b.Helper()
	b.do(chromedp.Focus(selector), chromedp.KeyEvent(kb.Enter))
}

// settle waits until nothing is asked any more, and what was answered is painted.
func (b tab) settle() {
	b.Helper()
	err := b.wait(`document.body.dataset.state === "idle" && Number(document.body.dataset.answers) > 0`)
	if err == nil {
		_, err = chromedp.Run(b.ctx, chromedp.Evaluate[bool](`new Promise(done => requestAnimationFrame(() => requestAnimationFrame(() => done(true))))`, chromedp.EvalAwaitPromise))
	}
	if err != nil {
		b.Fatalf("the page does not settle: %v; console: %v", err, b.said())
	}
}

// wait asks the page again and again until an expression is true, as long as the test may take.
func (b tab) wait(expression string) error {
	_, err := chromedp.Run(b.ctx, chromedp.Poll[bool](expression, chromedp.WithPollingInterval(20*time.Millisecond), chromedp.WithPollingTimeout(0)))
	return err
}

func (b tab) said() []string {
	b.lock.Lock()
	defer b.lock.Unlock()
	return append([]string(nil), *b.console...)
}

// silent fails where the console has said anything.
func (b tab) silent() {
	b.Helper()
	if said := b.said(); len(said) > 0 {
		b.Errorf("console: %q", said)
	}
}

// evaluate runs an expression in the page.
func evaluate[T any](b tab, expression string) T {
	b.Helper()
	v, err := chromedp.Run(b.ctx, chromedp.Evaluate[T](expression))
	if err != nil {
		b.Fatalf("%s: %v", expression, err)
	}
	return v
}

// picture is what can be seen of an answer: the numbers as text and a check sum of the pixels of both pictures.
type picture struct{ Numbers, Plan, Cut string }

const lookExpression = `(() => {
	const sum = (canvas) => { const copy = new OffscreenCanvas(canvas.width, canvas.height).getContext("2d", {willReadFrequently: true}); copy.drawImage(canvas, 0, 0);
		const d = copy.getImageData(0, 0, canvas.width, canvas.height).data; let h = 7; for (let i = 0; i < d.length; i++) h = (h * 31 + d[i]) | 0; return String(h); };
	const text = ["mean", "even", "min", "max", "ppfd", "watts", "lumens", "goal"].map((id) => document.getElementById(id).textContent).join("; ");
	return {Numbers: text, Plan: sum(document.querySelector("#plan .light")), Cut: sum(document.querySelector("#cut .light"))};
})()`

func (b tab) look() picture {
	b.Helper()
	b.settle()
	return evaluate[picture](b, lookExpression)
}

// slide moves a slider to the share of its way, as a hand does: input events on the way, a change event at the end.
func (b tab) slide(id string, share float64) {
	b.Helper()
	evaluate[bool](b, fmt.Sprintf(`(() => {
		const s = document.getElementById(%q + "-slider");
		for (const part of [0.3, 0.7, 1]) { s.value = Number(s.min) + (Number(s.max) - Number(s.min)) * %g * part; s.dispatchEvent(new Event("input", {bubbles: true})); }
		s.dispatchEvent(new Event("change", {bubbles: true}));
		return true; })()`, id, share))
	b.settle()
}

// choose takes an option of a list.
func (b tab) choose(id, value string) {
	b.Helper()
	evaluate[bool](b, fmt.Sprintf(`(() => { const s = document.getElementById(%q); s.value = %q; s.dispatchEvent(new Event("change", {bubbles: true})); return s.value === %q; })()`, id, value, value))
	b.settle()
}

// rewrite changes a passage of a file that a page shows.
func rewrite(t testing.TB, file, passage, by string) {
	t.Helper()
	text := readText(t, file)
	if strings.Count(text, passage) != 1 {
		t.Fatalf("%q does not stand once in %s", passage, file)
	}
	write(t, filepath.Dir(file), filepath.Base(file), strings.Replace(text, passage, by, 1))
}

// foyerCopy copies the foyer example, with its parts, into a folder of the test.
func foyerCopy(t testing.TB) string {
	t.Helper()
	dir := t.TempDir()
	for _, name := range []string{"foyer.yaml", "foyer-parts.yaml"} {
		data, err := os.ReadFile(filepath.Join("..", "..", "examples", "foyer", name))
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	return filepath.Join(dir, "foyer.yaml")
}

// dimFoyer is foyerCopy without matt faces: each change of its water is answered soon.
func dimFoyer(t testing.TB) string {
	t.Helper()
	file := foyerCopy(t)
	rewrite(t, file, "back: {film: 0.08}", "back: {paint: 0}")
	rewrite(t, file, "floor: {diffuse: 0.25}", "floor: {diffuse: 0}")
	return file
}

// openDim opens the page of dimFoyer with so many modules, each of which is traced anew for each change.
func openDim(t testing.TB, modules int) (file string, b tab) {
	t.Helper()
	file = dimFoyer(t)
	rewrite(t, file, "count: 5", fmt.Sprintf("count: %d", modules))
	return file, openBrowser(t, serveLive(t, file), 1280, 800)
}
