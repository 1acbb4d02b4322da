package render

import (
	"image/color"
	"strings"
	"testing"

	"fathomlux/optics/result"
	"fathomlux/scene/colour"
)

// ninePixels is a view of three by three pixels, of which the middle one of the first row is beside the water.
func ninePixels(luminances ...float64) *result.Seen {
	v := &result.Seen{Width: 3, Height: 3, White: colour.D65, RoomCd: 2}
	for i, y := range luminances {
		v.Light = append(v.Light, colour.D65.Times(y))
		v.IntoTank = append(v.IntoTank, i != 1)
	}
	return v
}

// TestViewsAreToldInWords: the brightest and the darkest ninth of the water are named; what is beside the water does not
// count.
func TestViewsAreToldInWords(t *testing.T) {
	t.Parallel()
	got := ViewWords(ninePixels(30, 900, 20, 10, 40, 50, 4, 60, 80))
	want := "Of the water in sight the lower right is the brightest, with 80 cd/m², and the lower left the darkest, with 4 cd/m²."
	if got != want {
		t.Errorf("%q, want %q", got, want)
	}
	dry := ninePixels(1, 1, 1, 1, 1, 1, 1, 1, 1)
	dry.IntoTank = make([]bool, 9)
	if got := ViewWords(dry); got != "No water is in sight." {
		t.Errorf("without water: %q", got)
	}
}

// TestViewsAreExposed: the luminance of white is white, a fifth of it the grey that IEC 61966-2-1 gives it (124, from
// 1.055 c^(1/2.4) - 0.055), and what is brighter stays white.
func TestViewsAreExposed(t *testing.T) {
	t.Parallel()
	img, notes := ViewPixels(ninePixels(100, 20, 500, 0, 0, 0, 0, 0, 0), Exposure{WhiteCd: 100, Adapted: colour.D65})
	for x, want := range []uint8{255, 124, 255} {
		if got := img.NRGBAAt(x, 0); got != (color.NRGBA{R: want, G: want, B: want, A: 255}) {
			t.Errorf("pixel %d is %v, want grey %d", x, got, want)
		}
	}
	if !strings.HasPrefix(notes[0], "White is 100 cd/m², the room has 2 cd/m² all about. The eye is used to daylight.") {
		t.Errorf("notes: %q", notes)
	}
}
