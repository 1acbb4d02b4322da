package scene_test

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fathomlux/scene"
	"fathomlux/scene/scenetest"
)

const ownParts = `modules:
  own: {based_on: quad-neutral, highest_current: 800 mA}
optics:
  lens: {file: lens.ies, efficiency: 0.9}
`

// measuredLens is an invented distribution: half of its 200 cd at 20 deg, a tenth at 48 deg.
const measuredLens = "IESNA:LM-63-2002\n[TEST] none\nTILT=NONE\n1 -1 1 4 1 1 2 0 0 0\n1 1 5\n0 20 60 90\n0\n200 100 0 0\n"

// folder writes files into a fresh folder, below which a folder "in" holds the scene, and returns the path of "in".
func folder(t *testing.T, files map[string]string) string {
	t.Helper()
	outer := t.TempDir()
	in := filepath.Join(outer, "in")
	for name, content := range files {
		path := filepath.Join(in, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(content), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.WriteFile(filepath.Join(outer, "secret.yaml"), []byte("password: opal\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	return in
}

func TestReadWithPartsBeside(t *testing.T) {
	text := scenetest.Edit(t, scenetest.Sound, "part: quad-neutral, optic: round-40", "part: own, optic: lens")
	in := folder(t, map[string]string{
		"foyer.yaml": text + "parts: kit/own.yaml\n", "kit/own.yaml": ownParts, "lens.ies": measuredLens,
	})
	s, err := scene.Read(filepath.Join(in, "foyer.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	if m := s.Rails[0].Modules[5]; m.Part.Name != "own" || m.Part.HighestA != 0.8 || m.Optic.File != "lens.ies" {
		t.Errorf("the own part was not taken: %+v", m)
	}
	if data, err := s.Open("lens.ies"); string(data) != measuredLens || err != nil {
		t.Errorf("a file beside the scene: %q, %v", data, err)
	}
	if _, err := s.Open("../secret.yaml"); err == nil {
		t.Error("a file outside the scene's folder was opened")
	}
	if _, err := new(scene.Scene).Open("lens.ies"); err == nil {
		t.Error("a scene that was never read opens files")
	}
}

func TestFaultsOfPartsNameTheirFile(t *testing.T) {
	in := folder(t, map[string]string{
		"foyer.yaml": scenetest.Edit(t, scenetest.Sound, "width: 430 mm", "width: 430") + "parts: own.yaml\n",
		"own.yaml":   "modules:\n  own: {based_on: quad-neutral, highest_current: 800}\n",
	})
	_, err := scene.Read(filepath.Join(in, "foyer.yaml"))
	if err == nil {
		t.Fatal("taken")
	}
	lines := strings.Split(err.Error(), "\n")
	if len(lines) != 2 || !strings.HasPrefix(lines[0], filepath.Join(in, "foyer.yaml:4:10: tank.width:")) ||
		!strings.HasPrefix(lines[1], filepath.Join(in, "own.yaml:2:50: modules.own.highest_current: 800 has no unit")) {
		t.Errorf("got\n%v", err)
	}
}

func TestReadRefusesFiles(t *testing.T) {
	in := folder(t, map[string]string{"large.yaml": strings.Repeat("# 12345678\n", 1000000), "empty.yaml": "", "a/b.yaml": ""})
	for name, want := range map[string]string{
		"none.yaml":     "none.yaml: there is no such file",
		"a":             "a: this is a folder; give a file",
		"large.yaml":    "large.yaml: the file has more than 1048576 bytes (1 MiB)",
		"empty.yaml":    "empty.yaml: the file is empty",
		"a/b.yaml/more": "the file cannot be opened",
		"bad\x00name":   "the file cannot be opened",
	} {
		s, err := scene.Read(filepath.Join(in, name))
		if err == nil || s != nil || !strings.Contains(err.Error(), want) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%q: %v does not say %q", name, err, want)
		}
	}
	if _, err := scene.Read(os.DevNull); err == nil || !strings.Contains(err.Error(), "this is a device, a pipe or a socket; give a regular file") {
		t.Errorf("a device: %v", err)
	}
	if _, err := scene.Read(""); err == nil {
		t.Error("no name at all was read")
	}
}

func TestReadWithoutPermission(t *testing.T) {
	in := folder(t, map[string]string{"foyer.yaml": scenetest.Sound})
	path := filepath.Join(in, "foyer.yaml")
	if err := os.Chmod(path, 0); err != nil {
		t.Fatal(err)
	}
	if _, err := os.ReadFile(path); err == nil {
		t.Skip("this user reads every file")
	}
	if _, err := scene.Read(path); err == nil || !strings.Contains(err.Error(), "no permission to read the file") {
		t.Errorf("got %v", err)
	}
}

func TestPartsMayNotLeadOutOfTheFolder(t *testing.T) {
	in := folder(t, map[string]string{"large.yaml": strings.Repeat("# 12345678\n", 200000), "kit/own.yaml": ownParts, "inner.yaml": ownParts, ".kit/own.yaml": ownParts})
	for link, to := range map[string]string{"out.yaml": "../secret.yaml", "up": "..", "far.yaml": filepath.Join(filepath.Dir(in), "secret.yaml"), "near.yaml": "inner.yaml", "loop.yaml": "loop.yaml",
		"dotted.yaml": ".kit/own.yaml", "shown": ".kit"} {
		if err := os.Symlink(to, filepath.Join(in, link)); err != nil {
			t.Skip("no symbolic links here")
		}
	}
	for name, want := range map[string]string{
		"../secret.yaml":                "the name leads out of the scene's folder, or its link does; put the file beside the scene",
		"kit/../../secret.yaml":         "the name leads out of the scene's folder",
		"kit/../inner.yaml":             "the name leads out of the scene's folder", // ".." is refused wherever it leads
		"/etc/hostname":                 "an absolute path; give a name relative to the scene's folder",
		filepath.Join(in, "inner.yaml"): "an absolute path",
		"out.yaml":                      "the name leads out of the scene's folder, or its link does",
		"up/secret.yaml":                "the name leads out of the scene's folder, or its link does",
		"far.yaml":                      "the name leads out of the scene's folder, or its link does",
		"loop.yaml":                     "the file cannot be opened",
		"dotted.yaml":                   "the name begins with a dot, or links to one that does",
		"shown/own.yaml":                "the name begins with a dot, or links to one that does",
		"kit":                           "this is a folder; give a file",
		"none.yaml":                     "there is no such file",
		"large.yaml":                    "the file has more than 1048576 bytes (1 MiB)",
		`kit\own.yaml`:                  "a file name may hold no backslash",
	} {
		path := filepath.Join(in, "foyer.yaml")
		if err := os.WriteFile(path, []byte(scenetest.Sound+"parts: '"+name+"'\n"), 0o644); err != nil {
			t.Fatal(err)
		}
		_, err := scene.Read(path)
		if err == nil || !strings.HasPrefix(err.Error(), path+":24:8: parts: "+name+": "+want) {
			t.Errorf("%s: %v does not say %q", name, err, want)
		}
		if err != nil && strings.Contains(err.Error(), "opal") {
			t.Errorf("%s: the message prints what is in the file: %v", name, err)
		}
	}
	path := filepath.Join(in, "foyer.yaml")
	if err := os.WriteFile(path, []byte(scenetest.Sound+"parts: near.yaml\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := scene.Read(path); err != nil {
		t.Errorf("a link that stays in the folder: %v", err)
	}
}

func TestPartsThroughAnOpener(t *testing.T) {
	asked := []string{}
	open := func(name string) ([]byte, error) {
		asked = append(asked, name)
		switch name {
		case "own.yaml":
			return []byte(ownParts), nil
		case "lens.ies":
			return []byte(measuredLens), nil
		}
		return nil, errors.New("no permission to read the file")
	}
	text := scenetest.Edit(t, scenetest.Sound, "optic: round-40", "optic: lens") + "parts: own.yaml\n"
	if _, err := scene.Parse("foyer.yaml", []byte(text), open); err != nil || strings.Join(asked, " ") != "own.yaml lens.ies" {
		t.Errorf("asked for %v, %v", asked, err)
	}
	text = scenetest.Sound + "parts: locked.yaml\n"
	if _, err := scene.Parse("foyer.yaml", []byte(text), open); err == nil || !strings.Contains(err.Error(), "parts: locked.yaml: no permission to read the file") {
		t.Errorf("got %v", err)
	}
}

func TestPartsInTheScene(t *testing.T) {
	own := "parts:\n  modules:\n    quad-neutral: {based_on: quad-neutral, highest_current: 500 mA}\n"
	s := scenetest.Parse(t, scenetest.Sound+own)
	if got := s.Rails[0].Modules[0].Part.HighestA; got != 0.5 {
		t.Errorf("the own part does not shadow the built-in one: highest current %g A", got)
	}
	if got := scenetest.Parse(t, scenetest.Sound).Rails[0].Modules[0].Part.HighestA; got != 1 {
		t.Errorf("own parts of one scene are seen by another: %g A", got)
	}
}
