package trace

import (
	"context"
	"testing"

	"fathomlux/optics/result"
)

// TestProgressForetellsTheEnd: the first word of a tracing to an error says within a factor of two how many histories it takes.
func TestProgressForetellsTheEnd(t *testing.T) {
	t.Parallel()
	s := foyer(t)
	var first int64
	a, err := Run(context.Background(), s.build(), Options{Error: 0.02, Only: All, Planes: []Plane{{DepthM: s.DepthM, Grid: result.NewGrid(s.LengthM, s.WidthM, 0.05)}},
		Progress: func(done, total int64) {
			if first == 0 {
				first = total
			}
			if done > total {
				t.Errorf("%d of %d are done", done, total)
			}
		}})
	if err != nil {
		t.Fatal(err)
	}
	if first > 0 && (first > 2*a.Photons || 2*first < a.Photons) {
		t.Errorf("foretold %d photons, it took %d", first, a.Photons)
	}
	if first == 0 {
		t.Errorf("nothing was foretold of %d photons", a.Photons)
	}
}
