package photometry

import (
	"fmt"
	"math"
	"testing"
)

func TestPhotopicTable(t *testing.T) {
	nm, v := photopic().Points()
	if len(nm) != 401 || nm[0] != 380 || nm[400] != 780 {
		t.Fatalf("%d rows from %g to %g nm, want 401 from 380 to 780", len(nm), nm[0], nm[len(nm)-1])
	}
	sum, fifths := 0.0, 0.0
	for i := range nm {
		if nm[i] != 380+float64(i) {
			t.Errorf("row %d stands at %g nm", i, nm[i])
		}
		if v[i] <= 0 || v[i] > 1 || (nm[i] <= 555 && i > 0 && v[i] <= v[i-1]) || (nm[i] > 555 && v[i] >= v[i-1]) {
			t.Errorf("V(%g nm) = %g does not rise to 1 at 555 nm and fall from there", nm[i], v[i])
		}
		sum += v[i]
		if i%5 == 0 {
			fifths += v[i]
		}
	}
	// Sums of the CIE 1924 table: 106.8569 over 360-830 nm, of which 5e-4 lies outside 380-780 nm; 21.37 in steps of 5 nm.
	within(t, "sum at 1 nm", sum, 106.8564, 5e-5)
	within(t, "sum at 5 nm", fifths, 21.3713, 5e-5)
}

func TestV(t *testing.T) {
	for _, c := range []struct {
		nm, want, tolerance float64
		source              string
	}{
		{555, 1, 0, "definition of the peak"},
		{380, 3.9e-5, 0, "CIE 1924 table"},
		{450, 0.038, 0, "CIE 1924 table"},
		{780, 1.499e-5, 0, "CIE 1924 table"},
		{509.850, 0.5, 1e-4, "half of the peak, by linear interpolation of the 1 nm table; handbooks say 510 nm"},
		{610.239, 0.5, 1e-4, "half of the peak, the same; handbooks say 610 nm"},
		{379.9, 0, 0, "outside"}, {780.1, 0, 0, "outside"}, {math.NaN(), 0, 0, "no wavelength"},
	} {
		within(t, fmt.Sprintf("V(%g nm), %s", c.nm, c.source), V(c.nm), c.want, c.tolerance)
	}
}

func TestPhotonsPerJoule(t *testing.T) {
	// h c N_A = 0.119626566 J m/mol from the exact constants, so one joule at 119.6265656 nm is one umol.
	within(t, "umol/J at 119.6265656 nm", PhotonsPerJoule(119.6265656), 1, 1e-9)
	within(t, "umol/J at 555 nm", PhotonsPerJoule(555), 555/119.6265656, 1e-8)
}

func TestDLI(t *testing.T) {
	for _, c := range []struct{ ppfd, hours, want float64 }{ // worked example L1, formula of horticultural practice
		{50, 10, 1.80}, {100, 8, 2.88}, {200, 16, 11.52}, {300, 10, 10.80}, {80, 0, 0},
	} {
		within(t, fmt.Sprintf("L1: %g umol/m2/s for %g h", c.ppfd, c.hours), DLI(c.ppfd, c.hours), c.want, 1e-12)
	}
}

func ExampleDLI() { // Worked example L1: PPFD x 3600 x hours / 1e6
	fmt.Printf("%.2f mol/m2/day\n", DLI(100, 8))
	// Output: 2.88 mol/m2/day
}

func within(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.9g, want %.9g within %g", what, got, want, tolerance)
	}
}
