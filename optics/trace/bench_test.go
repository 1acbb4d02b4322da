package trace

import (
	"context"
	"strconv"
	"testing"
)

// BenchmarkHistories measures analogue tracing of the foyer tank on one core, with three planes of 10 mm cells.
func BenchmarkHistories(b *testing.B) {
	s := foyer(b)
	histories(b, s, Options{Photons: 1 << 19, Planes: threePlanes(s, 0.01)})
}

// BenchmarkRest measures the rest alone, each history with all the parts that it splits into.
func BenchmarkRest(b *testing.B) {
	s := foyer(b)
	histories(b, s, Options{Photons: 1 << 19, Planes: threePlanes(s, 0.01), Only: Rest})
}

// BenchmarkWorkers shows what a second core is worth.
func BenchmarkWorkers(b *testing.B) {
	s := foyer(b)
	for _, n := range []int{1, 2} {
		b.Run(strconv.Itoa(n), func(b *testing.B) {
			histories(b, s, Options{Workers: n, Photons: 1 << 20, Planes: threePlanes(s, 0.01)})
		})
	}
}

func histories(b *testing.B, s *setup, o Options) {
	b.Helper()
	photons := int64(0)
	for b.Loop() {
		a, err := Run(context.Background(), s.build(), o)
		if err != nil {
			b.Fatal(err)
		}
		photons += a.Photons
	}
	b.ReportMetric(float64(photons)/b.Elapsed().Seconds(), "histories/s")
}

// BenchmarkTransfer measures the tables of the foyer's tank for three planes; BenchmarkTraced photons alone to 0.5 % of the mean
// in a cell of 10 mm.
func BenchmarkTransfer(b *testing.B) {
	s := foyer(b)
	for b.Loop() {
		if _, err := NewTransfer(b.Context(), s.build(), TransferOptions{DepthsM: []float64{0, s.DepthM / 2, s.DepthM}, Workers: 2}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkTraced(b *testing.B) {
	s := foyer(b)
	for b.Loop() {
		a := traced(b, s, Options{Error: 0.005, Planes: threePlanes(s, 0.01)})
		b.ReportMetric(float64(a.Photons), "histories")
	}
}

// BenchmarkLens measures how long a beam takes to be made ready.
func BenchmarkLens(b *testing.B) {
	s := foyer(b)
	for b.Loop() {
		newLens(s.Beams[0])
	}
}
