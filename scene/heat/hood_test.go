package heat

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func wooden() Hood {
	return Hood{LengthM: 1.2, WidthM: 0.5, HeightM: 0.12, Emissivity: 0.9}
}

// TestHoodByHand recomputes both balances from the formulas, and looks at the size: 40 W over 1 m2 at about 10 W/m2/K
// outside and 5 inside are 4 K and 8 K.
func TestHoodByHand(t *testing.T) {
	h := wooden()
	wallC, airC, err := h.Warm(40, 24)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "outside W", h.outsideW(wallC, 24), 40, 1e-3)
	near(t, "inside W", h.convectionW(airC, wallC), 40, 1e-3)
	near(t, "wall rise K", wallC-24, 4, 2)
	near(t, "air rise over the wall K", airC-wallC, 8, 4)
}

func TestHoodAtRest(t *testing.T) {
	for _, w := range []float64{0, -3, math.NaN()} {
		if wallC, airC, err := wooden().Warm(w, 24); err != nil || airC != 24 || wallC != 24 {
			t.Errorf("%g W: %g, %g, %v", w, wallC, airC, err)
		}
	}
}

func TestHoodThatIsTooSmall(t *testing.T) {
	for _, w := range []float64{250, 1e9, math.Inf(1)} { // 250 W pass the wall but not the air inside
		_, _, err := Hood{LengthM: 0.6, WidthM: 0.2, HeightM: 0.1, Emissivity: 0.9}.Warm(w, 24)
		if !errors.Is(err, ErrTooHot) || !strings.Contains(err.Error(), "0.6 x 0.2 x 0.1 m") {
			t.Errorf("%g W: %v", w, err)
		}
	}
}

func TestHoodLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, room := rapid.Float64Range(0.1, 100).Draw(t, "W"), rapid.Float64Range(0, 40).Draw(t, "room")
		h := wooden()
		wallC, airC, err := h.Warm(w, room)
		if err != nil {
			t.Fatal(err)
		}
		_, more, err := h.Warm(1.1*w, room)
		if err != nil {
			t.Fatal(err)
		}
		if !(room < wallC && wallC < airC && airC < more) {
			t.Fatalf("room %g, wall %g, air %g, air with a tenth more heat %g", room, wallC, airC, more)
		}
		h.HeightM *= 2
		if _, c, err := h.Warm(w, room); err != nil || !(c < airC) {
			t.Fatalf("a hood twice as high must be cooler: %g, %g, %v", c, airC, err)
		}
	})
}
