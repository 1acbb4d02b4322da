package parts

import (
	"embed"
	"fmt"
	"maps"
	"slices"
	"sync"

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
