package main

import (
	"bytes"
	"slices"
	"strings"
	"testing"

	"github.com/spf13/pflag"
)

// completions returns what a shell is offered for the words of a call, the last of which is being typed.
func completions(t *testing.T, words ...string) []string {
	t.Helper()
	var out, errs bytes.Buffer
	if status := run(t.Context(), streams{Out: &out, Err: &errs}, append([]string{"__complete"}, words...)); status != statusDone {
		t.Fatalf("%q: status %d, %s", words, status, errs.String())
	}
	var list []string
	for _, line := range strings.Split(strings.TrimSpace(out.String()), "\n") {
		word, _, _ := strings.Cut(line, "\t")
		list = append(list, word)
	}
	return list
}

const foyer = "../../examples/foyer/foyer.yaml"

func TestCompletions(t *testing.T) {
	for _, c := range []struct{ call, has, hasNot string }{
		{"ma|", "map man", "check"},
		{"map |", "yaml yml :8", ""},          // files with these endings
		{"map " + foyer + "|", "yaml", ""},    // still the file
		{"map " + foyer + " |", ":4", "yaml"}, // no second one
		{"check a.yaml |", "yaml", ""},
		{"compare " + foyer + " --optic d|", "drawer-50", "round-40"}, // of the scene itself
		{"compare missing.yaml --optic round-40,r|", "round-40,round-25", "round-40,round-40"},
		{"map " + foyer + " --plane |", "surface mid floor", ""},
		{"map --units u|", "us", "metric"},
		{"report --engine d|", "direct", "full"},
		{"drill " + foyer + " --rail |", "main :4", ""},
		{"sweep --vary sp|", "spacing= :6", "height="}, // no space behind it
		{"map --step |", ":4", "yaml"},                 // a quantity, no file
		{"map --out |", ":16", ""},                     // folders
		{"parts show quad-|", "quad-neutral quad-blue", "round-40"},
		{"schema |", "scene parts", ""},
		{"completion |", "bash zsh fish powershell", ""},
		{"man |", ":16", ""},
		{"version |", ":4", "yaml"},
		{"help sch|", "schema", "map"},
		{"new |", ":0", "yaml"},
	} {
		got := completions(t, strings.Split(strings.TrimSuffix(c.call, "|"), " ")...)
		for _, word := range strings.Fields(c.has) {
			if !slices.Contains(got, word) {
				t.Errorf("%s offers %q, not %s", c.call, got, word)
			}
		}
		for _, word := range strings.Fields(c.hasNot) {
			if slices.Contains(got, word) {
				t.Errorf("%s offers %s", c.call, word)
			}
		}
	}
}

// TestManPagesHoldAllFlags: each command has its page, each flag and status stands on it, and no line of text is taken for
// a command of the typesetter.
func TestManPagesHoldAllFlags(t *testing.T) {
	known := strings.Fields(".TH .SH .B .BR .TP .PP .nf .fi")
	for _, c := range allCommands(newRootCommand(streams{})) {
		var b strings.Builder
		writeManPage(&b, c)
		page := b.String()
		c.Flags().VisitAll(func(f *pflag.Flag) {
			if !f.Hidden && !strings.Contains(page, `\fB\-\-`+roff(f.Name)+`\fR`) {
				t.Errorf("%s: no --%s", manName(c), f.Name)
			}
		})
		if !strings.Contains(page, ".SH EXIT STATUS\n.nf\n  0  done\n") {
			t.Errorf("%s: no exit statuses", manName(c))
		}
		for _, line := range strings.Split(page, "\n") {
			macro, _, _ := strings.Cut(line, " ")
			if strings.HasPrefix(line, ".") && !slices.Contains(known, macro) || strings.HasPrefix(line, "'") {
				t.Errorf("%s: %q", manName(c), line)
			}
		}
	}
}

func TestRoff(t *testing.T) {
	for text, want := range map[string]string{
		`a\b --c 'd' ~e`: `a\eb \-\-c \(aqd\(aq \(tie`,
		".hidden":        `\&.hidden`,
		"'quoted":        `\(aqquoted`,
	} {
		if got := roffLine(text); got != want {
			t.Errorf("%q is %q, want %q", text, got, want)
		}
	}
}
