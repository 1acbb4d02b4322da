package parts_test

import (
	"fmt"
	"math"
	"testing"

	"fathomlux/scene/curve"
	"fathomlux/scene/parts"
	"fathomlux/scene/practicetest"
)

// ExampleModule_Voltage is a die of 3.0 V at 25 C and 300 mA that loses 3 mV/K, at 125 C: 2.7 V and 0.81 W instead of
// 0.9 W. Source: Khanna 2014, Fundamentals of Solid-State Lighting, eq. 14.1 to 14.3 (H1).
func ExampleModule_Voltage() {
	forward, _ := curve.Linear([]float64{0.1, 0.3}, []float64{2.8, 3.0})
	die := parts.Module{Name: "die", DiesAlong: 1, DiesAcross: 1, ParallelPaths: 1, ForwardV: forward, ReferenceC: 25, VoltsPerK: -0.003}
	hotV := die.Voltage(0.3, 125)
	coolV := die.Voltage(0.3, 25)
	fmt.Printf("%.2f V, %.2f W, %.2f W\n", hotV, hotV*0.3, coolV*0.3)
	// Output: 2.70 V, 0.81 W, 0.90 W
}

func TestBoardOfPaths(t *testing.T) {
	m := practicetest.Parts().Modules["quad-neutral"]
	if series := m.Voltage(0.35, 25); math.Abs(series-14) > 1e-12 { // four dies of 3.5 V, a row of the table
		t.Errorf("four in series: %g V, want 14 V", series)
	}
	lm := m.RatedFlux(0.35)
	m.ParallelPaths = 2
	if split := m.Voltage(0.70, 25); math.Abs(split-7) > 1e-12 {
		t.Errorf("two paths of two at 700 mA: %g V, want 7 V", split)
	}
	if got := m.RatedFlux(0.70); math.Abs(got-lm) > 1e-9 {
		t.Errorf("two paths at twice the current: %g lm, want %g", got, lm)
	}
	if low, high := m.CurrentRange(); m.CheckCurrent(low) != nil || m.CheckCurrent(high) != nil || m.CheckCurrent(0.99*low) == nil || m.CheckCurrent(1.01*high) == nil || m.CheckCurrent(math.NaN()) == nil {
		t.Errorf("from %g to %g A", low, high)
	}
}

// TestDimming holds S2 and S3 of the worked examples on a die of 20 lm and 2.8 V at 100 mA, 54 lm and 3.0 V at 300 mA. To a third by
// pulses: a third of 54 lm and of 0.9 W. By current: 100 mA, a row of the table, 20 lm for 0.28 W, which are 71.4 lm/W where full light
// gives 60. To a tenth by current: 30 mA, below the table: 20 lm times 0.3; 2.8 V less 0.2 V / 200 mA times 70 mA.
func TestDimming(t *testing.T) {
	flux, _ := curve.Linear([]float64{0.1, 0.3}, []float64{20, 54})
	forward, _ := curve.Linear([]float64{0.1, 0.3}, []float64{2.8, 3.0})
	die := parts.Module{Name: "die", DiesAlong: 1, DiesAcross: 1, ParallelPaths: 1, FluxLm: flux, ForwardV: forward, ReferenceC: 25, LmPerW: 300}
	for _, c := range []struct {
		level         float64
		by            parts.Dimming
		lm, volts, w  float64
		lightW, heatW float64
	}{
		{1, parts.ByCurrent, 54, 3, 0.9, 0.18, 0.72}, {1, parts.ByPulses, 54, 3, 0.9, 0.18, 0.72},
		{1.0 / 3, parts.ByPulses, 18, 3, 0.3, 0.06, 0.24}, {1.0 / 3, parts.ByCurrent, 20, 2.8, 0.28, 20.0 / 300, 0.28 - 20.0/300},
		{0.1, parts.ByPulses, 5.4, 3, 0.09, 0.018, 0.072}, {0.1, parts.ByCurrent, 6, 2.73, 0.0819, 0.02, 0.0619},
		{0, parts.ByPulses, 0, 0, 0, 0, 0}, {0, parts.ByCurrent, 0, 0, 0, 0, 0},
	} {
		m := parts.Mounted{Part: die, CurrentA: 0.3, Dim: parts.Dim{Below: 1 - c.level, By: c.by}}
		d := m.Draw(25)
		for _, pair := range [][2]float64{{d.RatedLm, c.lm}, {d.VoltageV, c.volts}, {d.ElectricalW, c.w}, {d.LightW, c.lightW}, {d.HeatW, c.heatW}} {
			if math.Abs(pair[0]-pair[1]) > 1e-12 {
				t.Errorf("level %g, way %d: %+v, want %+v", c.level, c.by, d, c)
				break
			}
		}
	}
}
