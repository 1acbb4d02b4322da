// Package output writes files whole or not at all: under temporary names first, which then become the files' own. It
// says what serves where the file system refuses, and knows nothing of what it writes.
package output

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"slices"
)

// File is one file of a set: a plain name below the set's folder and what writes its content.
type File struct {
	Name  string
	Write func(io.Writer) error
}

// WriteFile writes a file whole: the content goes to a temporary file in the same folder, which then takes the name;
// before it does, last is called, if there is one. On any failure the temporary file is removed and an older file of
// that name is as it was. An older file's permissions are kept; a link's target is replaced, not the link. The folder
// must exist. The error says what and where.
func WriteFile(path string, write func(io.Writer) error, last func() error) error {
	if err := checkPath(path); err != nil {
		return err
	}
	d := &draft{path: path, target: path}
	if real, err := filepath.EvalSymlinks(path); err == nil {
		d.target = real
	} else if to, err := os.Readlink(path); err == nil {
		return fmt.Errorf("cannot write %s: it is a link to %s, where no file is; remove the link, or give another name",
			brief(path), brief(to))
	}
	return writeAll(context.Background(), []*draft{d}, []File{{Write: write}}, last)
}

// WriteSet writes several files into dir, which is made where it is missing. All contents are written to temporary
// files, and last is called, if there is one, before the first takes its name; so a failing writer, a full disk, a name
// that cannot serve, a failing last or the end of ctx leaves every file as it was. Once the first has its name, all get
// theirs. A link in dir that stands where a file is to be is replaced, not followed: nothing is written outside dir.
// Temporary files that a killed process has left in dir are removed. The error says what and where.
func WriteSet(ctx context.Context, dir string, files []File, last func() error) error {
	if err := checkNames(files); err != nil {
		return err
	}
	made, err := makeFolder(dir)
	if err != nil {
		return err
	}
	drafts := make([]*draft, len(files))
	for i, f := range files {
		path := filepath.Join(dir, f.Name)
		drafts[i] = &draft{path: path, target: path}
	}
	if err = writeAll(ctx, drafts, files, last); err != nil {
		removeFolders(made)
	}
	return err
}

// writeAll writes the content of each file to its draft, calls last and gives all drafts their names.
func writeAll(ctx context.Context, drafts []*draft, files []File, last func() error) error {
	defer func() {
		for _, d := range drafts {
			d.discard()
		}
	}()
	for i, d := range drafts {
		d.tidies = i == 0
		if err := d.prepare(ctx, files[i].Write); err != nil {
			return err
		}
	}
	for _, d := range drafts {
		if err := d.replaceable(); err != nil {
			return err
		}
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	if last != nil {
		if err := last(); err != nil {
			return err
		}
	}
	for _, d := range drafts {
		if err := d.finish(); err != nil {
			return err
		}
	}
	return nil
}

func checkNames(files []File) error {
	seen := map[string]bool{}
	for _, f := range files {
		if !filepath.IsLocal(f.Name) || f.Name != filepath.Base(f.Name) || f.Name == "." {
			return fmt.Errorf("cannot write %q: the name must be a plain file name", f.Name)
		}
		if seen[f.Name] {
			return fmt.Errorf("cannot write %s twice in one set", f.Name)
		}
		seen[f.Name] = true
	}
	return nil
}

// makeFolder makes dir and returns the folders that it has made, innermost first.
func makeFolder(dir string) (made []string, err error) {
	missing, err := missingFolders(filepath.Clean(dir))
	if err != nil {
		return nil, err
	}
	for _, at := range slices.Backward(missing) {
		err := os.Mkdir(at, 0o777)
		if info, here := os.Stat(at); err != nil && here == nil && info.IsDir() {
			continue // another process has made it meanwhile
		}
		if err != nil {
			removeFolders(made)
			return nil, fmt.Errorf("cannot make the folder %s: %w", brief(at), withCure(err))
		}
		made = slices.Insert(made, 0, at)
	}
	return made, nil
}

// missingFolders returns dir and the folders above it that do not exist, innermost first.
func missingFolders(dir string) (missing []string, err error) {
	if err := checkPath(dir); err != nil {
		return nil, err
	}
	for at := dir; ; at = filepath.Dir(at) {
		info, err := os.Stat(at)
		if err == nil && !info.IsDir() {
			return nil, fmt.Errorf("cannot write into %s: %s is a file; give a folder", brief(dir), brief(at))
		}
		if err == nil || at == filepath.Dir(at) {
			return missing, nil
		}
		if cureOf(runtime.GOOS, err) == shorter {
			return nil, fmt.Errorf("cannot make the folder %s: %w", brief(dir), withCure(err))
		}
		if to, link := os.Readlink(at); link == nil {
			return nil, fmt.Errorf("cannot write into %s: %s is a link to %s, where no folder is; make that folder, or "+
				"give another", brief(dir), brief(at), brief(to))
		}
		missing = append(missing, at)
	}
}

// removeFolders removes folders that were made for nothing.
func removeFolders(made []string) {
	for _, at := range made {
		_ = os.Remove(at) // fails where it is not empty, as it should
	}
}
