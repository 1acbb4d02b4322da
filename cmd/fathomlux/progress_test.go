package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"fathomlux/render/preview"
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
		follow := (&bar{}).predict(streams{Err: &out}, common{quiet: c.quiet}, func() time.Time { clock = clock.Add(time.Second); return clock }, tracingForecast)
		follow(1_000_000, c.total)
		follow(2_000_000, c.total)
		follow(3_000_000, c.total)
		if got := out.String(); !strings.Contains(got, c.want) || (c.want == "") != (got == "") || strings.Count(got, "\n") > 1 {
			t.Errorf("of %d photons, quiet %v: %q", c.total, c.quiet, got)
		}
	}
}

// TestBarIsOneLine: it shows how far the work is, and nothing is left of it.
func TestBarIsOneLine(t *testing.T) {
	t.Parallel()
	file, err := os.Create(filepath.Join(t.TempDir(), "terminal"))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	b := &bar{to: file, what: "photons"}
	b.set(30, 120)
	b.set(31, 120) // too soon to be drawn
	b.close()
	text, err := os.ReadFile(file.Name())
	line := "photons  25 % [" + strings.Repeat("=", 10) + strings.Repeat(" ", 30) + "] (30 of 120)"
	want := "\r\r" + line + "\r" + strings.Repeat(" ", len(line)) + "\r"
	if err != nil || string(text) != want {
		t.Errorf("%q, %v", text, err)
	}
}

// TestColoursOfATerminal: by the usual variables. NO_COLOR is the convention of no-color.org.
func TestColoursOfATerminal(t *testing.T) {
	t.Parallel()
	for call, want := range map[string]preview.Depth{"": preview.Plain, "TERM=xterm": preview.Plain,
		"TERM=xterm-256color": preview.Colours256, "TERM=xterm COLORTERM=truecolor": preview.TrueColour,
		"TERM=xterm COLORTERM=24bit NO_COLOR=1": preview.Plain, "TERM=dumb COLORTERM=truecolor": preview.Plain} {
		env := map[string]string{}
		for _, pair := range strings.Fields(call) {
			name, value, _ := strings.Cut(pair, "=")
			env[name] = value
		}
		if got := depthOf(func(name string) string { return env[name] }); got != want {
			t.Errorf("%q: %v, want %v", call, got, want)
		}
	}
}
