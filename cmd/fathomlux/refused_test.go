//go:build linux

package main

import (
	"bytes"
	"maps"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"

	"fathomlux/scene/longtest"
)

// silentCalls are those of faultCalls that print on standard error alone.
var silentCalls = []string{"new", "new-part", "man"}

// refused is a call of a command of faultCalls that must fail with a word, in a folder where nothing of it may be left.
type refused struct {
	name, out, word string
	prepare         func(c *exec.Cmd)
}

// check runs the call for the tank in a folder.
func (r refused) check(t *testing.T, dir string) {
	t.Helper()
	var said bytes.Buffer
	c, errs := program(dir, faultCall(r.name, filepath.Join("two", "tank.yaml"), r.out)...)
	c.Stdout = &said
	if r.prepare != nil {
		r.prepare(c)
	}
	_ = c.Run()
	if c.ProcessState.ExitCode() != statusWrong || !strings.Contains(errs.String(), r.word) || strings.Contains(errs.String(), ".tmp") {
		t.Errorf("%v, %s, not %q", c.ProcessState, errs, r.word)
	}
	if left := sums(t, r.out); len(left) > 0 || said.Len() > 0 {
		t.Errorf("%s: there is %v, and %q is printed", r.word, left, said.String())
	}
}

// TestNothingIsLeftWhereNothingCanBeWritten: commands, in full all that write, on a full disk, in a folder that nobody may write
// to, beyond the limit of the size of files and before an output that is full: each says what serves, and leaves no file.
func TestNothingIsLeftWhereNothingCanBeWritten(t *testing.T) {
	for _, name := range faultNames(longtest.Pick(2, len(faultCalls)), "new", "bill") {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			dir := killFolder(t, name == "join")
			free := filepath.Join(dir, "free")
			if err := os.Mkdir(free, 0o777); err != nil {
				t.Fatal(err)
			}
			refused{name, free, "file too large; raise the limit of the size of files", func(c *exec.Cmd) {
				c.Args = append([]string{"sh", "-c", `ulimit -f 0 && exec "$0" "$@"`}, c.Args...)
				c.Path = "/bin/sh"
			}}.check(t, dir)
			if !slices.Contains(silentCalls, name) {
				full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
				if err != nil {
					t.Skip("there is no device that is always full")
				}
				defer full.Close()
				refused{name, free, "no space left on device", func(c *exec.Cmd) { c.Stdout = full }}.check(t, dir)
			}
			disk := mount(t, "size=64k")
			out := filepath.Join(disk, "out")
			if err := os.Mkdir(out, 0o777); err != nil {
				t.Fatal(err)
			}
			fill(t, filepath.Join(disk, "filling"))
			refused{name, out, "no space left on device; make room, or give a folder on another disk", nil}.check(t, dir)
			if err := syscall.Mount("", disk, "", syscall.MS_REMOUNT|syscall.MS_RDONLY, ""); err != nil {
				t.Skipf("it cannot be locked: %v", err)
			}
			refused{name, out, "read-only file system; give a folder that you may write to", nil}.check(t, dir)
		})
	}
}

// TestWholeWithoutOutput: commands, in full all that write, whose output is closed write the same files as with one: where nobody
// reads any more, as after `| head -c 1`, and where there is neither standard output nor standard error.
func TestWholeWithoutOutput(t *testing.T) {
	for _, name := range faultNames(longtest.Pick(1, len(faultCalls)), "bill") {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			dir := killFolder(t, name == "join")
			var complete map[string][32]byte
			for _, shell := range []string{`exec "$0" "$@"`, `"$0" "$@" | head -c 1`, `exec 1>&- 2>&-; exec "$0" "$@"`} {
				out := filepath.Join(dir, "out")
				if err := os.Mkdir(out, 0o777); err != nil {
					t.Fatal(err)
				}
				c, errs := program(dir, faultCall(name, filepath.Join("two", "tank.yaml"), out)...)
				c.Args = append([]string{"sh", "-c", shell}, c.Args...)
				c.Path = "/bin/sh"
				if err := c.Run(); err != nil {
					t.Errorf("%s: %v, %s", shell, err, errs)
				}
				found := allOpen(t, out)
				if complete == nil {
					complete = found
				}
				if len(found) == 0 || !maps.Equal(found, complete) {
					t.Errorf("%s: %d files, not the %d of a call with an output", shell, len(found), len(complete))
				}
				if err := os.RemoveAll(out); err != nil {
					t.Fatal(err)
				}
			}
		})
	}
}
