package circuit

import (
	"testing"

	"pgregory.net/rapid"

	"fathomlux/scene/curve"
	"fathomlux/scene/parts"
)

// TestShareByHand: V = 30 + 10 I beside V = 32 + 10 I, 700 mA together. I1 - I2 = 2/10 A, so 450 mA, 250 mA, 34.5 V. And
// V = 30 + 10 I beside V = 30 + 30 I: 3 to 1, 525 mA, 175 mA, 35.25 V.
func TestShareByHand(t *testing.T) {
	for _, c := range []struct {
		a, b               parts.Mounted
		firstA, secondA, v float64
	}{
		{line(t, 30, 10), line(t, 32, 10), 0.450, 0.250, 34.5},
		{line(t, 30, 10), line(t, 30, 30), 0.525, 0.175, 35.25},
	} {
		got := share([][]parts.Mounted{{c.a}, {c.b}}, 0.7)
		const tolerance = 1e-6 // what a joint of 1 microohm moves
		if !near(got.CurrentA[0], c.firstA, tolerance) || !near(got.CurrentA[1], c.secondA, tolerance) || !near(got.VoltageV, c.v, tolerance) {
			t.Errorf("%+v; want %g A, %g A at %g V", got, c.firstA, c.secondA, c.v)
		}
		if got.Beyond[0] || got.Beyond[1] {
			t.Errorf("beyond the tables: %v", got.Beyond)
		}
	}
}

func TestOneStringTakesAll(t *testing.T) {
	got := share([][]parts.Mounted{{line(t, 30, 10), line(t, 3, 1)}}, 0.5)
	if !near(got.CurrentA[0], 0.5, 1e-12) || !near(got.VoltageV, 38.5, 1e-6) {
		t.Errorf("%+v; want 0.5 A at 33 + 11 x 0.5 = 38.5 V", got)
	}
}

// drawStrings draws strings of built-in modules of one kind with unlike temperatures and forward voltages.
func drawStrings(t *rapid.T, part parts.Mounted) [][]parts.Mounted {
	all := make([][]parts.Mounted, rapid.IntRange(1, 5).Draw(t, "strings"))
	long := rapid.IntRange(1, 4).Draw(t, "modules")
	for i := range all {
		for range long {
			m := part
			m.JunctionC = rapid.Float64Range(20, 110).Draw(t, "junction")
			m.ShiftV = rapid.Float64Range(-0.4, 0.4).Draw(t, "shift")
			all[i] = append(all[i], m)
		}
	}
	return all
}

func TestShareLaws(t *testing.T) {
	part := modules(1, "quad-neutral")[0]
	rapid.Check(t, func(t *rapid.T) {
		all := drawStrings(t, part)
		totalA := rapid.Float64Range(0.05, 1).Draw(t, "share") * float64(len(all))
		got := share(all, totalA)
		sum := 0.0
		for i, a := range got.CurrentA {
			sum += a
			if a < 0 {
				t.Errorf("string %d carries %g A", i, a)
			}
			if v := stringV(all[i], a); a > 0 && !near(v, got.VoltageV, 1e-9) { // last bits of some 60 V
				t.Errorf("string %d is at %g V, the others at %g V", i, v, got.VoltageV)
			}
		}
		if !near(sum, totalA, 1e-9*totalA) { // slopes of 1 V/A and more: last bits of 60 V
			t.Errorf("the strings carry %g A, the driver gives %g A", sum, totalA)
		}
	})
}

func TestEqualStringsShareEqually(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n, a := rapid.IntRange(1, 8).Draw(t, "strings"), rapid.Float64Range(0.1, 1).Draw(t, "current")
		var all [][]parts.Mounted
		for range n {
			all = append(all, modules(3, "quad-neutral"))
		}
		got := share(all, a*float64(n))
		for i := range got.CurrentA {
			if got.CurrentA[i] != got.CurrentA[0] || !near(got.CurrentA[i], a, 1e-9) {
				t.Errorf("string %d of %d carries %g A, want %g A", i, n, got.CurrentA[i], a)
			}
		}
	})
}

func TestMoreVoltageLessCurrent(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		low, high := modules(3, "quad-neutral"), modules(3, "quad-neutral")
		high[rapid.IntRange(0, 2).Draw(t, "which")].ShiftV = rapid.Float64Range(1e-3, 2).Draw(t, "shift")
		got := share([][]parts.Mounted{low, high}, 0.7)
		if !(got.CurrentA[1] < got.CurrentA[0]) {
			t.Errorf("the string of more voltage carries %g A, the other %g A", got.CurrentA[1], got.CurrentA[0])
		}
	})
}

func TestShareOfFlatTables(t *testing.T) {
	flat := line(t, 30, 10)
	flat.Part.ForwardV, _ = curve.Linear([]float64{0.1, 1}, []float64{30, 30})
	got := share([][]parts.Mounted{{flat}, {flat}}, 0.7)
	if !near(got.CurrentA[0]+got.CurrentA[1], 0.7, 1e-7) { // a last bit of 30 V over 1 microohm
		t.Errorf("%+v; want 0.7 A together", got)
	}
}
