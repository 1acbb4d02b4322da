package main

import (
	"bytes"
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"fathomlux/scene"
	"fathomlux/scene/longtest"
)

// testCommand is the README's test command. It is what runs these tests, so it is not run from inside them.
const testCommand = "go test ./..."

// fenced returns the contents of the blocks of a Markdown text that are fenced as language.
func fenced(markdown, language string) []string {
	var blocks []string
	var open []string
	inside, wanted := false, false
	for _, line := range strings.Split(markdown, "\n") {
		info, fence := strings.CutPrefix(strings.TrimSpace(line), "```")
		switch {
		case fence && inside:
			if wanted {
				blocks = append(blocks, strings.Join(open, "\n"))
			}
			inside, open = false, nil
		case fence:
			inside, wanted = true, info == language
		case inside:
			open = append(open, line)
		}
	}
	return blocks
}

// runnable turns a block into what can run here: the program stands ready, so `go run` need not build it again. Maps that name no
// engine take further flags.
func runnable(block, mapFlags string) string {
	var lines []string
	for _, line := range strings.Split(block, "\n") {
		if strings.TrimSpace(line) == testCommand {
			continue
		}
		line = strings.ReplaceAll(line, "go run ./cmd/fathomlux", "fathomlux")
		if strings.HasPrefix(line, "fathomlux map ") && !strings.Contains(line, "--engine") {
			line += mapFlags
		}
		lines = append(lines, line)
	}
	return strings.Join(lines, "\n")
}

// TestDocumentsRun runs each sh block of the README and of the foyer's page, in full of all, top to bottom, in a copy of the
// examples. Blocks that are not to be run bear another name than sh.
func TestDocumentsRun(t *testing.T) {
	top := filepath.Join("..", "..")
	pages, err := filepath.Glob(filepath.Join(top, "examples", "*", "README.md"))
	if err != nil || len(pages) == 0 {
		t.Fatalf("found no example pages (%v)", err)
	}
	for _, page := range append([]string{filepath.Join(top, "README.md")}, longtest.Pick([]string{filepath.Join(top, "examples", "foyer", "README.md")}, pages)...) {
		name, _ := filepath.Rel(top, page)
		if filepath.ToSlash(name) == tourPage {
			continue // TestTour runs it, and looks at what comes out
		}
		t.Run(filepath.ToSlash(name), func(t *testing.T) {
			t.Parallel()
			text, err := os.ReadFile(page)
			if err != nil {
				t.Fatal(err)
			}
			blocks := fenced(string(text), "sh")
			if len(blocks) == 0 {
				t.Fatal("has no sh block")
			}
			dir := copyOfExamples(t)
			for _, block := range blocks {
				runBlock(t, dir, runnable(block, longtest.Pick(" --engine straight", "")+` --step "20 mm" --plane floor --scale 0.5`))
			}
		})
	}
}

// copyOfExamples returns a folder of the test that has a copy of the examples.
func copyOfExamples(t *testing.T) string {
	t.Helper()
	dir := t.TempDir()
	if err := os.CopyFS(filepath.Join(dir, "examples"), os.DirFS(filepath.Join("..", "..", "examples"))); err != nil {
		t.Fatal(err)
	}
	return dir
}

// runBlock runs a block in a folder and returns all that it prints.
func runBlock(t *testing.T, dir, block string) string {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), 5*time.Minute) // on a loaded machine
	defer cancel()
	cmd := exec.CommandContext(ctx, "sh", "-e", "-c", block)
	cmd.Dir = dir
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Errorf("%v\n%s\n%s", err, block, out)
	}
	return string(out)
}

// TestReadmeHasItsTwoCommands keeps the first block of the README: one command for the main job, one for the tests.
func TestReadmeHasItsTwoCommands(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	blocks := fenced(string(text), "sh")
	if len(blocks) == 0 {
		t.Fatal("README.md has no sh block")
	}
	lines := strings.Split(strings.TrimSpace(blocks[0]), "\n")
	if len(lines) != 2 || !strings.HasPrefix(lines[0], "go run ./cmd/fathomlux map examples/") || lines[1] != testCommand {
		t.Errorf("first block is %q, want the map of an example and %q", lines, testCommand)
	}
}

// TestReadmeScenesAreSound reads each yaml block of the README as a scene.
func TestReadmeScenesAreSound(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	blocks := fenced(string(text), "yaml")
	if len(blocks) == 0 {
		t.Fatal("README.md has no yaml block")
	}
	for i, block := range blocks {
		sc, err := scene.Parse("README.md", []byte(block), nil)
		if err != nil {
			t.Errorf("yaml block %d: %v", i+1, err)
		} else if len(sc.Warnings) > 0 {
			t.Errorf("yaml block %d has warnings: %v", i+1, sc.Warnings)
		}
	}
}

// TestReadmeChecksExist looks for each test that the README names as proof, in the package that it names.
func TestReadmeChecksExist(t *testing.T) {
	text, err := os.ReadFile(filepath.Join("..", "..", "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	rows := regexp.MustCompile("(?m)`([a-z0-9/]+)` ((?:Test|Example)[A-Za-z0-9_]+) \\|$").FindAllStringSubmatch(string(text), -1)
	if len(rows) < 10 {
		t.Fatalf("README.md names %d checks only", len(rows))
	}
	for _, row := range rows {
		files, err := filepath.Glob(filepath.Join("..", "..", filepath.FromSlash(row[1]), "*_test.go"))
		if err != nil {
			t.Fatal(err)
		}
		found := false
		for _, file := range files {
			code, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			found = found || strings.Contains(string(code), "\nfunc "+row[2]+"(")
		}
		if !found {
			t.Errorf("%s has no %s", row[1], row[2])
		}
	}
}

func TestFenced(t *testing.T) {
	const text = "a\n```sh\none\ntwo\n```\n```text\nno\n```\n```sh\nthree\n```\n"
	got := fenced(text, "sh")
	if len(got) != 2 || got[0] != "one\ntwo" || got[1] != "three" {
		t.Errorf("got %q", got)
	}
	if got := runnable("go run ./cmd/fathomlux check x\n"+testCommand, ""); got != "fathomlux check x" {
		t.Errorf("runnable gives %q", got)
	}
}

// TestExamplesAreSound checks every scene file of the examples; a parts file is read by the scene that names it.
func TestExamplesAreSound(t *testing.T) {
	files, err := filepath.Glob(filepath.Join("..", "..", "examples", "*", "*.yaml"))
	if err != nil {
		t.Fatal(err)
	}
	scenes := 0
	for _, file := range files {
		if strings.HasSuffix(file, "-parts.yaml") {
			continue
		}
		scenes++
		t.Run(filepath.Base(file), func(t *testing.T) {
			sc, err := scene.Read(file)
			if err != nil {
				t.Fatal(err)
			}
			if sc.Title == "" || !sc.Goal.Set() || sc.AtSwitchOn().DiesLm <= 0 {
				t.Error("an example has a title, a goal and light")
			}
		})
	}
	if scenes < 3 {
		t.Errorf("found %d example scenes, want foyer, shelf and frag", scenes)
	}
}

// TestStarterPassesCheck reads what `new` writes, without a file.
func TestStarterPassesCheck(t *testing.T) {
	sc, err := scene.Parse("starter.yaml", []byte(scene.Starter()), nil)
	if err != nil {
		t.Fatal(err)
	}
	if len(sc.Warnings) > 0 {
		t.Errorf("the starter scene has warnings: %v", sc.Warnings)
	}
}

// TestEveryCommandNamesItsExitStatuses reads the help of each command.
func TestEveryCommandNamesItsExitStatuses(t *testing.T) {
	var names []string
	for _, c := range newRootCommand(streams{}).Commands() {
		names = append(names, c.Name())
	}
	if len(names) < 3 {
		t.Fatalf("found commands %v only", names)
	}
	for _, name := range names {
		var out, errs bytes.Buffer
		status := run(t.Context(), streams{Out: &out, Err: &errs}, []string{name, "--help"})
		if status != statusDone || !strings.Contains(out.String(), "Exit status:") || errs.Len() > 0 {
			t.Errorf("%s --help: status %d, %q, %q", name, status, out.String(), errs.String())
		}
	}
}
