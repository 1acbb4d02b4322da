package circuit

import (
	"testing"

	"fathomlux/scene/curve"
	"fathomlux/scene/parts"
)

// TestUsualAssumptions are common practice, no published source.
func TestUsualAssumptions(t *testing.T) {
	want := Assumptions{ForwardShare: 0.03, MarginShare: 0.10, ColdC: 14, CopperC: 39, DropShare: 0.02}
	if got := Usual(24); got != want {
		t.Errorf("%+v, want %+v", got, want)
	}
}

// TestWhatCountsAsOneCurrent: modules whose currents differ by less than a millionth are in one string, others are not.
func TestWhatCountsAsOneCurrent(t *testing.T) {
	for off, groups := range map[float64]int{0.99e-6: 1, 1.01e-6: 2} {
		one, other := line(t, 8, 10), line(t, 8, 10)
		other.CurrentA *= 1 + off
		if got := len(ByCurrent([]parts.Mounted{one, other})); got != groups {
			t.Errorf("currents %g apart make %d groups, want %d", off, got, groups)
		}
	}
}

// TestHowFarADriverMayBeOff: a driver serves whose current lies up to 2 % beside the wanted one, a convention of this program,
// and none beyond; there and at its power nothing but rounding is let through.
func TestHowFarADriverMayBeOff(t *testing.T) {
	efficiency, err := curve.Linear([]float64{0.1, 1}, []float64{0.9, 0.9})
	if err != nil {
		t.Fatal(err)
	}
	for off, serves := range map[float64]bool{0.0199: true, 0.0201: false, -0.0199: true, -0.0201: false} {
		d := parts.Driver{Name: "own", CurrentsA: []float64{1 + off}, LowestV: 5, HighestV: 50, RatedW: 100, Efficiency: efficiency}
		if got := fit(d, Split{DriverA: 1, LowestV: 6, HighestV: 7, LoadW: 50}, Job{Given: Usual(24)}).Fits; got != serves {
			t.Errorf("a driver %g off serves: %v", off, got)
		}
	}
	m := line(t, 8, 10)
	for a, want := range map[float64]int{0.5: 0, 0.505: 1} { // the module bears 0.5 A
		f := Circuit{DriverA: a}.fault(Fault{}, [][]parts.Mounted{{m}})
		if len(f.Over) != want {
			t.Errorf("%g A: over %v", a, f.Over)
		}
	}
	job := Job{Modules: []parts.Mounted{m, m}, Drivers: map[string]parts.Driver{"own": {RatedW: 8.02}}}
	if got := job.longestRun(job.Modules); got != 1 { // two of 11.5 V at 350 mA take 8.05 W
		t.Errorf("8.02 W feed %d modules of 4.025 W", got)
	}
	c := Circuit{DriverA: 0.35, Driver: parts.Driver{HighestV: 50, RatedW: 8.02}}
	if f := c.fault(Fault{}, [][]parts.Mounted{{m, m}}); len(f.Notes) != 1 { // 8.05 W again
		t.Errorf("8.05 W on a driver of 8.02 W: %q", words(f.Notes...))
	}
}
