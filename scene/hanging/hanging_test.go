package hanging

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/optimize"
	"pgregory.net/rapid"

	"fathomlux/scene"
	"fathomlux/scene/parts"
)

func near(t *testing.T, what string, got, want, share float64) {
	t.Helper()
	if !(math.Abs(got-want) <= share*math.Abs(want)) {
		t.Errorf("%s: %.9g, want %.9g", what, got, want)
	}
}

// flat is an aluminium bar of 60 by 5 mm without modules.
func flat(lengthM float64) scene.Rail {
	return scene.Rail{LengthM: lengthM, Profile: parts.Profile{WidthM: 0.06, HeightM: 0.005, MetalM2: 300e-6}}
}

func module(atM, kg float64) scene.Module {
	return scene.Module{Part: parts.Module{MassKg: kg}, XM: atM}
}

// TestBeamOnItsEnds holds the closed forms of handbooks (Roark's, table of beams): 5 q l^4 / 384 E I with q l / 2 at each end and
// q l^2 / 8 in the middle. By hand, 2 m: 2700 kg/m3 times 300 mm2 and 0.03 kg/m of wires are 0.84 kg/m, so 1.68 kg and
// q = 8.237586 N/m; I = 60 mm * (5 mm)^3 / 12 = 625 mm4, E I = 70 GPa * 625 mm4 = 43.75 N m2;
// sag = 5 * 8.237586 * 16 / (384 * 43.75) = 39.2266 mm; stress = 4.118793 N m * 2.5 mm / 625 mm4 = 16.47517 MPa, 100 MPa over it 6.0697.
func TestBeamOnItsEnds(t *testing.T) {
	h := Of(flat(2), []float64{0, 2})
	near(t, "kg", h.Kg(), 1.68, 1e-12)
	near(t, "sag", h.SagM, 0.0392266, 1e-5)
	near(t, "its place", h.SagAtM, 1, 1e-9)
	near(t, "left", h.Hangers[0].LoadN, 8.237586, 1e-6)
	near(t, "right", h.Hangers[1].LoadN, 8.237586, 1e-6)
	near(t, "safety", h.Safety, 6.0697, 1e-4)
	near(t, "to bear", h.HangerN(), 5*8.237586, 1e-6)
	if h.Guessed {
		t.Error("the second moment of a solid bar is no guess")
	}
}

// TestOneLoad holds P a^2 b^2 / 3 E I l below a load at a and b from two ends (Roark's), and P b / l and P a / l on them; the
// evenly spread load is taken off by superposition.
func TestOneLoad(t *testing.T) {
	const ei, n = 43.75, 2 * gravityMPerS2
	r := flat(1)
	bare := Of(r, []float64{0, 1})
	r.Modules = []scene.Module{module(0.3, 2)}
	h := Of(r, []float64{0, 1})
	near(t, "left", h.Hangers[0].LoadN-bare.Hangers[0].LoadN, 0.7*n, 1e-9)
	near(t, "right", h.Hangers[1].LoadN-bare.Hangers[1].LoadN, 0.3*n, 1e-9)
	b, alone := beam{lengthM: 1, loads: []Hanger{{0.3, n}}}, []Hanger{{AtM: 0}, {AtM: 1}}
	b.solve(alone)
	near(t, "sag below the load", b.bent(alone, 0.3)/ei, n*0.09*0.49/(3*ei), 1e-9)
}

// TestThreeHangers holds an even load on three supports at equal distances: 3/16, 10/16 and 3/16 of it (three-moment equation,
// Clapeyron), and a moment over the middle one of q a^2 / 8 with a from support to support.
func TestThreeHangers(t *testing.T) {
	h := Of(flat(2), []float64{0, 1, 2})
	weightN := h.Kg() * gravityMPerS2
	for i, share := range []float64{3.0 / 16, 10.0 / 16, 3.0 / 16} {
		near(t, "hanger", h.Hangers[i].LoadN, share*weightN, 1e-9)
	}
	near(t, "safety", h.Safety, 100e6*625e-12/(weightN/2/8*0.0025), 1e-6)
}

// TestLeastSag finds from the beam equation alone where two hangers have to be: with each a away from its end, the bar is
// q x^4/24 - R <x-a>^3/6 + lines; the largest sag is least where ends and middle hang equally low.
func TestLeastSag(t *testing.T) {
	r := flat(1)
	sag := func(x []float64) float64 { return Of(r, []float64{x[0], 1 - x[0]}).SagM }
	best, err := optimize.Minimize(optimize.Problem{Func: sag}, []float64{0.2}, nil, &optimize.NelderMead{})
	if err != nil || math.Abs(best.X[0]-EndShare) > 2e-5 {
		t.Fatalf("least sag with hangers %.6f of the length from each end, want %g: %v", best.X[0], EndShare, err)
	}
	near(t, "share of that on the ends", best.F/Of(r, []float64{0, 1}).SagM, 0.0207, 0.01) // 1/48 or so: textbooks give 2 %
	b := beam{lengthM: 1, evenN: 1}
	hangers := []Hanger{{AtM: EndShare}, {AtM: 1 - EndShare}}
	b.solve(hangers)
	near(t, "ends as low as the middle", b.bent(hangers, 0), b.bent(hangers, 0.5), 1e-3)
}

// TestBalanceOfForces: hangers bear what hangs on them, with no turning moment, however many there are.
func TestBalanceOfForces(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		rail := flat(rapid.Float64Range(0.1, 5).Draw(r, "length"))
		rail.LeftM = rapid.Float64Range(-1, 1).Draw(r, "left")
		for _, share := range rapid.SliceOfN(rapid.Float64Range(0, 1), 0, 20).Draw(r, "modules") {
			rail.Modules = append(rail.Modules, module(rail.LeftM+share*rail.LengthM, 0.05))
		}
		var at []float64
		for i := range rapid.IntRange(2, 10).Draw(r, "hangers") {
			at = append(at, rail.LengthM*(float64(i)+rapid.Float64Range(0.1, 0.9).Draw(r, "at"))/10)
		}
		h := Of(rail, at)
		forceN, turnNm := -h.Kg()*gravityMPerS2, -(h.BarKg+h.WiresKg)*gravityMPerS2*rail.LengthM/2
		for _, m := range rail.Modules {
			turnNm -= m.Part.MassKg * gravityMPerS2 * (m.XM - rail.LeftM)
		}
		for _, one := range h.Hangers {
			forceN += one.LoadN
			turnNm += one.LoadN * one.AtM
		}
		if tiny := 1e-7 * h.Kg() * gravityMPerS2; math.Abs(forceN) > tiny || math.Abs(turnNm) > tiny*rail.LengthM || !(h.SagM >= 0) {
			r.Fatalf("%g N and %g N m are left over: %+v", forceN, turnNm, h)
		}
	})
}

// TestGuessedSection: a hollow bar that names no second moment is taken for a strip, and sags more than with any that it can have.
func TestGuessedSection(t *testing.T) {
	r := scene.Rail{LengthM: 1, Profile: parts.Profile{WidthM: 0.04, HeightM: 0.02, MetalM2: 240e-6, Metal: parts.Steel}}
	guess := Of(r, []float64{0, 1})
	near(t, "kg of steel", guess.BarKg, 7850*240e-6, 1e-12)
	r.Profile.SecondMomentM4 = 14e-9
	known := Of(r, []float64{0, 1})
	if !guess.Guessed || known.Guessed || guess.SagM < known.SagM {
		t.Errorf("guessed %+v, known %+v", guess, known)
	}
	near(t, "sag as 1 / I", guess.SagM/known.SagM, 14e-9/(0.04*math.Pow(0.006, 3)/12), 1e-9)
}
