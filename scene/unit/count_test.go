package unit

import "testing"

func TestCount(t *testing.T) {
	for v, want := range map[float64]string{0: "0", 999: "999", 1000: "1 000", 199001: "199 001", 15200000.4: "15 200 000", 0.99e12: "990 000 000 000",
		1.01e12: "1.01e+12", 1e300: "1e+300"} {
		if got := Count(v); got != want {
			t.Errorf("%g: %q, want %q", v, got, want)
		}
	}
}
