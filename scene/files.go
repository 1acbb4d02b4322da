package scene

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"fathomlux/scene/document"
	"fathomlux/scene/finding"
	"fathomlux/scene/key"
	"fathomlux/scene/parts"
)

// Opener returns the content of a file that the scene names; name is as written in the scene, relative to the scene's
// folder. Its errors say what is wrong with the file and never what is in it.
type Opener func(name string) ([]byte, error)

// Read reads the scene file at path with the files that it names. The error is a *document.Error with every fault.
func Read(path string) (*Scene, error) { return ReadNoting(path, func(string) {}) }

// ReadNoting is Read that tells note the path of each file that it opens, the scene's own first, whether there is such
// a file or not: what a caller watches who wants to read the scene again when it changes.
func ReadNoting(path string, note func(path string)) (*Scene, error) {
	note(path)
	data, err := ReadFile(path)
	if err != nil {
		return nil, &document.Error{Faults: []document.Fault{{Place: finding.Place{File: path}, Message: err.Error()}}}
	}
	folder := filepath.Dir(path)
	open := beside(folder)
	return Parse(path, data, func(name string) ([]byte, error) {
		if checkName(name) == nil {
			note(filepath.Join(folder, filepath.FromSlash(name)))
		}
		return open(name)
	})
}

// ReadParts reads the file of parts at path as a scene beside it would, over the built-in parts, with what opens the
// files that it names and its warnings. is tells whether it is a file of parts at all.
func ReadParts(path string) (lib *parts.Catalogue, open Opener, odd []finding.Finding, is bool, err error) {
	data, err := ReadFile(path)
	if err != nil {
		return nil, nil, nil, false, err
	}
	report, open := &document.Report{}, beside(filepath.Dir(path))
	root, sound := document.Read(path, data, report)
	known := func(e document.Entry) bool { return slices.Contains(key.PartTables.Names(), e.Name) }
	if !sound || !root.IsMapping() || !slices.ContainsFunc(root.Entries(), known) {
		return nil, nil, nil, false, report.Err()
	}
	lib = parts.Builtin()
	parts.Read(root, open, report, lib)
	return lib, open, report.Warnings, true, report.Err()
}

// The faults of names that lead where no file of a scene may lie.
var (
	errOutside = errors.New("the name leads out of the scene's folder, or its link does; put the file beside the scene")
	errHidden  = errors.New("the name begins with a dot, or links to one that does, as those of keys and settings do; " +
		"give a file of parts another name")
	errFolder = errors.New("the scene's folder cannot be opened")
)

// beside returns an Opener for the files in folder and in the folders below it. A name may not lead out of the folder,
// neither by itself nor through a symbolic link, nor to a hidden file.
func beside(folder string) Opener {
	return func(name string) ([]byte, error) {
		if err := checkName(name); err != nil {
			return nil, err
		}
		root, err := os.OpenRoot(folder)
		if err != nil {
			return nil, errFolder
		}
		defer root.Close()
		if _, err := root.Stat(filepath.FromSlash(name)); err != nil { // first, since it refuses whatever leads out
			return nil, explainOpen(err)
		}
		home, err := filepath.EvalSymlinks(folder)
		if err != nil {
			return nil, errFolder
		}
		real, err := filepath.EvalSymlinks(filepath.Join(home, filepath.FromSlash(name)))
		if err != nil {
			return nil, explainOpen(err)
		}
		if real, err = filepath.Rel(home, real); err != nil || !filepath.IsLocal(real) {
			return nil, errOutside
		}
		if err := checkName(filepath.ToSlash(real)); err != nil {
			return nil, err
		}
		return readRegular(root.Stat, func(name string) (fs.File, error) { return root.Open(name) }, real,
			document.MaxBytes)
	}
}

// checkName refuses names that lead out of the scene's folder or mean another file on another system.
func checkName(name string) error {
	folders := strings.Split(name, "/")
	hidden := func(part string) bool { return strings.HasPrefix(part, ".") && part != "." }
	switch {
	case strings.ContainsAny(name, "\\\x00"):
		return errors.New("a file name may hold no backslash; write / between folders")
	case filepath.IsAbs(name) || strings.HasPrefix(name, "/"):
		return errors.New("an absolute path; give a name relative to the scene's folder")
	case slices.Contains(folders, ".."):
		return errOutside
	case slices.ContainsFunc(folders, hidden):
		return errHidden
	case !filepath.IsLocal(filepath.FromSlash(name)):
		return errors.New("not the name of a file beside the scene")
	}
	return nil
}

// ReadFile reads a regular file of at most document.MaxBytes; it never waits at a pipe or a device. Its errors say what
// is wrong with the file, without its name.
func ReadFile(path string) ([]byte, error) { return ReadFileUpTo(path, document.MaxBytes) }

// ReadFileUpTo is ReadFile with a limit of its own.
func ReadFileUpTo(path string, most int64) ([]byte, error) {
	return readRegular(os.Stat, func(path string) (fs.File, error) { return os.Open(path) }, path, most)
}

// readRegular is ReadFile by other ways to look at a file and to open it.
func readRegular(stat func(string) (fs.FileInfo, error), open func(string) (fs.File, error), name string,
	most int64) ([]byte, error) {
	info, err := stat(name)
	if err != nil {
		return nil, explainOpen(err)
	}
	switch {
	case info.IsDir():
		return nil, errors.New("this is a folder; give a file")
	case !info.Mode().IsRegular():
		return nil, errors.New("this is a device, a pipe or a socket; give a regular file")
	}
	file, err := open(name)
	if err != nil {
		return nil, explainOpen(err)
	}
	defer file.Close()
	data, err := io.ReadAll(io.LimitReader(file, most+1))
	if err != nil {
		return nil, errors.New("the file cannot be read to its end")
	}
	if int64(len(data)) > most {
		return nil, fmt.Errorf("the file has more than %d bytes (%d MiB)", most, most>>20)
	}
	return data, nil
}

// explainOpen says in our words why a file did not open; the system's words would repeat its path.
func explainOpen(err error) error {
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return errors.New("there is no such file")
	case errors.Is(err, fs.ErrPermission):
		return errors.New("no permission to read the file")
	case strings.Contains(err.Error(), "escapes"):
		return errOutside
	}
	return errors.New("the file cannot be opened")
}

// ReadUnlit is Read of a scene that need not have rails yet: bare tells that it has none, and then it gets one with a
// single module, in its text too.
func ReadUnlit(path string) (sc *Scene, bare bool, err error) {
	data, err := ReadFile(path)
	if err != nil {
		_, err = Read(path)
		return nil, false, err
	}
	return ParseUnlit(path, data)
}

// ParseUnlit is ReadUnlit with data in place of what the file at path holds; there need be no such file.
func ParseUnlit(path string, data []byte) (sc *Scene, bare bool, err error) {
	sc, err = Parse(path, data, beside(filepath.Dir(path)))
	var faults *document.Error
	if !errors.As(err, &faults) || !slices.ContainsFunc(faults.Faults, noRails) {
		return sc, false, err
	}
	data, unread := document.Apply(data, []document.Edit{key.Scene.Row("rails").Edit(standIn)})
	if unread != nil {
		return nil, true, err
	}
	if sc, unread = Parse(path, data, beside(filepath.Dir(path))); unread == nil {
		return sc, true, nil
	}
	if len(faults.Faults) > 1 { // the lines are those of the file as it is
		faults.Faults = slices.DeleteFunc(faults.Faults, noRails)
	}
	return nil, true, err
}

func noRails(f document.Fault) bool { return f.Path == "rails" }

// standIn is a rail that fits over every tank.
const standIn = "[{length: 100 mm, above_water: 15 m, modules: {part: single-neutral, optic: bare-120, count: 1, " +
	"current: 350 mA}}]"
