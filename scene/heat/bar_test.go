package heat

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"fathomlux/scene/parts"
)

// square is a bar of 40 x 20 mm without grooves.
func square() Bar {
	return Bar{Profile: parts.Profile{WidthM: 0.04, HeightM: 0.02, PerimeterM: 0.12, Emissivity: 0.85}, AirC: 25}
}

func lossOf(t interface{ Fatal(...any) }, b Bar, surfaceC float64) barLoss {
	l, err := b.lossPerM(surfaceC)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// TestBarIsTheDuctOfTheHandbook feeds the duct of I2 (246 W/m, printed air) to the bar, which takes its air from the
// table: within 1 %, as the two airs.
func TestBarIsTheDuctOfTheHandbook(t *testing.T) {
	l := lossOf(t, Bar{Profile: parts.Profile{WidthM: 0.75, HeightM: 0.3, PerimeterM: 2.1}, AirC: 15}, 45)
	near(t, "W/m", l.totalW(), 246, 2.5)
	near(t, "sides", l.FacesW[0], 4.23*0.6*30, 0.8)
	near(t, "top", l.FacesW[1], 5.47*0.75*30, 1.2)
	near(t, "underside", l.FacesW[2], 2.07*0.75*30, 0.5)
	if l.FacesW[3] != 0 || l.RadiationW != 0 {
		t.Errorf("a box without grooves: %+v", l)
	}
}

func TestPerimeterBeyondTheBoxGivesHeatToTheAirAlone(t *testing.T) {
	plain, fins := square(), square()
	fins.PerimeterM += 0.1
	a, b := lossOf(t, plain, 60), lossOf(t, fins, 60)
	near(t, "grooves", b.FacesW[3], a.FacesW[0]/(2*0.02)*0.1, 1e-12) // as the sides, per metre of outline
	near(t, "all else", b.totalW()-b.FacesW[3], a.totalW(), 1e-12)
	near(t, "radiation", a.RadiationW, body{SurfaceC: 60, AirC: 25}.radiationWPerM2(0.85)*0.12, 1e-12)
}

func TestLessPerimeterGivesLessInProportion(t *testing.T) {
	part := square()
	part.PerimeterM = 0.09
	near(t, "three quarters", lossOf(t, part, 60).totalW()/lossOf(t, square(), 60).totalW(), 0.75, 1e-12)
}

func TestBarInItsOwnTemperatureAndBelow(t *testing.T) {
	if l := lossOf(t, square(), 25); l.totalW() != 0 {
		t.Errorf("no difference, no heat: %+v", l)
	}
	if l := lossOf(t, square(), 10); l.FacesW[0] >= 0 || l.FacesW[1] >= 0 || l.RadiationW >= 0 {
		t.Errorf("a cold bar takes heat up: %+v", l)
	}
	if _, err := square().lossPerM(400); err == nil {
		t.Error("a film of 212 C is beyond the table of air")
	}
}

// stretchedFaces are the names of a bar's stretched faces.
func stretchedFaces(b Bar, surfaceC float64) (names string) {
	for _, s := range b.Stretched(surfaceC) {
		names += s.Face + " "
	}
	return names
}

func TestBarNamesStretchedFaces(t *testing.T) {
	if got := stretchedFaces(square(), 60); got != "underside " {
		t.Errorf("20 mm at 35 K is Ra 2.6e4, inside the top's range and below the underside's: %q", got)
	}
	narrow := square()
	narrow.WidthM = 0.02
	if got := stretchedFaces(narrow, 60); got != "top underside " {
		t.Errorf("10 mm at 35 K is below the top's range: %q", got)
	}
	if got := stretchedFaces(square(), 25) + stretchedFaces(square(), 20); got != "" {
		t.Errorf("nothing flows, nothing is stretched: %q", got)
	}
}

func TestBarTable(t *testing.T) {
	table, err := square().loss()
	if err != nil {
		t.Fatal(err)
	}
	for _, rise := range []float64{1.3, 7.7, 33.3, 150.1} { // between nodes; tolerance as tableStepK promises
		got, slope := table(25 + rise)
		want := lossOf(t, square(), 25+rise).totalW()
		near(t, "loss", got/want, 1, map[bool]float64{true: 0.01, false: 1e-4}[rise < 10])
		near(t, "slope", slope, (lossOf(t, square(), 25+rise+0.1).totalW()-lossOf(t, square(), 25+rise-0.1).totalW())/0.2, 0.02*slope)
	}
	up, _ := table(25 + 12.25)
	if down, _ := table(25 - 12.25); down != -up {
		t.Errorf("below the air %g, above it %g", down, up)
	}
	far, slope := table(1e9)
	if !(far > 1e8) || !(slope > 0) {
		t.Errorf("far beyond the table: %g, %g", far, slope)
	}
	if _, err := (Bar{AirC: 500}).loss(); err == nil {
		t.Error("air of 500 C has no table")
	}
}

func TestBarLaws(t *testing.T) {
	lib := parts.Builtin()
	rapid.Check(t, func(t *rapid.T) {
		p := lib.Profiles[rapid.SampledFrom(parts.Names(lib.Profiles)).Draw(t, "profile")]
		b := Bar{Profile: p, AirC: rapid.Float64Range(0, 40).Draw(t, "air")}
		table, err := b.loss()
		if err != nil {
			t.Fatal(err)
		}
		low := rapid.Float64Range(-50, 400).Draw(t, "surface")
		high := low + rapid.Float64Range(0.01, 50).Draw(t, "warmer by")
		cool, _ := table(low)
		warm, slope := table(high)
		if !(warm > cool && slope > 0) {
			t.Fatalf("%s: %g W/m at %g C, %g at %g C", p.Name, cool, low, warm, high)
		}
		h := lossOf(t, b, b.AirC+30).totalW() / 30 / p.PerimeterM
		if h < 4 || h > 20 { // the span of natural convection with radiation in air
			t.Fatalf("%s: %g W/m2/K", p.Name, h)
		}
		if math.IsNaN(warm) {
			t.Fatal("not a number")
		}
	})
}

// TestShareBoundsTheError: with 20 % less from the stretched faces the bar gives the same heat at a temperature that is higher
// by no more than 20 % of their share of its rise.
func TestShareBoundsTheError(t *testing.T) {
	narrow := square()
	narrow.WidthM = 0.02
	for name, c := range map[string]struct {
		bar   Bar
		faces []int
	}{"40 mm": {square(), []int{2}}, "20 mm": {narrow, []int{1, 2}}} {
		const hotC, off = 60, 0.2
		share := 0.0
		for _, s := range c.bar.Stretched(hotC) {
			share += s.Share
		}
		loss := func(tC, less float64) float64 {
			l := lossOf(t, c.bar, tC)
			w := l.totalW()
			for _, i := range c.faces {
				w -= less * l.FacesW[i]
			}
			return w
		}
		tC := float64(hotC)
		for loss(tC, off) < loss(hotC, 0) {
			tC += 0.01
		}
		if bound := off * share * (hotC - c.bar.AirC); !(tC-hotC <= bound && tC-hotC > 0.5*bound) {
			t.Errorf("%s: %.2f K off, bounded by %.2f K", name, tC-hotC, bound)
		}
	}
}
