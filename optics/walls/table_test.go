package walls_test

import (
	"math"
	"testing"

	"fathomlux/optics/walls"

	"pgregory.net/rapid"
)

// TestTableError looks for the largest error over fine steps of the cosine: 2e-7 is what Table promises.
func TestTableError(t *testing.T) {
	for _, n := range []float64{1.3, 1.49, 1.52, 1.9} {
		for _, water := range []float64{1, 1.1, 1.333, 1.3438, 1.41, 1.5} {
			w := walls.Wall{Kind: walls.Glass, Index: n}
			table := walls.NewTable(w, water)
			worstAir, worstWater := 0.0, 0.0
			for i := range 100001 {
				c := float64(i) / 100000
				worstAir = math.Max(worstAir, math.Abs(table.Air(c)-w.InAir(c)))
				worstWater = math.Max(worstWater, math.Abs(table.Water(c*water)-w.InWater(c*water, water)))
			}
			near(t, "in air", worstAir, 0, 2e-7)
			near(t, "in water", worstWater, 0, 2e-7)
		}
	}
}

// TestTableAtTheKink: total reflection ends where the cosine in air is sqrt(n^2-1), and the drop below 1 starts there with an
// infinite slope, which the table has to follow.
func TestTableAtTheKink(t *testing.T) {
	table := walls.NewTable(glass, 1.333)
	kink := math.Sqrt(1.333*1.333 - 1)
	near(t, "up to the kink", table.Water(kink*(1-1e-15)), 1, 0)
	near(t, "far below it", table.Water(0), 1, 0)
	for e := 1e-15; e < 0.1; e *= 3 {
		near(t, "above it", table.Water(kink+e), glass.InWater(kink+e, 1.333), 2e-7)
	}
}

// TestTableNeverFails: cosines that rounding has put past the ends are taken, and no number breaks the lookup.
func TestTableNeverFails(t *testing.T) {
	table := walls.NewTable(glass, 1.333)
	near(t, "just above 1", table.Air(1+1e-15), glass.InAir(1), 2e-7)
	near(t, "just above 1, in water", table.Water(1+1e-15), glass.InWater(1, 1.333), 2e-7)
	rapid.Check(t, func(t *rapid.T) {
		c := rapid.Float64().Draw(t, "cosine")
		_, _ = table.Air(c), table.Water(c) // must not panic
	})
}

func BenchmarkTableAir(b *testing.B) {
	table := walls.NewTable(glass, 1.333)
	sum := 0.0
	for i := 0; b.Loop(); i++ {
		sum += table.Air(float64(i&1023) / 1023)
	}
	if sum < 0 {
		b.Fatal(sum)
	}
}

func BenchmarkTableWater(b *testing.B) {
	table := walls.NewTable(glass, 1.333)
	sum := 0.0
	for i := 0; b.Loop(); i++ {
		sum += table.Water(float64(i&1023) / 1023)
	}
	if sum < 0 {
		b.Fatal(sum)
	}
}

func BenchmarkExactWater(b *testing.B) {
	sum := 0.0
	for i := 0; b.Loop(); i++ {
		sum += glass.InWater(float64(i&1023)/1023, 1.333)
	}
	if sum < 0 {
		b.Fatal(sum)
	}
}
