package photometry

import "testing"

// TestGapsAboveFiveNanometresAreFilled: rows 5 nm apart are summed as they stand, as the tables of CIE 015 are made to be; a wider
// gap is filled in steps of 1 nm at most.
func TestGapsAboveFiveNanometresAreFilled(t *testing.T) {
	if got := fillGaps([]float64{400, 405, 410.1}); len(got) != 8 || got[1] != 405 || got[2] > 406 {
		t.Errorf("%v", got)
	}
}
