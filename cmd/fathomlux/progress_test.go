package main

import (
	"bytes"
	"strings"
	"testing"
	"time"
)

// TestLongTracingIsPredicted: a tenth is done in a second, so that the whole takes ten, whatever came before the tracing; it is said once, not of short ones, and not
// where the caller wants quiet.
func TestLongTracingIsPredicted(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		total int64
		quiet bool
		want  string
	}{{10_000_000, false, "about 10s"}, {2_000_000, false, ""}, {10_000_000, true, ""}} {
		var out bytes.Buffer
		clock := time.Unix(0, 0)
		follow := (&meter{}).predict(streams{Err: &out}, common{quiet: c.quiet}, func() time.Time { clock = clock.Add(time.Second); return clock })
		follow(1_000_000, c.total)
		follow(2_000_000, c.total)
		follow(3_000_000, c.total)
		if got := out.String(); !strings.Contains(got, c.want) || (c.want == "") != (got == "") || strings.Count(got, "\n") > 1 {
			t.Errorf("of %d photons, quiet %v: %q", c.total, c.quiet, got)
		}
	}
}
