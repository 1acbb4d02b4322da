package main

import (
	"fmt"
	"math"
	"testing"

	"github.com/chromedp/chromedp"

	"fathomlux/scene/longtest"
)

// scaleExpression draws a scale with many levels under a picture 60 px wide, and tells from where to where its numbers reach.
const scaleExpression = `(async () => {
	const { Frame } = await import(location.href.replace(/[^/]*$/, "") + "page/picture.js");
	const root = document.getElementById("plan").cloneNode(true), frame = new Frame(root);
	frame.layout(600, 600, 0.1, 300);
	frame.clear();
	frame.bar({ low: 0, high: 14000, ticks: [2000, 4000, 6000, 8000, 10000, 12000, 14000] }, Array(256).fill("#000000"), "lx", 5000);
	return frame.labels;
})()`

// TestLiveNarrowWindows looks at windows from a telephone to a wide screen, and at a double zoom: nothing is cut or overlaps, the
// settings stand beside the plan or pass under it, the title is written in lines, the numbers of a scale stand apart.
func TestLiveNarrowWindows(t *testing.T) {
	inFull(t, longtest.Pick(false, true))
	t.Parallel()
	b := openBrowser(t, serveLive(t, writeMixed(t)), 1280, 800)
	for _, size := range []struct{ wide, high, zoom int64 }{{1280, 800, 1}, {1024, 768, 1}, {640, 400, 2}, {390, 844, 1}} {
		b.do(chromedp.EmulateViewport(size.wide, size.high, chromedp.EmulateScale(float64(size.zoom))))
		b.settle()
		b.keep(fmt.Sprintf("mixed-%d.png", size.wide))
		if faults := evaluate[[]string](b, layoutExpression); len(faults) > 0 {
			t.Errorf("at %d px: %v", size.wide, faults)
		}
		if lines := evaluate[float64](b, `document.getElementById("title").getBoundingClientRect().height / parseFloat(getComputedStyle(document.getElementById("title")).fontSize)`); lines > 3 {
			t.Errorf("at %d px the title is %g lines high", size.wide, math.Round(lines))
		}
		evaluate[any](b, `document.getElementById("depth").scrollIntoView({ block: "nearest" })`)
		if got := evaluate[bool](b, `(() => { const r = document.querySelector("#plan .light").getBoundingClientRect(), d = document.getElementById("depth").getBoundingClientRect();
			return Math.min(r.bottom, innerHeight) - Math.max(r.top, 0) > 0.6 * r.height && d.bottom <= innerHeight + 1 && (d.right < r.left || d.top >= r.bottom); })()`); !got {
			t.Errorf("at %d px the plan is out of sight while the depth is set", size.wide)
		}
		evaluate[any](b, `scrollTo(0, 0)`)
	}
	labels, err := chromedp.Run(b.ctx, chromedp.Evaluate[[][]float64](scaleExpression, chromedp.EvalAwaitPromise))
	if err != nil || len(labels) < 2 {
		t.Fatalf("%v, %v", labels, err)
	}
	for i := 1; i < len(labels); i++ {
		if labels[i][0] < labels[i-1][1] {
			t.Errorf("numbers of the scale overlap: %v", labels)
		}
	}
}
