package main

import (
	"bytes"
	"context"
	"testing"
)

// BenchmarkMap measures the whole command on the foyer example, from file to pictures, with either engine.
func BenchmarkMap(b *testing.B) {
	for _, engine := range []string{"full", "straight"} {
		b.Run(engine, func(b *testing.B) {
			out := b.TempDir()
			for b.Loop() {
				var words, errs bytes.Buffer
				args := []string{"map", "../../examples/foyer/foyer.yaml", "--engine", engine, "--out", out}
				if status := run(context.Background(), streams{In: &bytes.Buffer{}, Out: &words, Err: &errs}, args); status != statusDone {
					b.Fatalf("status %d: %s", status, errs.String())
				}
			}
		})
	}
}
