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
