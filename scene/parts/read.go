// Package parts holds what a lamp is made of: modules, optics, drivers, profiles, spectra and kinds of water.
// It answers what a part of a given name is: the built-in ones, which are generic and invented and stand as tables in
// the folder data, and own ones, which are written in the same form and shadow built-in ones of the same name. Values
// are in SI units, wavelengths in nm, temperatures in degrees Celsius. It computes no light: a spectrum is a relative
// table here. Next: package document for how a table is read, package circuit for drivers and strings, packages beam,
// photometry and water for what the numbers do.
package parts

import (
	"fmt"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"fathomlux/scene/curve"
	"fathomlux/scene/document"
	"fathomlux/scene/key"
)

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
