package stack_test

import (
	"math"
	"testing"

	"fathomlux/optics/stack"
	"fathomlux/scene/longtest"

	"gonum.org/v1/gonum/integrate/quad"
	"pgregory.net/rapid"
)

const deg = math.Pi / 180

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	longtest.Held(t, what, got, want, tolerance)
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.12g, want %.12g within %g", what, got, want, tolerance)
	}
}

// rho is where a ray lands.
func rho(c stack.Column, tanTheta float64) float64 {
	rhoM, _ := c.Land(tanTheta)
	return rhoM
}

// slope is d rho / d tan(theta), as Spread has it: sin(theta)/(rho * slope * (1 + tan^2)), as d tan/d theta is 1 + tan^2.
func slope(c stack.Column, v float64) float64 {
	return math.Sin(math.Atan(v)) / (rho(c, v) * c.Spread(v) * (1 + v*v))
}

// tank is the water of D2 to D8: 0.2 m of air over 0.4 m of water.
var tank = stack.Column{AirM: 0.2, WaterM: 0.4, WaterIndex: 1.333}

// TestApparentDepth: 12.5 cm of water (n 1.33) seem 9.4 cm deep, and 7.7 cm with n = 1.63 (D1: NCERT Physics XII, exercise 9.3).
func TestApparentDepth(t *testing.T) {
	near(t, "water", 100*stack.Column{WaterM: 0.125, WaterIndex: 1.33}.ApparentM(), 9.3985, 5e-5)
	near(t, "denser", 100*stack.Column{WaterM: 0.125, WaterIndex: 1.63}.ApparentM(), 7.6687, 5e-5)
	c := stack.Column{AirM: 0.2, Pane: stack.Pane{ThicknessM: 0.004, Index: 1.52}, WaterM: 0.4, WaterIndex: 1.333}
	near(t, "with a pane", c.ApparentM(), 0.2+0.004/1.52+0.4/1.333, 1e-15)
	near(t, "is the slope on the axis", rho(c, 1e-9)/1e-9, c.ApparentM(), 1e-15)
}

// TestLandingByAngle holds rho and E of an even 100 cd without losses at each angle (D2, D3, D4: closed form, confirmed
// there by a vector ray trace). Tolerances are half of the last printed digit.
func TestLandingByAngle(t *testing.T) {
	near(t, "axis", 100*tank.Spread(0), 399.8800, 5e-5)
	near(t, "axis without water", 100*stack.Column{AirM: 0.6}.Spread(0), 277.7778, 5e-5)
	rhoM := []float64{.087821, .178981, .277325, .387994, .519236, .688255, .947062, 1.572750}
	lux := []float64{388.1483, 354.6651, 304.0837, 242.6645, 176.4822, 110.2303, 49.6761, 9.2044}
	for i := range rhoM {
		v := math.Tan(float64(i+1) * 10 * deg)
		near(t, "rho", rho(tank, v), rhoM[i], 5.1e-7)
		near(t, "E", 100*tank.Spread(v), lux[i], 5.1e-5)
	}
}

// TestLandingByRadius solves the landing equation (D5, and the exact means over rings of D6, whose ray trace gave 344.55,
// 185.27 and 42.18 lx).
func TestLandingByRadius(t *testing.T) {
	lux := map[float64]float64{0: 399.8800, .1: 384.7789, .2: 344.7250, .3: 291.4942, .5: 185.4426, 1: 42.1786}
	for rho, want := range lux {
		near(t, "E", 100*tank.Spread(tank.SolveTan(rho, 0)), want, 5.1e-5)
	}
	for _, ring := range []struct{ from, to, want float64 }{{.19, .21, 344.6219}, {.49, .51, 185.4235}, {.98, 1.02, 42.1904}} {
		mean := quad.Fixed(func(rho float64) float64 {
			return 100 * tank.Spread(tank.SolveTan(rho, 0)) * 2 * rho
		}, ring.from, ring.to, 10, quad.Legendre{}, 0) / (ring.to*ring.to - ring.from*ring.from)
		near(t, "ring", mean, ring.want, 5.1e-5)
	}
}

// TestFluxIsKept: the plane gets the flux of the 60 deg cone of 100 cd, 2 pi I (1 - cos 60 deg) = 314.159265 lm (D7).
func TestFluxIsKept(t *testing.T) {
	edge := rho(tank, math.Tan(60*deg))
	flux := quad.Fixed(func(rho float64) float64 {
		return 100 * tank.Spread(tank.SolveTan(rho, 0)) * 2 * math.Pi * rho
	}, 0, edge, 60, quad.Legendre{}, 0)
	near(t, "flux", flux, 314.159265, 5e-7)
}

// TestWithoutWater: with n = 1, and with air alone, E is I cos^3/h^2 (D8: 180.421952 and 34.722222 lx at 30 and 60 deg; the
// first is printed 7e-6 too low, so it is held to 1e-5, and the closed form to rounding).
func TestWithoutWater(t *testing.T) {
	for _, c := range []stack.Column{{AirM: 0.2, WaterM: 0.4, WaterIndex: 1}, {AirM: 0.6}, {AirM: 0.6, WaterIndex: 1.333},
		{AirM: 0.1, Pane: stack.Pane{ThicknessM: 0.5, Index: 1}}} {
		near(t, "30 deg", 100*c.Spread(math.Tan(30*deg)), 180.421952, 1e-5)
		near(t, "closed form", 100*c.Spread(math.Tan(30*deg)), 100*math.Pow(math.Cos(30*deg), 3)/0.36, 1e-12)
		near(t, "60 deg", 100*c.Spread(math.Tan(60*deg)), 34.722222, 5.1e-7)
		near(t, "rho", rho(c, math.Tan(60*deg)), 0.6*math.Tan(60*deg), 1e-15)
		near(t, "tan", c.SolveTan(0.6*7, 0), 7, 1e-13)
	}
	near(t, "no surface", stack.Column{AirM: 1}.Transmittance(3), 1, 0)
}

// TestLandingThroughPane: a 4 mm pane of n 1.52 besides the air (D9).
func TestLandingThroughPane(t *testing.T) {
	c := tank
	c.Pane = stack.Pane{ThicknessM: 0.004, Index: 1.52}
	near(t, "axis", 100*c.Spread(0), 395.7044, 5.1e-5)
	for _, r := range []struct{ angle, rho, lux float64 }{{30, .278718, 301.1889}, {60, .691028, 109.5604}} {
		v := math.Tan(r.angle * deg)
		rhoM, surfaceM := c.Land(v)
		near(t, "rho", rhoM, r.rho, 5.1e-7)
		near(t, "E", 100*c.Spread(v), r.lux, 5.1e-5)
		path := c.WaterPathM(v)
		near(t, "rho at the surface", surfaceM, rhoM-math.Sqrt(path*path-0.4*0.4), 1e-15)
	}
}

// anyColumn draws layers from a hair to ten metres. Air may be missing where thin is true.
func anyColumn(t *rapid.T) stack.Column {
	length := rapid.Float64Range(1e-6, 10)
	c := stack.Column{AirM: length.Draw(t, "air"), WaterM: rapid.Float64Range(0, 10).Draw(t, "water")}
	c.WaterIndex = rapid.Float64Range(1, 1.4).Draw(t, "n water")
	if rapid.Bool().Draw(t, "pane") {
		c.Pane = stack.Pane{ThicknessM: length.Draw(t, "thickness"), Index: rapid.Float64Range(1, 1.7).Draw(t, "n pane"),
			AbsorbPerM: rapid.Float64Range(0, 100).Draw(t, "absorption")}
	}
	return c
}

// TestSolveTanFindsTheRay: what SolveTan returns lands at rho, and inverts Land, from a cold start and from any warm one. The
// root is as good as rho's last digit allows: v changes by rho/(v*slope) times the relative change of rho, and three
// layers are summed.
func TestSolveTanFindsTheRay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := anyColumn(t)
		goal := math.Pow(10, rapid.Float64Range(-9, 4).Draw(t, "log10 rho"))
		v := c.SolveTan(goal, 0)
		tolerance := 1e-14 + 1e-15*goal/(v*slope(c, v))
		if residual := math.Abs(rho(c, v)-goal) / (v * slope(c, v)); residual > tolerance {
			t.Fatalf("%+v, rho %g: tan %g lands at %.17g, off by %g of tan", c, goal, v, rho(c, v), residual)
		}
		if v < goal/c.ApparentM()*(1-1e-15) || v > goal/c.AirM*(1+1e-15) {
			t.Fatalf("tan %g outside %g to %g", v, goal/c.ApparentM(), goal/c.AirM)
		}
		start := v * math.Pow(10, rapid.Float64Range(-3, 3).Draw(t, "start"))
		if warm := c.SolveTan(goal, start); math.Abs(warm-v) > 2*tolerance*v {
			t.Fatalf("%+v, rho %g: cold %.17g, warm from %g %.17g", c, goal, v, start, warm)
		}
	})
}

func TestSolveTanAtTheEnds(t *testing.T) {
	for _, rho := range []float64{0, -1, math.NaN(), math.Inf(-1)} {
		near(t, "no distance", tank.SolveTan(rho, 1), 0, 0)
	}
	noAir := stack.Column{WaterM: 0.4, WaterIndex: 1.333}
	reach := 0.4 / math.Sqrt(1.333*1.333-1)
	if v := noAir.SolveTan(reach*1.001, 0); !math.IsInf(v, 1) {
		t.Errorf("beyond the critical angle's reach: %g, want no ray", v)
	}
	v := noAir.SolveTan(reach*0.999, 0)
	near(t, "near the reach", rho(noAir, v), reach*0.999, 1e-15)
	near(t, "horizontal", tank.Spread(math.Inf(1)), 0, 1e-100)
	near(t, "longest way in water", tank.WaterPathM(math.Inf(1)), 0.4/math.Sqrt(1-1/(1.333*1.333)), 1e-15)
	if rhoM, surfaceM := tank.Land(math.Inf(1)); !(rhoM >= surfaceM && surfaceM > 1e90) {
		t.Errorf("horizontal ray: %g, %g", rhoM, surfaceM)
	}
}

// TestSlopes holds Spread against a central difference of where rays land, and the way under water against Snell's law.
func TestSlopes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := anyColumn(t)
		v := rapid.Float64Range(0.001, 20).Draw(t, "v")
		h := 1e-5 * v // third order of the difference: 1e-10 of the slope
		if difference := (rho(c, v+h) - rho(c, v-h)) / (2 * h); math.Abs(difference-slope(c, v)) > 1e-8*difference {
			t.Fatalf("%+v at %g: slope %g, difference %g", c, v, slope(c, v), difference)
		}
		rhoM, surfaceM := c.Land(v)
		sin := (rhoM - surfaceM) / c.WaterPathM(v) // under water
		if c.WaterM > 1e-6*rhoM && math.Abs(math.Sin(math.Atan(v))-c.WaterIndex*sin) > 1e-7 {
			t.Fatalf("%+v at %g: sine %g breaks Snell's law", c, v, sin)
		}
	})
}

func BenchmarkSolveTan(b *testing.B) {
	c := tank
	c.Pane = stack.Pane{ThicknessM: 0.004, Index: 1.52}
	sum := 0.0
	for i := 0; b.Loop(); i++ {
		sum += c.SolveTan(float64(i&1023)/512, 0)
	}
	if sum < 0 {
		b.Fatal(sum)
	}
}

func BenchmarkSolveTanWarm(b *testing.B) {
	c := tank
	c.Pane = stack.Pane{ThicknessM: 0.004, Index: 1.52}
	v := 0.0
	for i := 0; b.Loop(); i++ {
		v = c.SolveTan(float64(i&1023)/512, v)
	}
}

func BenchmarkLand(b *testing.B) {
	sum := 0.0
	for i := 0; b.Loop(); i++ {
		sum += rho(tank, float64(i&1023)/512)
	}
	if sum < 0 {
		b.Fatal(sum)
	}
}

// TestHollowSheet: two plates without absorption transmit (1-r)/(1+3r) at each polarisation. Source: J. A. Duffie, W. A. Beckman,
// Solar Engineering of Thermal Processes, equation 5.1.7 for two covers. With absorption the shares still sum to 1, and what is
// scattered counts as absorbed.
func TestHollowSheet(t *testing.T) {
	p := stack.Pane{ThicknessM: 0.001, Index: 1.585, Hollow: true}
	for _, cos := range []float64{1, 0.7, 0.2, 1e-3} {
		rs, rp := stack.Fresnel(1, p.Index, cos)
		ts, tp, bs, bp := p.Polarised(cos)
		for _, got := range [][3]float64{{rs, ts, bs}, {rp, tp, bp}} {
			if want := (1 - got[0]) / (1 + 3*got[0]); math.Abs(got[1]-want) > 1e-12 || math.Abs(got[1]+got[2]-1) > 1e-12 {
				t.Errorf("at the cosine %g: through %g, back %g, want %g through", cos, got[1], got[2], want)
			}
		}
		loss := stack.Pane{ThicknessM: 0.001, Index: 1.585, Hollow: true, AbsorbPerM: 100, Scatter: 0.2}
		clear := loss
		clear.Scatter = 0
		cts, ctp, _, _ := clear.Polarised(cos)
		column := stack.Column{AirM: 0.1, Pane: loss, WaterM: 0.4, WaterIndex: 1.333}
		tan := math.Sqrt(1-cos*cos) / cos
		a, b, c, d := column.Losses(tan)
		if math.Abs(a+b+c+d-1) > 1e-12 || b < 0.1*(cts+ctp) {
			t.Errorf("at the cosine %g: shares %g %g %g %g", cos, a, b, c, d)
		}
		lts, _, _, _ := loss.Polarised(cos)
		if math.Abs(lts-0.8*cts) > 1e-15 {
			t.Errorf("a fifth thrown aside leaves %g of %g", lts, cts)
		}
	}
	if ts, _, bs, _ := p.Polarised(0); ts != 0 || bs != 1 {
		t.Errorf("grazing light: through %g, back %g", ts, bs)
	}
}
