package fig

import (
	"math"
	"testing"

	"fathomlux/render/style"
)

// TestFloorKeepsTheTanksProportion: one scale for both sides, the front at the bottom, and what lies beyond is cut.
func TestFloorKeepsTheTanksProportion(t *testing.T) {
	t.Parallel()
	f := Floor{LengthM: 2, WidthM: 0.5}
	if wide, high := f.Size(1000, 400); wide != 1000 || high != 250 {
		t.Errorf("%g by %g", wide, high)
	}
	if wide, high := f.Size(1000, 100); wide != 400 || high != 100 {
		t.Errorf("%g by %g where the height is bound", wide, high)
	}
	f.Frame = style.Box{Left: 10, Top: 20, Right: 410, Bottom: 120}
	if got := f.At(0.5, 0.125); got != (style.Pt(110, 95)) {
		t.Errorf("a quarter along and back stands at %v", got)
	}
	if got := f.Area(1.5, 0.25, 3, 0.5); got != (style.Box{Left: 310, Top: 20, Right: 410, Bottom: 70}) {
		t.Errorf("area %v", got)
	}
	for _, bad := range []Floor{{}, {LengthM: 1}, {LengthM: math.NaN(), WidthM: 1}, {LengthM: math.Inf(1), WidthM: 1}} {
		if bad.Sound() {
			t.Errorf("%v is sound", bad)
		}
	}
}
