package main

import (
	"go/ast"
	"go/doc"
	"go/parser"
	"go/token"
	"path/filepath"
	"strings"
	"testing"
)

// What can be read in one sitting, in lines.
const (
	longestFile     = 400
	longestFunction = 60
)

// TestNothingIsTooLong keeps files, and functions that are no tests, to a length that can be read at one go.
func TestNothingIsTooLong(t *testing.T) {
	t.Parallel()
	files := token.NewFileSet()
	for _, p := range ownPackages(t) {
		paths, err := filepath.Glob(filepath.Join(p.Dir, "*.go"))
		if err != nil || len(paths) == 0 {
			t.Fatalf("%s: %d files, %v", p.ImportPath, len(paths), err)
		}
		for _, path := range paths {
			f, err := parser.ParseFile(files, path, nil, 0)
			if err != nil {
				t.Fatal(err)
			}
			for _, what := range tooLong(files, f) {
				t.Error(what)
			}
		}
	}
}

// tooLong names a file, or functions of it, that are too long.
func tooLong(files *token.FileSet, f *ast.File) (list []string) {
	name := filepath.Base(files.Position(f.Pos()).Filename)
	if n := files.File(f.Pos()).LineCount(); n > longestFile {
		list = append(list, name+": the file is longer than 400 lines")
	}
	if strings.HasSuffix(name, "_test.go") {
		return list
	}
	for _, d := range f.Decls {
		if fn, ok := d.(*ast.FuncDecl); ok && files.Position(fn.End()).Line-files.Position(fn.Pos()).Line+1 > longestFunction {
			list = append(list, name+": "+fn.Name.Name+" is longer than 60 lines")
		}
	}
	return list
}

// TestTooLongCatches shows that both rules can fail.
func TestTooLongCatches(t *testing.T) {
	files := token.NewFileSet()
	source := "package p\nfunc short() {\n}\nfunc long() {\n" + strings.Repeat("\n", longestFunction) + "}\n" + strings.Repeat("\n", longestFile)
	f, err := parser.ParseFile(files, "p.go", source, 0)
	if err != nil {
		t.Fatal(err)
	}
	if got := tooLong(files, f); len(got) != 2 || !strings.Contains(got[1], "long is longer") {
		t.Errorf("found %q", got)
	}
}

// purpose is the first sentence of a package's comment: what the package is there for.
func purpose(t *testing.T, p goPackage) string {
	t.Helper()
	files := token.NewFileSet()
	for _, name := range p.GoFiles {
		f, err := parser.ParseFile(files, filepath.Join(p.Dir, name), nil, parser.PackageClauseOnly|parser.ParseComments)
		if err != nil {
			t.Fatal(err)
		}
		if f.Doc != nil {
			return new(doc.Package).Synopsis(f.Doc.Text())
		}
	}
	return ""
}
