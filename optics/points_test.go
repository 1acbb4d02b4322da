package optics

import (
	"math"
	"testing"

	"fathomlux/optics/trace"
)

func TestRestBetweenPlanes(t *testing.T) {
	var points []Point
	for i := range 30 {
		points = append(points, Point{DepthM: 0.42 - 0.014*float64(i)})
	}
	depths := restDepths(points)
	if len(depths) != restPlanes || math.Abs(depths[0]-0.014) > 1e-12 || depths[restPlanes-1] != 0.42 {
		t.Fatalf("planes at %v", depths)
	}
	if few := restDepths(points[:3]); len(few) != 3 || few[0] != points[2].DepthM || few[2] != 0.42 {
		t.Errorf("planes at %v", few)
	}
	r := Points{options: trace.TransferOptions{DepthsM: depths}}
	for _, p := range points {
		k, share := r.between(p.DepthM)
		got := depths[k]
		if share > 0 {
			got += share * (depths[k+1] - depths[k])
		}
		if !(share >= 0 && share < 1) || math.Abs(got-p.DepthM) > 1e-12 {
			t.Errorf("%g m lies %g after plane %d", p.DepthM, share, k)
		}
	}
}
