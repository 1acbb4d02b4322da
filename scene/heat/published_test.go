package heat

import (
	"math"
	"testing"

	"fathomlux/scene/parts"
)

// TestLaminarPlateInItsLimits: by the formula of Churchill & Chu 1975 a laminar plate has 0.68 where nothing flows, and at the
// Prandtl numbers 0.492 and a tenth of it the factor of the Prandtl number is 2^(4/9) and (1 + 10^(9/16))^(4/9).
func TestLaminarPlateInItsLimits(t *testing.T) {
	near(t, "no flow", flow{Rayleigh: 0, Prandtl: 0.7}.verticalPlateLaminar(), 0.68, 1e-9)
	near(t, "Prandtl 0.492", flow{Rayleigh: 1, Prandtl: 0.492}.verticalPlateLaminar(), 0.68+0.670/math.Pow(2, 4./9), 1e-9)
	near(t, "Prandtl 0.0492", flow{Rayleigh: 1, Prandtl: 0.0492}.verticalPlateLaminar(), 0.68+0.670/math.Pow(1+math.Pow(10, 0.5625), 4./9), 1e-9)
	below, above := flow{Rayleigh: 0.99e9, Prandtl: 0.7}, flow{Rayleigh: 1.01e9, Prandtl: 0.7}
	if below.vertical() != below.verticalPlateLaminar() || above.vertical() != above.verticalPlate() || above.verticalPlate() == above.verticalPlateLaminar() {
		t.Error("flow becomes turbulent elsewhere than at 1e9")
	}
}

// TestSurfacesOfBarAndHood: area over perimeter of a long face is half its width; a box has two long and two short sides.
func TestSurfacesOfBarAndHood(t *testing.T) {
	faces := Bar{Profile: parts.Profile{WidthM: 0.04, HeightM: 0.02, PerimeterM: 0.12}}.faces()
	near(t, "side", faces[0].lengthM, 0.02, 1e-12)
	near(t, "top", faces[1].lengthM, 0.02, 1e-12)
	h := Hood{LengthM: 0.5, WidthM: 0.3, HeightM: 0.2, Emissivity: 1}
	near(t, "sides", h.sidesM2(), 0.32, 1e-12)
	near(t, "lid", h.lidM2(), 0.15, 1e-12)
}

// TestFacesByHand: the heat of a bar's and a hood's faces is that of plates in air of the mean temperature; a lid of 0.5 x 0.3 m has
// area over perimeter 0.15/1.6 m (McAdams 1954: the length of a horizontal plate).
func TestFacesByHand(t *testing.T) {
	t.Parallel()
	film, err := airAt(35)
	if err != nil {
		t.Fatal(err)
	}
	plate := func(lengthM float64) body { return body{LengthM: lengthM, SurfaceC: 45, AirC: 25, Air: film} }
	side, lid := plate(0.2), plate(0.15/1.6)
	h := Hood{LengthM: 0.5, WidthM: 0.3, HeightM: 0.2}
	near(t, "hood", h.convectionW(45, 25), 20*(0.32*side.wPerM2K(side.flow().vertical())+0.15*lid.wPerM2K(lid.flow().hotSideUp())), 1e-9)
	l, short := lossOf(t, square(), 45), plate(0.02)
	near(t, "sides of the bar", l.FacesW[0], 20*0.04*short.wPerM2K(short.flow().vertical()), 1e-9)
	near(t, "top of the bar", l.FacesW[1], 20*0.04*short.wPerM2K(short.flow().hotSideUp()), 1e-9)
}

// TestRangesOfHorizontalPlates: a bar is stretched outside the Rayleigh numbers that McAdams 1954 and Lloyd & Moran 1974 give, 1e4 to
// 1e11 on top and 1e5 to 1e10 below; the number grows with the third power of the width.
func TestRangesOfHorizontalPlates(t *testing.T) {
	t.Parallel()
	const surfaceC = 45
	b := square()
	ra := lossOf(t, b, surfaceC).rayleigh[1]
	for _, c := range []struct {
		ra             float64
		top, underside bool
	}{{0.99e4, true, true}, {1.01e4, false, true}, {0.99e5, false, true}, {1.01e5, false, false}, {0.99e10, false, false}, {1.01e10, false, true}, {0.99e11, false, true}, {1.01e11, true, true}} {
		b.WidthM = 0.04 * math.Cbrt(c.ra/ra)
		want := map[bool]string{true: "top "}[c.top] + map[bool]string{true: "underside "}[c.underside]
		if got := stretchedFaces(b, surfaceC); got != want {
			t.Errorf("Rayleigh %g: %q", c.ra, got)
		}
	}
}

// TestBoards: a board gives its heat to its own length and may stand with half of it beyond the rail's end; a black profile and
// an optic that lets nothing pass are the ends of what there can be.
func TestBoards(t *testing.T) {
	t.Parallel()
	in := foyer(2, 0.35)
	part := in.Modules[0].Part
	part.BoardLengthM = 0.03
	in.Modules[0].Part, in.Modules[0].AlongM = part, 0.1
	s, err := newSearch(in)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.step(); err != nil || math.Abs(s.fin.Sources[0].FromM-0.085) > 1e-12 || math.Abs(s.fin.Sources[0].ToM-0.115) > 1e-12 {
		t.Errorf("heat from %g to %g m (%v)", s.fin.Sources[0].FromM, s.fin.Sources[0].ToM, err)
	}
	for _, atM := range []float64{-0.0149, 1.1149} {
		in.Modules[0].AlongM, in.Modules[0].OpticLoss, in.Profile.Emissivity = atM, 1, 1
		r := balanced(t, in)
		near(t, "heat of a black bar whose first lens lets nothing pass", r.LossW, r.HeatW, 1e-6*r.HeatW)
	}
}
