package main

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"

	"fathomlux/scene/longtest"
)

// turnedScene is a dark tank with leaves on a part of its surface and a rail that is turned by 45 degrees, on the page from
// the left bottom to the right top.
const turnedScene = `tank:
  length: 600 mm
  width: 400 mm
  height: 300 mm
  outline: {corner: {cut: 100 mm}}
  water: {depth: 260 mm, kind: pure}
  walls: {edges: [{paint: 0}, {paint: 0}, {paint: 0}, {paint: 0}, {paint: 0}]}
  floor: {diffuse: 0}
  floating: {cover: 40 %, area: {x: 100..300 mm, y: 0..400 mm}}
rails:
  - length: 400 mm
    above_water: 100 mm
    turn: 45 deg
    modules: {part: quad-neutral, optic: round-60, count: 3, spacing: 100 mm, current: 350 mA}
goal: {plane: floor, illuminance: 500 lx}
`

// TestLiveDragsAlongATurnedRail: a module follows what of a hand's way runs along its rail: of a way to the right the share
// cos 45 degrees, half of it to the right and half of it up; across the rail it does not move, nor do the others.
func TestLiveDragsAlongATurnedRail(t *testing.T) {
	inFull(t, longtest.Pick(false, true))
	t.Parallel()
	browser(t)
	file := filepath.Join(t.TempDir(), "turned.yaml")
	if err := os.WriteFile(file, []byte(turnedScene), 0o666); err != nil {
		t.Fatal(err)
	}
	b := openBrowser(t, serveLive(t, file), 1280, 900)
	b.keep("turned.png")
	const perModule = 3 // its middle on the page, x and y in pixels, and its place along the rail in mm
	where := func() []float64 {
		return evaluate[[]float64](b, `[...document.querySelectorAll("#plan .handle")].flatMap((n) => { const r = n.getBoundingClientRect(); return [r.x + r.width / 2, r.y + r.height / 2, Number(n.getAttribute("aria-valuenow"))]; })`)
	}
	before := where()
	if len(before) != 3*perModule {
		t.Fatalf("the handles are at %v", before)
	}
	perMM := math.Hypot(before[3]-before[0], before[4]-before[1]) / (before[5] - before[2])
	for _, c := range []struct{ right, down, along float64 }{{40, 0, 40}, {30, 30, 0}, {-20, 20, -40}, {0, -36, 36}} {
		from := where()
		b.do(chromedp.DragAndDropXY(from[3], from[4], from[3]+c.right, from[4]+c.down, 12))
		b.settle()
		to := where()
		want := []float64{c.along / 2, -c.along / 2, c.along / math.Sqrt2 / perMM} // in pixels right, pixels down, mm along
		for i, w := range want {
			if got := to[perModule+i] - from[perModule+i]; math.Abs(got-w) > 1 { // half a pixel, and half a millimetre
				t.Errorf("a way of %g, %g pixels: figure %d changes by %.3g, not %.3g", c.right, c.down, i, got, w)
			}
		}
		for _, i := range []int{0, 1, 2, 6, 7, 8} {
			if math.Abs(to[i]-from[i]) > 1e-9 {
				t.Errorf("a way of %g, %g pixels moves another module: %v, was %v", c.right, c.down, to, from)
			}
		}
	}
	if y := evaluate[string](b, `document.getElementById("r0-y").value`); fmt.Sprint(y) != "200" {
		t.Errorf("the rail is at y = %s mm", y)
	}
	b.silent()
}
