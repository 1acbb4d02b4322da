package style

import (
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
)

// File is one file of a set: a plain name below the set's folder and what writes its content.
type File struct {
	Name  string
	Write func(io.Writer) error
}

// WriteFile writes a file whole: the content goes to a temporary file in the same folder, which then takes the name.
// On any failure the temporary file is removed and an older file of that name is as it was. An older file's permissions
// are kept; a link's target is replaced, not the link. The folder must exist. The error says what and where.
func WriteFile(path string, write func(io.Writer) error) error {
	d := &draft{path: path, target: path}
	if real, err := filepath.EvalSymlinks(path); err == nil {
		d.target = real
	}
	removeAbandoned(filepath.Dir(d.target))
	if err := d.prepare(context.Background(), write); err != nil {
		return err
	}
	return d.finish()
}

// WriteSet writes several files into dir, which is made where it is missing. All contents are written to temporary
// files before the first takes its name, so a failing writer, a full disk, a name that cannot serve or the end of ctx
// leaves every file as it was; once the first has its name, all get theirs. A link in dir that stands where a file is to
// be is replaced, not followed: nothing is written outside dir. Temporary files that a killed process has left in dir are
// removed. The error says what and where.
func WriteSet(ctx context.Context, dir string, files []File) error {
	if err := checkNames(files); err != nil {
		return err
	}
	made, err := makeFolder(dir)
	if err != nil {
		return err
	}
	removeAbandoned(dir)
	var drafts []*draft
	done := false
	defer func() {
		if !done {
			discardAll(drafts, made)
		}
	}()
	for _, f := range files {
		path := filepath.Join(dir, f.Name)
		d := &draft{path: path, target: path}
		drafts = append(drafts, d)
		if err := d.prepare(ctx, f.Write); err != nil {
			return err
		}
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	for _, d := range drafts {
		if err := d.finish(); err != nil {
			return err
		}
	}
	done = true
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

// makeFolder makes dir and returns the folders that were missing, innermost first.
func makeFolder(dir string) (made []string, err error) {
	for at := filepath.Clean(dir); ; at = filepath.Dir(at) {
		info, err := os.Stat(at)
		if err == nil && !info.IsDir() {
			return nil, fmt.Errorf("cannot write into %s: %s is a file; give a folder", dir, at)
		}
		if err == nil || at == filepath.Dir(at) {
			break
		}
		made = append(made, at)
	}
	if err := os.MkdirAll(dir, 0o777); err != nil {
		discardAll(nil, made)
		return nil, fmt.Errorf("cannot make the folder %s: %w", dir, err)
	}
	return made, nil
}

// discardAll removes temporary files, and the folders that were made for them where they are empty.
func discardAll(drafts []*draft, folders []string) {
	for _, d := range drafts {
		d.discard()
	}
	for _, f := range folders {
		_ = os.Remove(f) // fails where it is not empty, as it should
	}
}
