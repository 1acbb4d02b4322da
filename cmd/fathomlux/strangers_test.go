//go:build unix

package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"fathomlux/scene/longtest"
)

// secret stands in every file that a scene has no business with; no output of the program may hold a word of it.
const secret = "opalopal"

// strangersFolder is a folder "in" with files and links of all kinds beside a scene, in a folder with a foreign file.
func strangersFolder(t *testing.T) (outer, in string) {
	t.Helper()
	outer = t.TempDir()
	in = filepath.Join(outer, "in")
	for _, dir := range []string{in, filepath.Join(in, "kit"), filepath.Join(in, ".ssh")} {
		if err := os.Mkdir(dir, 0o777); err != nil {
			t.Fatal(err)
		}
	}
	for name, text := range map[string]string{
		"../secret.yaml": secret + ": 1\n", "../secret.csv": secret + ",power\n400,1\n", ".ssh/key": secret + "\n", ".env": "KEY=" + secret + "\n",
		"key":  "-----BEGIN " + secret + " KEY-----\n" + secret + "\n",
		"conf": secret + ": " + secret + "\n" + secret + ": 2\n", "table": secret + "," + secret + "2\n1,2\n", "json": `{"` + secret + `": ["` + secret + `"]}`,
		"anchor": "a: *" + secret + "\n", "tabs": "\t" + secret + ": {\n", "quoted": `"` + secret + "\n",
		"huge": strings.Repeat(secret+"\n", 1<<18),
	} {
		if err := os.WriteFile(filepath.Join(in, name), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	for link, to := range map[string]string{
		"out-link": "../secret.yaml", "far-link": filepath.Join(outer, "secret.yaml"), "folder-link": "..", "root-link": "/",
		"dangling": "none", "loop": "loop", "loop-1": "loop-2", "loop-2": "loop-1", "zero-link": "/dev/zero", "hidden-link": ".ssh/key", "hidden-folder": ".ssh",
	} {
		if err := os.Symlink(to, filepath.Join(in, link)); err != nil {
			t.Fatal(err)
		}
	}
	if err := syscall.Mkfifo(filepath.Join(in, "pipe"), 0o666); err != nil {
		t.Fatal(err)
	}
	return outer, in
}

// strangersNames are names that a scene may give a file, and what is said of each, whatever the file is to be.
var strangersNames = map[string]string{
	"../secret.yaml":        "leads out of the scene's folder",
	"kit/../../secret.yaml": "leads out of the scene's folder",
	"/etc/hostname":         "an absolute path",
	"/dev/zero":             "an absolute path",
	"/dev/random":           "an absolute path",
	"/proc/self/environ":    "an absolute path",
	"out-link":              "leads out of the scene's folder, or its link does",
	"far-link":              "leads out of the scene's folder, or its link does",
	"folder-link":           "leads out of the scene's folder, or its link does",
	"folder-link/secret":    "leads out of the scene's folder, or its link does",
	"root-link/etc/passwd":  "leads out of the scene's folder, or its link does",
	"zero-link":             "leads out of the scene's folder, or its link does",
	"dangling":              "there is no such file",
	"loop":                  "cannot be opened",
	"loop-1":                "cannot be opened",
	"kit":                   "this is a folder",
	"pipe":                  "this is a device, a pipe or a socket",
	"huge":                  "the file has more than 1048576 bytes (1 MiB)",
	".env":                  "begins with a dot",
	".ssh/key":              "begins with a dot",
	"key":                   "",
	"conf":                  "",
	"table":                 "",
	"json":                  "",
	"anchor":                "",
	"tabs":                  "",
	"quoted":                "",
	"hidden-link":           "links to one that does",
	"hidden-folder/key":     "links to one that does",
}

// strangersParts are the places where a scene names a file.
var strangersParts = map[string]string{
	"parts":        "parts: 'NAME'\n",
	"include":      "parts: {include: ['NAME']}\n",
	"distribution": "parts: {optics: {round-40: {file: 'NAME', efficiency: 0.9}}}\n",
	"spectrum":     "parts: {spectra: {own: {file: 'NAME'}}, modules: {own: {based_on: quad-neutral, spectrum: own}}}\n",
}

// TestStrangersScenes hands scenes to check that name every kind of file in every place: each is refused with its reason,
// without waiting, and nothing of what stands in the file is told.
func TestStrangersScenes(t *testing.T) {
	_, in := strangersFolder(t)
	path := filepath.Join(in, "scene.yaml")
	for place, text := range strangersParts {
		for name, want := range strangersNames {
			if err := os.WriteFile(path, []byte(faultTank+strings.ReplaceAll(text, "NAME", name)), 0o666); err != nil {
				t.Fatal(err)
			}
			var out, errs bytes.Buffer
			status := run(t.Context(), streams{Out: &out, Err: &errs}, []string{"check", path})
			if status != statusWrong || !strings.Contains(errs.String(), want) {
				t.Errorf("%s: %s: status %d, %q does not say %q", place, name, status, errs.String(), want)
			}
			if all := out.String() + errs.String(); strings.Contains(all, secret) {
				t.Errorf("%s: %s: the file's content is told: %s", place, name, all)
			}
		}
	}
}

// What the user names on the command line is the user's own: links and absolute paths serve, what has no end does not.
func TestOwnFilesOnTheCommandLine(t *testing.T) {
	outer, in := strangersFolder(t)
	scene, readings := filepath.Join(outer, "tank.yaml"), filepath.Join(outer, "readings.csv")
	for path, text := range map[string]string{scene: faultTank, readings: "x_mm,y_mm,plane,lux\n100,100,floor,900\n200,100,floor,1000\n300,100,floor,900\n"} {
		if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	sceneLink, readingsLink := filepath.Join(in, "tank.yaml"), filepath.Join(in, "readings.csv")
	for link, to := range map[string]string{sceneLink: scene, readingsLink: readings} {
		if err := os.Symlink(to, link); err != nil {
			t.Fatal(err)
		}
	}
	call := func(args ...string) (int, string) {
		var errs bytes.Buffer
		return run(t.Context(), streams{Out: &bytes.Buffer{}, Err: &errs}, args), errs.String()
	}
	out := filepath.Join(outer, "out")
	if status, errs := call("meter", sceneLink, readingsLink, "--out", out); status != statusDone {
		t.Errorf("links: status %d, %s", status, errs)
	}
	for name, want := range map[string]string{
		"/dev/zero": "pipe", "/dev/random": "pipe", filepath.Join(in, "pipe"): "pipe", in: "folder",
		filepath.Join(in, "dangling"): "there is no such file", filepath.Join(in, "loop"): "", filepath.Join(in, "huge"): "1048576",
	} {
		if status, errs := call("check", name); status != statusWrong || !strings.Contains(errs, want) || strings.Contains(errs, secret) {
			t.Errorf("%s as a scene: status %d, %q", name, status, errs)
		}
		if want != "there is no such file" && want != "1048576" {
			want = ""
		}
		if status, errs := call("meter", scene, name, "--out", out); status != statusWrong || !strings.Contains(errs, want) || strings.Contains(errs, secret) {
			t.Errorf("%s as readings: status %d, %q", name, status, errs)
		}
	}
}

// TestNothingIsWrittenOutside has titles, names of rails and of files that look like paths, and links where output goes.
func TestNothingIsWrittenOutside(t *testing.T) {
	t.Parallel()
	outer := t.TempDir()
	dir := filepath.Join(outer, "work")
	if err := os.Mkdir(dir, 0o777); err != nil {
		t.Fatal(err)
	}
	for _, name := range longtest.Pick([]string{"../../rail", "-rf"}, []string{"../../rail", "/tmp/rail", "..", "C:\\x", "-rf", strings.Repeat("r", 190)}) {
		text := strings.NewReplacer("Fault test", `"`+strings.ReplaceAll(name, `\`, `\\`)+`"`, "- length", `- name: "`+strings.ReplaceAll(name, `\`, `\\`)+`"`+"\n    length").Replace(faultTank)
		if err := os.WriteFile(filepath.Join(dir, "...yaml"), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
		for _, args := range [][]string{append(strings.Fields(faultCalls["map"]), "...yaml"), {"drill", "...yaml"}, {"heat", "...yaml", "--scale", "0.5"}} {
			c, errs := program(dir, args...)
			if err := c.Run(); err != nil {
				t.Errorf("%q: %v: %v, %s", name, args, err, errs)
			}
		}
	}
	if left := sums(t, outer); len(left) != 1 {
		t.Errorf("beside the work's folder there is %v", left)
	}
	entries, err := os.ReadDir(dir)
	if err != nil || len(entries) != 2 || entries[0].Name() != "...yaml" || entries[1].Name() != "out" {
		t.Errorf("the work's folder holds %v, %v", entries, err)
	}
}

func TestLinksInTheUsualPlaceAreNotFollowed(t *testing.T) {
	t.Parallel()
	call := []string{"drill", "tank.yaml"}
	for _, link := range []string{"out", "out/tank"} {
		dir := faultFolder(t)
		foreign := t.TempDir()
		if err := os.MkdirAll(filepath.Join(dir, filepath.Dir(link)), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.Symlink(foreign, filepath.Join(dir, link)); err != nil {
			t.Fatal(err)
		}
		c, errs := program(dir, call...)
		if err := c.Run(); err == nil || !strings.Contains(errs.String(), link+" is a link, which is followed only where --out names it; give --out out/tank") {
			t.Errorf("%s: %v, %s", link, err, errs)
		}
		if left := sums(t, foreign); len(left) != 0 {
			t.Errorf("%s: written: %v", link, left)
		}
		c, errs = program(dir, append(call, "--out", "out/tank")...)
		if err := c.Run(); err != nil || len(sums(t, filepath.Join(dir, "out", "tank"))) == 0 {
			t.Errorf("%s, named: %v, %s", link, err, errs)
		}
	}
}
