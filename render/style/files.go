package style

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"io/fs"
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
	d, err := prepare(path, write)
	if err != nil {
		return err
	}
	return d.finish()
}

// WriteSet writes several files into dir, which is made where it is missing. All contents are written to temporary
// files before the first takes its name, so a failing writer, a full disk or a name that cannot serve leaves every
// file as it was. The error says what and where.
func WriteSet(dir string, files []File) error {
	if err := checkNames(files); err != nil {
		return err
	}
	made, err := makeFolder(dir)
	if err != nil {
		return err
	}
	var drafts []*draft
	done := false
	defer func() {
		if !done {
			discardAll(drafts, made)
		}
	}()
	for _, f := range files {
		d, err := prepare(filepath.Join(dir, f.Name), f.Write)
		if err != nil {
			return err
		}
		drafts = append(drafts, d)
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

// draft is a file whose content is written but which has not taken its name; temporary is "" once it has, or is gone.
type draft struct {
	path, target, temporary string
}

// prepare writes the content to a temporary file beside path.
func prepare(path string, write func(io.Writer) error) (*draft, error) {
	d := &draft{path: path, target: path}
	if real, err := filepath.EvalSymlinks(path); err == nil {
		d.target = real
	}
	old, err := os.Stat(d.target)
	switch {
	case err == nil && !old.Mode().IsRegular():
		return nil, fmt.Errorf("cannot write %s: it is no regular file; give another name", path)
	case err != nil && !errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("cannot write: %w", err)
	}
	file, err := d.create()
	if err != nil {
		return nil, fmt.Errorf("cannot write %s: %w", path, d.reason(err))
	}
	whole := false
	defer func() { // also when write panics
		if !whole {
			_ = file.Close()
			d.discard()
		}
	}()
	buffer := bufio.NewWriterSize(file, 1<<16)
	if err = write(buffer); err == nil {
		err = buffer.Flush()
	}
	if err == nil && old != nil {
		err = file.Chmod(old.Mode().Perm())
	}
	if err == nil {
		err = file.Close()
	}
	if err != nil {
		return nil, fmt.Errorf("cannot write %s: %w", path, d.reason(err))
	}
	whole = true
	return d, nil
}

// create opens a new temporary file; its name starts with a dot and holds the process id, and the umask applies.
func (d *draft) create() (*os.File, error) {
	folder, base := filepath.Split(d.target)
	if len(base) > 100 {
		base = base[:100] // the temporary name must not be too long where the name itself is not
	}
	for n := 0; ; n++ {
		d.temporary = filepath.Join(folder, fmt.Sprintf(".%s.%d-%d.tmp", base, os.Getpid(), n))
		file, err := os.OpenFile(d.temporary, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
		if !errors.Is(err, fs.ErrExist) || n == 10000 {
			return file, err
		}
	}
}

func (d *draft) finish() error {
	if err := os.Rename(d.temporary, d.target); err != nil {
		d.discard()
		return fmt.Errorf("cannot write %s: %w", d.path, d.reason(err))
	}
	d.temporary = ""
	return nil
}

func (d *draft) discard() {
	if d.temporary != "" {
		_ = os.Remove(d.temporary)
		d.temporary = ""
	}
}

// reason takes the temporary file's name off an error of the file system: the user knows the file by its own name.
func (d *draft) reason(err error) error {
	var path *fs.PathError
	var link *os.LinkError
	switch {
	case errors.As(err, &path) && path.Path == d.temporary:
		return path.Err
	case errors.As(err, &link) && link.Old == d.temporary:
		return link.Err
	}
	return err
}
