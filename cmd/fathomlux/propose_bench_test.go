package main

import (
	"bytes"
	"context"
	"os"
	"path/filepath"
	"testing"
)

// benchTank is a tank of 1.2 m whose light is to be proposed.
const benchTank = `tank: {length: 1200 mm, width: 500 mm, height: 500 mm, water: {depth: 450 mm}}
wiring: {hours: 9 h, tariff: 0.28 EUR/kWh}
goal: {illuminance: 2500 lx, uniformity: 0.4}
`

// BenchmarkPropose measures the whole command over all built-in parts, from file to pictures, and over a third of the
// optics.
func BenchmarkPropose(b *testing.B) {
	for name, only := range map[string]string{"all": "", "third": "round-60,round-90,wide-60f"} {
		b.Run(name, func(b *testing.B) {
			dir := b.TempDir()
			file := filepath.Join(dir, "tank.yaml")
			if err := os.WriteFile(file, []byte(benchTank), 0o666); err != nil {
				b.Fatal(err)
			}
			for b.Loop() {
				var words, errs bytes.Buffer
				args := []string{"propose", file, "--only", only, "--out", dir}
				if status := run(context.Background(), streams{In: &bytes.Buffer{}, Out: &words, Err: &errs}, args); status != statusDone {
					b.Fatalf("status %d: %s", status, errs.String())
				}
			}
		})
	}
}
