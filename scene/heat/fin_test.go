package heat

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// steady is a loss in proportion to the excess over air of 25 C, as textbooks' fins have it.
func steady(wPerMK float64) loss {
	return func(tC float64) (float64, float64) { return wPerMK * (tC - 25), wPerMK }
}

// rodOf is a fin of a length.
type rodOf struct {
	fin
	lengthM float64
}

// rod is a fin of constant loss: decay length 0.1 m.
func rod(lengthM float64, sources ...source) rodOf {
	return rodOf{fin{ConductionWM: 0.05, Loss: steady(5), Sources: sources}, lengthM}
}

const rodPerM = 10 // sqrt(5/0.05)

func solved(t interface{ Fatal(...any) }, f rodOf) Line {
	l, err := f.solve(newLine(f.lengthM, 25))
	if err != nil {
		t.Fatal(err)
	}
	return l
}

// TestLongRodsOfTheHandbook is I13: Incropera et al., example 3.9, p. 145: rods of 5 mm, 100 C at the base, 25 C, h 100. The
// printed heat goes in at the end, and the base must come out at 100 C.
func TestLongRodsOfTheHandbook(t *testing.T) {
	for _, c := range []struct{ k, printedW, exactW, printedM, tolM float64 }{
		{398, 8.3, 8.310, 0.19, 0.005}, {180, 5.6, 5.588, 0.13, 0.005}, {14, 1.6, 1.558, 0.04, 0.005},
	} {
		area, wPerMK := math.Pi*0.005*0.005/4, 100*math.Pi*0.005
		perM := math.Sqrt(wPerMK / (c.k * area))
		near(t, fmt.Sprintf("infinite length at k %g", c.k), 2.65/perM, c.printedM, c.tolM)
		f := rodOf{fin{ConductionWM: c.k * area, Loss: steady(wPerMK)}, 8 / perM}
		near(t, "closed form W", math.Sqrt(wPerMK*c.k*area)*75, c.printedW, 0.05)
		f.Sources = []source{{HeatW: c.exactW}}
		l := solved(t, f)
		// The first cell's middle is half a cell from the base: its fall is that of the decay.
		base := 25 + (l.TC[0]-25)*math.Exp(perM*l.CellM/2)
		near(t, fmt.Sprintf("base at k %g", c.k), base, 100, 0.3) // second order in a cell of 0.16 decay lengths
		at := 2.65 / perM
		near(t, "2.65 decay lengths on", (l.meanC(at, at)-25)/(base-25), math.Exp(-2.65), 0.1*math.Exp(-2.65)) // within half a cell
	}
}

func TestLongFinDecays(t *testing.T) {
	l := solved(t, rod(2, source{FromM: 1, ToM: 1, HeatW: 4}))
	// A point of 4 W in the middle of an endless bar: T - air = P/(2 sqrt(k A h P)) exp(-m x).
	peak := 4 / (2 * math.Sqrt(0.05*5))
	for _, i := range []int{520, 560, 600, 650} {
		x := l.XM[i] - l.XM[500]
		near(t, fmt.Sprintf("%.3f m from the heat", x), (l.TC[i]-25)/(peak*math.Exp(-rodPerM*x)), 1, 1e-3) // (m dx)^2/24 and its growth
	}
}

func TestAdiabaticTip(t *testing.T) {
	l := solved(t, rod(0.2, source{HeatW: 3}))
	// T - air = P cosh(m(L-x)) / (sqrt(kAhP) sinh(mL)).
	for _, i := range []int{10, 50, 99} {
		want := 3 * math.Cosh(rodPerM*(0.2-l.XM[i])) / (0.5 * math.Sinh(rodPerM*0.2))
		// The source is spread over the first cell: half a cell further on than the end.
		near(t, fmt.Sprintf("%.3f m", l.XM[i]), (l.TC[i]-25)/want, 1, 1e-3)
	}
}

func TestConvectingEndsAreALongerBar(t *testing.T) {
	short := rod(0.2, source{FromM: 0.1, ToM: 0.1, HeatW: 3})
	short.EndExtraM = 0.002
	long := rod(0.204, source{FromM: 0.102, ToM: 0.102, HeatW: 3})
	a, b := solved(t, short), solved(t, long)
	near(t, "middle", a.meanC(0.1, 0.1), b.meanC(0.102, 0.102), 1e-3)
	closed := short
	closed.EndExtraM = 0
	if c := solved(t, closed); !(c.TC[0] > a.TC[0]) {
		t.Errorf("ends that give off nothing must be warmer: %g, %g", c.TC[0], a.TC[0])
	}
}

func TestEvenHeatIsOneTemperature(t *testing.T) {
	l := solved(t, rod(1, source{FromM: 0, ToM: 1, HeatW: 10}))
	for i, tC := range l.TC {
		near(t, fmt.Sprintf("cell %d", i), tC, 25+10/5., 1e-9) // W/m over W/m/K; no gradient, so no error but rounding
	}
}

func TestPeriodicSourcesComeNearTheEvenBar(t *testing.T) {
	const lengthM, heatW = 1.2, 12.0
	for _, n := range []int{3, 6, 12, 24} {
		var f = rod(lengthM)
		pitch := lengthM / float64(n)
		for i := range n {
			at := (float64(i) + 0.5) * pitch
			f.Sources = append(f.Sources, source{FromM: at, ToM: at, HeatW: heatW / float64(n)})
		}
		l := solved(t, f)
		// By symmetry each pitch is two fins with adiabatic tips: peak = P/(2 sqrt(kAhP) tanh(m pitch/2)).
		peak := heatW / float64(n) / (2 * 0.5 * math.Tanh(rodPerM*pitch/2))
		hottest, _ := l.hottestC()
		near(t, fmt.Sprintf("peak of %d sources", n), (hottest-25)/peak, 1, 0.02) // half a cell of 2 mm beside a kink of slope m
		near(t, fmt.Sprintf("mean of %d sources", n), l.meanC(0, lengthM)-25, heatW/lengthM/5, 1e-9)
	}
}

func TestLineReads(t *testing.T) {
	l := Line{CellM: 1, XM: []float64{0.5, 1.5, 2.5}, TC: []float64{10, 40, 20}}
	near(t, "cell", l.meanC(1.2, 1.7), 40, 1e-12)
	near(t, "two halves", l.meanC(0.5, 1.5), 25, 1e-12)
	near(t, "over the end", l.meanC(2, 9), 20, 1e-12)
	near(t, "point", l.meanC(2.2, 2.2), 20, 0)
	if tC, x := l.hottestC(); tC != 40 || x != 1.5 {
		t.Errorf("hottest %g at %g", tC, x)
	}
	twin := Line{CellM: 1, XM: []float64{0.5, 1.5, 2.5}, TC: []float64{40, 30, 40 + 1e-9}}
	if _, x := twin.hottestC(); x != 0.5 {
		t.Errorf("of two ends that are equally warm the one at %g is hottest", x)
	}
}

func TestCells(t *testing.T) {
	for _, c := range []struct {
		lengthM float64
		n       int
	}{{0.01, 50}, {1.1, 550}, {8, 4000}, {60, 4000}} {
		if l := newLine(c.lengthM, 25); len(l.XM) != c.n || math.Abs(l.XM[c.n-1]+l.CellM/2-c.lengthM) > 1e-12*c.lengthM {
			t.Errorf("%g m: %d cells to %g m, want %d", c.lengthM, len(l.XM), l.XM[len(l.XM)-1]+l.CellM/2, c.n)
		}
	}
}

// bar40 is an aluminium bar in free air, whose loss bends with the temperature.
func bar40(t interface{ Fatal(...any) }, lengthM float64) rodOf {
	table, err := square().loss()
	if err != nil {
		t.Fatal(err)
	}
	return rodOf{fin{ConductionWM: 200 * 260e-6, EndExtraM: 0.0014, Loss: table}, lengthM}
}

// randomSources draws one to six stretches on a bar.
func randomSources(t *rapid.T, lengthM float64) []source {
	var s []source
	for range rapid.IntRange(1, 6).Draw(t, "sources") {
		from := rapid.Float64Range(0, lengthM).Draw(t, "from")
		s = append(s, source{FromM: from, ToM: from + rapid.Float64Range(0, 0.1).Draw(t, "board"), HeatW: rapid.Float64Range(0.01, 20).Draw(t, "W")})
	}
	return s
}

func TestFinLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lengthM := rapid.Float64Range(0.02, 3).Draw(t, "length")
		f := bar40(t, lengthM)
		f.Sources = randomSources(t, lengthM)
		l, in := solved(t, f), 0.0
		for _, s := range f.Sources {
			in += s.HeatW
		}
		if math.Abs(l.LossW-in) > 1e-6*in { // promised: a thousandth
			t.Fatalf("%g W in, %g W out", in, l.LossW)
		}
		more := f
		more.Sources = append([]source(nil), f.Sources...)
		more.Sources[0].HeatW *= 1.5
		hot, n := solved(t, more), len(l.TC)
		mirrored := f
		mirrored.Sources = nil
		for _, s := range f.Sources {
			mirrored.Sources = append(mirrored.Sources, source{FromM: lengthM - math.Min(s.ToM, lengthM), ToM: lengthM - s.FromM, HeatW: s.HeatW})
		}
		other := solved(t, mirrored)
		for i := range l.TC {
			if !(hot.TC[i] >= l.TC[i]-1e-6) || !(l.TC[i] >= 25-1e-6) {
				t.Fatalf("cell %d: %g C with more heat, %g C with less, air 25 C", i, hot.TC[i], l.TC[i])
			}
			if math.Abs(other.TC[n-1-i]-l.TC[i]) > 0.5 && !edgy(f.Sources, l) {
				t.Fatalf("cell %d: %g C, mirrored %g C", i, l.TC[i], other.TC[n-1-i])
			}
		}
	})
}

// edgy tells whether a source is so short that it may fall on the other side of a cell's edge in the mirror.
func edgy(sources []source, l Line) bool {
	for _, s := range sources {
		if s.ToM-s.FromM < l.CellM {
			return true
		}
	}
	return false
}

func TestSymmetricSourcesGiveASymmetricBar(t *testing.T) {
	f := bar40(t, 1)
	f.Sources = []source{{0.1, 0.13, 5}, {0.485, 0.515, 2}, {0.87, 0.9, 5}}
	l := solved(t, f)
	for i, tC := range l.TC {
		near(t, fmt.Sprintf("cell %d", i), tC, l.TC[len(l.TC)-1-i], 1e-6)
	}
}

func TestSuperpositionWhereTheLossIsSteady(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := randomSources(t, 1), randomSources(t, 1)
		first, second := solved(t, rod(1, a...)), solved(t, rod(1, b...))
		both := solved(t, rod(1, append(append([]source(nil), a...), b...)...))
		for i, tC := range both.TC {
			if sum := first.TC[i] + second.TC[i] - 25; math.Abs(tC-sum) > 1e-7*sum {
				t.Fatalf("cell %d: %g together, %g by adding", i, tC, sum)
			}
		}
	})
}

func TestFinWithoutHeatIsAtTheAir(t *testing.T) {
	l, err := bar40(t, 1).solve(newLine(1, 90)) // far from the answer
	if err != nil {
		t.Fatal(err)
	}
	for _, tC := range l.TC {
		near(t, "temperature", tC, 25, 1e-6)
	}
}

func TestFinThatLosesNothing(t *testing.T) {
	f := fin{ConductionWM: 1, Loss: func(float64) (float64, float64) { return 0, 0 }, Sources: []source{{0, 1, 1}}}
	if _, err := f.solve(newLine(1, 25)); err == nil || !strings.Contains(err.Error(), "beyond all bounds") {
		t.Errorf("%v", err)
	}
}
