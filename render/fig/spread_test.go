package fig

import (
	"math"
	"testing"
)

func TestSpreadKeepsPlacesApart(t *testing.T) {
	wanted := []float64{100, 101, 102, 300, 398, 399}
	places := Spread(wanted, 17, 0, 400)
	for i := range places {
		if i > 0 && places[i]-places[i-1] < 17-1e-9 {
			t.Errorf("places %v are closer than 17", places)
		}
		if math.Abs(places[i]-wanted[i]) > 25 {
			t.Errorf("place %g for %g", places[i], wanted[i])
		}
	}
	if math.Abs(places[3]-300) > 1e-9 || math.Abs(places[1]-101) > 1 || places[5] > 400 {
		t.Errorf("places %v: a lone one moved, a run is not centred, or one lies beyond", places)
	}
}

func TestSpreadStaysWithinBothEnds(t *testing.T) {
	for _, wanted := range [][]float64{{6, 6, 6}, {-50, 5, 7}, {398, 399, 400}, {500, 600, 700}} {
		places := Spread(wanted, 17, 6, 400)
		if places[0] < 6 || places[2] > 400 || places[1]-places[0] < 17-1e-9 || places[2]-places[1] < 17-1e-9 {
			t.Errorf("places %v for %v leave 6 to 400, or are closer than 17", places, wanted)
		}
	}
	if got := Spread(nil, 17, 0, 1); len(got) != 0 {
		t.Errorf("no places wanted, got %v", got)
	}
}
