package style

import (
	"io"
	"os"
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
	if err := WriteSet(dir, bad); err == nil || !strings.Contains(err.Error(), "b.csv") {
		t.Errorf("error %v; want it to name b.csv", err)
	}
	if _, err := os.Stat(filepath.Dir(dir)); err == nil {
		t.Error("the folders that were made for nothing are still there")
	}
	if err := WriteSet(dir, []File{{"a.csv", content("a")}, {"b.csv", content("b")}}); err != nil {
		t.Fatal(err)
	}
	if err := WriteSet(dir, bad); err == nil {
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
		if err := WriteSet(dir, files); err == nil {
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
	if err := WriteSet(filepath.Join(file, "deeper"), []File{{"a", content("x")}}); err == nil || !strings.Contains(err.Error(), file) {
		t.Errorf("error is %v; want it to name the file that is in the way", err)
	}
}
