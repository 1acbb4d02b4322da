//go:build darwin || dragonfly || freebsd || illumos || linux || netbsd || openbsd

package output

import (
	"os"
	"syscall"
)

// locks tells whether the system has locks that end with the process.
const locks = true

// lock locks a temporary file for the process that writes it, or for one that would remove it, until what it returns
// is closed. It is nil where somebody else has the lock and it does not wait for that, or where the file system has
// no locks.
func lock(path string, wait bool) *os.File {
	f, err := os.OpenFile(path, os.O_RDWR|syscall.O_NOFOLLOW, 0)
	if err != nil {
		return nil
	}
	how := syscall.LOCK_EX
	if !wait {
		how |= syscall.LOCK_NB
	}
	if syscall.Flock(int(f.Fd()), how) != nil {
		_ = f.Close()
		return nil
	}
	return f
}
