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
		{"map --engine s|", "straight", "full"},
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

// TestManPagesHoldAllFlags: each command has its page without a date, each flag and status stands on it, and no line of
// text is taken for a command of the typesetter.
func TestManPagesHoldAllFlags(t *testing.T) {
	known := strings.Fields(".nh .TH .SH .PP .EX .EE .TP .RS .RE")
	for _, c := range allCommands(newRootCommand(streams{})) {
		text, err := manPage(c)
		page, name := string(text), c.CommandPath()
		if err != nil {
			t.Fatal(name, err)
		}
		c.Flags().VisitAll(func(f *pflag.Flag) {
			if !f.Hidden && !strings.Contains(page, `\fB--`+f.Name+`\fP`) {
				t.Errorf("%s: no --%s", name, f.Name)
			}
		})
		if !strings.Contains(page, ".SH EXIT STATUS\n.EX\n  0  done\n") || !strings.Contains(page, `" "1" "" "fathomlux `) {
			t.Errorf("%s: no exit statuses, or a date", name)
		}
		for _, line := range strings.Split(page, "\n") {
			macro, _, _ := strings.Cut(line, " ")
			if strings.HasPrefix(line, ".") && !slices.Contains(known, macro) || strings.HasPrefix(line, "'") {
				t.Errorf("%s: %q", name, line)
			}
		}
	}
}

// TestHelpIsWithinATerminal: no page of help has a line that was filled beyond the width, and each word is on it.
func TestHelpIsWithinATerminal(t *testing.T) {
	t.Parallel()
	text := strings.Repeat("word and ", 40) + "\n  as it stands, " + strings.Repeat("long", 30) + "\n\nsecond"
	filled := filled(text, helpWidth)
	for _, line := range strings.Split(filled, "\n") {
		if len(line) > helpWidth && !strings.HasPrefix(line, "  as it stands") {
			t.Errorf("%d letters: %s", len(line), line)
		}
	}
	if got, want := strings.Fields(filled), strings.Fields(text); !slices.Equal(got, want) || !strings.HasSuffix(filled, "\n\nsecond\n") {
		t.Errorf("got %q", filled)
	}
}
