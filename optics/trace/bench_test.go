package trace

import (
	"context"
	"strconv"
	"testing"

	"fathomlux/optics/direct"
	"fathomlux/optics/water"
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

// BenchmarkFull measures the direct sum with the rest at three planes of 10 mm cells, to 0.5 % of the mean in a cell, with and
// without spreading the rest over 25 mm; and all traced to the same error.
func BenchmarkFull(b *testing.B) {
	s := foyer(b)
	for _, mm := range []float64{0, 25} {
		b.Run("spread"+strconv.Itoa(int(mm)), func(b *testing.B) {
			for b.Loop() {
				planes := threePlanes(s, 0.01)
				e, err := direct.New(context.Background(), s.build(), direct.Options{Workers: 2, Attenuation: water.Unscattered})
				if err != nil {
					b.Fatal(err)
				}
				for i := range planes {
					l, err := e.Plane(context.Background(), planes[i].DepthM, planes[i].Grid, false)
					if err != nil {
						b.Fatal(err)
					}
					planes[i].KnownLx = mean(l.Whole.Illuminance)
				}
				a := traced(b, s, Options{Error: 0.005, Planes: planes, Only: Rest, SpreadM: mm / 1000})
				b.ReportMetric(float64(a.Photons), "histories")
			}
		})
	}
	b.Run("traced", func(b *testing.B) {
		for b.Loop() {
			a := traced(b, s, Options{Error: 0.005, Planes: threePlanes(s, 0.01)})
			b.ReportMetric(float64(a.Photons), "histories")
		}
	})
}

// BenchmarkLens measures how long a beam takes to be made ready.
func BenchmarkLens(b *testing.B) {
	s := foyer(b)
	for b.Loop() {
		newLens(s.Beams[0])
	}
}
