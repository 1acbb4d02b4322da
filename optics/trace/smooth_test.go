package trace

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"fathomlux/optics/model"
	"fathomlux/scene/space"
)

func TestKernel(t *testing.T) {
	for _, wide := range []float64{0.3, 1, 1.2, 2, 2.5, 3, 5, 7.7} {
		k := kernel(wide)
		sum, square := k[0], 0.0
		for i, w := range k[1:] {
			sum += 2 * w
			square += 2 * w * float64((i+1)*(i+1))
		}
		near(t, "sum", sum, 1, 1e-12)
		if wide >= 3 { // the variance of a square over cells is wide^2/12, but for the parts of cells at its ends
			near(t, "width", square, wide*wide/12, 0.2)
		}
	}
}

func TestSpreadAgainstPlainSums(t *testing.T) {
	// The running sums against weights added one by one, and the light that is kept between mirroring walls.
	rapid.Check(t, func(t *rapid.T) {
		s := sheet{nx: rapid.IntRange(1, 12).Draw(t, "nx"), ny: rapid.IntRange(1, 9).Draw(t, "ny"), perX: 100, perY: 80}
		side := rapid.Float64Range(0.012, 0.09).Draw(t, "side")
		p := newSpread(s, side, nil)
		if p == nil {
			return
		}
		cells := make([]light, s.nx*s.ny)
		total := 0.0
		for i := range cells {
			cells[i].lux = rapid.Float64Range(0, 9).Draw(t, "lux")
			total += cells[i].lux
		}
		want := make([]float64, len(cells))
		for i := range cells {
			for dy := 1 - len(p.kernY); dy < len(p.kernY); dy++ {
				for dx := 1 - len(p.kernX); dx < len(p.kernX); dx++ {
					v := cells[mirrored(i/s.nx+dy, s.ny)*s.nx+mirrored(i%s.nx+dx, s.nx)]
					want[i] += v.lux * p.kernX[max(dx, -dx)] * p.kernY[max(dy, -dy)]
				}
			}
		}
		p.smooth(cells)
		for i := range cells {
			if math.Abs(cells[i].lux-want[i]) > 1e-9 {
				t.Fatalf("cell %d: %g, one by one %g", i, cells[i].lux, want[i])
			}
			total -= cells[i].lux
		}
		if math.Abs(total) > 1e-9 {
			t.Fatalf("%g lm lost", total)
		}
	})
}

func TestSpreadStopsAtBoxes(t *testing.T) {
	s := sheet{nx: 10, ny: 6, perX: 100, perY: 100, heightM: 0.1}
	box := space.Box{Min: space.Point{X: 0.03}, Max: space.Point{X: 0.05, Y: 0.04, Z: 0.2}}
	p := newSpread(s, 0.05, model.NewObstacles([]space.Box{box}))
	cells := make([]light, 60)
	for i := range cells {
		if x, y := i%10, i/10; !((x == 3 || x == 4) && y < 4) {
			cells[i].lux = 7
		}
	}
	p.smooth(cells)
	for i := range cells {
		want := 7.0
		if x, y := i%10, i/10; (x == 3 || x == 4) && y < 4 {
			want = 0
		}
		near(t, "even light beside a box", cells[i].lux, want, 1e-9)
	}
	if newSpread(s, 0.01, nil) != nil {
		t.Error("a square of one cell changes something")
	}
	s.heightM = 0.3 // above the box
	if p = newSpread(s, 0.05, model.NewObstacles([]space.Box{box})); p.open != nil {
		t.Error("a box below the plane counts")
	}
}

func TestSpreadKeepsMeansAndCalms(t *testing.T) {
	s := foyer(t)
	o := Options{Photons: 100_000, Planes: threePlanes(s, 0.01), Only: Rest}
	rough := traced(t, s, o)
	o.SpreadM = 0.03
	calm := traced(t, s, o)
	for i := range o.Planes {
		a, b := rough.Planes[i], calm.Planes[i]
		near(t, "mean", mean(b.Field.Illuminance), mean(a.Field.Illuminance), 1e-9*mean(a.Field.Illuminance))
		near(t, "error of the mean", b.MeanErrorLx, a.MeanErrorLx, 1e-6*a.MeanErrorLx)
	}
	if !(calm.Error < 0.5*rough.Error && calm.Error > 0.2*rough.Error) { // nine cells share: a third of the error
		t.Errorf("error %g after %g", calm.Error, rough.Error)
	}
}
