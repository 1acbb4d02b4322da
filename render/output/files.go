// Package output writes files whole or not at all: under temporary names first, which then become the files' own. It
// says what serves where the file system refuses, and knows nothing of what it writes.
package output

import (
	"cmp"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
)

// File is one file of a set: a plain name below the set's folder, with its ending, and the content.
type File struct {
	Name string
	Data []byte
}

// WriteFile writes a file whole: the content goes to a temporary file in the same folder, which then takes the name;
// before it does, last is called, if there is one. On any failure the temporary file is removed and an older file of
// that name is as it was. An older file's permissions are kept; a link's target is replaced, not the link. The folder
// must exist. The error says what and where.
func WriteFile(path string, data []byte, last func() error) error {
	if err := checkPath(path); err != nil {
		return err
	}
	d := &draft{path: path, target: path, data: data}
	if real, err := filepath.EvalSymlinks(path); err == nil {
		d.target = real
	} else if to, err := os.Readlink(path); err == nil {
		return fmt.Errorf("cannot write %s: it is a link to %s, where no file is; remove the link, or give another name",
			brief(path), brief(to))
	}
	return writeAll(context.Background(), []*draft{d}, last)
}

// WriteSet writes several files into dir, which is made where it is missing. All contents are written to temporary
// files, and last is called, if there is one, before the first takes its name; so a full disk, a name that cannot
// serve, a failing last or the end of ctx leaves every file as it was. Once the first has its name, all get theirs. A
// link in dir that stands where a file is to be is replaced, not followed: nothing is written outside dir. Temporary
// files that a killed process has left in dir are removed. The error says what and where.
func WriteSet(ctx context.Context, dir string, files []File, last func() error) error {
	if err := cmp.Or(checkNames(files), checkPath(dir)); err != nil {
		return err
	}
	made, err := makeFolder(filepath.Clean(dir))
	var drafts []*draft
	for _, f := range files {
		path := filepath.Join(dir, f.Name)
		drafts = append(drafts, &draft{path: path, target: path, data: f.Data})
	}
	if err == nil {
		err = writeAll(ctx, drafts, last)
	}
	for i := len(made) - 1; i >= 0 && err != nil; i-- {
		_ = os.Remove(made[i]) // fails where it is not empty, as it should
	}
	return err
}

// writeAll writes the content of each draft, calls last and gives all drafts their names.
func writeAll(ctx context.Context, drafts []*draft, last func() error) (err error) {
	defer func() {
		for _, d := range drafts {
			d.discard()
		}
	}()
	for i := 0; i < len(drafts) && err == nil; i++ {
		if err = ctx.Err(); err == nil {
			err = drafts[i].prepare(i == 0)
		}
	}
	if err == nil {
		err = ctx.Err()
	}
	if err == nil && last != nil {
		err = last()
	}
	for i := 0; i < len(drafts) && err == nil; i++ {
		err = drafts[i].finish()
	}
	return err
}

func checkNames(files []File) error {
	seen := map[string]string{}
	for _, f := range files {
		if !filepath.IsLocal(f.Name) || f.Name != filepath.Base(f.Name) || f.Name == "." {
			return fmt.Errorf("cannot write %q: the name must be a plain file name", f.Name)
		}
		key := strings.ToLower(strings.TrimRight(f.Name, ". ")) // one file on Windows, and nearly so on macOS
		switch other := seen[key]; other {
		case "":
			seen[key] = f.Name
		case f.Name:
			return fmt.Errorf("cannot write %s twice in one set", f.Name)
		default:
			return fmt.Errorf("cannot write %q beside %q: some systems take both for one file; give other names", f.Name, other)
		}
	}
	return nil
}

// makeFolder makes dir with those above it, and returns the folders that it has made, outermost first.
func makeFolder(dir string) (made []string, err error) {
	info, err := os.Stat(dir)
	if err == nil && !info.IsDir() {
		return nil, fmt.Errorf("cannot write into %s: it is a file; give a folder", brief(dir))
	}
	if err == nil {
		return nil, nil
	}
	if to, link := os.Readlink(dir); link == nil {
		return nil, fmt.Errorf("cannot write into %s: it is a link to %s, where no folder is; make that folder, or "+
			"give another", brief(dir), brief(to))
	}
	if above := filepath.Dir(dir); above != dir && cureOf(runtime.GOOS, err) != shorter {
		if made, err = makeFolder(above); err != nil {
			return made, err
		}
		err = os.Mkdir(dir, 0o777)
	}
	if info, here := os.Stat(dir); err != nil && here == nil && info.IsDir() {
		return made, nil // another process has made it meanwhile
	}
	if err != nil {
		return made, fmt.Errorf("cannot make the folder %s: %w", brief(dir), withCure(err))
	}
	return append(made, dir), nil
}
