package style

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"sync"
	"syscall"
)

// inHand are the paths of the temporary files that this process is writing, which are not abandoned.
var inHand sync.Map

// temporaryName is the name of the n-th temporary file of a process for a file called base.
func temporaryName(base string, process, n int) string {
	return fmt.Sprintf(".%s.fathomlux-%d-%d.tmp", base, process, n)
}

// temporaryPattern matches what temporaryName makes.
var temporaryPattern = regexp.MustCompile(`^\..+\.fathomlux-([0-9]+)-[0-9]+\.tmp$`)

// removeAbandoned removes the temporary files in a folder whose process has ended: one that was killed while it wrote
// cannot do so itself. What cannot be removed stays, which is no fault of what is to be written.
func removeAbandoned(dir string) {
	entries, _ := os.ReadDir(dir)
	for _, e := range entries {
		m := temporaryPattern.FindStringSubmatch(e.Name())
		if m == nil || !e.Type().IsRegular() {
			continue
		}
		path := filepath.Join(dir, e.Name())
		if process, err := strconv.Atoi(m[1]); err == nil && !writing(process, path) {
			_ = os.Remove(path)
		}
	}
}

// writing tells whether a process may still be writing its temporary file at path. This process knows its own: another with
// the same number may have ended before it.
func writing(process int, path string) bool {
	if process == os.Getpid() {
		_, mine := inHand.Load(path)
		return mine
	}
	p, err := os.FindProcess(process)
	if err != nil {
		return false
	}
	err = p.Signal(syscall.Signal(0)) // asks whether it is there, where the system can tell; otherwise it counts as there
	return !errors.Is(err, os.ErrProcessDone) && !errors.Is(err, syscall.ESRCH)
}
