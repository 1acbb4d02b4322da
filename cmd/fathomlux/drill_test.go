package main

import (
	"strings"
	"testing"
)

// TestSafeName: names of rails become names of files that any system takes, no two the same, whatever they are.
func TestSafeName(t *testing.T) {
	taken := map[string]bool{}
	for _, c := range []struct{ name, want string }{
		{"main", "main"}, {"Main", "main-2"}, {"../../etc/passwd", "etc-passwd"}, {"a:b\\c", "a-b-c"}, {"\u05e9\u05dc\u05d5\u05dd", "rail"}, {"\u6c34", "rail-2"},
		{"rail 2", "rail-2-2"}, {" .hidden. ", "hidden"}, {strings.Repeat("x", 59) + " yz", strings.Repeat("x", 59)},
	} {
		if got := safeName(c.name, taken); got != c.want {
			t.Errorf("%q: got %q, want %q", c.name, got, c.want)
		}
	}
}
