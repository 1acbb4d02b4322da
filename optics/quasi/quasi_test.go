package quasi

import (
	"math"
	"testing"
)

// TestHaltonAsPrinted: the first points in bases 2 and 3 as Halton's paper and every textbook list them.
func TestHaltonAsPrinted(t *testing.T) {
	h, p := New(2, 0), make([]float64, 2)
	for i, want := range [][2]float64{{0, 0}, {1. / 2, 1. / 3}, {1. / 4, 2. / 3}, {3. / 4, 1. / 9}, {1. / 8, 4. / 9}, {5. / 8, 7. / 9}, {3. / 8, 2. / 9}, {7. / 8, 5. / 9}} {
		h.Point(i, p)
		if math.Abs(p[0]-want[0]) > 1e-12 || math.Abs(p[1]-want[1]) > 1e-12 {
			t.Errorf("point %d: %v, want %v", i, p, want)
		}
	}
}

// TestBoxesHoldOnePointEach: of 2^a 3^b points in a row, one lies in each box of 2^-a by 3^-b, plain or scrambled: the
// property from which Halton's bound of the discrepancy follows (Niederreiter 1992, theorem 3.6).
func TestBoxesHoldOnePointEach(t *testing.T) {
	p := make([]float64, 2)
	for _, seed := range []uint64{0, 1, 99} {
		h := New(2, seed)
		for _, c := range []struct{ nx, ny int }{{2, 3}, {8, 9}, {16, 27}, {64, 3}} {
			n := c.nx * c.ny
			held := make([]int, n)
			for i := range n {
				h.Point(5*n+i, p)
				held[int(p[0]*float64(c.nx)+1e-9)*c.ny+int(p[1]*float64(c.ny)+1e-9)]++
			}
			for box, k := range held {
				if k != 1 {
					t.Fatalf("seed %d, %d by %d boxes: box %d holds %d points", seed, c.nx, c.ny, box, k)
				}
			}
		}
	}
}

// TestEveryCoordinateIsEven: in each of 12 dimensions b points in a row fall into b different b-ths.
func TestEveryCoordinateIsEven(t *testing.T) {
	h, p := New(12, 7), make([]float64, 12)
	for k, b := range h.bases {
		seen := map[int]bool{}
		for i := range int(b) {
			h.Point(i, p)
			seen[int(p[k]*float64(b)+1e-9)] = true
		}
		if len(seen) != int(b) {
			t.Errorf("dimension %d, base %d: %d parts hold points", k, b, len(seen))
		}
	}
}

// TestIntegral: the product of (1/2 + x) over 6 dimensions integrates to 1. With variance 1/12 a dimension, plain random
// points have a standard error of sqrt((13/12)^6 - 1) / sqrt(1024) = 2.46 %; scrambled points must do four times better.
func TestIntegral(t *testing.T) {
	const n, dims, seeds = 1024, 6, 32
	var squares float64
	for seed := range uint64(seeds) {
		h, p, sum := New(dims, seed+1), make([]float64, dims), 0.0
		for i := range n {
			h.Point(i, p)
			f := 1.0
			for _, x := range p {
				f *= 0.5 + x
			}
			sum += f / n
		}
		squares += (sum - 1) * (sum - 1) / seeds
	}
	if got := math.Sqrt(squares); got > 0.0246/4 {
		t.Errorf("error %g", got)
	} else {
		t.Logf("error %g, %.1f times less than random", got, 0.0246/got)
	}
}

func TestSeeds(t *testing.T) {
	a, b := make([]float64, 40), make([]float64, 40)
	New(40, 1).Point(17, a)
	New(40, 1).Point(17, b)
	for k := range a {
		if a[k] != b[k] || !(a[k] >= 0 && a[k] < 1) {
			t.Errorf("coordinate %d: %g and %g", k, a[k], b[k])
		}
	}
	New(40, 2).Point(17, b)
	same := 0
	for k := range a {
		if a[k] == b[k] {
			same++
		}
	}
	if same > 4 {
		t.Errorf("%d of 40 coordinates are the same for another seed", same)
	}
}
