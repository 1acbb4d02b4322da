package main

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// Between these lines DEVELOPERS.md shows the packages as they are.
const (
	drawnBegins = "<!-- drawn from the code; go test ./cmd/fathomlux -run TestArchitecturePage -update draws it anew -->\n"
	drawnEnds   = "<!-- end of what is drawn -->\n"
)

// longestPurpose is how many letters the sentence may have that says what a package is for.
const longestPurpose = 320

// TestArchitecturePage compares the page with the packages' own first sentences and imports.
func TestArchitecturePage(t *testing.T) {
	file := filepath.Join("..", "..", "DEVELOPERS.md")
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	before, rest, begins := strings.Cut(string(text), drawnBegins)
	drawn, after, ends := strings.Cut(rest, drawnEnds)
	if !begins || !ends {
		t.Fatalf("%s does not hold %q and %q", file, drawnBegins, drawnEnds)
	}
	want := drawHouse(t, ownPackages(t))
	if *update {
		if err := os.WriteFile(file, []byte(before+drawnBegins+want+drawnEnds+after), 0o644); err != nil {
			t.Fatal(err)
		}
	} else if drawn != want {
		t.Errorf("%s shows other packages, sentences or imports than the code has; draw it anew with -update", file)
	}
}

// drawHouse writes a table of all packages from the wing that knows most to the one that knows least: what each is for, in
// its own words, and what it imports of the others.
func drawHouse(t *testing.T, packages []goPackage) string {
	slices.SortFunc(packages, func(a, b goPackage) int {
		insideA, _ := within(a.ImportPath)
		insideB, _ := within(b.ImportPath)
		if by := rank[top(insideB)] - rank[top(insideA)]; by != 0 {
			return by
		}
		return strings.Compare(insideA, insideB)
	})
	var b strings.Builder
	b.WriteString("\n| package | what it is for | imports |\n|---|---|---|\n")
	for _, p := range packages {
		inside, _ := within(p.ImportPath)
		words := purpose(t, p)
		if words == "" || len(words) > longestPurpose || strings.Contains(words, "|") {
			t.Errorf("%s: its purpose does not fit one sentence of %d letters: %q", inside, longestPurpose, words)
		}
		_, words, _ = strings.Cut(strings.TrimPrefix(words, "Package "), " ")
		words = strings.TrimPrefix(words, "fathomlux ")
		var imports []string
		for _, path := range p.Imports {
			if to, own := within(path); own {
				imports = append(imports, to)
			}
		}
		fmt.Fprintf(&b, "| `%s` | %s | %s |\n", inside, words, strings.Join(imports, ", "))
	}
	b.WriteString("\n")
	return b.String()
}
