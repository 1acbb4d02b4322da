package output

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"
)

var errBroken = errors.New("no answer was printed")

// names returns the files of dir, hidden ones too, each with its content.
func names(t *testing.T, dir string) map[string]string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	found := map[string]string{}
	for _, e := range entries {
		data, _ := os.ReadFile(filepath.Join(dir, e.Name()))
		found[e.Name()] = string(data)
	}
	return found
}

func TestWriteFileReplacesWhole(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "floor.png")
	for _, text := range []string{"first", "second"} {
		if err := WriteFile(path, []byte(text), nil); err != nil {
			t.Fatal(err)
		}
		if got := names(t, dir); len(got) != 1 || got["floor.png"] != text {
			t.Errorf("folder holds %v; want %s alone", got, text)
		}
	}
}

func TestWriteFileFailureLeavesTheOldFile(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "floor.png")
	if err := WriteFile(path, []byte("old"), nil); err != nil {
		t.Fatal(err)
	}
	if err := WriteFile(path, []byte("new"), func() error { return errBroken }); !errors.Is(err, errBroken) {
		t.Errorf("error %v", err)
	}
	if got := names(t, dir); len(got) != 1 || got["floor.png"] != "old" {
		t.Errorf("folder holds %v; want the old file alone", got)
	}
	func() {
		defer func() { _ = recover() }()
		_ = WriteFile(path, []byte("new"), func() error { panic("last") })
	}()
	if got := names(t, dir); len(got) != 1 || got["floor.png"] != "old" {
		t.Errorf("a panic leaves %v", got)
	}
}

func TestWriteFileSaysWhere(t *testing.T) {
	dir := t.TempDir()
	for _, path := range []string{filepath.Join(dir, "none", "a.png"), dir, filepath.Join(dir, strings.Repeat("n", 300))} {
		err := WriteFile(path, []byte("x"), nil)
		if err == nil || !strings.Contains(err.Error(), path) || strings.Contains(err.Error(), ".tmp") {
			t.Errorf("error is %v; want the path and no temporary name", err)
		}
	}
	if got := names(t, dir); len(got) != 0 {
		t.Errorf("folder holds %v", got)
	}
}

func TestWriteFileKeepsPermissionsAndLinks(t *testing.T) {
	dir := t.TempDir()
	target, link := filepath.Join(dir, "target"), filepath.Join(dir, "link")
	if err := os.WriteFile(target, []byte("old"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(target, link); err != nil {
		t.Skip("no symbolic links here")
	}
	if err := WriteFile(link, []byte("new"), nil); err != nil {
		t.Fatal(err)
	}
	info, err := os.Lstat(link)
	if err != nil || info.Mode()&os.ModeSymlink == 0 {
		t.Error("the link is no link any more")
	}
	if info, err := os.Stat(target); err != nil || info.Mode().Perm() != 0o600 || names(t, dir)["target"] != "new" {
		t.Errorf("target has mode %v, content %q", info.Mode(), names(t, dir)["target"])
	}
}

func TestWriteSetIsAllOrNothing(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "out", "foyer")
	long := strings.Repeat("n", 300)
	bad := []File{{"a.csv", []byte("new a")}, {long, nil}}
	if err := WriteSet(t.Context(), dir, bad, nil); err == nil || !strings.Contains(err.Error(), long) {
		t.Errorf("error %v; want it to name the file", err)
	}
	if _, err := os.Stat(filepath.Dir(dir)); err == nil {
		t.Error("the folders that were made for nothing are still there")
	}
	if err := WriteSet(t.Context(), dir, []File{{"a.csv", []byte("a")}, {"b.csv", []byte("b")}}, nil); err != nil {
		t.Fatal(err)
	}
	if err := WriteSet(t.Context(), dir, bad, nil); err == nil {
		t.Error("a file that cannot be is not told")
	}
	if got := names(t, dir); len(got) != 2 || got["a.csv"] != "a" || got["b.csv"] != "b" {
		t.Errorf("folder holds %v; want the first set", got)
	}
}

func TestWriteSetRefusesNames(t *testing.T) {
	dir := t.TempDir()
	for _, files := range [][]File{
		{{"../a", []byte("x")}}, {{"a/b", []byte("x")}}, {{"", []byte("x")}}, {{".", []byte("x")}}, {{"..", []byte("x")}},
		{{"a", []byte("x")}, {"a", []byte("y")}}, {{"Floor.csv", []byte("x")}, {"floor.CSV. ", []byte("y")}}, {{"b", []byte("x")}, {strings.Repeat("n", 300), []byte("y")}},
	} {
		if err := WriteSet(t.Context(), dir, files, nil); err == nil {
			t.Errorf("names of %d files starting with %.20q are taken", len(files), files[0].Name)
		}
	}
	if got := names(t, dir); len(got) != 0 {
		t.Errorf("folder holds %v", got)
	}
	file := filepath.Join(dir, "plain")
	if err := WriteFile(file, []byte("x"), nil); err != nil {
		t.Fatal(err)
	}
	if err := WriteSet(t.Context(), filepath.Join(file, "deeper"), []File{{"a", []byte("x")}}, nil); err == nil || !strings.Contains(err.Error(), file) {
		t.Errorf("error is %v; want it to name the file that is in the way", err)
	}
}

func TestWriteSetStopsWithItsContext(t *testing.T) {
	dir := t.TempDir()
	if err := WriteSet(t.Context(), dir, []File{{"a.csv", []byte("old")}}, nil); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	called := false
	err := WriteSet(ctx, dir, []File{{"b.csv", []byte("new")}, {"a.csv", []byte("new")}}, func() error { called = true; return nil })
	if called {
		t.Error("last was called after the end")
	}
	if !errors.Is(err, context.Canceled) {
		t.Errorf("error is %v", err)
	}
	if got := names(t, dir); len(got) != 1 || got["a.csv"] != "old" {
		t.Errorf("folder holds %v; want the old file alone", got)
	}
}

func TestWriteSetReplacesLinks(t *testing.T) {
	outer := t.TempDir()
	dir, target := filepath.Join(outer, "out"), filepath.Join(outer, "target")
	if err := os.WriteFile(target, []byte("foreign"), 0o666); err != nil {
		t.Fatal(err)
	}
	if err := os.Mkdir(dir, 0o777); err != nil {
		t.Fatal(err)
	}
	for link, to := range map[string]string{"to-file": target, "to-folder": outer, "to-nothing": filepath.Join(outer, "none"), "to-itself": "to-itself"} {
		if err := os.Symlink(to, filepath.Join(dir, link)); err != nil {
			t.Skip("no symbolic links here")
		}
		if err := WriteSet(t.Context(), dir, []File{{link, []byte("own")}}, nil); err != nil {
			t.Errorf("%s: %v", link, err)
		}
		if got := names(t, dir)[link]; got != "own" {
			t.Errorf("%s holds %q", link, got)
		}
	}
	if got := names(t, outer); len(got) != 2 || got["target"] != "foreign" {
		t.Errorf("beside the folder there is now %v", got)
	}
}

// TestAbandonedFilesGo: a temporary file is abandoned when nobody has it locked, or, where there are no locks, an hour after
// it was written last.
func TestAbandonedFilesGo(t *testing.T) {
	for _, locking := range []bool{locks, false} {
		dir := t.TempDir()
		stay := []string{".a.tmp", "a.png", ".fathomlux-1.tmp", "x" + temporaryName(), temporaryName()}
		old, folder, held := temporaryName(), temporaryName(), stay[len(stay)-1]
		for _, name := range append([]string{old}, stay...) {
			if err := os.WriteFile(filepath.Join(dir, name), nil, 0o666); err != nil {
				t.Fatal(err)
			}
		}
		if err := os.Mkdir(filepath.Join(dir, folder), 0o777); err != nil {
			t.Fatal(err)
		}
		stay = append(stay, folder)
		made, err := os.Stat(filepath.Join(dir, held))
		if err != nil {
			t.Fatal(err)
		}
		now := made.ModTime()
		if locking {
			defer lock(filepath.Join(dir, held), true).Close()
		} else {
			removeAbandoned(dir, now.Add(59*time.Minute), false)
			if got := names(t, dir); len(got) != len(stay)+1 {
				t.Errorf("after 59 minutes there is %v", got)
			}
			now = now.Add(61 * time.Minute)
			if err := os.Chtimes(filepath.Join(dir, held), now, now); err != nil {
				t.Fatal(err)
			}
		}
		removeAbandoned(dir, now, locking)
		got := names(t, dir)
		for _, name := range stay {
			if _, ok := got[name]; !ok {
				t.Errorf("locks %t: %s is gone", locking, name)
			}
		}
		if len(got) != len(stay) {
			t.Errorf("locks %t: the folder holds %v; want %v", locking, got, stay)
		}
	}
}

// TestWritersInOneFolder writes sets into one folder from many writers at once, which see each other's temporary files: as
// two processes do, in one container or in two, for nothing hangs on their numbers.
func TestWritersInOneFolder(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	var all sync.WaitGroup
	for range 4 {
		all.Go(func() {
			for range 12 {
				if err := WriteSet(t.Context(), dir, []File{{"a.csv", []byte("a")}, {"b.csv", []byte("b")}}, nil); err != nil {
					t.Error(err)
				}
			}
		})
	}
	all.Wait()
	if got := names(t, dir); len(got) != 2 || got["a.csv"] != "a" || got["b.csv"] != "b" {
		t.Errorf("the folder holds %v", got)
	}
}

// TestLastComesBeforeNames: what is called last finds all content written and no name taken; if it fails, nothing is left.
func TestLastComesBeforeNames(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "new", "out")
	last := func() error {
		if got := names(t, dir); len(got) != 2 || got["a.csv"] != "" || got["b.csv"] != "" {
			t.Errorf("while last is called there is %v", got)
		}
		return errBroken
	}
	if err := WriteSet(t.Context(), dir, []File{{"a.csv", []byte("a")}, {"b.csv", []byte("b")}}, last); !errors.Is(err, errBroken) {
		t.Errorf("error is %v", err)
	}
	if left := names(t, filepath.Dir(filepath.Dir(dir))); len(left) != 0 {
		t.Errorf("left is %v", left)
	}
	path := filepath.Join(t.TempDir(), "a.csv")
	if err := WriteFile(path, []byte("a"), func() error { return errBroken }); !errors.Is(err, errBroken) || len(names(t, filepath.Dir(path))) != 0 {
		t.Errorf("error is %v, and there is %v", err, names(t, filepath.Dir(path)))
	}
}

// TestLinksThatLeadNowhereStay: a link of the user's that leads to nothing, or to itself, is neither followed nor removed.
func TestLinksThatLeadNowhereStay(t *testing.T) {
	outer := t.TempDir()
	for name, to := range map[string]string{"dangling": filepath.Join(outer, "none"), "loop": "loop"} {
		link := filepath.Join(outer, name)
		if err := os.Symlink(to, link); err != nil {
			t.Skip("no symbolic links here")
		}
		set := []File{{"a", []byte("a")}}
		for what, err := range map[string]error{
			"as a folder":        WriteSet(t.Context(), link, set, nil),
			"with a slash":       WriteSet(t.Context(), link+string(filepath.Separator), set, nil),
			"as a folder's path": WriteSet(t.Context(), filepath.Join(link, "deeper", "out"), set, nil),
			"as a file":          WriteFile(link, []byte("a"), nil),
		} {
			if err == nil || !strings.Contains(err.Error(), link) || !strings.Contains(err.Error(), " is a link to "+to) || !strings.Contains(err.Error(), "give another") {
				t.Errorf("%s %s: error is %v", name, what, err)
			}
		}
		if got, err := os.Readlink(link); err != nil || got != to {
			t.Errorf("%s: the link leads to %q: %v", name, got, err)
		}
	}
	if left := names(t, outer); len(left) != 2 {
		t.Errorf("there is %v", left)
	}
}

// TestRefusalsSayWhatServes: a path that no file system takes is told by what is wrong with it and what would serve, not with
// the whole of a path of thousands of letters.
func TestRefusalsSayWhatServes(t *testing.T) {
	dir := t.TempDir()
	long, deep := strings.Repeat("n", 300), strings.Repeat("deep/", 2000)
	if runtime.GOOS == "windows" {
		t.Skip("names here are longer")
	}
	for what, err := range map[string]error{
		"folder":       WriteSet(t.Context(), filepath.Join(dir, long), []File{{"a", []byte("a")}}, nil),
		"deep folder":  WriteSet(t.Context(), filepath.Join(dir, deep), []File{{"a", []byte("a")}}, nil),
		"name":         WriteFile(filepath.Join(dir, long), []byte("a"), nil),
		"name of many": WriteSet(t.Context(), dir, []File{{long, []byte("a")}}, nil),
	} {
		if err == nil || !strings.Contains(err.Error(), dir) || !strings.HasSuffix(err.Error(), "file name too long; give a shorter path") || len(err.Error()) > 600 {
			t.Errorf("%s: error is %v", what, err)
		}
	}
	if left := names(t, dir); len(left) != 0 {
		t.Errorf("left is %v", left)
	}
}

// TestCures: the numbers of Windows are those of ERROR_ACCESS_DENIED, ERROR_SHARING_VIOLATION, ERROR_DISK_FULL and
// ERROR_FILENAME_EXCED_RANGE in Go's own list of them, golang.org/x/sys/windows, zerrors_windows.go.
func TestCures(t *testing.T) {
	for _, c := range []struct {
		system string
		err    error
		cure   string
	}{
		{"linux", syscall.ENOSPC, otherDisk}, {"linux", syscall.ELOOP, noLoop}, {"darwin", fmt.Errorf("inside: %w", syscall.EROFS), allowed}, {"linux", syscall.EIO, ""}, {"linux", syscall.EFBIG, smaller},
		{"windows", syscall.Errno(32), closeIt}, {"windows", syscall.Errno(5), allowed}, {"windows", syscall.Errno(112), otherDisk}, {"windows", syscall.Errno(206), shorter},
		{"windows", errBroken, ""},
	} {
		if got := cureOf(c.system, c.err); got != c.cure {
			t.Errorf("%s, %v: %q, want %q", c.system, c.err, got, c.cure)
		}
	}
}

func TestReserved(t *testing.T) {
	for _, name := range []string{"NUL", "con", "Con.yaml", "aux.tar.gz", "COM1", "lpt9.csv", "com\u00b9", "nul .txt", "PRN:", "CONIN$", "com0"} {
		if !Reserved(name) {
			t.Errorf("%q passes", name)
		}
	}
	for _, name := range []string{"", ".", "console", "com", "com10", "com1x", "lpt", "nul-tank.yaml", "floor.csv", "tank.nul", "\u5149"} {
		if Reserved(name) {
			t.Errorf("%q is refused", name)
		}
	}
}

// TestReplaceOpenFile plays a system that replaces no file that is open, once with one that may be moved, once with one that
// may not.
func TestReplaceOpenFile(t *testing.T) {
	for _, movable := range []bool{true, false} {
		dir := t.TempDir()
		from, to := filepath.Join(dir, "from"), filepath.Join(dir, "to")
		for path, text := range map[string]string{from: "new", to: "old"} {
			if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
				t.Fatal(err)
			}
		}
		rename := func(a, b string) error {
			if _, err := os.Lstat(b); err == nil || (a == to && !movable) {
				return errBroken
			}
			return os.Rename(a, b)
		}
		err := replace(rename, from, to)
		got := names(t, dir)
		if movable && (err != nil || len(got) != 1 || got["to"] != "new") {
			t.Errorf("%v, and there is %v", err, got)
		}
		if !movable && (!errors.Is(err, errBroken) || len(got) != 2 || got["to"] != "old") {
			t.Errorf("%v, and there is %v", err, got)
		}
	}
}
