package heat

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"fathomlux/scene/parts"
	"fathomlux/scene/practicetest"
)

// foyer is a rail of 1.1 m with n modules of four dies of 139 lm and 3.5 V at 350 mA, evenly spread.
func foyer(n int, currentA float64) Input {
	lib := practicetest.Parts()
	in := Input{Profile: lib.Profiles["bar-40x20"], LengthM: 1.1, AirC: 24}
	for i := range n {
		at := in.LengthM * (float64(i) + 0.5) / float64(n)
		in.Modules = append(in.Modules, parts.Mounted{Name: fmt.Sprint(i + 1), Part: lib.Modules["quad-neutral"], AlongM: at, CurrentA: currentA})
	}
	return in
}

func balanced(t interface{ Fatal(...any) }, in Input) Result {
	r, err := Balance(in)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestPowerBalance(t *testing.T) {
	for name, in := range map[string]Input{"six": foyer(6, 0.35), "twelve": foyer(12, 0.7), "one": foyer(1, 1)} {
		r := balanced(t, in)
		near(t, name+" light and heat", r.LightW+r.HeatW, r.ElectricalW, 1e-9)
		if r.EnergyError > 1e-6 || r.HeatW == 0 { // promised: a thousandth
			t.Errorf("%s: %g W in, %g W out", name, r.HeatW, r.LossW)
		}
		var heatW float64
		for i, m := range r.Modules {
			heatW += m.HeatW
			near(t, name+" chain to the board", m.BoardC, m.RailC+0.5*m.HeatW, 1e-9)
			near(t, name+" chain to the junction", m.JunctionC, m.BoardC+5*m.HeatW, 1e-9)
			near(t, name+" margin", m.MarginK, 125-m.JunctionC, 1e-12)
			again := in.Modules[i].Draw(m.JunctionC)                // the state must stand still
			near(t, name+" heat again", again.HeatW, m.HeatW, 1e-4) // a hundredth of a kelvin times 0.003 W/K
			near(t, name+" volts again", again.VoltageV, m.VoltageV, 4*0.002*0.01)
		}
		near(t, name+" sum", heatW, r.HeatW, 1e-9)
	}
}

// TestManyModulesAreAnEvenBar compares the rail's mean with a bar that has one temperature: 40 modules close together on a
// good conductor.
func TestManyModulesAreAnEvenBar(t *testing.T) {
	in := foyer(30, 0.35)
	r := balanced(t, in)
	rail := r.Line.meanC(0, in.LengthM)
	loss, err := Bar{Profile: in.Profile, AirC: 24}.lossPerM(rail)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "W", loss.totalW()*(in.LengthM+2*in.Profile.MetalM2/in.Profile.PerimeterM), r.HeatW, 1e-3*r.HeatW) // boards of 30 mm at 37 mm: the bar is almost even
	if coolest := r.Line.TC[0]; r.HottestRailC-coolest > 0.5 {
		t.Errorf("an even bar from %g to %g C", coolest, r.HottestRailC)
	}
}

func TestBalanceOfTheFoyer(t *testing.T) { // sizes that a thermometer would find on six 5 W modules on 1.1 m of bar
	r := balanced(t, foyer(6, 0.35))
	near(t, "electrical W", r.ElectricalW, 6*14*0.35, 1)
	near(t, "rail rise K", r.HottestRailC-24, 13, 5) // 19 W over 1.5 W/m/K
	near(t, "junction over rail K", r.HottestJunctionC-r.HottestRailC, 3.1*5.5, 1.5)
	if r.Hottest != r.Tightest || r.Hottest < 1 || r.Hottest > 4 {
		t.Errorf("the hottest of equal modules is a middle one, not %d and %d", r.Hottest, r.Tightest)
	}
	if !(r.RelativeFlux < 1 && r.RelativeFlux > 0.9) || r.FluxLm >= r.RatedLm {
		t.Errorf("light left %g, %g of %g lm", r.RelativeFlux, r.FluxLm, r.RatedLm)
	}
	near(t, "rated flux", r.RatedLm, 6*556, 1e-6) // 139 lm a die
	if r.AirC != 24 || r.HoodWallC != 24 || r.Steps < 2 || r.Steps > 12 {
		t.Errorf("air %g, wall %g, %d steps", r.AirC, r.HoodWallC, r.Steps)
	}
}

func TestModulesAtTheEndsAreCoolerThanAPileInTheMiddle(t *testing.T) {
	spread, pile := foyer(6, 0.7), foyer(6, 0.7)
	for i := range pile.Modules {
		pile.Modules[i].AlongM = 0.55 + (float64(i)-2.5)*0.03
	}
	if a, b := balanced(t, spread), balanced(t, pile); !(b.HottestJunctionC > a.HottestJunctionC+3) {
		t.Errorf("spread %g C, piled %g C", a.HottestJunctionC, b.HottestJunctionC)
	}
}

func TestEqualRuns(t *testing.T) {
	if !reflect.DeepEqual(balanced(t, foyer(6, 0.7)), balanced(t, foyer(6, 0.7))) {
		t.Error("two runs differ")
	}
}

func TestRailWithoutHeat(t *testing.T) {
	empty, off := foyer(0, 0), foyer(3, 0)
	for name, in := range map[string]Input{"no modules": empty, "modules that are off": off} {
		r := balanced(t, in)
		near(t, name, r.HottestRailC, 24, 1e-6)
		if r.EnergyError != 0 || r.RelativeFlux != 1 || r.HeatW != 0 {
			t.Errorf("%s: %+v", name, r)
		}
	}
	if r := balanced(t, empty); r.Hottest != -1 || r.Tightest != -1 {
		t.Errorf("hottest of none: %d, %d", r.Hottest, r.Tightest)
	}
}

func TestHoodWarmsTheRail(t *testing.T) {
	in := foyer(6, 0.7)
	free := balanced(t, in)
	hood := wooden()
	in.Hood = &hood
	r := balanced(t, in)
	wallC, airC, err := hood.Warm(r.HeatW, 24)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "air inside", r.AirC, airC, 0.01)
	near(t, "wall", r.HoodWallC, wallC, 0.01)
	near(t, "junction follows the air", r.HottestJunctionC-free.HottestJunctionC, r.AirC-24, 2) // warm air carries a little more
	hood.OtherHeatW = 30
	if more := balanced(t, in); !(more.AirC > r.AirC+2) {
		t.Errorf("a second rail under the hood: %g after %g C", more.AirC, r.AirC)
	}
}

func TestMarginOfTheTightest(t *testing.T) {
	in := foyer(20, 1)
	for i := range in.Modules {
		in.Modules[i].Part.HighestJunctionC = 90
	}
	r := balanced(t, in)
	if r.SmallestMarginK >= 0 || r.Modules[r.Tightest].MarginK != r.SmallestMarginK {
		t.Errorf("margin %g", r.SmallestMarginK)
	}
}

func TestBalanceRefusesWhatIsTooHot(t *testing.T) {
	runaway := foyer(2, 0.7)
	for i := range runaway.Modules {
		runaway.Modules[i].Part.VoltsPerK, runaway.Modules[i].Part.ResistanceKPerW = 0.02, 100 // 0.08 V/K, 0.056 W/K: loop gain 5.6
	}
	swing := foyer(2, 0.7) // strong the other way: settles, though a plain repetition would not
	for i := range swing.Modules {
		swing.Modules[i].Part.VoltsPerK, swing.Modules[i].Part.ResistanceKPerW = -0.02, 40
	}
	short := foyer(20, 1)
	short.LengthM = 0.2
	for i := range short.Modules {
		short.Modules[i].AlongM = 0.1
	}
	box := foyer(12, 1)
	box.Hood = &Hood{LengthM: 0.3, WidthM: 0.1, HeightM: 0.05, Emissivity: 0.9}
	hot := foyer(40, 1)
	for name, c := range map[string]struct {
		in   Input
		want string
	}{
		"runaway": {runaway, "would exceed 1000 °C"}, "short": {short, "beyond 200 °C"}, "box": {box, "the hood of 0.3"}, "hot": {hot, "beyond 200 °C"},
	} {
		if _, err := Balance(c.in); !errors.Is(err, ErrTooHot) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
	}
	r := balanced(t, swing)
	again := swing.Modules[0].Draw(r.Modules[0].JunctionC)
	near(t, "swinging part", again.HeatW, r.Modules[0].HeatW, 0.08*0.7*settledK)
}

func TestBalanceRefusesWhatRoundingSpoils(t *testing.T) {
	in := foyer(3, 0.35)
	in.Profile.MetalM2 = 1e12 // conducts so well that the loss of a cell is lost beside it
	if _, err := Balance(in); err == nil || errors.Is(err, ErrTooHot) {
		t.Errorf("%v", err)
	}
}

func TestBalanceRefusesWrongInput(t *testing.T) {
	for want, spoil := range map[string]func(*parts.Mounted){
		"module 1: 5000 mA is outside":                  func(m *parts.Mounted) { m.CurrentA = 5 },
		"module 1: NaN mA is outside":                   func(m *parts.Mounted) { m.CurrentA = math.NaN() },
		"module 1: the spectrum of quad-neutral has no": func(m *parts.Mounted) { m.Part.LmPerW = 0 },
	} {
		in := foyer(3, 0.35)
		spoil(&in.Modules[0])
		if _, err := Balance(in); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, want %q", err, want)
		}
	}
}

func TestBalanceLaws(t *testing.T) {
	lib := parts.Builtin()
	rapid.Check(t, func(t *rapid.T) {
		in := foyer(rapid.IntRange(1, 8).Draw(t, "modules"), rapid.Float64Range(0.1, 0.8).Draw(t, "A"))
		in.Profile = lib.Profiles[rapid.SampledFrom(parts.Names(lib.Profiles)).Draw(t, "profile")]
		in.AirC = rapid.Float64Range(10, 35).Draw(t, "air")
		part := lib.Modules[rapid.SampledFrom(parts.Names(lib.Modules)).Draw(t, "part")]
		for i := range in.Modules {
			in.Modules[i].Part = part
		}
		r, err := Balance(in)
		more, errMore := Balance(in.dimmed(1)) // the same
		if errors.Is(err, ErrTooHot) {
			return
		}
		if err != nil || errMore != nil || !reflect.DeepEqual(r, more) {
			t.Fatalf("two runs differ: %v, %v", err, errMore)
		}
		for i := range in.Modules {
			in.Modules[i].CurrentA *= 1.1
		}
		more, err = Balance(in)
		if errors.Is(err, ErrTooHot) {
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		n := len(r.Modules)
		for i, m := range r.Modules {
			if !(more.Modules[i].JunctionC > m.JunctionC && m.JunctionC > m.BoardC && m.BoardC > m.RailC && m.RailC > in.AirC) {
				t.Fatalf("module %d: %+v; with a tenth more current %g C", i+1, m, more.Modules[i].JunctionC)
			}
			if d := m.JunctionC - r.Modules[n-1-i].JunctionC; math.Abs(d) > 1e-3 {
				t.Fatalf("equal modules in mirrored places differ by %g K", d)
			}
		}
	})
}

// TestNoInputPanics: with any figures of the ranges in the tables of keys there is an answer of numbers, or an error.
func TestNoInputPanics(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		any := func(what string, low, high float64) float64 { // ends and far decades as often as the middle
			return rapid.OneOf(rapid.SampledFrom([]float64{low, high}), rapid.Float64Range(low, high), rapid.Custom(func(t *rapid.T) float64 {
				return low + (high-low)*math.Pow(10, rapid.Float64Range(-9, 0).Draw(t, "decade"))
			})).Draw(t, what)
		}
		const least = 1e-6
		in := foyer(3, 0.35)
		if rapid.Bool().Draw(t, "rail") {
			in.LengthM, in.AirC = any("length", 0.01, 20), any("air", -20, 60)
		}
		if p := &in.Profile; rapid.Bool().Draw(t, "profile") {
			p.WidthM, p.HeightM, p.MetalM2 = any("width", least, 3), any("height", least, 3), any("metal", 1e-12, 1)
			p.PerimeterM, p.ConductivityWPerMK, p.Emissivity = any("perimeter", least, 30), any("W/m/K", least, 1000), any("emissivity", least, 1)
		}
		spoilt := rapid.Bool().Draw(t, "parts")
		for i := range in.Modules {
			m := &in.Modules[i]
			m.AlongM = any("place", 0, in.LengthM)
			if spoilt {
				m.Part.ReferenceC, m.Part.FluxPerK, m.Part.VoltsPerK = any("test temperature", -50, 250), any("1/K", -0.03, 0.01), any("V/K", -0.02, 0.02)
				m.Part.ResistanceKPerW, m.Part.HighestJunctionC = any("K/W", least, 1000), any("highest", -50, 250)
				m.Part.BoardLengthM, m.Part.LmPerW, m.OpticLoss = any("board", least, 3), any("lm/W", least, 683), any("loss", 0, 1)
			}
		}
		if rapid.Bool().Draw(t, "hood") {
			in.Hood = &Hood{LengthM: any("l", 0.01, 20), WidthM: any("w", 0.01, 20), HeightM: any("h", 0.01, 20), Emissivity: 0.9, OtherHeatW: any("other", 0, 1e6)}
		}
		r, err := Balance(in)
		if err == nil && (math.IsNaN(0*(r.HottestRailC+r.SmallestMarginK+r.LossW+r.RelativeFlux)) || math.Abs(r.LossW-r.HeatW) > energyError*r.HeatW+leastW) {
			t.Fatalf("no error, but %g C, %g K, %g W, energy error %g", r.HottestRailC, r.SmallestMarginK, r.LossW, r.EnergyError)
		}
		if rapid.IntRange(0, 9).Draw(t, "advise") == 0 {
			Advise(in, any("margin", 0, 200), map[string]parts.Profile{"other": in.Profile})
		}
	})
}

func BenchmarkBalance(b *testing.B) { // promised: below 20 ms
	in := foyer(40, 0.35)
	in.LengthM = 2.4
	for i := range in.Modules {
		in.Modules[i].AlongM *= 2.4 / 1.1
	}
	for b.Loop() {
		balanced(b, in)
	}
}

func BenchmarkBalanceInHood(b *testing.B) {
	in, hood := foyer(12, 0.35), wooden()
	in.Hood = &hood
	for b.Loop() {
		balanced(b, in)
	}
}

// ExampleBalance puts six modules of four dies on 1.1 m of bar. No published source: the numbers are the program's own.
func ExampleBalance() {
	r, err := Balance(foyer(6, 0.35))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.1f W of heat: bar %.0f C, junction %.0f C, %.0f %% of the light\n", r.HeatW, r.HottestRailC, r.HottestJunctionC, 100*r.RelativeFlux)
	// Output: 19.1 W of heat: bar 35 C, junction 52 C, 93 % of the light
}

// TestJunctionOverItsSink is example 8.2 (I15) and 8.3 (I16) of D. A. Neamen, Electronic Circuit Analysis and Design, pp. 478
// and 479: over 1.75 and 1 K/W to a sink of 5 K/W in air of 30 C, the printed 15.48 W bring a junction to 150 C, and 20 W
// over 7.5 K/W bring one to 175 C at a case of 25 C. The sink is the rail here, whose own temperature is left out.
func TestJunctionOverItsSink(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ module, perW, printed float64 }{
		{1.75 + 1 - interfaceKPerW, (150.-30)/15.48 - 5, 0.003}, // 0.005 W of 15.48 are 0.003 K/W
		{7.5, (175. - 25) / 20, 1e-9},
	} {
		in := foyer(1, 0.35)
		in.Modules[0].Part.ResistanceKPerW = c.module
		m := balanced(t, in).Modules[0]
		over := m.RailC // the case of the second example is the board
		if c.module == 7.5 {
			over = m.BoardC
		}
		near(t, "K/W", (m.JunctionC-over)/m.HeatW, c.perW, c.printed)
	}
}
