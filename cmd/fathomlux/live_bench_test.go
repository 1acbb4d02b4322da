package main

import (
	"bytes"
	"encoding/json"
	"io"
	"math"
	"math/rand/v2"
	"net/http/httptest"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"

	"fathomlux/render/live"
	"fathomlux/scene"
	"fathomlux/scene/edit"
)

// BenchmarkMoves measures what follows a move of a hand on the foyer at 10 mm. "server" is the whole answer to any slider, without
// a browser; "page" is from the input to the picture on the screen, of modules and of the current; "tank" is the same for
// a change of the water, which no field of light outlasts. Each reports the median and the 95th percentile.
func BenchmarkMoves(b *testing.B) {
	b.Run("server", benchmarkServer)
	b.Run("page", func(b *testing.B) { benchmarkPage(b, handMoves) })
	b.Run("tank", func(b *testing.B) { benchmarkPage(b, tankMoves) })
}

// moves are states of the foyer's page as a hand makes them: most move one thing a little further than the one before.
func moves(start live.State, seed uint64, n int) []live.State {
	r := rand.New(rand.NewPCG(seed, 2))
	var list []live.State
	at := start
	for range n {
		next := at
		next.Rails = []edit.RailSetting{at.Rails[0]}
		rail := &next.Rails[0]
		rail.Modules = slices.Clone(rail.Modules)
		switch r.IntN(8) {
		case 0, 1:
			rail.Modules[r.IntN(len(rail.Modules))].XM += float64(r.IntN(21)-10) / 1000
		case 2:
			step := 120 + float64(r.IntN(80))
			for i := range rail.Modules {
				rail.Modules[i].XM = (590 + (float64(i)-float64(len(rail.Modules)-1)/2)*step) / 1000
			}
		case 3:
			rail.AboveWaterM = 0.1 + float64(r.IntN(150))/1000
		case 4:
			rail.BeamRad = (20 + float64(r.IntN(120))/2) * math.Pi / 180
		case 5:
			rail.CurrentA = 0.2 + float64(r.IntN(300))/1000
		case 6:
			next.WaterDepthM = 0.3 + float64(r.IntN(140))/1000
		case 7:
			rail.YM = 0.15 + float64(r.IntN(130))/1000
		}
		list = append(list, next)
		at = next
	}
	return list
}

// benchmarkServer asks the handler for one state after the other: plan, slice, numbers and the whole answer.
func benchmarkServer(b *testing.B) {
	h := foyerHandler(b, foyerCopy(b), "10 mm")
	start := h.start(b)
	var took []float64
	for range b.N {
		for _, state := range moves(start, 1, 500) {
			begun := time.Now()
			if n := len(h.post(b, "light", state)); n < 40000 {
				b.Fatalf("%d bytes", n)
			}
			took = append(took, time.Since(begun).Seconds()*1000)
		}
	}
	reportMoves(b, "", took)
}

// served is a page's handler with the token "token".
type served struct{ *live.Handler }

// foyerHandler serves the page of a scene file without a port.
func foyerHandler(tb testing.TB, file, step string) served {
	tb.Helper()
	sc, err := scene.Read(file)
	if err != nil {
		tb.Fatal(err)
	}
	o := liveOptions{given: givenScene(file), step: step}
	files := newFolder(tb.Context(), streams{Err: io.Discard}, []string{file})
	h := live.New(o.config("token", 1, files))
	files.page = h
	if err := h.Show(sc); err != nil {
		tb.Fatal(err)
	}
	return served{h}
}

// start is the state that the page begins with.
func (h served) start(tb testing.TB) live.State {
	tb.Helper()
	var outline struct{ State live.State }
	w := httptest.NewRecorder()
	h.ServeHTTP(w, httptest.NewRequest("GET", "http://127.0.0.1:1/token/scene", nil))
	if err := json.Unmarshal(w.Body.Bytes(), &outline); err != nil {
		tb.Fatal(err)
	}
	return outline.State
}

// post asks for an answer and returns its body. It may be called by several goroutines.
func (h served) post(tb testing.TB, path string, body any) []byte {
	data, err := json.Marshal(body)
	if err != nil {
		tb.Error(err)
	}
	r := httptest.NewRequest("POST", "http://127.0.0.1:1/token/"+path, bytes.NewReader(data))
	r.Header.Set("Content-Type", "application/json")
	w := httptest.NewRecorder()
	h.ServeHTTP(w, r)
	if w.Code != 200 {
		tb.Errorf("%s: %d, %.300s", path, w.Code, w.Body)
	}
	return w.Body.Bytes()
}

// reportMoves reports the median and the 95th percentile of times in ms.
func reportMoves(b *testing.B, of string, ms []float64) {
	slices.Sort(ms)
	b.ReportMetric(ms[len(ms)/2], "ms-"+of+"median")
	b.ReportMetric(ms[len(ms)*95/100], "ms-"+of+"p95")
	b.ReportMetric(0, "ns/op")
}

// handMoves are 500 moves in the page, of modules by 1 mm and of the current, no module twice at one place.
const handMoves = `Array.from({length: 500}, (_, i) => i % 2
	? () => document.querySelectorAll("#plan .handle")[(i >> 1) % 5].dispatchEvent(new KeyboardEvent("keydown", {key: "ArrowRight"}))
	: slide("r0-current", i % 200 / 200, "input"))`

// tankMoves change depth and kind of the water in turns, to tanks that were not seen before.
const tankMoves = `Array.from({length: 20}, (_, i) => i % 2
	? () => { const s = document.getElementById("kind"); s.selectedIndex = (s.selectedIndex + 1) % s.length; s.dispatchEvent(new Event("change")); }
	: slide("depth", 0.9 - i / 50, "change"))`

// pageMoves makes one move after the other and returns how long each took, and how long the program and the way to it took
// of that, in ms. A picture is on the screen when the frame that draws the answer has been handed over.
const pageMoves = `(async () => {
	const slide = (id, share, kind) => () => { const s = document.getElementById(id + "-slider"); s.value = Number(s.min) + (Number(s.max) - Number(s.min)) * share; s.dispatchEvent(new Event(kind)); };
	const answered = () => new Promise((done) => new MutationObserver((_, o) => { o.disconnect(); done(); }).observe(document.body, {attributeFilter: ["data-answers"]}));
	const painted = () => new Promise((done) => requestAnimationFrame(() => { const c = new MessageChannel(); c.port1.onmessage = done; c.port2.postMessage(0); }));
	const all = [], answers = [];
	for (const move of MOVES) {
		const begun = performance.now(), answer = answered();
		move();
		await answer;
		const told = performance.now();
		await painted();
		all.push(performance.now() - begun);
		answers.push(told - begun);
		if (document.body.dataset.state !== "idle" || document.body.classList.contains("stale")) throw new Error("refused, or asked twice: " + document.getElementById("misfit").textContent);
	}
	return [all, answers];
})()`

// benchmarkPage makes moves in a browser and reports the whole time and, of it, that to the answer.
func benchmarkPage(b *testing.B, moves string) {
	if findBrowser() == "" {
		b.Skip("no chromium here; the page is not tried")
	}
	var all, answers []float64
	for range b.N {
		address := serveLive(b, foyerCopy(b))
		if a := askLight(b, address); a.Plane.NX != 118 {
			b.Fatalf("%d cells along 1180 mm", a.Plane.NX)
		}
		page := openBrowser(b, address, 1280, 800)
		took, err := chromedp.Run(page.ctx, chromedp.Evaluate[[2][]float64](strings.Replace(pageMoves, "MOVES", moves, 1), chromedp.EvalAwaitPromise))
		if err != nil {
			b.Fatal(err)
		}
		all, answers = append(all, took[0]...), append(answers, took[1]...)
	}
	reportMoves(b, "", all)
	reportMoves(b, "answer-", answers)
}
