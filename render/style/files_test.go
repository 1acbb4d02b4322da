package style

import (
	"context"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
)

func content(text string) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := io.WriteString(w, text)
		return err
	}
}

func failing(w io.Writer) error {
	_, _ = io.WriteString(w, strings.Repeat("half", 100000))
	return errBroken
}

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
		if err := WriteFile(path, content(text)); err != nil {
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
	if err := WriteFile(path, content("old")); err != nil {
		t.Fatal(err)
	}
	err := WriteFile(path, failing)
	if err == nil || !strings.Contains(err.Error(), path) || !strings.Contains(err.Error(), "disk is full") {
		t.Errorf("error %v; want what and where", err)
	}
	if got := names(t, dir); len(got) != 1 || got["floor.png"] != "old" {
		t.Errorf("folder holds %v; want the old file alone", got)
	}
	func() {
		defer func() { _ = recover() }()
		_ = WriteFile(path, func(io.Writer) error { panic("writer") })
	}()
	if got := names(t, dir); len(got) != 1 {
		t.Errorf("a panic leaves %v", got)
	}
}

func TestWriteFileSaysWhere(t *testing.T) {
	dir := t.TempDir()
	for _, path := range []string{filepath.Join(dir, "none", "a.png"), dir, filepath.Join(dir, strings.Repeat("n", 300))} {
		err := WriteFile(path, content("x"))
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
	if err := WriteFile(link, content("new")); err != nil {
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
	bad := []File{{"a.csv", content("new a")}, {"b.csv", failing}}
	if err := WriteSet(t.Context(), dir, bad); err == nil || !strings.Contains(err.Error(), "b.csv") {
		t.Errorf("error %v; want it to name b.csv", err)
	}
	if _, err := os.Stat(filepath.Dir(dir)); err == nil {
		t.Error("the folders that were made for nothing are still there")
	}
	if err := WriteSet(t.Context(), dir, []File{{"a.csv", content("a")}, {"b.csv", content("b")}}); err != nil {
		t.Fatal(err)
	}
	if err := WriteSet(t.Context(), dir, bad); err == nil {
		t.Error("a failing writer is not told")
	}
	if got := names(t, dir); len(got) != 2 || got["a.csv"] != "a" || got["b.csv"] != "b" {
		t.Errorf("folder holds %v; want the first set", got)
	}
}

func TestWriteSetRefusesNames(t *testing.T) {
	dir := t.TempDir()
	for _, files := range [][]File{
		{{"../a", content("x")}}, {{"a/b", content("x")}}, {{"", content("x")}}, {{".", content("x")}}, {{"..", content("x")}},
		{{"a", content("x")}, {"a", content("y")}}, {{"b", content("x")}, {strings.Repeat("n", 300), content("y")}},
	} {
		if err := WriteSet(t.Context(), dir, files); err == nil {
			t.Errorf("names of %d files starting with %.20q are taken", len(files), files[0].Name)
		}
	}
	if got := names(t, dir); len(got) != 0 {
		t.Errorf("folder holds %v", got)
	}
	file := filepath.Join(dir, "plain")
	if err := WriteFile(file, content("x")); err != nil {
		t.Fatal(err)
	}
	if err := WriteSet(t.Context(), filepath.Join(file, "deeper"), []File{{"a", content("x")}}); err == nil || !strings.Contains(err.Error(), file) {
		t.Errorf("error is %v; want it to name the file that is in the way", err)
	}
}

func TestWriteSetStopsWithItsContext(t *testing.T) {
	dir := t.TempDir()
	if err := WriteSet(t.Context(), dir, []File{{"a.csv", content("old")}}); err != nil {
		t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	ending := func(w io.Writer) error {
		cancel()
		_, err := io.WriteString(w, strings.Repeat("long", 1<<20))
		return err
	}
	err := WriteSet(ctx, dir, []File{{"b.csv", content("new")}, {"a.csv", ending}})
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
		if err := WriteSet(t.Context(), dir, []File{{link, content("own")}}); err != nil {
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

func TestAbandonedFilesGo(t *testing.T) {
	dir := t.TempDir()
	child := exec.Command(os.Args[0], "-test.run=^$")
	if err := child.Run(); err != nil {
		t.Fatal(err)
	}
	dead, alive := child.Process.Pid, os.Getppid()
	stay := []string{temporaryName("b.png", alive, 0), ".a.tmp", ".fathomlux-1-0.tmp", "x" + temporaryName("b.png", dead, 0), "a.png"}
	for _, name := range append([]string{temporaryName("b.png", dead, 0), temporaryName("c.png", dead, 12), temporaryName("b.png", os.Getpid(), 3)}, stay...) {
		if err := os.WriteFile(filepath.Join(dir, name), nil, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Mkdir(filepath.Join(dir, temporaryName("folder", dead, 0)), 0o777); err != nil {
		t.Fatal(err)
	}
	stay = append(stay, temporaryName("folder", dead, 0), "new")
	if err := WriteSet(t.Context(), dir, []File{{"new", content("new")}}); err != nil {
		t.Fatal(err)
	}
	got := names(t, dir)
	for _, name := range stay {
		if _, ok := got[name]; !ok {
			t.Errorf("%s is gone", name)
		}
	}
	if len(got) != len(stay) {
		t.Errorf("folder holds %v; want %v", got, stay)
	}
}
