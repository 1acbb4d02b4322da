package parts

import (
	"maps"
	"slices"

	"fathomlux/scene/document"
)

// Keys returns the keys that a table of parts may have, one for each kind.
func Keys() []string {
	return []string{keyModules, keyOptics, keyDrivers, keyProfiles, keySpectra, keyWaters}
}

const (
	keyModules  = "modules"
	keyOptics   = "optics"
	keyDrivers  = "drivers"
	keyProfiles = "profiles"
	keySpectra  = "spectra"
	keyWaters   = "waters"
)

// OpticFiles returns the places where own optics name their measured distributions, by the optics' names.
func (l *Catalogue) OpticFiles() map[string]document.Node { return l.files }

// newCatalogue returns a catalogue without any part.
func newCatalogue() *Catalogue {
	return &Catalogue{
		Modules: map[string]Module{}, Optics: map[string]Optic{}, Drivers: map[string]Driver{},
		Profiles: map[string]Profile{}, Spectra: map[string]Spectrum{}, Waters: map[string]Water{},
		broken: map[partID]bool{}, files: map[string]document.Node{},
	}
}

// clone returns a copy with maps of its own. Curves and lists inside the parts are the same as in l and must not
// be written to.
func (l *Catalogue) clone() *Catalogue {
	return &Catalogue{
		Modules: maps.Clone(l.Modules), Optics: maps.Clone(l.Optics), Drivers: maps.Clone(l.Drivers),
		Profiles: maps.Clone(l.Profiles), Spectra: maps.Clone(l.Spectra), Waters: maps.Clone(l.Waters),
		broken: maps.Clone(l.broken), files: maps.Clone(l.files), Incomplete: l.Incomplete,
	}
}

// Module returns the module that is named at n. It adds a fault, with the nearest name, where there is none of the
// name; ok is false then. It is false without a further fault where n is no text or the module was faulty itself.
func (l *Catalogue) Module(n document.Node) (Module, bool) {
	return lookUp(l, keyModules, l.Modules, n)
}

// Optic returns the optic that is named at n, as Module does.
func (l *Catalogue) Optic(n document.Node) (Optic, bool) { return lookUp(l, keyOptics, l.Optics, n) }

// Driver returns the driver that is named at n, as Module does.
func (l *Catalogue) Driver(n document.Node) (Driver, bool) {
	return lookUp(l, keyDrivers, l.Drivers, n)
}

// Profile returns the profile that is named at n, as Module does.
func (l *Catalogue) Profile(n document.Node) (Profile, bool) {
	return lookUp(l, keyProfiles, l.Profiles, n)
}

// Spectrum returns the spectrum that is named at n, as Module does.
func (l *Catalogue) Spectrum(n document.Node) (Spectrum, bool) {
	return lookUp(l, keySpectra, l.Spectra, n)
}

// Water returns the kind of water that is named at n, as Module does.
func (l *Catalogue) Water(n document.Node) (Water, bool) { return lookUp(l, keyWaters, l.Waters, n) }

// ModuleNames returns the names of all modules, sorted.
func (l *Catalogue) ModuleNames() []string { return sortedNames(l.Modules) }

// OpticNames returns the names of all optics, sorted.
func (l *Catalogue) OpticNames() []string { return sortedNames(l.Optics) }

// DriverNames returns the names of all drivers, sorted.
func (l *Catalogue) DriverNames() []string { return sortedNames(l.Drivers) }

// ProfileNames returns the names of all profiles, sorted.
func (l *Catalogue) ProfileNames() []string { return sortedNames(l.Profiles) }

// SpectrumNames returns the names of all spectra, sorted.
func (l *Catalogue) SpectrumNames() []string { return sortedNames(l.Spectra) }

// WaterNames returns the names of all kinds of water, sorted.
func (l *Catalogue) WaterNames() []string { return sortedNames(l.Waters) }

func sortedNames[T any](parts map[string]T) []string { return slices.Sorted(maps.Keys(parts)) }

// partID is a part's kind, as its key in a table of parts, and its name.
type partID struct{ key, name string }

// nouns are what one part of each kind is called.
var nouns = map[string]string{
	keyModules: "module", keyOptics: "optic", keyDrivers: "driver",
	keyProfiles: "profile", keySpectra: "spectrum", keyWaters: "kind of water",
}

func lookUp[T any](l *Catalogue, key string, parts map[string]T, n document.Node) (part T, ok bool) {
	name := n.Text()
	if name == "" || l.broken[partID{key, name}] {
		return part, false
	}
	if part, ok = parts[name]; !ok && !l.Incomplete {
		n.Faultf("%s", document.Unknown(nouns[key], name, sortedNames(parts)))
	}
	return part, ok
}
