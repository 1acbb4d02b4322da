//go:build linux

package main

import (
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// mount mounts a small file system in memory at a fresh folder, where this user may.
func mount(t *testing.T, options string) string {
	t.Helper()
	dir := t.TempDir()
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, options); err != nil {
		t.Skipf("this user may mount nothing here: %v", err)
	}
	t.Cleanup(func() { _ = syscall.Unmount(dir, syscall.MNT_DETACH) })
	return dir
}

// small is a call that writes files, quickly.
func small(scene, out string) []string { return faultCall("map", scene, out) }

func TestMissingFoldersAreMade(t *testing.T) {
	dir := faultFolder(t)
	c, errs := program(dir, small("tank.yaml", "a/b/c")...)
	if err := c.Run(); err != nil || len(sums(t, filepath.Join(dir, "a", "b", "c"))) < 5 {
		t.Errorf("%v: %s", err, errs)
	}
}

func TestFileInTheWay(t *testing.T) {
	dir := faultFolder(t)
	for name, out := range map[string]string{"the folder": "tank.yaml", "one above it": "tank.yaml/deeper"} {
		c, errs := program(dir, small("tank.yaml", out)...)
		if err := c.Run(); c.ProcessState.ExitCode() != statusWrong || !strings.Contains(errs.String(), "tank.yaml is a file; give a folder") {
			t.Errorf("a file where %s should be: %v, %s", name, err, errs)
		}
	}
	if err := os.MkdirAll(filepath.Join(dir, "out", "floor.png", "kept"), 0o777); err != nil {
		t.Fatal(err)
	}
	c, errs := program(dir, small("tank.yaml", "out")...)
	if err := c.Run(); c.ProcessState.ExitCode() != statusWrong || !strings.Contains(errs.String(), "floor.png: it is no regular file; give another name") {
		t.Errorf("a folder where a file should be: %v, %s", err, errs)
	}
	if left := sums(t, filepath.Join(dir, "out")); len(left) != 1 {
		t.Errorf("the folder holds %v", left)
	}
}

// TestFullDisk lets the disk run full at every stage of writing: over the set's own size it works, below it every file is as
// it was. A set needs room beside the old one, for old files stay until all new ones are whole.
func TestFullDisk(t *testing.T) {
	dir := faultFolder(t)
	c, errs := program(dir, small("tank.yaml", "out")...)
	if err := c.Run(); err != nil {
		t.Fatalf("%v: %s", err, errs)
	}
	complete := sums(t, filepath.Join(dir, "out"))
	for _, size := range []string{"size=4k", "size=40k", "size=100k"} {
		full := mount(t, size)
		out := filepath.Join(full, "new", "out")
		c, errs := program(dir, small("tank.yaml", out)...)
		if err := c.Run(); c.ProcessState.ExitCode() != statusWrong || !strings.Contains(errs.String(), "no space left on device") || strings.Contains(errs.String(), ".tmp") {
			t.Errorf("%s: %v, %s", size, err, errs)
		}
		if left := sums(t, full); len(left) != 0 {
			t.Errorf("%s: left is %v", size, left)
		}
	}
	tight := mount(t, "size=32m")
	c, errs = program(dir, small("tank.yaml", tight)...)
	if err := c.Run(); err != nil {
		t.Fatalf("%v: %s", err, errs)
	}
	fill(t, filepath.Join(tight, "filling"))
	c, errs = program(dir, small("other.yaml", tight)...)
	if err := c.Run(); c.ProcessState.ExitCode() != statusWrong || !strings.Contains(errs.String(), "no space left on device") {
		t.Errorf("a full folder: %v, %s", err, errs)
	}
	_ = os.Remove(filepath.Join(tight, "filling"))
	eachWhole(t, tight, complete, nil)
	if left := sums(t, tight); len(left) != len(complete) {
		t.Errorf("%d files of %d are left", len(left), len(complete))
	}
}

// fill writes a file until the disk is full.
func fill(t *testing.T, path string) {
	t.Helper()
	f, err := os.Create(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	for block := make([]byte, 1<<12); err == nil; {
		_, err = f.Write(block)
	}
}

func TestReadOnlyFolder(t *testing.T) {
	dir := faultFolder(t)
	locked := mount(t, "size=32m")
	c, errs := program(dir, small("tank.yaml", locked)...)
	if err := c.Run(); err != nil {
		t.Fatalf("%v: %s", err, errs)
	}
	old := sums(t, locked)
	if err := syscall.Mount("", locked, "", syscall.MS_REMOUNT|syscall.MS_RDONLY, ""); err != nil {
		t.Skipf("it cannot be locked: %v", err)
	}
	for _, out := range []string{locked, filepath.Join(locked, "deeper")} {
		c, errs = program(dir, small("other.yaml", out)...)
		if err := c.Run(); c.ProcessState.ExitCode() != statusWrong || !strings.Contains(errs.String(), "read-only file system") || strings.Contains(errs.String(), ".tmp") {
			t.Errorf("%v: %s", err, errs)
		}
	}
	eachWhole(t, locked, old, nil)
	if left := sums(t, locked); len(left) != len(old) {
		t.Errorf("%d files of %d are left", len(left), len(old))
	}
}

// TestFolderWithoutPermission is the same for those whom permissions bind.
func TestFolderWithoutPermission(t *testing.T) {
	if os.Geteuid() == 0 {
		t.Skip("permissions do not bind this user; TestReadOnlyFolder has a folder that nobody may write to")
	}
	dir := faultFolder(t)
	locked := filepath.Join(dir, "locked")
	if err := os.Mkdir(locked, 0o555); err != nil {
		t.Fatal(err)
	}
	c, errs := program(dir, small("tank.yaml", "locked")...)
	if err := c.Run(); c.ProcessState.ExitCode() != statusWrong || !strings.Contains(errs.String(), "permission denied") {
		t.Errorf("%v: %s", err, errs)
	}
}

// outputCalls are calls that print much on standard output; those that write files write before they print.
var outputCalls = [][]string{
	{"map", "tank.yaml", "--engine", "direct", "--step", "20 mm", "--scale", "0.5"}, {"map", "tank.yaml", "--engine", "direct", "--step", "20 mm", "--scale", "0.5", "--json"},
	{"check", "tank.yaml"}, {"check", "tank.yaml", "--json"}, {"parts"}, {"parts", "--json"}, {"schema"}, {"new", "-"}, {"wire", "tank.yaml"}, {"heat", "tank.yaml"}, {"bill", "tank.yaml"},
	{"drill", "tank.yaml"}, {"completion", "bash"}, {"version"}, {"version", "--licences"}, {"--help"}, {"help", "map"}, {"live", "tank.yaml"},
	{"sweep", "tank.yaml", "--vary", "spacing=100mm:180mm:20mm", "--step", "20 mm", "--scale", "0.5"}, {"report", "tank.yaml", "--engine", "direct", "--step", "20 mm", "--scale", "0.5"},
}

// TestOutputThatIsFull prints to a device that takes nothing: an answer that did not arrive is a failure, and says so.
func TestOutputThatIsFull(t *testing.T) {
	dir := faultFolder(t)
	for _, args := range outputCalls {
		full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
		if err != nil {
			t.Skip("there is no device that is always full")
		}
		c, errs := program(dir, args...)
		c.Stdout = full
		err = c.Run()
		_ = full.Close()
		if c.ProcessState.ExitCode() != statusWrong || !strings.Contains(errs.String(), "no space left on device") || strings.Contains(errs.String(), "goroutine") {
			t.Errorf("%v: %v, %s", args, err, errs)
		}
	}
}

// TestOutputThatIsClosed prints into a pipe that nobody reads any more, as `| head -1` leaves it: the command ends by the signal
// that says so, as other programs do, without a word, and what it has written is whole. Where nothing at all is at the other
// end, it is done.
func TestOutputThatIsClosed(t *testing.T) {
	dir := faultFolder(t)
	for _, args := range outputCalls {
		read, write, err := os.Pipe()
		if err != nil {
			t.Fatal(err)
		}
		_ = read.Close()
		c, errs := program(dir, args...)
		c.Stdout = write
		err = c.Run()
		_ = write.Close()
		if state := c.ProcessState.Sys().(syscall.WaitStatus); !state.Signaled() || state.Signal() != syscall.SIGPIPE || strings.Contains(errs.String(), "goroutine") {
			t.Errorf("%v: %v, %s", args, err, errs)
		}
	}
	if left := sums(t, filepath.Join(dir, "out", "tank")); len(left) < 8 {
		t.Errorf("files are missing: %v", left)
	}
	for name := range sums(t, filepath.Join(dir, "out", "tank")) {
		if strings.HasPrefix(name, ".") {
			t.Errorf("%s is left", name)
		}
	}
	c, errs := program(dir, "-c", `exec 1>&-; exec fathomlux check tank.yaml`)
	c.Path, c.Args[0] = "/bin/sh", "sh"
	if err := c.Run(); err != nil || errs.Len() > 0 {
		t.Errorf("no standard output: %v, %s", err, errs)
	}
}
