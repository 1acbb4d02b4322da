package main

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"time"

	"fathomlux/render/live"
	"fathomlux/scene"
)

func TestDraftName(t *testing.T) {
	for name, want := range map[string]string{"mine": "mine.yaml", " mine.yml ": "mine.yml", "a b.yaml": "a b.yaml", "v1.2": "v1.2.yaml", "Grüße": "Grüße.yaml"} {
		if got, err := draftName(name); err != nil || got != want {
			t.Errorf("%q gives %q, %v; want %q", name, got, err, want)
		}
	}
	for _, name := range []string{"", " ", ".", "..", ".yaml", ".hidden", "../up", "../up.yaml", "a/b", "/etc/passwd", `a\b`, `C:x`, "a\x00b", "a\nb", "a\u202eb", "a*", strings.Repeat("a", 300), "a\xff"} {
		if got, err := draftName(name); err == nil {
			t.Errorf("%q is taken as %q", name, got)
		}
	}
}

func TestSaveDraft(t *testing.T) {
	file := foyerCopy(t)
	dir := filepath.Dir(file)
	sc, err := scene.Read(file)
	if err != nil {
		t.Fatal(err)
	}
	save := func(name string, overwrite bool) error {
		_, err := saveDraft(file, live.Draft{Name: name, Overwrite: overwrite, Scene: sc, Text: []byte("new")})
		return err
	}
	is := func(name, want string) {
		t.Helper()
		if got, err := os.ReadFile(filepath.Join(dir, name)); err != nil || string(got) != want {
			t.Errorf("%s holds %q, %v", name, got, err)
		}
	}
	if err := save("fresh", false); err != nil {
		t.Error(err)
	}
	is("fresh.yaml", "new")
	own := string(sc.Source())
	if err := save("foyer.yaml", false); err == nil || !strings.Contains(err.Error(), "exists; tick overwrite") {
		t.Errorf("the scene itself: %v", err)
	}
	is("foyer.yaml", own)
	if err := save("FOYER-parts.yaml", true); err == nil || !strings.Contains(err.Error(), "holds parts of this scene") {
		t.Errorf("its parts: %v", err)
	}
	outside := filepath.Join(t.TempDir(), "outside.yaml")
	if err := os.WriteFile(outside, []byte("old"), 0o666); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(outside, filepath.Join(dir, "link.yaml")); err == nil {
		for _, overwrite := range []bool{false, true} {
			if err := save("link.yaml", overwrite); err == nil {
				t.Error("a link out of the folder is written through")
			}
		}
		if got, _ := os.ReadFile(outside); string(got) != "old" {
			t.Errorf("the file outside holds %q", got)
		}
	}
	if err := os.Mkdir(filepath.Join(dir, "folder.yaml"), 0o777); err != nil {
		t.Fatal(err)
	}
	if err := save("folder.yaml", true); err == nil {
		t.Error("a folder is overwritten")
	}
	if err := save("foyer.yaml", true); err != nil {
		t.Error(err)
	}
	is("foyer.yaml", "new")
	if got := freeSceneName(file); got != "foyer-2.yaml" {
		t.Errorf("proposes %s", got)
	}
}

// TestLiveServesAndEnds runs the command without a browser: the address serves the page, a change of the scene's file is
// told, and the end of the context, which is Ctrl-C, ends the requests that still listen.
func TestLiveServesAndEnds(t *testing.T) {
	t.Parallel()
	file := foyerCopy(t)
	address := serveLive(t, file)
	answer, err := http.Get(address)
	if err != nil {
		t.Fatal(err)
	}
	page, _ := io.ReadAll(answer.Body)
	answer.Body.Close()
	if answer.StatusCode != 200 || !strings.Contains(string(page), "page/main.js") || !strings.HasPrefix(address, "http://127.0.0.1:") {
		t.Errorf("%s: %s %s", address, answer.Status, page)
	}
	versions, err := http.Get(address + "versions")
	if err != nil {
		t.Fatal(err)
	}
	defer versions.Body.Close() // still open when the command is told to end
	lines := bufio.NewReader(versions.Body)
	told := func() string {
		line, err := lines.ReadString('\n')
		if _, empty := lines.ReadString('\n'); err != nil || empty != nil {
			t.Fatalf("%q, %v, %v", line, err, empty)
		}
		return line
	}
	first := told()
	if !strings.HasPrefix(first, `data: {"foyer.yaml":`) {
		t.Fatal(first)
	}
	rewrite(t, file, "title: ", "title: [")
	time.Sleep(watchEvery + watchEvery/4) // the broken file is looked at, and not shown
	rewrite(t, file, "title: [", "title: Changed, ")
	if second := told(); !strings.HasPrefix(second, `data: {"foyer.yaml":`) || second == first {
		t.Errorf("%s after %s", second, first)
	}
}

func TestLiveRefuses(t *testing.T) {
	file := foyerCopy(t)
	for want, o := range map[string]liveOptions{
		"--port: 70000 is not between": {given: givenScene(file), port: 70000},
		"--step: 0.1 mm is not":        {given: givenScene(file), step: "0.1 mm"},
		"there is no such file":        {given: givenScene(file + "x")},
	} {
		var out, errs bytes.Buffer
		if err := o.run(context.Background(), streams{Out: &out, Err: &errs}); err == nil || !strings.Contains(err.Error(), want) || out.Len() > 0 {
			t.Errorf("got %v and %q; want %s", err, out.String(), want)
		}
	}
}

// TestLiveAtATakenPort: a port that somebody else serves at is named, with what serves.
func TestLiveAtATakenPort(t *testing.T) {
	taken, err := listenAt(0)
	if err != nil {
		t.Fatal(err)
	}
	defer taken.Close()
	port := taken.Addr().(*net.TCPAddr).Port
	_, err = listenAt(port)
	if want := fmt.Sprintf("--port: port %d is taken by another program; --port 0 takes a free one", port); err == nil || err.Error() != want && runtime.GOOS != "windows" {
		t.Errorf("error %v, want %s", err, want)
	}
}

// givenScene is what a call holds that names one scene.
func givenScene(file string) given { return given{args: []string{file}} }
