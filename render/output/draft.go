package output

import (
	"cmp"
	"crypto/rand"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"time"
)

// draft is a file whose content is written but which has not taken its name; temporary is "" once it has, or is gone.
type draft struct {
	path, target, temporary string
	data                    []byte
	lock                    *os.File // see lock; nil where there is none
}

// prepare writes the content to a temporary file beside the target, which may be a regular file, a link that is to be
// replaced, or nothing yet. An older file's permissions are kept. The first of a set removes what others have abandoned
// in its folder.
func (d *draft) prepare(first bool) error {
	old, err := os.Lstat(d.target)
	switch {
	case err == nil && old.Mode()&fs.ModeSymlink != 0:
		old = nil
	case err == nil && !old.Mode().IsRegular():
		return fmt.Errorf("cannot write %s: it is not a regular file; give another name", brief(d.path))
	case err != nil && !errors.Is(err, fs.ErrNotExist):
		return d.fault(err)
	}
	if err == nil { // a file takes its own name everywhere, unless (on Windows) another program keeps it open
		if err := os.Rename(d.target, d.target); err != nil {
			return d.fault(err)
		}
	}
	file, err := d.create(first)
	if err != nil {
		return d.fault(err)
	}
	_, err = file.Write(d.data)
	if err == nil && old != nil {
		err = file.Chmod(old.Mode().Perm())
	}
	if err = cmp.Or(err, file.Close()); err != nil {
		return d.fault(err)
	}
	return nil
}

// temporaryPattern matches the names of temporary files, which do not repeat: they hold 130 random bits.
var temporaryPattern = regexp.MustCompile(`^\.fathomlux-[A-Z2-7]{26}\.tmp$`)

func temporaryName() string { return ".fathomlux-" + rand.Text() + ".tmp" }

// create opens a new temporary file, to which the umask applies, and locks it. The first of a set removes those that
// others have abandoned beside it: now, for the disk may be full of them.
func (d *draft) create(first bool) (*os.File, error) {
	dir := filepath.Dir(d.target)
	name := filepath.Join(dir, temporaryName())
	file, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return nil, err
	}
	d.temporary, d.lock = name, lock(name, true)
	made, err := os.Lstat(name)
	if errors.Is(err, fs.ErrNotExist) { // another process has removed it before it was locked
		_ = file.Close()
		d.discard()
		return d.create(first)
	}
	if err == nil && first {
		removeAbandoned(dir, made.ModTime(), locks)
	}
	return file, nil
}

// abandonedAfter is the age after which a temporary file is abandoned, where the system has no locks to tell.
const abandonedAfter = time.Hour

// removeAbandoned removes the temporary files in a folder that nobody writes any more: a process that was killed
// cannot do so itself. now is the time by the clock of the folder's file system. What cannot be removed stays, which
// is no fault of what is to be written.
func removeAbandoned(dir string, now time.Time, locks bool) {
	entries, _ := os.ReadDir(dir)
	for _, e := range entries {
		if !temporaryPattern.MatchString(e.Name()) || !e.Type().IsRegular() {
			continue
		}
		path := filepath.Join(dir, e.Name())
		if locks {
			if held := lock(path, false); held != nil {
				_ = os.Remove(path)
				_ = held.Close()
			}
		} else if info, err := e.Info(); err == nil && now.Sub(info.ModTime()) > abandonedAfter {
			_ = os.Remove(path)
		}
	}
}

// finish gives the file its name.
func (d *draft) finish() error {
	if err := replace(os.Rename, d.temporary, d.target); err != nil {
		return d.fault(err)
	}
	d.temporary = ""
	return nil
}

// replace renames. Where the system (Windows) refuses to replace a file that is open, but lets it be moved, it is moved
// aside, and removed or left as an abandoned temporary file.
func replace(rename func(from, to string) error, from, to string) error {
	err := rename(from, to)
	if err == nil {
		return nil
	}
	aside := filepath.Join(filepath.Dir(to), temporaryName())
	if info, gone := os.Lstat(to); gone != nil || !info.Mode().IsRegular() || rename(to, aside) != nil {
		return err
	}
	if err = rename(from, to); err != nil {
		_ = rename(aside, to) // as it was
		return err
	}
	_ = os.Remove(aside)
	return nil
}

// discard removes what has not taken its name, and lets go of its lock.
func (d *draft) discard() {
	if d.temporary != "" {
		_ = os.Remove(d.temporary)
		d.temporary = ""
	}
	if d.lock != nil {
		_ = d.lock.Close()
		d.lock = nil
	}
}
