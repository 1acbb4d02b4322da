package heat

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"fathomlux/scene/longtest"
	"pgregory.net/rapid"
)

// near fails unless got lies within tol of want.
func near(t interface {
	Helper()
	Errorf(string, ...any)
}, what string, got, want, tol float64) {
	t.Helper()
	if test, is := t.(testing.TB); is {
		longtest.Held(test, what, got, want, tol)
	}
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: %.6g, want %.6g within %.2g", what, got, want, tol)
	}
}

const (
	bookG = 9.81               // what the handbooks' examples use
	bookK = 273 - zeroCelsiusK // books count kelvin from -273 C; added to Celsius it makes theirs ours
)

// The air as the handbooks print it in their examples.
var (
	airI1 = air{ConductivityWPerMK: 0.0338, ViscosityM2PerS: 26.4e-6, DiffusivityM2PerS: 38.3e-6, Prandtl: 0.69, ExpansionPerK: 0.0025}
	airI2 = air{ConductivityWPerMK: 0.0265, ViscosityM2PerS: 16.2e-6, DiffusivityM2PerS: 22.9e-6, Prandtl: 0.71, ExpansionPerK: 0.0033}
	airI3 = air{ConductivityWPerMK: 0.0313, ViscosityM2PerS: 22.8e-6, DiffusivityM2PerS: 32.8e-6, Prandtl: 0.697, ExpansionPerK: 0.002725}
)

// atG is a body's flow with the gravity of a book.
func atG(b body, g float64) flow {
	f := b.flow()
	f.Rayleigh *= g / gravity
	return f
}

// gas is air of which viscosity and Prandtl number are printed, at a film of filmC.
func gas(k, nu, pr, filmC float64) air {
	return air{ConductivityWPerMK: k, ViscosityM2PerS: nu, DiffusivityM2PerS: nu / pr, Prandtl: pr, ExpansionPerK: 1 / (filmC + 273)}
}

// Example_verticalPlate is a hot glass screen before a fire. source: Incropera et al., Fundamentals of Heat and Mass
// Transfer, example 9.2, p. 572 (I1), which prints h 7.0 and 1060 W.
func Example_verticalPlate() {
	screen := body{LengthM: 0.71, SurfaceC: 232, AirC: 23, Air: airI1}
	h := screen.wPerM2K(screen.flow().verticalPlate())
	fmt.Printf("%.1f W/m2/K, %.0f W\n", h, h*1.02*0.71*(232-23))
	// Output: 7.0 W/m2/K, 1060 W
}

func TestAirTableAgainstPrintedProperties(t *testing.T) {
	cases := []struct {
		id      string
		filmC   float64
		printed air
	}{ // a hundredth: handbooks' tables differ by as much
		{"I1", (232 + 23) / 2., airI1},
		{"I2", (45 + 15) / 2., airI2},
		{"I3", (165 + 23) / 2., airI3},
	}
	for _, c := range cases {
		a, err := airAt(c.filmC)
		if err != nil {
			t.Fatal(err)
		}
		for what, pair := range map[string][2]float64{
			"conductivity": {a.ConductivityWPerMK, c.printed.ConductivityWPerMK}, "viscosity": {a.ViscosityM2PerS, c.printed.ViscosityM2PerS},
			"diffusivity": {a.DiffusivityM2PerS, c.printed.DiffusivityM2PerS}, "Prandtl": {a.Prandtl, c.printed.Prandtl},
			"expansion": {a.ExpansionPerK, c.printed.ExpansionPerK},
		} {
			near(t, c.id+" "+what, pair[0]/pair[1], 1, 0.01)
		}
	}
}

func TestAirTable(t *testing.T) {
	x, y := airTable()[0].Points()
	if len(x) != 5 || x[0] != 250 || x[4] != 450 || y[1] != 0.0263 || y[4] != 0.0373 {
		t.Errorf("table of air: %v %v", x, y)
	}
	for i := 250.0; i < 450; i++ { // Pr = nu/alpha ties the columns; three printed digits leave 1 %
		a, err := airAt(i - zeroCelsiusK + 0.5)
		if err != nil {
			t.Fatal(err)
		}
		near(t, fmt.Sprintf("Prandtl at %g K", i), a.ViscosityM2PerS/a.DiffusivityM2PerS/a.Prandtl, 1, 0.01)
	}
	for _, c := range []float64{-24, 178, math.NaN(), math.Inf(1)} {
		if _, err := airAt(c); err == nil || !strings.Contains(err.Error(), "runs from -23.15 to 176.9 °C") {
			t.Errorf("air at %g °C: %v", c, err)
		}
	}
	near(t, "hottest surface in 25 C", hottestSurfaceC(25), 2*176.85-25, 1e-9)
}

func TestVerticalPlates(t *testing.T) {
	screen := body{LengthM: 0.71, SurfaceC: 232, AirC: 23, Air: airI1}
	still := atG(screen, bookG)
	near(t, "I1 Ra", still.Rayleigh, 1.8144e9, 0.0001e9)
	near(t, "I1 Nu", still.verticalPlate(), 147, 0.5) // printed to whole numbers
	near(t, "I1 W", screen.wPerM2K(still.verticalPlate())*1.02*0.71*209, 1060, 1)

	wall := body{LengthM: 4, SurfaceC: 60, AirC: 10, Air: gas(0.02685, 16.5e-6, 0.7, 35)}
	near(t, "I7 W", wall.wPerM2K(atG(wall, 9.8).verticalPlate())*40*50, 9603, 1) // Holman, example 7.2

	near(t, "I11 plate", flow{Rayleigh: 0.69 * 2.63e9, Prandtl: 0.69}.verticalPlate(), 147.16185, 1e-5)
}

// squireEckert is the older integral solution for a vertical plate, which example 8.1 of Lienhard, A Heat Transfer
// Textbook, p. 410, works with.
func squireEckert(f flow) float64 {
	return 0.678 * math.Pow(f.Rayleigh*f.Prandtl/(0.952+f.Prandtl), 0.25)
}

func TestLaminarPlateAgainstLienhard(t *testing.T) { // I8; the book takes the expansion at the air's 14 C
	a := air{ConductivityWPerMK: 0.02614, ViscosityM2PerS: 1.566e-5, DiffusivityM2PerS: 2.203e-5, Prandtl: 0.711, ExpansionPerK: 1 / 287.}
	side := body{LengthM: 0.4, SurfaceC: 40, AirC: 14, Air: a}
	h := side.wPerM2K(squireEckert(atG(side, 9.8)))
	near(t, "I8 Squire-Eckert h", h, 4.06, 0.01)
	near(t, "I8 Squire-Eckert W/m2", h*26, 105.5, 0.25) // as far as h
	near(t, "I8 laminar h", side.wPerM2K(atG(side, 9.8).verticalPlateLaminar()), 3.852, 0.01)
}

func TestPlateFormulasMeet(t *testing.T) { // near 1e9 they part by a quarter; for bars, below 1e7, within a tenth
	for _, ra := range []float64{1e3, 1e4, 1e5, 1e6, 1e7} {
		f := flow{Rayleigh: ra, Prandtl: 0.7}
		near(t, "laminar over full", f.verticalPlateLaminar()/f.verticalPlate(), 1, 0.1)
		near(t, "choice below 1e9", f.vertical(), f.verticalPlateLaminar(), 0)
	}
	f := flow{Rayleigh: 1.1e9, Prandtl: 0.7}
	near(t, "choice above 1e9", f.vertical(), f.verticalPlate(), 0)
}

func TestHorizontalPlates(t *testing.T) {
	// I5: Cengel, example 9-2, plate 0.6 m square at 90 C in 30 C; the book uses the laminar branch at Ra 1.195e7.
	plate := body{LengthM: 0.6, SurfaceC: 90, AirC: 30, Air: gas(0.02808, 1.896e-5, 0.7202, 60)}
	near(t, "I5 Ra vertical", atG(plate, bookG).Rayleigh, 7.65e8, 0.01e8)
	near(t, "I5 vertical W", plate.wPerM2K(atG(plate, bookG).verticalPlate())*0.36*60, 115, 0.5)
	plate.LengthM = 0.15
	f := atG(plate, bookG)
	near(t, "I5 Ra flat", f.Rayleigh, 1.195e7, 0.002e7)
	near(t, "I5 up W", plate.wPerM2K(f.hotSideUpLaminar())*0.36*60, 128, 0.5)
	near(t, "I5 down W", plate.wPerM2K(f.hotSideDown())*0.36*60, 64.2, 0.1)
	near(t, "I5 radiation W", body{SurfaceC: 90 + bookK, AirC: 30 + bookK}.radiationWPerM2(1)*0.36, 182, 0.5)

	// I6: Cengel, problem 9-41: length is area over perimeter; Ra 411 500 is printed.
	near(t, "I6 up", flow{Rayleigh: 411500, Prandtl: 0.7228}.hotSideUp(), 13.68, 0.005)
	near(t, "I6 down", flow{Rayleigh: 411500, Prandtl: 0.7228}.hotSideDown(), 6.838, 0.005)

	// I10: Kreith, Principles of Heat Transfer, 7th edition, example 5.3, p. 311. Its air is not printed: the Rayleigh number
	// follows from the printed underside, the conductivity is a table's at 127 C.
	down := flow{Rayleigh: math.Pow(25.2/0.27, 4), Prandtl: 0.71}
	near(t, "I10 top", down.hotSideUp(), 63.4, 0.2)
	near(t, "I10 W", (down.hotSideUp()+down.hotSideDown())*0.032/0.25*200, 2268, 10)

	// I11: test values of a public heat-transfer library.
	water := flow{Rayleigh: 5.54 * 3.21e8, Prandtl: 5.54}
	near(t, "I11 up", water.hotSideUp(), 181.73121, 1e-5)
	near(t, "I11 down", water.hotSideDown(), 55.44565, 1e-5)
}

func TestHotSideUpChangesBranchAtTenMillion(t *testing.T) {
	below, above := flow{Rayleigh: 1e7}.hotSideUp(), flow{Rayleigh: 1.0001e7}.hotSideUp()
	near(t, "below", below, 30.366, 0.001)
	near(t, "step", above/below, 1.0641, 0.0002) // 0.15 10^(7/3) over 0.54 10^(7/4)
}

func TestRadiation(t *testing.T) {
	// I17: Incropera et al., example 9.4, p. 580: a pipe of 0.1 m at 165 C in a room of 23 C.
	pipe := body{SurfaceC: 165 + bookK, AirC: 23 + bookK}
	near(t, "I17 W/m", pipe.radiationWPerM2(0.85)*math.Pi*0.1, 441, 0.5)
	// I4: Cengel, example 9-1, a pipe of 0.08 m and 6 m.
	pipe = body{SurfaceC: 70 + bookK, AirC: 20 + bookK}
	near(t, "I4 W", pipe.radiationWPerM2(1)*math.Pi*0.08*6, 553, 1)
}

func TestDuct(t *testing.T) { // I2: Incropera et al., example 9.3, p. 577, duct 0.75 x 0.3 m at 45 C in 15 C
	side := body{LengthM: 0.3, SurfaceC: 45, AirC: 15, Air: airI2}
	flat := side
	flat.LengthM = 0.75 / 2
	hs, ht, hb := side.wPerM2K(atG(side, 9.8).vertical()), flat.wPerM2K(atG(flat, 9.8).hotSideUp()), flat.wPerM2K(atG(flat, 9.8).hotSideDown())
	near(t, "I2 sides", hs, 4.23, 0.01)
	near(t, "I2 top", ht, 5.47, 0.01)
	near(t, "I2 bottom", hb, 2.07, 0.01)
	near(t, "I2 W/m", (2*0.3*hs+0.75*(ht+hb))*30, 246, 0.5)
}

func TestConvectionLaws(t *testing.T) {
	forms := map[string]func(flow) float64{
		"plate": flow.verticalPlate, "laminar": flow.verticalPlateLaminar, "up": flow.hotSideUp, "down": flow.hotSideDown,
	}
	rapid.Check(t, func(t *rapid.T) {
		ra := math.Pow(10, rapid.Float64Range(0, 11).Draw(t, "decade"))
		pr := rapid.Float64Range(0.6, 10).Draw(t, "Pr")
		for name, nu := range forms {
			a, b := nu(flow{Rayleigh: ra, Prandtl: pr}), nu(flow{Rayleigh: 1.1 * ra, Prandtl: pr})
			if !(a > 0 && b > a) {
				t.Fatalf("%s: Nu %g at %g, %g above it: more buoyancy must carry more", name, a, ra, b)
			}
		}
		warm := body{LengthM: 0.1, SurfaceC: 50, AirC: 20, Air: airI2}
		cold := body{LengthM: 0.1, SurfaceC: 20, AirC: 50, Air: airI2}
		if warm.flow() != cold.flow() {
			t.Fatal("the sign of the difference must not matter")
		}
	})
}
