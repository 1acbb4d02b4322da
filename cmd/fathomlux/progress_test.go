package main

import (
	"bytes"
	"strings"
	"testing"
	"time"
)

// TestLongTracingIsPredicted: after a second a tenth is done, so that the whole takes ten; it is said once, not of short ones, and not
// where the caller wants quiet.
func TestLongTracingIsPredicted(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		total int64
		quiet bool
		want  string
	}{{10_000_000, false, "about 10s"}, {2_000_000, false, ""}, {10_000_000, true, ""}} {
		var out bytes.Buffer
		follow := (&meter{}).predict(streams{Err: &out}, common{quiet: c.quiet}, time.Now().Add(-time.Second))
		follow(1_000_000, c.total)
		follow(2_000_000, c.total)
		if got := out.String(); !strings.Contains(got, c.want) || (c.want == "") != (got == "") || strings.Count(got, "\n") > 1 {
			t.Errorf("of %d photons, quiet %v: %q", c.total, c.quiet, got)
		}
	}
}
