package output

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"
	"syscall"
)

// fault says of an error of the file system what cannot be written, and what would serve. The temporary file's name is
// taken off: the user knows the file by its own.
func (d *draft) fault(err error) error {
	return fmt.Errorf("cannot write %s: %w", brief(d.path), withCure(err))
}

// withCure takes the path off an error of the file system and adds what would serve.
func withCure(err error) error {
	switch e := err.(type) {
	case *fs.PathError:
		err = e.Err
	case *os.LinkError:
		err = e.Err
	}
	if cure := cureOf(runtime.GOOS, err); cure != "" {
		return fmt.Errorf("%w; %s", err, cure)
	}
	return err
}

// What serves where a file system refuses.
const (
	shorter   = "give a shorter path"
	noLoop    = "a link on the way leads back to itself: give another path"
	allowed   = "give a folder that you may write to"
	otherDisk = "make room, or give a folder on another disk"
	otherName = `give a name without \ / : * ? " < > |`
	smaller   = "raise the limit of the size of files (ulimit -f), or give a folder on another disk"
	noFolder  = "make the folder first, or give another path"
	closeIt   = "close the program that has the file open, or give another folder"
)

// cureOf says what would serve where a system refuses with an error, "" where that is not known. Errors of Windows
// are those of Microsoft's list "System Error Codes".
func cureOf(system string, err error) string {
	var code syscall.Errno
	if !errors.As(err, &code) {
		return ""
	}
	if system == "windows" {
		return map[syscall.Errno]string{2: noFolder, 3: noFolder, 5: allowed, 19: allowed, 32: closeIt, 33: closeIt,
			39: otherDisk, 112: otherDisk, 123: otherName, 206: shorter, 1921: noLoop}[code]
	}
	return map[syscall.Errno]string{syscall.ENAMETOOLONG: shorter, syscall.ELOOP: noLoop, syscall.EACCES: allowed,
		syscall.EPERM: allowed, syscall.EROFS: allowed,
		syscall.ENOSPC: otherDisk, syscall.EDQUOT: otherDisk, syscall.EFBIG: smaller,
		syscall.EINVAL: otherName, syscall.ENOENT: noFolder,
		syscall.ENOTDIR: noFolder}[code]
}

// brief is a path as a message shows it: a very long one without its middle.
func brief(path string) string {
	const most, end = 400, 150
	if r := []rune(path); len(r) > most {
		return fmt.Sprintf("%s[...]%s (%d characters)", string(r[:end]), string(r[len(r)-end:]), len(r))
	}
	return path
}

// checkPath refuses a path that holds a name which the system reserves.
func checkPath(path string) error {
	if runtime.GOOS != "windows" {
		return nil
	}
	for _, name := range strings.Split(filepath.ToSlash(path), "/") {
		if Reserved(name) {
			return fmt.Errorf("cannot write %s: %q is a device on Windows; give another name", brief(path), name)
		}
	}
	return nil
}

// device matches the names of devices on Windows: Microsoft, "Naming Files, Paths, and Namespaces".
var device = regexp.MustCompile(`(?i)^(con|prn|aux|nul|conin\$|conout\$|(com|lpt)[0-9\x{b9}\x{b2}\x{b3}]) *([.:]|$)`)

// Reserved tells whether a file's name is that of a device on Windows, which no file can have there, whatever its
// ending.
func Reserved(name string) bool { return device.MatchString(name) }
