package main

import (
	"encoding/json"
	"go/ast"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// implementing are methods whose readers are interfaces of the standard library.
var implementing = []string{"String", "Error", "Unwrap", "ServeHTTP", "MarshalJSON"}

// house is the module's own packages, type-checked from source without their tests, and who reads which exported name.
type house struct {
	files    *token.FileSet
	packages map[string]*types.Package
	order    []string // imports before importers
	foreign  types.Importer
	uses     map[types.Object]bool // by another package
}

// Import returns an own package that was checked before, or a foreign one from what the compiler wrote of it.
func (h *house) Import(path string) (*types.Package, error) {
	if p := h.packages[path]; p != nil {
		return p, nil
	}
	return h.foreign.Import(path)
}

// readHouse lists and checks all packages, with their imports before them.
func readHouse(t *testing.T) *house {
	t.Helper()
	var asked []string // all but the program itself, which nobody has compiled for others, and what it imports
	var program goPackage
	for _, p := range ownPackages(t) {
		if inside, _ := within(p.ImportPath); inside == "cmd/fathomlux" {
			program, asked = p, append(asked, p.Imports...)
		} else {
			asked = append(asked, p.ImportPath)
		}
	}
	cmd := exec.Command("go", append([]string{"list", "-export", "-deps", "-json=Dir,ImportPath,Export,GoFiles"}, asked...)...)
	cmd.Dir = filepath.Join("..", "..")
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	h := &house{files: token.NewFileSet(), packages: map[string]*types.Package{}, uses: map[types.Object]bool{}}
	exports := map[string]string{}
	h.foreign = importer.ForCompiler(h.files, "gc", func(path string) (io.ReadCloser, error) { return os.Open(exports[path]) })
	for d := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p struct {
			Dir, ImportPath, Export string
			GoFiles                 []string
		}
		if err := d.Decode(&p); err == io.EOF {
			h.check(t, program.ImportPath, program.Dir, program.GoFiles)
			return h
		} else if err != nil {
			t.Fatal(err)
		}
		exports[p.ImportPath] = p.Export
		if _, own := within(p.ImportPath); own {
			h.check(t, p.ImportPath, p.Dir, p.GoFiles)
		}
	}
}

// check type-checks one package and notes what it uses of others.
func (h *house) check(t *testing.T, path, dir string, names []string) {
	var files []*ast.File
	for _, name := range names {
		f, err := parser.ParseFile(h.files, filepath.Join(dir, name), nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, f)
	}
	info := &types.Info{Uses: map[*ast.Ident]types.Object{}}
	p, err := (&types.Config{Importer: h}).Check(path, h.files, files, info)
	if err != nil {
		t.Fatal(err)
	}
	for _, o := range info.Uses {
		if o.Pkg() == nil || o.Pkg() == p {
			continue
		}
		switch v := o.(type) {
		case *types.Func:
			o = v.Origin()
		case *types.Var:
			o = v.Origin()
		}
		h.uses[o] = true
	}
	h.packages[path] = p
	h.order = append(h.order, path)
}

// testSelections notes every name that a test or a page's template selects, x.Name, and from where: the path of the package
// that a test belongs to, which is another one where it only stands beside it.
func testSelections(t *testing.T, packages []goPackage) map[string][]string {
	selected := map[string][]string{} // name to from where
	files := token.NewFileSet()
	for _, p := range packages {
		paths, err := filepath.Glob(filepath.Join(p.Dir, "*_test.go"))
		if err != nil {
			t.Fatal(err)
		}
		for _, path := range paths {
			f, err := parser.ParseFile(files, path, nil, 0)
			if err != nil {
				t.Fatal(err)
			}
			from := p.ImportPath
			if strings.HasSuffix(f.Name.Name, "_test") {
				from += "_test"
			}
			selectedIn(f, func(name string) { selected[name] = append(selected[name], from) })
		}
		templates, err := filepath.Glob(filepath.Join(p.Dir, "*", "*.html"))
		if err != nil {
			t.Fatal(err)
		}
		for _, path := range templates {
			text, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			for _, name := range templateName.FindAllStringSubmatch(string(text), -1) {
				selected[name[1]] = append(selected[name[1]], path)
			}
		}
	}
	return selected
}

// templateName finds what an HTML template selects.
var templateName = regexp.MustCompile(`\.([A-Z]\w+)`)

// selectedIn calls note for every exported name that a file selects.
func selectedIn(f *ast.File, note func(name string)) {
	ast.Inspect(f, func(n ast.Node) bool {
		if s, ok := n.(*ast.SelectorExpr); ok && s.Sel.IsExported() {
			note(s.Sel.Name)
		}
		return true
	})
}

// readTypes are the named types that can be met through what others use: types of values, fields, arguments and results.
func (h *house) readTypes() map[*types.TypeName]bool {
	met := map[*types.TypeName]bool{}
	var meet func(t types.Type)
	meet = func(t types.Type) {
		switch v := types.Unalias(t).(type) {
		case *types.Named:
			if v = v.Origin(); met[v.Obj()] {
				return
			}
			met[v.Obj()] = true
			if _, own := h.packages[pathOf(v.Obj())]; own {
				meet(v.Underlying())
			}
		case *types.Struct:
			for f := range v.Fields() {
				if f.Exported() {
					meet(f.Type())
				}
			}
		case *types.Signature:
			meet(v.Params())
			meet(v.Results())
		case *types.Tuple:
			for one := range v.Variables() {
				meet(one.Type())
			}
		case *types.Map:
			meet(v.Key())
			meet(v.Elem())
		case interface{ Elem() types.Type }: // pointers, slices, arrays, channels
			meet(v.Elem())
		}
	}
	for o := range h.uses {
		meet(o.Type())
	}
	return met
}

func pathOf(o types.Object) string {
	if o.Pkg() == nil {
		return ""
	}
	return o.Pkg().Path()
}

// stated tells whether a name is that of a limit: limits stand in documents and messages, whoever reads them in code.
func stated(name string) bool { return strings.HasPrefix(name, "Max") }

// unread lists the exported names of a package that nobody reads, in alphabetical order. Fields are left out: they are plain data.
func (h *house) unread(path string, met map[*types.TypeName]bool, selected map[string][]string) (names []string) {
	outside := func(name string) bool {
		return slices.ContainsFunc(selected[name], func(from string) bool { return from != path })
	}
	scope := h.packages[path].Scope()
	for _, name := range scope.Names() {
		o := scope.Lookup(name)
		if !o.Exported() || stated(name) {
			continue
		}
		read := h.uses[o] || outside(name)
		switch v := o.(type) {
		case *types.Const: // one of a kind stands with the others of its kind
			if named, ok := v.Type().(*types.Named); ok {
				read = read || met[named.Obj()]
			}
		case *types.TypeName:
			read = read || met[v]
			if named, ok := v.Type().(*types.Named); ok && !v.IsAlias() {
				for m := range named.Methods() {
					if m.Exported() && !h.uses[m] && !outside(m.Name()) && !slices.Contains(implementing, m.Name()) &&
						!h.servesInterface(named, m.Name(), met) {
						names = append(names, name+"."+m.Name())
					}
				}
			}
		}
		if !read {
			names = append(names, name)
		}
	}
	return names
}

// servesInterface tells whether a method is one that an exported interface of ours asks of the type, and others meet it.
func (h *house) servesInterface(named *types.Named, method string, met map[*types.TypeName]bool) bool {
	for o := range met {
		asked, is := o.Type().Underlying().(*types.Interface)
		if _, own := h.packages[pathOf(o)]; !is || !own || !types.Implements(types.NewPointer(named), asked) {
			continue
		}
		if found, _, _ := types.LookupFieldOrMethod(asked, false, o.Pkg(), method); found != nil {
			return true
		}
	}
	return false
}

// TestExportedNamesHaveReaders fails for an exported function, method, type, variable or constant that neither another package
// nor a test outside its own reads: it should begin with a small letter, or go.
func TestExportedNamesHaveReaders(t *testing.T) {
	t.Parallel()
	h := readHouse(t)
	met, selected := h.readTypes(), testSelections(t, ownPackages(t))
	for _, path := range h.order {
		inside, _ := within(path)
		if h.packages[path].Name() == "main" {
			continue // nobody imports a command
		}
		for _, name := range h.unread(path, met, selected) {
			t.Errorf("%s: %s has no reader outside its package", inside, name)
		}
	}
}
