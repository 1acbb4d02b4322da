// Package longtest tells tests whether their long laws run in full: random tanks by the hundred, kills, readings. It is
// for tests alone. Its calls stand in the test function itself, by which .ci/run finds the tests that have more to try.
package longtest

import (
	"flag"
	"os"
	"sync"
	"testing"

	"pgregory.net/rapid"
)

// Pick returns sample, what a law is tried on each time, or full, where FATHOMLUX_LONG=1 asks for all of it.
func Pick[T any](sample, full T) T {
	if os.Getenv("FATHOMLUX_LONG") == "1" {
		return full
	}
	return sample
}

// Check is rapid.Check for laws whose examples take long: five examples of one seed, and as many as rapid is asked for,
// of any seed, in full. A package that calls it calls rapid.Check nowhere, since what it sets holds for both.
func Check(t *testing.T, law func(*rapid.T)) {
	t.Helper()
	sample()
	rapid.Check(t, law)
}

// sample sets rapid's flags once, before any law runs.
var sample = sync.OnceFunc(func() {
	for name, value := range Pick(map[string]string{"rapid.checks": "5", "rapid.seed": "1"}, nil) {
		if err := flag.Set(name, value); err != nil {
			panic(err) // rapid has no such flag any more
		}
	}
})
