package unit

import "testing"

func TestGrouped(t *testing.T) {
	for digits, want := range map[string]string{"": "", "999": "999", "1999.62": "1 999.62", "1234567": "1 234 567", "-1000": "-1 000", "just under 2000": "just under 2 000", "just under 200": "just under 200"} {
		if got := Grouped(digits); got != want {
			t.Errorf("%q: %q, want %q", digits, got, want)
		}
	}
	for v, want := range map[float64]string{0: "0", 199001: "199 001", 15200000.4: "15 200 000", 0.99e12: "990 000 000 000", 1.01e12: "1.01e+12", 1e300: "1e+300"} {
		if got := Count(v); got != want {
			t.Errorf("%g: %q, want %q", v, got, want)
		}
	}
}
