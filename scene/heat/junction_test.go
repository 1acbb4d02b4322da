package heat

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"fathomlux/scene/curve"
	"fathomlux/scene/parts"
)

// Example_junctionC is a transistor on a heat sink. Source: D. A. Neamen, Electronic Circuit Analysis and Design, example
// 8.2, p. 478 (I15): in air of 30 C the printed 15.48 W, and 2.32 W without the sink, bring it to its limit of 150 C.
func Example_junctionC() {
	fmt.Printf("%.1f C\n", chain{ModuleKPerW: 1.75, InterfaceKPerW: 1, SinkKPerW: 5}.junctionC(30, 15.48))
	fmt.Printf("%.1f C\n", chain{ModuleKPerW: 1.75, SinkKPerW: 50}.junctionC(30, 2.32))
	// Output:
	// 150.0 C
	// 150.1 C
}

func TestRatedPart(t *testing.T) { // I16: Neamen, example 8.3, p. 479: 20 W at a case of 25 C bring the junction to 175 C
	own := chain{ModuleKPerW: 7.5}
	near(t, "rated", own.junctionC(25, 20), 175, 1e-12)
	own.InterfaceKPerW, own.SinkKPerW = 1, 5
	near(t, "on its sink", own.junctionC(25, 11.11), 175, 0.07) // the printed 11.11 W are rounded: 0.005 W are 0.07 K
}

func TestChipOnAPlate(t *testing.T) { // I14: Incropera et al., example 3.2, p. 107: per area, both sides to air of 25 C
	through := chain{ModuleKPerW: 0.9e-4, InterfaceKPerW: 0.008 / 239, SinkKPerW: 1. / 100}
	both := chain{SinkKPerW: 1 / (100 + 1/through.kPerW())}
	near(t, "chip C", both.junctionC(25, 1e4), 75.3, 0.05)
}

// plain is a module of two paths of two dies with flat tables: 6 V and 400 lm at 0.7 A, 25 C.
func plain(t interface{ Fatal(...any) }) parts.Module {
	volts, err := curve.Linear([]float64{0.1, 0.5}, []float64{3, 3})
	if err != nil {
		t.Fatal(err)
	}
	lumens, err := curve.Linear([]float64{0.1, 0.5}, []float64{100, 100})
	if err != nil {
		t.Fatal(err)
	}
	return parts.Module{
		Name: "plain", DiesAlong: 2, DiesAcross: 2, ParallelPaths: 2, ForwardV: volts, FluxLm: lumens, ReferenceC: 25,
		FluxPerK: -0.002, VoltsPerK: -0.002, ResistanceKPerW: 5, HighestJunctionC: 125, LmPerW: 250, BoardLengthM: 0.03, BoardWidthM: 0.03,
	}
}

func TestDraw(t *testing.T) {
	m := Module{Part: plain(t), CurrentA: 0.7}
	cold, err := m.Draw(25)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "volts", cold.VoltageV, 6, 1e-12)
	near(t, "W", cold.ElectricalW, 4.2, 1e-12)
	near(t, "light W", cold.LightW, 1.6, 1e-12) // 400 lm / 250 lm/W
	near(t, "lumens", cold.ColdFluxLm*cold.RelativeFlux, 400, 1e-12)
	warm, _ := m.Draw(75)
	near(t, "warm volts", warm.VoltageV, 6-2*0.002*50, 1e-12) // two dies in series
	near(t, "warm flux", warm.RelativeFlux, 0.9, 1e-12)
	near(t, "warm light W", warm.LightW, 1.44, 1e-12) // 360 lm / 250 lm/W
	near(t, "balance", warm.LightW+warm.HeatW, warm.ElectricalW, 1e-12)
	m.OpticLoss = 0.1
	lens, _ := m.Draw(75)
	near(t, "light W behind the lens", lens.LightW, 1.296, 1e-12)
	near(t, "light W in the lens", lens.OpticW, 0.144, 1e-12)
	near(t, "balance behind the lens", lens.LightW+lens.HeatW, lens.ElectricalW, 1e-12)
	near(t, "lumens of the dies", lens.ColdFluxLm*lens.RelativeFlux, 360, 1e-12)
	far, _ := m.Draw(1e5)
	if far.VoltageV != 0 || far.RelativeFlux != 0 || far.HeatW != 0 {
		t.Errorf("neither volts nor light below nothing: %+v", far)
	}
	m.CurrentA = 0
	if off, err := m.Draw(25); err != nil || off.ElectricalW != 0 || off.ColdFluxLm != 0 {
		t.Errorf("a module that is off: %+v, %v", off, err)
	}
}

func TestLightNeverExceedsThePower(t *testing.T) { // a part whose voltage falls fast and that gives much light
	m := Module{Part: plain(t), CurrentA: 0.7}
	m.Part.LmPerW, m.Part.VoltsPerK, m.Part.FluxPerK = 100, -0.02, 0
	if d, err := m.Draw(100); err != nil || d.HeatW < 0 || d.LightW > d.ElectricalW {
		t.Errorf("%+v, %v", d, err)
	}
}

func TestTableEndsAreMetWithinARounding(t *testing.T) {
	m := Module{Part: plain(t), CurrentA: 1 + 1e-12}
	if _, err := m.Draw(25); err != nil {
		t.Error(err)
	}
	for _, a := range []float64{1.001, 0.19} {
		m.CurrentA = a
		if _, err := m.Draw(25); err == nil || !strings.Contains(err.Error(), `die of "plain"`) || !strings.Contains(err.Error(), "outside the table") {
			t.Errorf("%g A: %v", a, err)
		}
	}
}

func TestBrokenModules(t *testing.T) {
	for want, spoil := range map[string]func(*Module){
		"not finite":                    func(m *Module) { m.Part.FluxPerK = math.NaN() },
		"current -1 A":                  func(m *Module) { m.CurrentA = -1 },
		"one die and one path":          func(m *Module) { m.Part.ParallelPaths = 0 },
		"thermal resistance NaN":        func(m *Module) { m.Part.ResistanceKPerW = math.NaN() },
		"efficacy of radiation 0 lm/W":  func(m *Module) { m.Part.LmPerW = 0 },
		"efficacy of radiation 700":     func(m *Module) { m.Part.LmPerW = 700 },
		"loss of 1.5":                   func(m *Module) { m.OpticLoss = 1.5 },
		"board length NaN":              func(m *Module) { m.Part.BoardLengthM = math.NaN() },
		"outside the table":             func(m *Module) { m.Part.FluxLm = curve.Curve{} },
		`current of a die of "plain": `: func(m *Module) { m.Part.ForwardV = curve.Curve{} },
	} {
		m := Module{Part: plain(t), CurrentA: 0.7}
		spoil(&m)
		if _, err := m.Draw(25); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, want %q", err, want)
		}
	}
}
