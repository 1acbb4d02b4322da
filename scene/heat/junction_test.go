package heat

import (
	"strings"
	"testing"

	"fathomlux/scene/curve"
	"fathomlux/scene/parts"
)

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
	m := parts.Mounted{Part: plain(t), CurrentA: 0.7}
	cold := m.Draw(25)
	near(t, "volts", cold.VoltageV, 6, 1e-12)
	near(t, "W", cold.ElectricalW, 4.2, 1e-12)
	near(t, "light W", cold.LightW, 1.6, 1e-12) // 400 lm / 250 lm/W
	near(t, "lumens", cold.RatedLm*cold.RelativeFlux, 400, 1e-12)
	warm := m.Draw(75)
	near(t, "warm volts", warm.VoltageV, 6-2*0.002*50, 1e-12) // two dies in series
	near(t, "warm flux", warm.RelativeFlux, 0.9, 1e-12)
	near(t, "warm light W", warm.LightW, 1.44, 1e-12) // 360 lm / 250 lm/W
	near(t, "balance", warm.LightW+warm.HeatW, warm.ElectricalW, 1e-12)
	m.OpticLoss = 0.1
	lens := m.Draw(75)
	near(t, "light W behind the lens", lens.LightW, 1.296, 1e-12)
	near(t, "light W in the lens", lens.OpticW, 0.144, 1e-12)
	near(t, "balance behind the lens", lens.LightW+lens.HeatW, lens.ElectricalW, 1e-12)
	near(t, "lumens of the dies", lens.RatedLm*lens.RelativeFlux, 360, 1e-12)
	far := m.Draw(1e5)
	if far.VoltageV != 0 || far.RelativeFlux != 0 || far.HeatW != 0 {
		t.Errorf("neither volts nor light below nothing: %+v", far)
	}
	m.CurrentA = 0
	if off := m.Draw(25); off.ElectricalW != 0 || off.RatedLm != 0 {
		t.Errorf("a module that is off: %+v", off)
	}
}

func TestLightNeverExceedsThePower(t *testing.T) { // a part whose voltage falls fast and that gives much light
	m := parts.Mounted{Part: plain(t), CurrentA: 0.7}
	m.Part.LmPerW, m.Part.VoltsPerK, m.Part.FluxPerK = 100, -0.02, 0
	if d := m.Draw(100); d.HeatW < 0 || d.LightW > d.ElectricalW {
		t.Errorf("%+v", d)
	}
}

func TestTableEndsAreMetWithinARounding(t *testing.T) {
	in := foyer(1, 1+1e-12)
	in.Modules[0].Part = plain(t)
	if err := in.check(); err != nil || in.Modules[0].Draw(25).VoltageV != 6 {
		t.Error(err)
	}
	for _, a := range []float64{1.001, 0.19} {
		in.Modules[0].CurrentA = a
		if err := in.check(); err == nil || !strings.Contains(err.Error(), "outside the table") {
			t.Errorf("%g A: %v", a, err)
		}
	}
}

// TestFluxFactor: what a meter found counts in the lumens alone.
func TestFluxFactor(t *testing.T) {
	m := parts.Mounted{Part: plain(t), CurrentA: 0.7, FluxFactor: 0.8}
	d := m.Draw(75)
	near(t, "lumens", d.RatedLm*d.RelativeFlux, 0.8*360, 1e-12)
	near(t, "light W", d.LightW, 1.44, 1e-12)
}
