package photometry

import (
	"testing"

	"fathomlux/scene/curve"
)

// TestGapsAboveFiveNanometresAreFilled: rows 5 nm apart are summed as they stand, as the tables of CIE 015 are made to be; a wider
// gap is filled in steps of 1 nm at most.
func TestGapsAboveFiveNanometresAreFilled(t *testing.T) {
	level, err := curve.Linear([]float64{400, 405, 410.1}, []float64{1, 1, 1})
	if err != nil {
		t.Fatal(err)
	}
	if got := gridNm(level); len(got) != 8 || got[1] != 405 || got[2] > 406 {
		t.Errorf("%v", got)
	}
}
