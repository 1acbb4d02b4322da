package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"unicode"

	"fathomlux/render/live"
	"fathomlux/render/output"
	"fathomlux/scene"
	"fathomlux/scene/document"
	"fathomlux/scene/edit"
)

// freeSceneName returns a name beside the scene that no file has yet: foyer-2.yaml for foyer.yaml.
func freeSceneName(file string) string {
	ext := filepath.Ext(file)
	base := strings.TrimSuffix(filepath.Base(file), ext)
	for n := 2; ; n++ {
		name := fmt.Sprintf("%s-%d%s", base, n, ext)
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
	made, err := claim(path, d.Overwrite)
	if err != nil {
		return "", err
	}
	err = output.WriteFile(path, func(w io.Writer) error {
		_, err := w.Write(d.Text)
		return err
	}, nil)
	if err != nil {
		if made {
			_ = os.Remove(path)
		}
		return "", err
	}
	return name, nil
}

// longestName is in bytes: file systems take 255, and a temporary file's name is longer.
const longestName = 200

// draftName checks a name that a page sent; one without an ending gets .yaml.
func draftName(name string) (string, error) {
	name = strings.TrimSpace(name)
	if ext := filepath.Ext(name); name != "" && ext != ".yaml" && ext != ".yml" {
		name += ".yaml"
	}
	switch {
	case name == "":
		return "", errors.New("the file has no name; give one such as my-tank.yaml")
	case strings.HasPrefix(name, "."):
		return "", errors.New("a name may not begin with a dot; give one such as my-tank.yaml")
	case output.Reserved(name):
		return "", fmt.Errorf("%s is the name of a device on Windows, which can have no such file; give one such as "+
			"my-tank.yaml", name)
	case len(name) > longestName:
		return "", fmt.Errorf("the name has more than %d bytes; give a shorter one", longestName)
	case strings.IndexFunc(name, foulInName) >= 0 || name != filepath.Base(name) || !filepath.IsLocal(name):
		return "", errors.New("a name is that of a file beside the scene, without folders and without " +
			`/ \ : * ? " < > | and control characters`)
	}
	return name, nil
}

func foulInName(r rune) bool {
	return unicode.IsControl(r) || unicode.Is(unicode.Bidi_Control, r) || r == unicode.ReplacementChar ||
		strings.ContainsRune(`/\:*?"<>|`, r)
}

// claim makes an empty file at a path where there is none, and tells so. A file that is there may be overwritten only
// if that is wished, and only where it is a regular file: a link could lead out of the folder.
func claim(path string, overwrite bool) (made bool, err error) {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	switch {
	case err == nil:
		return true, f.Close()
	case !errors.Is(err, fs.ErrExist):
		return false, fmt.Errorf("%s cannot be written into the scene's folder: %w", filepath.Base(path), reasonOf(err))
	case !overwrite:
		return false, fmt.Errorf("%s exists; tick overwrite, or give another name", filepath.Base(path))
	}
	info, err := os.Lstat(path)
	if err == nil && !info.Mode().IsRegular() {
		return false, fmt.Errorf("%s is no regular file; give another name", filepath.Base(path))
	}
	return false, err
}

// reasonOf takes the path off an error of the file system.
func reasonOf(err error) error {
	if path, ok := errors.AsType[*fs.PathError](err); ok {
		return path.Err
	}
	return err
}

// checkDraft says of a setting of a scene what the command check would say once it is saved.
func checkDraft(sc *scene.Scene) (found live.Findings, err error) {
	text, err := edit.Rewrite(sc)
	if err != nil {
		return found, err
	}
	saved, err := scene.Parse(sc.File, text, sc.Open)
	if err != nil {
		return found, err
	}
	for _, f := range warningsOf(saved) {
		found.Warnings = append(found.Warnings, document.Visible(strings.TrimPrefix(f.Path+": "+f.Message, ": ")))
	}
	for _, line := range cautions("check", saved) {
		found.Cautions = append(found.Cautions, document.Visible(line))
	}
	return found, nil
}
