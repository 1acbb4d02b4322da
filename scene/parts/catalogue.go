// Package parts holds what a lamp is made of: modules, optics, drivers, profiles, spectra and kinds of water.
// It answers what a part of a given name is: the built-in ones, which are generic and invented and stand as tables in
// the folder data, and own ones, which are written in the same form and shadow built-in ones of the same name. Values
// are in SI units, wavelengths in nm, temperatures in degrees Celsius. It computes no light: a spectrum is a relative
// table here. Next: package document for how a table is read, package circuit for drivers and strings, packages beam,
// photometry and water for what the numbers do.
package parts

import (
	"embed"
	"fmt"
	"maps"
	"path"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"sync"

	"fathomlux/scene/curve"
	"fathomlux/scene/document"
	"fathomlux/scene/key"
)

// Keys returns the keys that a table of parts may have, one for each kind.
func Keys() []string { return key.PartTables.Names()[1:] } // behind include

// clone returns a copy with maps of its own, none of them nil, whose parts share their curves and lists with those of
// l.
func (l *Catalogue) clone() *Catalogue {
	return &Catalogue{
		Modules: own(l.Modules), Optics: own(l.Optics), Drivers: own(l.Drivers), Profiles: own(l.Profiles),
		Spectra: own(l.Spectra), Waters: own(l.Waters), broken: own(l.broken), OpticFiles: own(l.OpticFiles),
		Incomplete: l.Incomplete,
	}
}

func own[K comparable, V any](m map[K]V) map[K]V { return maps.Collect(maps.All(m)) }

// Names returns the names of parts of one kind, sorted.
func Names[T any](parts map[string]T) []string { return slices.Sorted(maps.Keys(parts)) }

// partID is a part's kind, as its key in a table of parts, and its name.
type partID struct{ key, name string }

// Kind is one of the kinds of parts: the key of its table, and what one of them is called.
type Kind interface{ kind() (key, noun string) }

func (Module) kind() (key, noun string)   { return "modules", "module" }
func (Optic) kind() (key, noun string)    { return "optics", "optic" }
func (Driver) kind() (key, noun string)   { return "drivers", "driver" }
func (Profile) kind() (key, noun string)  { return "profiles", "profile" }
func (Spectrum) kind() (key, noun string) { return "spectra", "spectrum" }
func (Water) kind() (key, noun string)    { return "waters", "kind of water" }

// LookUp returns the part that is named at n, of those of its kind in the catalogue. It adds a fault, with the nearest
// name, where there is none of the name; ok is false then. It is false without a further fault where n is no text or
// the part was faulty itself.
func LookUp[T Kind](l *Catalogue, parts map[string]T, n document.Node) (part T, ok bool) {
	name := n.Text()
	key, noun := part.kind()
	if name == "" || l.broken[partID{key, name}] {
		return part, false
	}
	if part, ok = parts[name]; !ok && !l.Incomplete {
		n.Faultf("%s", document.Unknown(noun, name, Names(parts)))
	}
	return part, ok
}

//go:embed data
var data embed.FS

// builtinFiles are the tables of built-in parts, what others name first.
var builtinFiles = []string{"spectra", "modules", "optics", "drivers", "profiles", "waters"}

// Builtin returns a fresh copy of the built-in parts, which are generic and invented.
func Builtin() *Catalogue { return builtin().clone() }

var builtin = sync.OnceValue(readBuiltin)

// readBuiltin reads the embedded tables; it panics where one of them is broken. The files are parsed side by side, as
// every start waits for them, and read in order.
func readBuiltin() *Catalogue {
	lib, reports := new(Catalogue).clone(), make([]document.Report, len(builtinFiles))
	roots := make([]document.Node, len(builtinFiles))
	var parsed sync.WaitGroup
	for i, file := range builtinFiles {
		file = "data/" + file + ".yaml"
		parsed.Go(func() {
			content, _ := data.ReadFile(file) // of nothing the report tells
			roots[i], _ = document.Read(file, content, &reports[i])
		})
	}
	parsed.Wait()
	for i := range builtinFiles {
		if roots[i].Exists() {
			Read(roots[i], nil, &reports[i], lib)
		}
		if err := reports[i].Err(); err != nil {
			panic(fmt.Sprintf("built-in parts: %v", err))
		}
	}
	return lib
}

//go:embed starters
var starters embed.FS

// StarterKinds are the kinds of parts that there is a starter of.
func StarterKinds() []string { return []string{"module", "optic", "driver", "profile"} }

// Starter returns a commented file with one part of a kind and name, whose keys follow the columns of data sheets; file
// is what the file is called in its comments. The part is sound as it is; its figures are invented.
func Starter(kind, name, file string) (string, error) {
	if !namePattern.MatchString(name) {
		return "", fmt.Errorf("%.60q is no name of a part: letters, digits, dots, dashes and underscores, no dash in front",
			name)
	}
	text, err := starters.ReadFile("starters/" + kind + ".yaml")
	return strings.NewReplacer("NAME", name, "FILE", file).Replace(string(text)), err
}

// maxIncludes is how deep parts files may include each other.
const maxIncludes = 8

// Read reads the table of parts at n, a mapping with the keys of Keys and include, or the name of a file that holds
// one, into lib. A part shadows one of the same name that lib holds; a part that is based on its own name takes the
// rest from the one that it shadows. Files under include are read first. open returns the content of a file that is
// named (a table, or the CSV file of a spectrum), relative to the scene's folder; it may be nil where no file serves.
// Faults go to report, and a faulty part is not complained about again where it is named.
func Read(n document.Node, open func(name string) ([]byte, error), report *document.Report, lib *Catalogue) {
	r := &reader{open: open, report: report, lib: lib, folder: filepath.Dir(n.Place().File), done: map[string]bool{},
		curves: map[string]curve.Curve{}}
	if n.IsScalar() && !r.include(n) || !n.IsScalar() && !r.table(n) {
		lib.Incomplete = true
	}
}

// reader reads one table of parts with all that it includes.
type reader struct {
	open   func(name string) ([]byte, error)
	report *document.Report
	lib    *Catalogue
	folder string                 // of the file that the table, or its name, stands in
	within []string               // files that are being read, the outermost first
	done   map[string]bool        // files that have been read
	curves map[string]curve.Curve // of spectra, by file: many parts may name one, and share it
}

// table reads a table of parts; it is false where there is none to be read.
func (r *reader) table(n document.Node) bool {
	f := key.PartTables.Of(n)
	for _, file := range f.Items("include") {
		if !r.include(file) {
			r.lib.Incomplete = true
		}
	}
	l := r.lib
	readKind(r, f, l.Spectra, r.spectrum) // first, as modules name them
	readKind(r, f, l.Modules, r.module)
	readKind(r, f, l.Optics, r.optic)
	readKind(r, f, l.Drivers, finishDriver)
	readKind(r, f, l.Profiles, finishProfile)
	readKind(r, f, l.Waters, func(d *draft, w *Water, _ Water) { w.check(d.Fields) })
	for name, m := range r.lib.Modules { // a spectrum of this table may shadow that of a module read before
		m.LmPerW = r.lib.Spectra[m.Spectrum].LmPerW
		r.lib.Modules[name] = m
	}
	return n.IsMapping()
}

// include reads the parts file that is named at n; it is false where that fails.
func (r *reader) include(n document.Node) bool {
	name := n.Text()
	if name == "" {
		return false
	}
	file := path.Clean(name)
	switch {
	case slices.Contains(r.within, file):
		n.Faultf("the file includes itself: %s", ring(append(slices.Clone(r.within), file)))
		return false
	case len(r.within) == maxIncludes:
		n.Faultf("files include each other more than %d deep", maxIncludes)
		return false
	case r.done[file]:
		return true
	}
	content, ok := r.content(n, name)
	if !ok {
		return false
	}
	r.done[file] = true
	r.within = append(r.within, file)
	defer func() { r.within = r.within[:len(r.within)-1] }()
	// A scene may name any file beside it, and the faults of one that is no table would print what stands in it.
	probe, sound := document.Read("", content, &document.Report{})
	known := func(e document.Entry) bool { return slices.Contains(key.PartTables.Names(), e.Name) }
	if sound && probe.IsMapping() && !slices.ContainsFunc(probe.Entries(), known) {
		n.Faultf("%s: this is not a table of parts; such a table has keys such as %s", name, strings.Join(Keys(), ", "))
		return false
	}
	root, ok := document.Read(filepath.Join(r.folder, filepath.FromSlash(name)), content, r.report)
	return ok && r.table(root)
}

// content returns what is in the file that is named at n.
func (r *reader) content(n document.Node, name string) ([]byte, bool) {
	if r.open == nil {
		n.Faultf("no file can be read here")
		return nil, false
	}
	content, err := r.open(name)
	switch {
	case err != nil:
		n.Faultf("%s: %s", name, oneLine(err))
		return nil, false
	case len(content) > document.MaxBytes:
		n.Faultf("%s has %d bytes; a file may hold %d (1 MiB)", name, len(content), document.MaxBytes)
		return nil, false
	}
	return content, true
}

// oneLine returns an error's text as one line.
func oneLine(err error) string { return strings.Join(strings.Fields(err.Error()), " ") }

// ring writes the names that lead back to the last one, from its first occurrence on; of a long ring the middle is cut.
func ring(names []string) string {
	names = names[slices.Index(names, names[len(names)-1]):]
	const most = 6
	if len(names) > most {
		cut := fmt.Sprintf("(%d more)", len(names)-most)
		names = slices.Concat(names[:most-1], []string{cut}, names[len(names)-1:])
	}
	return strings.Join(names, " -> ")
}

// draft is a part that is being read.
type draft struct {
	key.Fields
	name  string
	lost  bool                      // a part that this one names is faulty
	refer func(n document.Node) any // the part of its kind that is named at n
}

// table is the parts of one kind in one file. They may name each other in any order.
type table[T Kind] struct {
	*reader
	key, noun string
	parts     map[string]T                    // of the library
	finish    func(d *draft, part *T, base T) // reads and checks what the table of keys does not
	entries   map[string]document.Entry       // those that are not read yet
	open      []string                        // names that are being read, each one named by the one before it
}

// maxParts is how many parts of one kind a file may hold: each unknown name is held against all of them.
const maxParts = 1000

// readKind reads the parts of one kind from a table of parts.
func readKind[T Kind](r *reader, f key.Fields, parts map[string]T, finish func(d *draft, part *T, base T)) {
	t := &table[T]{reader: r, parts: parts, finish: finish, entries: map[string]document.Entry{}}
	t.key, t.noun = (*new(T)).kind()
	n := f.Get(t.key)
	if !n.Exists() {
		return
	}
	entries := n.Entries()
	if len(entries) > maxParts {
		n.Faultf("%d parts are too many; a file may hold %d of each kind", len(entries), maxParts)
	}
	if !n.IsMapping() || len(entries) > maxParts {
		r.lib.Incomplete = true
		return
	}
	for _, e := range entries {
		t.entries[e.Name] = e
	}
	for _, e := range entries {
		if _, waiting := t.entries[e.Name]; waiting {
			t.read(e)
		}
	}
}

// read puts one part of the file, and those that it names, into the library.
func (t *table[T]) read(e document.Entry) {
	delete(t.entries, e.Name)
	t.open = append(t.open, e.Name)
	faults := t.report.Told()
	if !namePattern.MatchString(e.Name) { // it would not do in a list on the command line or in a file's name
		e.Key.Faultf("a part's name may hold only letters, digits, dots, dashes and underscores, and no dash in front")
	}
	d := &draft{Fields: key.PartTables.Row(t.key).Shape.Keys.Of(e.Value), name: e.Name}
	d.refer = func(n document.Node) any { return t.refer(d, n) }
	var base T
	if d.Based {
		base = t.refer(d, d.Get("based_on"))
	}
	part := base
	reflect.ValueOf(&part).Elem().FieldByName("Name").SetString(e.Name)
	d.Fill(&part)
	t.finish(d, &part, base)
	t.open = t.open[:len(t.open)-1]
	id := partID{t.key, e.Name}
	if d.lost || !e.Value.IsMapping() || e.Value.Spoilt() || t.report.Told() > faults {
		t.lib.broken[id] = true
		return
	}
	delete(t.lib.broken, id)
	t.parts[e.Name] = part
}

// refer returns the part that d names at n, of the file, else the library; its own name means the one it shadows.
func (t *table[T]) refer(d *draft, n document.Node) (part T) {
	name := n.Text()
	if e, ok := t.entries[name]; ok {
		t.read(e)
	}
	part, known := t.parts[name]
	broken, isOpen := t.lib.broken[partID{t.key, name}], slices.Contains(t.open, name)
	if known && (name == d.name || !isOpen) && !broken {
		return part
	}
	d.lost = true
	switch {
	case name == "" || broken || t.lib.Incomplete && !isOpen:
	case isOpen:
		n.Faultf("%s is based on itself: %s", name, ring(append(slices.Clone(t.open), name)))
	default:
		names := slices.AppendSeq(Names(t.parts), maps.Keys(t.entries))
		slices.Sort(names)
		n.Faultf("%s", document.Unknown(t.noun, name, slices.Compact(names)))
	}
	var none T
	return none
}

// NamePattern matches what a part may be called: letters, digits, dots, dashes and underscores, no dash in front.
const NamePattern = `^[\p{L}\p{N}_.][\p{L}\p{N}_.-]*$`

var namePattern = regexp.MustCompile(NamePattern)
