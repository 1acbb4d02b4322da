package style

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// draft is a file whose content is written but which has not taken its name; temporary is "" once it has, or is gone.
type draft struct {
	path, target, temporary string
}

// prepare writes the content to a temporary file beside the target, which may be a regular file, a link that is to be
// replaced, or nothing yet.
func (d *draft) prepare(ctx context.Context, write func(io.Writer) error) error {
	old, err := os.Lstat(d.target)
	switch {
	case err == nil && old.Mode()&fs.ModeSymlink != 0:
		old = nil
	case err == nil && !old.Mode().IsRegular():
		return fmt.Errorf("cannot write %s: it is no regular file; give another name", d.path)
	case err != nil && !errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("cannot write: %w", err)
	}
	file, err := d.create()
	if err != nil {
		return fmt.Errorf("cannot write %s: %w", d.path, err)
	}
	whole := false
	defer func() { // also when write panics
		if !whole {
			_ = file.Close()
			d.discard()
		}
	}()
	buffer := bufio.NewWriterSize(untilDone{ctx, file}, 1<<16)
	if err = write(buffer); err == nil {
		err = buffer.Flush()
	}
	if err == nil && old != nil {
		err = file.Chmod(old.Mode().Perm())
	}
	if err == nil {
		err = file.Close()
	}
	if err != nil && errors.Is(err, ctx.Err()) {
		return err
	}
	if err != nil {
		return fmt.Errorf("cannot write %s: %w", d.path, d.reason(err))
	}
	whole = true
	return nil
}

// untilDone writes in pieces, until its context ends.
type untilDone struct {
	ctx context.Context
	to  io.Writer
}

func (w untilDone) Write(p []byte) (int, error) {
	const piece = 1 << 20
	n := 0
	for n < len(p) {
		if err := w.ctx.Err(); err != nil {
			return n, err
		}
		k, err := w.to.Write(p[n:min(len(p), n+piece)])
		n += k
		if err != nil {
			return n, err
		}
	}
	return n, nil
}

// create opens a new temporary file; see temporaryName; the umask applies.
func (d *draft) create() (*os.File, error) {
	folder, base := filepath.Split(d.target)
	if len(base) > 100 {
		base = base[:100] // the temporary name must not be too long where the name itself is not
	}
	for n := 0; ; n++ {
		d.temporary = filepath.Join(folder, temporaryName(base, os.Getpid(), n))
		_, taken := inHand.LoadOrStore(d.temporary, true)
		file, err := os.OpenFile(d.temporary, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
		if err == nil {
			return file, nil
		}
		if !taken {
			inHand.Delete(d.temporary)
		}
		err, d.temporary = d.reason(err), ""
		if !errors.Is(err, fs.ErrExist) || n == 10000 {
			return nil, err
		}
	}
}

func (d *draft) finish() error {
	if err := os.Rename(d.temporary, d.target); err != nil {
		d.discard()
		return fmt.Errorf("cannot write %s: %w", d.path, d.reason(err))
	}
	inHand.Delete(d.temporary)
	d.temporary = ""
	return nil
}

func (d *draft) discard() {
	if d.temporary != "" {
		_ = os.Remove(d.temporary)
		inHand.Delete(d.temporary)
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
