package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"fathomlux/scene/longtest"
)

// tourPage is a page whose every command, printed line, figure and picture is held to what the program does now.
// TestTour runs it, so TestDocumentsRun leaves it out.
const tourPage = "examples/tour/README.md"

// tourPiece is a piece of the tour: a fenced block by its language, a picture, or a run of prose.
type tourPiece struct {
	kind   string // "sh", "text", another fence's language, "picture" or "prose"
	text   string // contents; of a picture its name in the folder of the page
	source string // of a picture the file that a command of the page wrote; "" for a screenshot
}

var pictureLine = regexp.MustCompile(`^!\[[^\]]+\]\((pictures/[a-z0-9-]+\.png)(?: "([^"]+)")?\)$`)

// tourPieces takes a page apart.
func tourPieces(markdown string) []tourPiece {
	var list []tourPiece
	add := func(kind, line string) {
		if n := len(list) - 1; n >= 0 && list[n].kind == kind && kind == "prose" {
			list[n].text += "\n" + line
			return
		}
		list = append(list, tourPiece{kind: kind, text: line})
	}
	inside := false
	for _, line := range strings.Split(markdown, "\n") {
		info, fence := strings.CutPrefix(line, "```")
		switch m := pictureLine.FindStringSubmatch(line); {
		case fence && !inside:
			inside, list = true, append(list, tourPiece{kind: info})
		case fence:
			inside = false
		case inside:
			list[len(list)-1].text += line + "\n"
		case m != nil:
			list = append(list, tourPiece{kind: "picture", text: m[1], source: m[2]})
		default:
			add("prose", line)
		}
	}
	return list
}

// readTour returns the page's pieces.
func readTour(t *testing.T) []tourPiece {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("..", "..", filepath.FromSlash(tourPage)))
	if err != nil {
		t.Fatal(err)
	}
	return tourPieces(string(text))
}

// scenesOf returns the texts of the scenes that the tour is about.
func scenesOf(t *testing.T, dir string) (all string) {
	t.Helper()
	for _, name := range []string{"foyer", "frag"} {
		data, err := os.ReadFile(filepath.Join(dir, "examples", name, name+".yaml"))
		if err != nil {
			t.Fatal(err)
		}
		all += string(data)
	}
	return all
}

// TestTour runs the tour once, from its first command to its last, and holds the page to what comes out: the lines that
// it shows, the figures in its sentences, and its pictures. With -update the pictures are drawn anew; words are for a hand.
func TestTour(t *testing.T) {
	inFull(t, longtest.Pick(false, true))
	if !*update { // who draws anew changes folders
		t.Parallel()
	}
	pieces := readTour(t)
	dir := copyOfExamples(t)
	given := scenesOf(t, dir)
	printed := ""
	for _, p := range pieces {
		switch p.kind {
		case "sh":
			printed = runBlock(t, dir, runnable(p.text, ""))
			given += p.text
		case "text":
			if line := firstMissing(p.text, printed); line != "" {
				t.Errorf("the page shows a line that is not printed there:\n%s\nprinted is:\n%s", line, printed)
			}
		case "prose":
			for _, figure := range unsaid(p.text, given+printed) {
				t.Errorf("a sentence has the figure %s, which neither scenes and commands nor the lines printed last have: %s", figure, strings.TrimSpace(p.text))
			}
		}
	}
	if *update && !t.Failed() {
		drawTour(t, dir, pieces)
	}
	lookAtTour(t, dir, pieces)
}

// firstMissing returns the first line of an excerpt that does not follow in the output, whole and in order; "..." stands for
// lines that are left out.
func firstMissing(excerpt, output string) string {
	rest := strings.Split(output, "\n")
	for _, line := range strings.Split(strings.TrimSuffix(excerpt, "\n"), "\n") {
		if line == "..." {
			continue
		}
		found := false
		for len(rest) > 0 && !found {
			found = strings.TrimRight(rest[0], " ") == line
			rest = rest[1:]
		}
		if !found {
			return line
		}
	}
	return ""
}

var (
	figureWord = regexp.MustCompile(`[0-9]+(?:\.[0-9]+)?`)
	notProse   = regexp.MustCompile("(?m)^#.*$|^\\|.*$|\\([^)]*\\)|`[^`]*`") // headings, tables, links, code
)

// unsaid returns the figures of prose that stand nowhere in what was said.
func unsaid(prose, said string) []string {
	known := map[string]bool{}
	for _, figure := range figureWord.FindAllString(said, -1) {
		known[figure] = true
	}
	var list []string
	for _, figure := range figureWord.FindAllString(notProse.ReplaceAllString(prose, ""), -1) {
		if !known[figure] {
			list = append(list, figure)
		}
	}
	return list
}

// TestTourNamesEveryCommand: whoever has read the tour has met all that the program can do.
func TestTourNamesEveryCommand(t *testing.T) {
	pieces := readTour(t)
	var shown strings.Builder
	for _, p := range pieces {
		if p.kind == "sh" || p.kind == "console" {
			shown.WriteString(p.text)
		}
	}
	for _, c := range newRootCommand(streams{}).Commands() {
		if c.Runnable() && c.Name() != "help" && !regexp.MustCompile(`(?m)^go run \./cmd/fathomlux `+c.Name()+`\b`).MatchString(shown.String()) {
			t.Errorf("the tour does not show %s", c.Name())
		}
	}
}

func TestTourPieces(t *testing.T) {
	const page = "# A\nb 7\n```sh\nrun\n```\n\n```text\none\n...\ntwo\n```\n![p](pictures/p.png \"out/p.png\")\nc\n![q](pictures/q.png)\n"
	want := []tourPiece{{"prose", "# A\nb 7", ""}, {"sh", "run\n", ""}, {"prose", "", ""}, {"text", "one\n...\ntwo\n", ""},
		{"picture", "pictures/p.png", "out/p.png"}, {"prose", "c", ""}, {"picture", "pictures/q.png", ""}, {"prose", "", ""}}
	got := tourPieces(page)
	if len(got) != len(want) {
		t.Fatalf("got %q", got)
	}
	for i := range want {
		if got[i] != want[i] {
			t.Errorf("piece %d is %q, want %q", i, got[i], want[i])
		}
	}
	if line := firstMissing(got[3].text, "zero\none  \nelse\ntwo\n"); line != "" {
		t.Errorf("%q is called missing", line)
	}
	if line := firstMissing(got[3].text, "two\none\n"); line != "two" {
		t.Errorf("the order of lines is not kept: %q", line)
	}
	if got := unsaid("# 9\na 12.5 `8` [b](7) and 3", "3.0 and 12.5"); len(got) != 1 || got[0] != "3" {
		t.Errorf("unsaid figures: %q", got)
	}
}
