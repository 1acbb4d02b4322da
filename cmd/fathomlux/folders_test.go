//go:build linux

package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"golang.org/x/sys/unix"

	"fathomlux/scene/longtest"
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

// small is a call that writes files, quickly: few photons take less time than the rays of a flux balance.
func small(scene, out string) []string {
	return append(strings.Fields("map --engine traced --photons 1000 --step 20mm --plane floor --scale 0.5 --out"), out, scene)
}

func TestMissingFoldersAreMade(t *testing.T) {
	t.Parallel()
	dir := faultFolder(t)
	c, errs := program(dir, small("tank.yaml", "a/b/c")...)
	if err := c.Run(); err != nil || len(sums(t, filepath.Join(dir, "a", "b", "c"))) < 5 {
		t.Errorf("%v: %s", err, errs)
	}
}

func TestFileInTheWay(t *testing.T) {
	t.Parallel()
	dir := faultFolder(t)
	for name, out := range map[string]string{"the folder": "tank.yaml", "one above it": "tank.yaml/deeper"} {
		c, errs := program(dir, small("tank.yaml", out)...)
		if err := c.Run(); c.ProcessState.ExitCode() != statusWrong || !strings.Contains(errs.String(), "tank.yaml: it is a file; give a folder") {
			t.Errorf("a file where %s should be: %v, %s", name, err, errs)
		}
	}
	if err := os.MkdirAll(filepath.Join(dir, "out", "floor.png", "kept"), 0o777); err != nil {
		t.Fatal(err)
	}
	c, errs := program(dir, small("tank.yaml", "out")...)
	if err := c.Run(); c.ProcessState.ExitCode() != statusWrong || !strings.Contains(errs.String(), "floor.png: it is not a regular file; give another name") {
		t.Errorf("a folder where a file should be: %v, %s", err, errs)
	}
	if left := sums(t, filepath.Join(dir, "out")); len(left) != 1 {
		t.Errorf("the folder holds %v", left)
	}
}

// TestFullDisk lets the disk run full at every stage of writing: over the set's own size it works, below it every file is as
// it was. A set needs room beside the old one, for old files stay until all new ones are whole.
func TestFullDisk(t *testing.T) {
	t.Parallel()
	dir := faultFolder(t)
	c, errs := program(dir, small("tank.yaml", "out")...)
	if err := c.Run(); err != nil {
		t.Fatalf("%v: %s", err, errs)
	}
	complete := sums(t, filepath.Join(dir, "out"))
	for _, size := range longtest.Pick([]string{"size=40k"}, []string{"size=4k", "size=40k", "size=100k"}) {
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
	t.Parallel()
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

// outputCalls are calls that print on standard output.
var outputCalls = [][]string{
	faultCall("map", "tank.yaml", "out/tank"), append(faultCall("map", "tank.yaml", "out/tank"), "--json"),
	{"check", "tank.yaml"}, {"check", "tank.yaml", "--json"}, {"parts"}, {"parts", "--json"}, {"schema"}, {"new", "-"}, {"wire", "tank.yaml"}, {"wire", "tank.yaml", "--json"}, {"heat", "tank.yaml"},
	{"bill", "tank.yaml"}, {"drill", "tank.yaml"}, {"completion", "bash"}, {"version"}, {"version", "--licences"}, {"--help"}, {"help", "map"}, {"live", "tank.yaml"},
	{"sweep", "tank.yaml", "--vary", "spacing=100mm:180mm:20mm", "--step", "20 mm", "--scale", "0.5"}, {"report", "tank.yaml", "--step", "20 mm", "--scale", "0.5"},
	{"parts", "show", "round-40", "--scale", "0.5"}, {"compare", "tank.yaml", "--optic", "round-60", "--step", "20 mm", "--scale", "0.5"},
	{"arrange", "tank.yaml", "--step", "40 mm", "--round", "20 mm", "--scale", "0.5"}, {"meter", "--sheet", "tank.yaml"},
	{"meter", "tank.yaml", "readings.csv", "--scale", "0.5"},
}

// quickCalls are a sample of them: light and tables, with files and without.
var quickCalls = [][]string{outputCalls[1], outputCalls[2], outputCalls[12], {"--help"}}

// outputFolder is faultFolder with readings of a light meter.
func outputFolder(t *testing.T) string {
	t.Helper()
	dir := faultFolder(t)
	if err := os.WriteFile(filepath.Join(dir, "readings.csv"), []byte(faultReadings), 0o666); err != nil {
		t.Fatal(err)
	}
	return dir
}

// TestOutputThatIsFull prints to a device that takes nothing: an answer that did not arrive is a failure, says so, and leaves
// no file.
func TestOutputThatIsFull(t *testing.T) {
	t.Parallel()
	dir := outputFolder(t)
	for _, args := range longtest.Pick(quickCalls, outputCalls) {
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
		if left := sums(t, dir); len(left) != 3 {
			t.Errorf("%v: there is %v", args, left)
		}
	}
	for _, args := range [][]string{{"new", "new.yaml"}, {"man", "pages"}} { // these tell on standard error
		full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
		if err != nil {
			t.Fatal(err)
		}
		c, _ := program(dir, args...)
		c.Stderr = full
		_ = c.Run()
		_ = full.Close()
		if left := sums(t, dir); c.ProcessState.ExitCode() != statusWrong || len(left) != 3 {
			t.Errorf("%v: status %d, and there is %v", args, c.ProcessState.ExitCode(), left)
		}
	}
}

// TestOutputThatIsClosed prints into a pipe that nobody reads any more, as `| head -1` leaves it: the command ends by the signal
// that says so, as other programs do, without a word, and its files are there, and whole. Where nothing at all is at the other
// end, it is done.
func TestOutputThatIsClosed(t *testing.T) {
	t.Parallel()
	dir := outputFolder(t)
	wrote := 0
	calls, want := quickCalls, 2
	if longtest.Pick(false, true) {
		calls, want = outputCalls, 14
	}
	for _, args := range calls {
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
		for _, out := range []string{filepath.Join(dir, "out", "tank"), filepath.Join(dir, "out", "parts")} {
			left := sums(t, out)
			wrote += min(1, len(left))
			for name := range left {
				if strings.HasPrefix(name, ".") {
					t.Errorf("%v: %s is left", args, name)
				}
			}
		}
		if err := os.RemoveAll(filepath.Join(dir, "out")); err != nil {
			t.Fatal(err)
		}
	}
	if wrote != want {
		t.Errorf("%d of %d calls have written files, not %d", wrote, len(calls), want)
	}
	c, errs := program(dir, "-c", `exec 1>&-; exec fathomlux check tank.yaml`)
	c.Path, c.Args[0] = "/bin/sh", "sh"
	if err := c.Run(); err != nil || errs.Len() > 0 {
		t.Errorf("no standard output: %v, %s", err, errs)
	}
}

// narrowPipe starts a map that prints more than its pipe holds, and waits until it can go no further.
func narrowPipe(t *testing.T, dir string) (*exec.Cmd, *os.File, *bytes.Buffer) {
	t.Helper()
	read, write, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	if size, err := unix.FcntlInt(write.Fd(), unix.F_SETPIPE_SZ, 4096); err != nil || size > 4096 {
		t.Skipf("pipes hold %d bytes here: %v", size, err)
	}
	c, errs := program(dir, append(small("tank.yaml", "out"), "--json", "--plane", "mid", "--plane", "surface")...)
	c.Stdout = write
	if err := c.Start(); err != nil {
		t.Fatal(err)
	}
	_ = write.Close()
	for end := time.Now().Add(time.Minute); time.Now().Before(end); time.Sleep(time.Millisecond) {
		if held, err := unix.IoctlGetInt(int(read.Fd()), unix.TIOCINQ); err == nil && held == 4096 {
			return c, read, errs
		}
	}
	t.Fatal("the pipe never fills")
	return nil, nil, nil
}

// TestOutputReadInPart closes a pipe of which a part was read, and interrupts a map that waits for its reader: no file has its
// name before all is read; then all have, or none.
func TestOutputReadInPart(t *testing.T) {
	t.Parallel()
	for interrupted, want := range map[bool]int{false: 9, true: 0} {
		dir := faultFolder(t)
		c, read, errs := narrowPipe(t, dir)
		for name := range sums(t, filepath.Join(dir, "out")) {
			if !strings.HasPrefix(name, ".fathomlux-") {
				t.Errorf("%s is there before the answer was read", name)
			}
		}
		if interrupted {
			_ = c.Process.Signal(os.Interrupt)
			_ = c.Wait()
			_ = read.Close()
		} else {
			_, _ = read.Read(make([]byte, 10))
			_ = read.Close()
			_ = c.Wait()
		}
		state := c.ProcessState.Sys().(syscall.WaitStatus)
		if interrupted != (state.ExitStatus() == statusWrong) || interrupted == (state.Signaled() && state.Signal() == syscall.SIGPIPE) {
			t.Errorf("interrupted %t: status %d, %s", interrupted, state.ExitStatus(), errs)
		}
		if left := sums(t, filepath.Join(dir, "out")); len(left) != want {
			t.Errorf("interrupted %t: there are %d files, not %d: %v", interrupted, len(left), want, left)
		}
	}
}

// TestLinksOfTheUserStay: a link that leads to nothing is no place to write to, and is not removed.
func TestLinksOfTheUserStay(t *testing.T) {
	t.Parallel()
	dir := faultFolder(t)
	if err := os.Symlink("nowhere", filepath.Join(dir, "link")); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{small("tank.yaml", "link"), small("tank.yaml", "link/deeper"), {"parts", "show", "round-40", "-o", "link"}, {"new", "link"}, {"new", "link", "--force"}, {"man", "link"}} {
		c, errs := program(dir, args...)
		if err := c.Run(); c.ProcessState.ExitCode() != statusWrong || !strings.Contains(errs.String(), "link is a link to nowhere") && !strings.Contains(errs.String(), "it is a link to nowhere") {
			t.Errorf("%v: %v, %s", args, err, errs)
		}
		if to, err := os.Readlink(filepath.Join(dir, "link")); err != nil || to != "nowhere" || len(sums(t, filepath.Join(dir, "nowhere"))) > 0 {
			t.Fatalf("%v: the link leads to %q: %v", args, to, err)
		}
	}
}

// TestProcessesWithOneNumber runs maps into one folder at once, each as the first process of a space of numbers of its own, as
// in containers: they do not take each other's temporary files for abandoned.
func TestProcessesWithOneNumber(t *testing.T) {
	t.Parallel()
	dir := faultFolder(t)
	var all []*exec.Cmd
	for range 4 {
		c, errs := program(dir, small("tank.yaml", "out")...)
		c.SysProcAttr = &syscall.SysProcAttr{Cloneflags: syscall.CLONE_NEWPID}
		if err := c.Start(); err != nil {
			t.Skipf("this user may have no numbers of his own here: %v", err)
		}
		t.Cleanup(func() {
			if t.Failed() {
				t.Log(errs)
			}
		})
		all = append(all, c)
	}
	for _, c := range all {
		if err := c.Wait(); err != nil {
			t.Error(err)
		}
	}
	if left := sums(t, filepath.Join(dir, "out")); len(left) != 5 {
		t.Errorf("there are %d files, not 5: %v", len(left), left)
	}
}
