package render

import (
	"image/color"
	"math"
	"strings"
	"testing"

	"fathomlux/optics/result"
	"fathomlux/render/style"
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

// TestViewsOfLuminance: the colours are those of the light map at the place of a luminance on a logarithmic scale of three
// decades, and the note says so.
func TestViewsOfLuminance(t *testing.T) {
	t.Parallel()
	e := Exposure{WhiteCd: 100, Adapted: colour.D65, Luminance: true}
	img, notes := ViewPixels(ninePixels(100, 0.1, 10, 1, 0, 1e6, 1, 1, 1), e)
	for at, share := range []float64{1, 0, 2.0 / 3, 1.0 / 3, 0, 1} {
		if got, want := img.NRGBAAt(at%3, at/3), color.NRGBA(style.Light().At(share)); got != want {
			t.Errorf("pixel %d is %v, want %v", at, got, want)
		}
	}
	if len(notes) != 1 || notes[0] != "The colours stand for luminances; the room has 2 cd/m² all about." {
		t.Errorf("notes: %q", notes)
	}
}

// TestViewsKeepATint: an eye in a dim room is used to the light of a tank in part (degree of adaptation by CIE 159:2004, 0.834 for
// a mean of 80 cd/m2), so that its white keeps some of its tint; deep blue light stays in sight.
func TestViewsKeepATint(t *testing.T) {
	t.Parallel()
	if d := colour.Adapting(80); math.Abs(d-(0.9-0.25*math.Exp(-122.0/92))) > 1e-12 || math.Abs(d-0.8336) > 1e-3 {
		t.Errorf("a degree of %g", d)
	}
	blue := colour.Tristimulus{X: 1.2, Y: 1, Z: 3}
	deep := colour.Tristimulus{X: 0.336, Y: 0.038, Z: 1.772} // 450 nm
	v := ninePixels(0, 0, 0, 0, 0, 0, 0, 0, 0)
	v.White, v.Light[0], v.Light[1] = blue, blue.Times(50), deep.Times(20)
	img, notes := ViewPixels(v, Exposure{WhiteCd: 100, Adapted: blue})
	if c := img.NRGBAAt(0, 0); !(c.B > c.R && c.B > c.G && c.B-c.G < 80) {
		t.Errorf("the white of a blue tank is %v", c)
	}
	if c := img.NRGBAAt(1, 0); !(c.B > c.G && c.B > 100) {
		t.Errorf("deep blue is %v", c)
	}
	if !strings.Contains(notes[0], "the light on the floor of the tank, to 7") {
		t.Errorf("notes: %q", notes)
	}
}
