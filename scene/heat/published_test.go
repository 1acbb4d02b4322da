package heat

import (
	"math"
	"testing"
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
	side, flat := Bar{WidthM: 0.04, HeightM: 0.02}.faces(40, Air{})
	near(t, "side", side.LengthM, 0.02, 1e-12)
	near(t, "top", flat.LengthM, 0.02, 1e-12)
	h := Hood{LengthM: 0.5, WidthM: 0.3, HeightM: 0.2, Emissivity: 1}
	near(t, "sides", h.sidesM2(), 0.32, 1e-12)
	near(t, "lid", h.lidM2(), 0.15, 1e-12)
	if err := h.check(); err != nil {
		t.Errorf("a black hood: %v", err)
	}
	if h.Emissivity = 1.01; h.check() == nil {
		t.Error("a hood gives off more than a black one")
	}
}
