package main

import (
	"bytes"
	"context"
	"image/png"
	"math"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"fathomlux/optics"
	"fathomlux/render/live"
	"fathomlux/scene"
	"fathomlux/scene/longtest"
)

// TestLiveSeesTheTank: the page's picture of the lit tank is that of the state and the eye; a rough one differs from the
// full one in its size alone, but for some per cent of its exposure.
func TestLiveSeesTheTank(t *testing.T) {
	t.Parallel()
	sc, err := scene.Read(dimFoyer(t))
	if err != nil {
		t.Fatal(err)
	}
	o := liveOptions{workers: 2}
	see := func(l live.Looked) (live.Seen, int) {
		t.Helper()
		got, err := o.seen(context.Background(), l)
		if err != nil {
			t.Fatal(err)
		}
		img, err := png.Decode(bytes.NewReader(got.PNG))
		if err != nil {
			t.Fatal(err)
		}
		return got, img.Bounds().Dx()
	}
	rough, small := see(live.Looked{Scene: sc, From: "front", Rough: true})
	if small != 320 || !strings.HasPrefix(rough.Words, "Of the water in sight the upper ") || !strings.HasPrefix(rough.Notes[0], "Seen from x 590 mm, y -1888 mm") {
		t.Errorf("a rough picture: %d pixels, %q, %q", small, rough.Words, rough.Notes)
	}
	if held, _ := see(live.Looked{Scene: sc, From: "front", Rough: true, WhiteCd: 1000}); held.WhiteCd != 1000 || bytes.Equal(held.PNG, rough.PNG) {
		t.Errorf("a white that is held is %g cd/m²", held.WhiteCd)
	}
	if longtest.Pick(false, true) {
		o.cold = true
		_, junctions := optics.Warmed(sc, false)
		if rated, _ := see(live.Looked{Scene: sc, From: "front", Rough: true}); math.Abs(rated.WhiteCd*junctions.RelativeFlux/rough.WhiteCd-1) > 0.01 {
			t.Errorf("white is %g cd/m² by the rated flux, %g by %g of it", rated.WhiteCd, rough.WhiteCd, junctions.RelativeFlux)
		}
		o.cold = false
		full, wide := see(live.Looked{Scene: sc, From: "front"})
		if share := full.WhiteCd / rough.WhiteCd; wide != 960 || share < 0.95 || share > 1.05 {
			t.Errorf("in full: %d pixels, white is %g times that of the rough picture", wide, share)
		}
		o.sheetOfView(t, sc)
	}
	if _, err := o.seen(context.Background(), live.Looked{Scene: sc, From: "below"}); err == nil || !strings.Contains(err.Error(), `no place "below"`) {
		t.Errorf("an eye that is none: %v", err)
	}
}

// sheetOfView saves the picture that the command view draws.
func (o liveOptions) sheetOfView(t *testing.T, sc *scene.Scene) {
	t.Helper()
	got, err := o.sheet(context.Background(), live.Wanted{Name: "view", From: "above", Scenes: []*scene.Scene{sc}, Format: "png"})
	if err != nil || got.Name != "foyer-view-above.png" || !strings.HasPrefix(string(got.Data), begins["png"]) {
		t.Errorf("as a file: %v, %s", err, got.Name)
	}
}

// TestLiveShowsTheLitTank: the tab shows the tank from two of its places, says in words what is seen, follows a slider
// and keeps its exposure where the scale is locked, and says why where there is no picture.
func TestLiveShowsTheLitTank(t *testing.T) {
	inFull(t, longtest.Pick(false, true))
	t.Parallel()
	browser(t)
	_, b := openDim(t, 1)
	last := ""
	shows := func(what, words string) string {
		t.Helper()
		b.arrives(`document.getElementById("seen").dataset.state === "idle"`)
		label := evaluate[string](b, `document.getElementById("seen-picture").ariaLabel`)
		now := evaluate[string](b, `document.getElementById("seen-picture").toDataURL()`)
		if now == last || !strings.HasPrefix(label, words) || !strings.Contains(label, "is the brightest, with ") {
			t.Errorf("%s: %q; the same pixels: %v", what, label, now == last)
		}
		last = now
		return evaluate[string](b, `document.getElementById("seen-notes").textContent`)
	}
	b.press(`#chips [data-sheet="view"]`)
	front := shows("the first picture", "The lit tank, seen from the front.")
	evaluate[any](b, `document.getElementById("hold").click()`)
	b.slide("r0-current", 0.2)
	if held := shows("a slider, locked", "The lit tank, seen from the front."); held[:60] != front[:60] {
		t.Errorf("locked, it says %q, not %q", held, front)
	}
	evaluate[any](b, `document.getElementById("hold").click()`)
	freed := shows("unlocked", "The lit tank")
	if freed == front {
		t.Errorf("with less light it says %q too", freed)
	}
	evaluate[any](b, `document.getElementById("eye").append(new Option("below", "below"))`)
	b.choose("eye", "below")
	b.waitFor(`document.getElementById("seen-says").textContent.includes('Not possible: there is no place "below"')`)
	if shown := evaluate[bool](b, `document.getElementById("seen-picture").checkVisibility()`); shown {
		t.Error("there is a picture from nowhere")
	}
	b.do(chromedp.EmulateViewport(390, 844))
	b.choose("eye", "corner")
	if corner := shows("another eye, on a telephone", "The lit tank, seen from a corner."); corner == freed {
		t.Errorf("from another place it says %q too", corner)
	}
	if faults := evaluate[[]string](b, layoutExpression); len(faults) > 0 {
		t.Errorf("at 390 px: %v", faults)
	}
	b.silent()
}
