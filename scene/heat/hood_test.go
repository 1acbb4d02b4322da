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
	s, err := h.Warm(40, 24)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "outside W", h.outsideW(s.WallC, 24), 40, 1e-3)
	near(t, "inside W", h.convectionW(s.AirC, s.WallC), 40, 1e-3)
	near(t, "wall rise K", s.WallC-24, 4, 2)
	near(t, "air rise over the wall K", s.AirC-s.WallC, 8, 4)
}

func TestHoodAtRest(t *testing.T) {
	for _, w := range []float64{0, -3, math.NaN()} {
		if s, err := wooden().Warm(w, 24); err != nil || s.AirC != 24 || s.WallC != 24 {
			t.Errorf("%g W: %+v, %v", w, s, err)
		}
	}
}

func TestHoodThatIsTooSmall(t *testing.T) {
	for _, w := range []float64{250, 1e9, math.Inf(1)} { // 250 W pass the wall but not the air inside
		_, err := Hood{LengthM: 0.6, WidthM: 0.2, HeightM: 0.1, Emissivity: 0.9}.Warm(w, 24)
		if !errors.Is(err, ErrTooHot) || !strings.Contains(err.Error(), "0.6 x 0.2 x 0.1 m") {
			t.Errorf("%g W: %v", w, err)
		}
	}
}

func TestHoodLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, room := rapid.Float64Range(0.1, 100).Draw(t, "W"), rapid.Float64Range(0, 40).Draw(t, "room")
		h := wooden()
		a, err := h.Warm(w, room)
		if err != nil {
			t.Fatal(err)
		}
		b, err := h.Warm(1.1*w, room)
		if err != nil {
			t.Fatal(err)
		}
		if !(room < a.WallC && a.WallC < a.AirC && a.AirC < b.AirC) {
			t.Fatalf("room %g, wall %g, air %g, air with a tenth more heat %g", room, a.WallC, a.AirC, b.AirC)
		}
		h.HeightM *= 2
		if c, err := h.Warm(w, room); err != nil || !(c.AirC < a.AirC) {
			t.Fatalf("a hood twice as high must be cooler: %g, %g, %v", c.AirC, a.AirC, err)
		}
	})
}

func TestWrongHoods(t *testing.T) {
	for want, h := range map[string]Hood{
		"above 0, not 0 x 1 x 1": {WidthM: 1, HeightM: 1},
		"above 0, not NaN":       {LengthM: math.NaN(), WidthM: 1, HeightM: 1},
		"emissivity 2":           {LengthM: 1, WidthM: 1, HeightM: 1, Emissivity: 2},
		"other heat -1":          {LengthM: 1, WidthM: 1, HeightM: 1, OtherHeatW: -1},
	} {
		if err := h.check(); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, want %q", err, want)
		}
	}
}
