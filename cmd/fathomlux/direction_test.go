package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
)

// rank orders the wings of the house: an import may not climb.
var rank = map[string]int{"scene": 0, "optics": 1, "render": 2, "cmd": 3}

// onlyCommands are the modules that only cmd may import: they parse flags, draw on a terminal or wait for a user.
var onlyCommands = []string{"github.com/spf13/"}

// onTop are the packages that stand on the root of their wing: they take whole scenes, or ask for the light of many.
var onTop = []string{"scene/edit", "scene/operating", "scene/wiring", "scene/bill", "scene/drilling", "scene/hanging", "scene/share", "optics/day", "optics/study", "optics/lightmeter", "optics/propose", "optics/tolerance", "optics/view"}

// below are the packages of scene that those below optics may know.
var below = []string{"scene/space", "scene/form", "scene/curve", "scene/photometry", "scene/colour", "scene/unit", "scene/finding", "scene/panics"}

// goPackage is what `go list -json` tells of a package.
type goPackage struct {
	Dir, ImportPath                             string
	GoFiles, Imports, TestImports, XTestImports []string
}

// ownPackages lists the packages of this module; nobody changes the list.
func ownPackages(t *testing.T) []goPackage {
	t.Helper()
	all, err := listedPackages()
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// listedPackages asks the go command once.
var listedPackages = sync.OnceValues(func() (all []goPackage, err error) {
	cmd := exec.Command("go", "list", "-json=Dir,ImportPath,GoFiles,Imports,TestImports,XTestImports", "./...")
	cmd.Dir = filepath.Join("..", "..")
	out, err := cmd.Output()
	if err != nil {
		return nil, fmt.Errorf("go list: %w", err)
	}
	for d := json.NewDecoder(bytes.NewReader(out)); ; {
		var p goPackage
		if err := d.Decode(&p); err == io.EOF {
			return all, nil
		} else if err != nil {
			return nil, err
		}
		all = append(all, p)
	}
})

// within returns a package's path inside this module; ok is false for a package of another one.
func within(path string) (inside string, ok bool) { return strings.CutPrefix(path, "fathomlux/") }

func top(inside string) string {
	wing, _, _ := strings.Cut(inside, "/")
	return wing
}

// forTests tells whether a package serves tests alone, by its name: readertest, longtest.
func forTests(inside string) bool { return strings.HasSuffix(inside, "test") }

// importFault says why a package must not import another, "" where it may. Both are paths inside this module.
func importFault(from, to string) string {
	fromRank, known := rank[top(from)]
	toRank, knownTo := rank[top(to)]
	switch {
	case !known || !knownTo:
		return "a package stands outside cmd, render, optics and scene"
	case toRank > fromRank:
		return "imports run cmd -> render -> optics -> scene"
	case forTests(to):
		return "it is for tests alone"
	case slices.Contains(onTop, from) || forTests(from):
		return ""
	case strings.HasPrefix(from, to+"/"):
		return "a child never imports its root"
	case strings.HasPrefix(from, "optics/") && top(to) == "scene" && !slices.Contains(below, to):
		return "below optics only scene/space, form, curve, photometry, colour, unit, finding and panics are known"
	case top(from) == "render" && top(to) == "optics" && to != "optics/result":
		return "render takes optics/result and starts no engine"
	}
	return ""
}

// importFaults returns all imports of a package that run the wrong way. Its tests may look at the root of their wing,
// but may not climb either.
func importFaults(p goPackage) []string {
	from, _ := within(p.ImportPath)
	var faults []string
	for _, path := range p.Imports {
		if to, own := within(path); own {
			if why := importFault(from, to); why != "" {
				faults = append(faults, fmt.Sprintf("%s must not import %s: %s", from, to, why))
			}
			continue
		}
		for _, prefix := range onlyCommands {
			if strings.HasPrefix(path, prefix) && top(from) != "cmd" {
				faults = append(faults, fmt.Sprintf("%s must not import %s: only cmd parses flags and draws on terminals", from, path))
			}
		}
	}
	for _, path := range slices.Concat(p.TestImports, p.XTestImports) {
		if to, own := within(path); own && rank[top(to)] > rank[top(from)] {
			faults = append(faults, fmt.Sprintf("a test of %s must not import %s: imports run cmd -> render -> optics -> scene", from, to))
		}
	}
	return faults
}

// TestImportDirection keeps the direction of all imports.
func TestImportDirection(t *testing.T) {
	packages := ownPackages(t)
	if len(packages) < 5 {
		t.Fatalf("go list found %d packages only", len(packages))
	}
	for _, p := range packages {
		for _, fault := range importFaults(p) {
			t.Error(fault)
		}
	}
}

// TestImportRulesCatch shows that each rule can fail.
func TestImportRulesCatch(t *testing.T) {
	for _, c := range []struct {
		from, to string
		wrong    bool
	}{
		{"cmd/fathomlux", "render/style", false},
		{"optics", "scene", false},
		{"optics/direct", "scene/space", false},
		{"render/plan", "optics/result", false},
		{"render/plan", "scene", false},
		{"scene", "scene/unit", false},
		{"scene/parts", "scene/document", false},
		{"scene", "optics/result", true},
		{"optics/direct", "render/style", true},
		{"scene/parts", "scene", true},
		{"scene/edit", "scene", false},
		{"optics/direct", "optics", true},
		{"optics/study", "optics", false},
		{"optics/study", "render/style", true},
		{"optics/direct", "scene", true},
		{"optics/direct", "scene/parts", true},
		{"render/plan", "optics/direct", true},
		{"render/plan", "optics", true},
		{"tools", "scene", true},
		{"scene", "scene/longtest", true},
	} {
		p := goPackage{ImportPath: "fathomlux/" + c.from, Imports: []string{"fathomlux/" + c.to}}
		if got := len(importFaults(p)) > 0; got != c.wrong {
			t.Errorf("%s imports %s: called wrong is %v, want %v", c.from, c.to, got, c.wrong)
		}
	}
	cobra := goPackage{ImportPath: "fathomlux/optics", Imports: []string{"github.com/spf13/cobra"}}
	if len(importFaults(cobra)) != 1 {
		t.Error("optics may import cobra")
	}
	climber := goPackage{ImportPath: "fathomlux/scene", TestImports: []string{"fathomlux/optics"}}
	if len(importFaults(climber)) != 1 {
		t.Error("a test of scene may import optics")
	}
}

// processCalls are the names by which Go code touches its process, the terminal, the clock or a random source that
// others use too. Only cmd may use them.
var processCalls = map[string][]string{
	"os":   {"Exit", "Getenv", "LookupEnv", "Environ", "Setenv", "Args", "Stdin", "Stdout", "Stderr"},
	"fmt":  {"Print", "Printf", "Println"},
	"time": {"Now", "Since"},
}

// processFaults lists the uses of processCalls in one file, and the import of log and flag.
func processFaults(files *token.FileSet, f *ast.File) []string {
	var faults []string
	for _, spec := range f.Imports {
		path, _ := strconv.Unquote(spec.Path.Value)
		if path == "log" || path == "flag" || path == "math/rand" {
			faults = append(faults, fmt.Sprintf("%s: import of %s", files.Position(spec.Pos()), path))
		}
	}
	ast.Inspect(f, func(n ast.Node) bool {
		sel, ok := n.(*ast.SelectorExpr)
		if !ok {
			return true
		}
		if x, ok := sel.X.(*ast.Ident); ok && x.Obj == nil && slices.Contains(processCalls[x.Name], sel.Sel.Name) {
			faults = append(faults, fmt.Sprintf("%s: %s.%s", files.Position(sel.Pos()), x.Name, sel.Sel.Name))
		}
		return true
	})
	return faults
}

// TestOnlyCommandsTouchTheProcess keeps printing, exits, the environment and the clock in cmd.
func TestOnlyCommandsTouchTheProcess(t *testing.T) {
	files := token.NewFileSet()
	for _, p := range ownPackages(t) {
		if inside, _ := within(p.ImportPath); top(inside) == "cmd" || forTests(inside) {
			continue
		}
		for _, name := range p.GoFiles {
			f, err := parser.ParseFile(files, filepath.Join(p.Dir, name), nil, 0)
			if err != nil {
				t.Fatal(err)
			}
			for _, fault := range processFaults(files, f) {
				t.Errorf("only cmd may do this: %s", fault)
			}
		}
	}
}

// TestOnlyCommandsRuleCatches shows that the rule can fail, and that a local variable named os does not trip it.
func TestOnlyCommandsRuleCatches(t *testing.T) {
	const source = `package p
import ("fmt"; "log"; "os"; "time")
func f() { os.Exit(1); fmt.Println(os.Stdout); log.Print(time.Now()); _ = os.ReadFile }
func g(os struct{ Exit int }) int { return os.Exit }`
	files := token.NewFileSet()
	f, err := parser.ParseFile(files, "p.go", source, 0)
	if err != nil {
		t.Fatal(err)
	}
	if got := processFaults(files, f); len(got) != 5 {
		t.Errorf("found %d uses, want 5: log, os.Exit, fmt.Println, os.Stdout, time.Now; got %v", len(got), got)
	}
}
