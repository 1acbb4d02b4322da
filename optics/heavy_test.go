package optics

import (
	"context"
	"path/filepath"
	"testing"

	"fathomlux/scene"
)

// BenchmarkHeavy computes small scenes that once took long, one worker, everything that map wants but its pictures. To see
// where the time goes: go test ./optics -run - -bench Heavy/shaft -benchtime 1x -cpuprofile cpu.out
func BenchmarkHeavy(b *testing.B) {
	files, err := filepath.Glob("testdata/heavy/*.yaml")
	if err != nil || len(files) == 0 {
		b.Fatal("no scenes", err)
	}
	for _, file := range files {
		sc, err := scene.Read(file)
		if err != nil {
			b.Fatal(err)
		}
		b.Run(filepath.Base(file), func(b *testing.B) {
			for b.Loop() {
				m, err := Map(context.Background(), sc, Options{Engine: Full, Sections: true, Workers: 1, Seed: 1})
				if err != nil {
					b.Fatal(err)
				}
				b.ReportMetric(float64(m.Tracing.Photons), "photons")
			}
		})
	}
}
