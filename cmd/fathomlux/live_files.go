package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"time"
	"unicode"

	"fathomlux/render/live"
	"fathomlux/render/output"
	"fathomlux/scene"
	"fathomlux/scene/bill"
	"fathomlux/scene/document"
	"fathomlux/scene/finding"
	"fathomlux/scene/panics"
)

// folder is the folder whose scene files a page may open, save and keep.
type folder struct {
	ctx     context.Context
	streams streams
	dir     string
	first   string // the file that the page begins with; empty for none
	page    *live.Handler
	lock    sync.Mutex
	watched map[string]bool
	broken  panics.Carrier // of the page and of what watches its files
}

func newFolder(ctx context.Context, s streams, args []string) *folder {
	f := &folder{ctx: ctx, streams: s, dir: ".", watched: map[string]bool{}}
	if len(args) == 0 {
		return f
	}
	if info, err := os.Stat(args[0]); err == nil && info.IsDir() {
		f.dir = args[0]
	} else {
		f.dir, f.first = filepath.Split(args[0])
	}
	return f
}

// path is that of a file of the folder, as a user would write it.
func (f *folder) path(name string) string { return filepath.Join(f.dir, name) }

// Parse reads text in place of a file: see live.Files.
func (f *folder) Parse(name string, text []byte) (sc *scene.Scene, unlit bool, marks []live.Mark) {
	sc, unlit, err := scene.ParseUnlit(f.path(name), text)
	place := func(p finding.Place, kind, words string) {
		mark := live.Mark{Line: p.Line, Column: p.Column, Path: p.Path, Kind: kind, Text: document.Visible(words)}
		if p.File != f.path(name) && p.File != "" {
			mark.Line, mark.Text = 0, document.Visible(p.File)+": "+mark.Text
		}
		marks = append(marks, mark)
	}
	switch faults, is := errors.AsType[*document.Error](err); {
	case is:
		for _, fault := range faults.Faults {
			place(fault.Place, "fault", fault.Message)
		}
	case err != nil:
		place(finding.Place{}, "fault", err.Error())
	case !unlit:
		for _, w := range warningsOf(sc) {
			place(w.Place, "warning", w.Words(sc.Units()))
		}
	}
	return sc, unlit, marks
}

// Text returns what a file holds.
func (f *folder) Text(name string) ([]byte, error) {
	if name != f.first {
		if checked, err := draftName(name); err != nil || checked != name {
			return nil, errors.New("this is no name of a scene file in this folder")
		}
		if info, err := os.Lstat(f.path(name)); err == nil && !info.Mode().IsRegular() {
			return nil, errors.New("this is no regular file")
		}
	}
	return scene.ReadFile(f.path(name))
}

// Watch tells the page of later changes.
func (f *folder) Watch(name string) { f.watch(name, lookAt(f.path(name))) }

func (f *folder) watch(name string, seen sight) {
	f.lock.Lock()
	defer f.lock.Unlock()
	if f.watched[name] {
		return
	}
	f.watched[name] = true
	go func() {
		defer f.broken.Catch()
		for path := f.path(name); seen.change(f.ctx); {
			seen = lookAt(path)
			if sc, err := scene.Read(path); err == nil && f.page.Show(sc) == nil {
				fmt.Fprintln(f.streams.Err, path, "has changed, or a file that it names; open pages offer to load it")
			}
		}
	}()
}

const mostListed = 200

// hasTank tells a scene file from a file of parts.
var hasTank = regexp.MustCompile(`(?m)^\s*\{?\s*["']?tank["']?\s*:`)

// List returns the scene files of the folder.
func (f *folder) List() (dir string, names []string) {
	dir, err := filepath.Abs(f.dir)
	if err != nil {
		dir = f.dir
	}
	entries, _ := os.ReadDir(filepath.Clean(f.dir))
	for _, e := range entries {
		if ext := filepath.Ext(e.Name()); ext != ".yaml" && ext != ".yml" || len(names) == mostListed {
			continue
		}
		if text, err := f.Text(e.Name()); err == nil && hasTank.Match(text) {
			names = append(names, e.Name())
		}
	}
	return dir, names
}

// Free returns a name that no file has yet.
func (f *folder) Free(name string) string { return freeSceneName(f.path(name)) }

// kept is the hidden file beside a scene file that holds its unsaved text.
func (f *folder) kept(name string) string { return f.path("." + name + ".draft") }

// Keep writes the unsaved text of a file beside it, or removes it.
func (f *folder) Keep(name string, text []byte) error {
	if checked, err := draftName(name); err != nil || checked != name && name != f.first {
		return errors.New("this is no name of a scene file in this folder")
	}
	if len(text) > 0 {
		return output.WriteFile(f.kept(name), text, func() error { return nil })
	}
	if err := os.Remove(f.kept(name)); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("the draft cannot be removed: %w", err)
	}
	return nil
}

// Kept returns what Keep wrote, and when.
func (f *folder) Kept(name string) (text []byte, at string) {
	info, err := os.Lstat(f.kept(name))
	if err != nil || !info.Mode().IsRegular() {
		return nil, ""
	}
	text, _ = scene.ReadFile(f.kept(name))
	return text, info.ModTime().Format(time.RFC3339)
}

// freeSceneName returns a name beside the scene that no file has yet: foyer-2.yaml for foyer.yaml.
func freeSceneName(file string) string {
	for n := 2; ; n++ {
		name := nameWith(file, strconv.Itoa(n))
		if _, err := os.Lstat(filepath.Join(filepath.Dir(file), name)); errors.Is(err, fs.ErrNotExist) || n > 1000 {
			return name
		}
	}
}

// saveDraft writes a scene into the folder of the scene file. It returns the name that the file got.
func saveDraft(file string, d live.Draft) (string, error) {
	name, err := draftName(d.Name)
	if err != nil {
		return "", err
	}
	for _, other := range d.Scene.Files() {
		if strings.EqualFold(filepath.Clean(filepath.FromSlash(other.Name)), name) {
			return "", fmt.Errorf("%s holds parts of this scene; give another name", name)
		}
	}
	path := filepath.Join(filepath.Dir(file), name)
	free := func() error { // a link could lead out of the folder
		switch info, err := os.Lstat(path); {
		case err != nil:
			return nil // writing tells what else is wrong
		case !info.Mode().IsRegular():
			return fmt.Errorf("%s is not a regular file; give another name", name)
		case !d.Overwrite:
			return fmt.Errorf("%s exists; tick overwrite, or give another name", name)
		}
		return nil
	}
	if err = free(); err == nil {
		err = output.WriteFile(path, d.Text, free)
	}
	return name, err
}

// longestName is in bytes: file systems take 255, and a temporary file's name is longer.
const longestName = 200

// draftName checks a name that a page sent; one without an ending gets .yaml.
func draftName(name string) (string, error) {
	name = strings.TrimSpace(name)
	if ext := filepath.Ext(name); name != "" && ext != ".yaml" && ext != ".yml" {
		name += ".yaml"
	}
	foul := func(r rune) bool {
		return unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) || r == unicode.ReplacementChar ||
			strings.ContainsRune(`/\:*?"<>|`, r)
	}
	switch {
	case name == "":
		return "", errors.New("the file has no name; give one such as my-tank.yaml")
	case len(name) > longestName:
		return "", fmt.Errorf("the name has more than %d bytes; give a shorter one", longestName)
	case strings.HasPrefix(name, ".") || output.Reserved(name) || strings.IndexFunc(name, foul) >= 0 ||
		!filepath.IsLocal(name):
		return "", errors.New("this cannot be the name of a file beside the scene on every system: it may hold none of " +
			`/ \ : * ? " < > | and no control characters, begin with no dot, and be no device of Windows such as con; give ` +
			"one such as my-tank.yaml")
	}
	return name, nil
}

// checkDraft says of a setting of a scene what the command check would say once it is saved, and what its parts cost.
func checkDraft(sc *scene.Scene) (found live.Findings, err error) {
	saved, err := asSaved(sc)
	if err != nil {
		return found, err
	}
	for _, f := range warningsOf(saved) {
		found.Warnings = append(found.Warnings, live.Found{Text: document.Visible(f.Words(saved.Units())),
			Code: f.Code.Name, Path: f.Place.Path, Grave: f.Code.Severity == finding.Obstacle})
	}
	all := checked(saved)
	for _, line := range all.at("check") {
		found.Cautions = append(found.Cautions, document.Visible(line))
	}
	beside := func(code, path, words string, when func(situation, func(...any))) {
		when(all, func(args ...any) {
			found.Beside = append(found.Beside, live.Found{Text: document.Visible(fmt.Sprintf(words, args...)), Code: code, Path: path})
		})
	}
	beside("string-volts", "wiring.strings", touchWords, stringVoltage)
	beside("hot-metal", "", "%[1]s%[2]s", hotMetal)
	j, err := liveOptions{}.sheetJob(saved, "")
	if err != nil {
		return found, err
	}
	if a, err := j.options.wire(saved); err == nil { // why it cannot be is a warning
		b := bill.Of(saved, a.groups, j.share)
		for _, m := range b.Totals {
			found.Prices = append(found.Prices, live.Price{Amount: m.Amount, Text: moneyText(m)})
		}
		found.Unpriced = b.Blank
	}
	return found, nil
}
