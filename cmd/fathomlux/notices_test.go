package main

import (
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime/debug"
	"sort"
	"strings"
	"testing"
	"unicode/utf8"
)

var update = flag.Bool("update", false, "rewrite what a test compares with: notices.txt, the pictures of the tour, a part of DEVELOPERS.md")

// terms says under which licence a module comes, in which of its files the text stands, and what must be said beside it.
type terms struct {
	licence string
	files   []string
	note    string
}

func plain(licence string) terms { return terms{licence: licence, files: []string{"LICENSE"}} }

// termsOf is what we know of each module that may be linked. A module that is not here makes the test fail, so that
// somebody reads its licence before it ships.
var termsOf = map[string]terms{
	"codeberg.org/go-fonts/liberation":     {"BSD-3-Clause (code), OFL-1.1 (fonts)", []string{"LICENSE", "LICENSE-SIL"}, "The Liberation fonts are embedded unchanged, under their own name."},
	"codeberg.org/go-pdf/fpdf":             {"MIT", []string{"LICENSE", "icc/LICENSE.color.org"}, ""},
	"github.com/fogleman/gg":               {"MIT", []string{"LICENSE.md"}, ""},
	"github.com/inconshreveable/mousetrap": plain("Apache-2.0"),
	"github.com/lucasb-eyer/go-colorful":   plain("MIT"),
	"github.com/spf13/cobra":               {"Apache-2.0", []string{"LICENSE.txt"}, ""},
	"github.com/spf13/pflag":               plain("BSD-3-Clause"),
	"go.yaml.in/yaml/v4":                   {"Apache-2.0 and MIT", []string{"LICENSE", "NOTICE"}, ""},
	"golang.org/x/image":                   plain("BSD-3-Clause"),
	"golang.org/x/sync":                    plain("BSD-3-Clause"),
	"golang.org/x/sys":                     plain("BSD-3-Clause"),
	"golang.org/x/term":                    plain("BSD-3-Clause"),
	"golang.org/x/text":                    plain("BSD-3-Clause"),
	"github.com/cpuguy83/go-md2man/v2":     {"MIT", []string{"LICENSE.md"}, ""},
	"github.com/russross/blackfriday/v2":   {"BSD-2-Clause", []string{"LICENSE.txt"}, ""},
	"go.yaml.in/yaml/v3":                   {"Apache-2.0 and MIT", []string{"LICENSE", "NOTICE"}, ""},
	"golang.org/x/tools":                   plain("BSD-3-Clause"),
	"gonum.org/v1/gonum":                   {"BSD-3-Clause, with parts under terms of their own", []string{"LICENSE", "THIRD_PARTY_LICENSES/*"}, ""},
	"gonum.org/v1/plot":                    plain("BSD-3-Clause"),
	"github.com/golang/freetype": {"FTL (chosen from FTL or GPL-2.0-or-later)", []string{"LICENSE", "licenses/ftl.txt"},
		"Portions of this software are copyright (c) 1996-2006 The FreeType Project (https://www.freetype.org). All rights reserved."},
}

// noticesHead stands above the entries.
const noticesHead = `Third-party notices

fathomlux comes under the MIT licence. The program contains the modules below and the Go standard
library, each under its own terms. Equal texts are printed once, below all modules that they cover.
`

const (
	moduleMark = "module: "
	heavyRule  = "================================================================================"
	lightRule  = "--------------------------------------------------------------------------------"
)

// linkedModule is a module of the build list whose packages end in the program.
type linkedModule struct{ Path, Dir string }

// linkedModules returns the modules that are linked into the program for one operating system, by path.
func linkedModules(t *testing.T, goos string) []linkedModule {
	t.Helper()
	cmd := exec.Command("go", "list", "-deps", "-json=Module", ".")
	cmd.Env = append(os.Environ(), "GOOS="+goos, "GOARCH=amd64", "CGO_ENABLED=0")
	cmd.Stderr = os.Stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("go list -deps for %s: %v", goos, err)
	}
	seen := map[string]linkedModule{}
	for d := json.NewDecoder(strings.NewReader(string(out))); ; {
		var p struct {
			Module *struct {
				Path, Dir string
				Main      bool
			}
		}
		if err := d.Decode(&p); err == io.EOF {
			break
		} else if err != nil {
			t.Fatal(err)
		}
		if p.Module != nil && !p.Module.Main {
			seen[p.Module.Path] = linkedModule{p.Module.Path, p.Module.Dir}
		}
	}
	var all []linkedModule
	for _, m := range seen {
		all = append(all, m)
	}
	sort.Slice(all, func(i, j int) bool { return all[i].Path < all[j].Path })
	return all
}

// licenceText returns the whole text of a module's licence files, with plain line ends and as UTF-8.
func licenceText(dir string, files []string) (string, error) {
	var texts []string
	for _, pattern := range files {
		names, err := filepath.Glob(filepath.Join(dir, filepath.FromSlash(pattern)))
		if err != nil || len(names) == 0 {
			return "", fmt.Errorf("no %s in %s (%v)", pattern, dir, err)
		}
		for _, name := range names {
			data, err := os.ReadFile(name)
			if err != nil {
				return "", err
			}
			texts = append(texts, tidy(data))
		}
	}
	return strings.Join(texts, "\n"+lightRule+"\n"), nil
}

// tidy turns Latin-1 into UTF-8, drops page breaks and the blanks at line ends.
func tidy(data []byte) string {
	text := string(data)
	if !utf8.Valid(data) {
		var b strings.Builder
		for _, c := range data {
			b.WriteRune(rune(c))
		}
		text = b.String()
	}
	lines := strings.Split(strings.ReplaceAll(text, "\f", ""), "\n")
	for i := range lines {
		lines[i] = strings.TrimRight(lines[i], " \t\r")
	}
	return strings.Trim(strings.Join(lines, "\n"), "\n") + "\n"
}

// renderNotices returns the content of notices.txt for the modules and the Go distribution at goroot.
func renderNotices(t *testing.T, modules []linkedModule, goroot string) string {
	t.Helper()
	heads, order := map[string][]string{}, []string{}
	add := func(name string, m terms, dir string) {
		text, err := licenceText(dir, m.files)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if heads[text] == nil {
			order = append(order, text)
		}
		head := moduleMark + name + "\n  licence: " + m.licence + "\n"
		if m.note != "" {
			head += "  " + m.note + "\n"
		}
		heads[text] = append(heads[text], head)
	}
	add("std (the Go standard library and runtime)", plain("BSD-3-Clause"), goroot)
	for _, m := range modules {
		known, ok := termsOf[m.Path]
		if !ok {
			t.Fatalf("%s is linked, and termsOf does not know its licence: read it and add it", m.Path)
		}
		add(m.Path, known, m.Dir)
	}
	var b strings.Builder
	b.WriteString(noticesHead)
	for _, text := range order {
		b.WriteString("\n" + heavyRule + "\n" + strings.Join(heads[text], "") + lightRule + "\n" + text)
	}
	return b.String()
}

// updateNotices rewrites notices.txt for all systems that a release is built for.
func updateNotices(t *testing.T) {
	seen := map[string]linkedModule{}
	for _, goos := range []string{"linux", "darwin", "windows"} {
		for _, m := range linkedModules(t, goos) {
			seen[m.Path] = m
		}
	}
	var all []linkedModule
	for _, m := range seen {
		all = append(all, m)
	}
	sort.Slice(all, func(i, j int) bool { return all[i].Path < all[j].Path })
	goroot, err := exec.Command("go", "env", "GOROOT").Output()
	if err != nil {
		t.Fatal(err)
	}
	text := renderNotices(t, all, strings.TrimSpace(string(goroot)))
	if err := os.WriteFile("notices.txt", []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	notices = text
}

// TestNoticesCoverAllThatIsLinked holds notices.txt against the modules that end in the program: each has its entry,
// and the licence texts of the versions in go.mod stand in it word for word.
func TestNoticesCoverAllThatIsLinked(t *testing.T) {
	if *update {
		updateNotices(t)
	}
	const renew = "; read its licence, then run: go test ./cmd/fathomlux -run TestNotices -update"
	for _, m := range linkedModules(t, "linux") {
		known, ok := termsOf[m.Path]
		if !ok {
			t.Errorf("%s is linked, and termsOf does not know its licence%s", m.Path, renew)
			continue
		}
		if !strings.Contains(notices, "\n"+moduleMark+m.Path+"\n  licence: "+known.licence+"\n") {
			t.Errorf("notices.txt has no entry for %s%s", m.Path, renew)
		}
		text, err := licenceText(m.Dir, known.files)
		if err != nil {
			t.Errorf("%s: %v", m.Path, err)
		} else if !strings.Contains(notices, text) {
			t.Errorf("notices.txt does not have the licence text of %s as it is now%s", m.Path, renew)
		}
	}
}

// TestNoticesCoverThisBuild asks the program itself, as `version --modules` does. The test binary links test libraries
// too; those need no notice, for they do not ship.
func TestNoticesCoverThisBuild(t *testing.T) {
	testOnly := map[string]bool{"github.com/rogpeppe/go-internal": true, "golang.org/x/tools": true,
		"github.com/google/go-cmp": true, "pgregory.net/rapid": true}
	info, ok := debug.ReadBuildInfo()
	if !ok {
		t.Skip("this test binary bears no build information")
	}
	for _, m := range info.Deps {
		if !testOnly[m.Path] && !strings.Contains(notices, "\n"+moduleMark+m.Path+"\n") {
			t.Errorf("notices.txt has no entry for %s", m.Path)
		}
	}
	if !strings.Contains(notices, "\n"+moduleMark+"std ") {
		t.Error("notices.txt has no entry for the Go standard library")
	}
}

// TestNoticesGiveCredit looks for those whom a licence wants named.
func TestNoticesGiveCredit(t *testing.T) {
	credits := map[string]string{
		"github.com/golang/freetype":       "The FreeType Project",
		"codeberg.org/go-fonts/liberation": "SIL OPEN FONT LICENSE Version 1.1",
		"github.com/ajstarks/svgo":         "by Anthony Starks",
		"go.yaml.in/yaml/v4":               "Kirill Simonov",
	}
	for module, credit := range credits {
		if strings.Contains(notices, moduleMark+module+"\n") && !strings.Contains(notices, credit) {
			t.Errorf("notices.txt has %s without %q", module, credit)
		}
	}
}
