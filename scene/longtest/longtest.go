// Package longtest tells tests whether their long laws run in full: random tanks by the dozen, kills, hundreds of readings. It is
// for tests alone.
package longtest

import "os"

// Pick returns sample, what a law is tried on each time, or full, where FATHOMLUX_LONG=1 asks for all of it. The call stands in
// the test function itself, by which .ci/run finds the tests that have more to try.
func Pick[T any](sample, full T) T {
	if os.Getenv("FATHOMLUX_LONG") == "1" {
		return full
	}
	return sample
}
