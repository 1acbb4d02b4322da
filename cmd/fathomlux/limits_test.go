package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"fathomlux/scene/document"
)

// limitTank is a sound scene that the cases change.
const limitTank = `title: Limits
tank:
  length: 400 mm
  width: 200 mm
  height: 300 mm
  water: {depth: 250 mm, kind: clear, temperature: 25 C}
rails:
  - length: 360 mm
    profile: bar-40x20
    above_water: 120 mm
    modules: {part: quad-neutral, optic: round-40, count: 2, spacing: 180 mm, current: 350 mA}
`

// limitCase goes beyond one limit by a real call and says what the message must name: limit, value asked, key or flag.
type limitCase struct {
	of      string // as in limits
	replace [2]string
	more    string // at the end of the scene
	args    []string
	file    string // content of the file "beside"
	words   []string
}

func limitCases() []limitCase {
	many := func(n int, text string) string { return strings.Repeat(text, n) }
	optics := many(60, "round-60,") + "round-90"
	return []limitCase{
		{of: "bytes of a file: scene, parts, spectrum, distribution, readings", more: many(100_000, "# twelve bytes\n"), args: []string{"check"}, words: []string{"scene.yaml: the file has more than 1048576 bytes (1 MiB)"}},
		{of: "bytes of a file: scene, parts, spectrum, distribution, readings", more: "parts: beside\n", file: many(100_000, "# twelve bytes\n"), args: []string{"check"}, words: []string{"parts: beside: the file has more than 1048576 bytes"}},
		{of: "bytes of a file: scene, parts, spectrum, distribution, readings", file: many(100_000, "# twelve bytes\n"), args: []string{"meter", "beside"}, words: []string{"beside", "the file has more than 1048576 bytes (1 MiB)"}},
		{of: "values in a YAML file", more: "a: &a [" + many(1100, "1,") + "1]\nparts: [" + many(100, "*a,") + "*a]\n", args: []string{"check"}, words: []string{"scene.yaml:12:", "more than 20000 values"}},
		{of: "line ends, commas, colons and brackets of a YAML file", more: "parts: [" + many(12_000, "1,") + "1]\n", args: []string{"check"}, words: []string{"scene.yaml: 120", "a file may hold 12000"}},
		{of: "levels of nesting in a YAML file", more: "parts: " + many(50, "[") + "1" + many(50, "]") + "\n", args: []string{"check"}, words: []string{"scene.yaml:12:", "nested deeper than 40 levels"}},
		{of: "candela values of a distribution (LM-63)", more: "parts: {optics: {round-40: {file: beside, efficiency: 0.9}}}\n", file: "IESNA:LM-63-2002\n[TEST] none\nTILT=NONE\n1 -1 1 1000 1000 1 2 0 0 0\n1 1 5\n",
			args: []string{"check"}, words: []string{"beside:4:", "1000 by 1000 angles are more than the limit of 100000 values"}},
		{of: "readings of a light meter", file: "x_mm,y_mm,plane,lux\n" + many(10_001, "1,1,mid,5\n"), args: []string{"meter", "beside"}, words: []string{"beside:10002:1: 10001 readings or more are too many; at most 10000 are allowed"}},
		{of: "millimetres of a side, a rail or a height", replace: [2]string{"length: 400 mm", "length: 20.1 m"}, args: []string{"check"}, words: []string{"tank.length", "20.1 m", "20"}},
		{of: "rails", replace: [2]string{"rails:\n", "rails:\n" + many(50, "  - {}\n")}, args: []string{"check"}, words: []string{"rails: 51 items are too many; at most 50 are allowed"}},
		{of: "modules of all rails", replace: [2]string{"{part: quad-neutral, optic: round-40, count: 2, spacing: 180 mm, current: 350 mA}",
			"[" + many(2, "{part: quad-neutral, optic: round-40, count: 300, spacing: 1 mm, current: 350 mA},") + "]"}, args: []string{"check"}, words: []string{"rails: 600 modules or more on all rails together are too many; at most 500 are allowed", "count"}},
		{of: "dies of all modules", replace: [2]string{"part: quad-neutral, optic: round-40, count: 2, spacing: 180 mm", "part: wall, optic: round-40, count: 3, spacing: 50 mm"},
			more: "parts: {modules: {wall: {based_on: quad-neutral, dies: {along: 100, across: 100, pitch: 0.1 mm}}}}\n", args: []string{"check"}, words: []string{"rails: 30000 dies of all modules together are too many; at most 20000 are allowed", "use fewer modules"}},
		{of: "keep-outs of a rail", replace: [2]string{"    above_water", "    keep_out: [" + many(101, "{from: 1 mm, to: 2 mm},") + "]\n    above_water"}, args: []string{"check"}, words: []string{"keep_out: 101 items are too many; at most 100 are allowed"}},
		{of: "obstacles", replace: [2]string{"rails:\n", "  obstacles: [" + many(201, "{from: [1 mm, 1 mm, 1 mm], to: [2 mm, 2 mm, 2 mm]},") + "]\nrails:\n"}, args: []string{"check"}, words: []string{"obstacles: 201 items are too many; at most 200 are allowed"}},
		{of: "things", replace: [2]string{"rails:\n", "  things: [" + many(101, "{shape: box, at: [100 mm, 100 mm], size: [1 mm, 1 mm, 1 mm]},") + "]\nrails:\n"}, args: []string{"check"}, words: []string{"tank.things: 101 items are too many; at most 100 are allowed"}},
		{of: "heights of the ground along a side", replace: [2]string{"rails:\n", "  floor: {heights: [[" + many(33, "1 mm,") + "], [1 mm]]}\nrails:\n"}, args: []string{"check"}, words: []string{"tank.floor.heights[0]: 33 items are too many; at most 32 are allowed"}},
		{of: "rays of all dies of a moment of a moving surface", replace: [2]string{"temperature: 25 C", "temperature: 25 C, ripple: {slope: 0.05, length: 5 mm}"}, args: []string{"shimmer"}, words: []string{"waves of 5 mm take", "rays of all dies, more than the limit of 8 000 000; give water.ripple a greater length"}},
		{of: "cells of a plane", replace: [2]string{"length: 400 mm", "length: 19 m"}, args: []string{"map", "--step", "0.5 mm"}, words: []string{"--step: a step of 0.5 mm makes 15 200 000 cells, more than the limit of 4 000 000; use a step of 1 mm or more"}},
		{of: "photons of a tracing", args: []string{"map", "--engine", "traced", "--photons", "10000000001"}, words: []string{"--photons: 10000000001 photons, more than the limit of 10000000000"}},
		{of: "variables of a sweep", args: []string{"sweep", "--vary", "height=100mm,120mm", "--vary", "spacing=100mm,120mm", "--vary", "beam=20deg,30deg", "--vary", "tilt=1deg,2deg"}, words: []string{"a sweep takes one to 3 variables, not 4"}},
		{of: "candidates of a sweep", args: []string{"sweep", "--vary", "height=100mm:200mm:0.1mm", "--vary", "spacing=100mm:200mm:1mm"}, words: []string{"the ranges make 101 101 candidates, more than the limit of 100 000"}},
		{of: "candidates of a sweep", args: []string{"sweep", "--vary", "height=100mm:200mm:0.0001mm"}, words: []string{"--vary: ", "the range has 1 000 001 values, more than the limit of 100 000"}},
		{of: "combinations of an arrangement", args: []string{"arrange", "--vary", "height=100mm:150mm:0.1mm"}, words: []string{"501 combinations of optics and values are more than the limit of 200; use larger steps"}},
		{of: "scenes or optics of a comparison", args: []string{"compare", "--optic", optics}, words: []string{"a comparison takes 1 to 60 scenes, not 62"}},
		{of: "parts of a divided study", args: []string{"sweep", "--vary", "height=100mm,120mm", "--share", "1/10001"}, words: []string{"--share: 10001 parts are not between 1 and 10000"}},
		{of: "workers", args: []string{"map", "--workers", "257"}, words: []string{"--workers: 257 is not between 0 and 256"}},
		{of: "workers", args: []string{"live", "--workers", "1000000000"}, words: []string{"--workers: 1000000000 is not between 0 and 256"}},
		{of: "MiB of memory that a computation is predicted to take", replace: [2]string{"length: 400 mm", "length: 10 m"}, args: []string{"map", "--engine", "traced", "--step", "1 mm", "--workers", "256"},
			words: []string{"GiB of memory, more than the limit of 4 GiB; use a larger step, fewer planes or fewer workers"}},
	}
}

// heldElsewhere are limits that no quick call reaches, with the test that does.
var heldElsewhere = map[string]string{
	"MiB of a part":             "scene/share: TestWhatNoPartHolds",
	"holes of a rail":           "scene/drilling: a rail would need more modules than a scene may have",
	"pages of a drill template": "render/drill: TestTooManyPagesAreRefused; rails of 20 m need fewer",
	"mirror images along one axis (what lies beyond is reported)": "optics/direct: a note beside the answer, no refusal",
}

// TestEachLimit goes beyond each limit by a call that a user could make.
func TestEachLimit(t *testing.T) {
	t.Parallel()
	reached := map[string]bool{}
	for _, c := range limitCases() {
		reached[c.of] = true
		t.Run(fmt.Sprintf("%s, %s", c.of, c.args[0]), func(t *testing.T) {
			dir := t.TempDir()
			text := limitTank
			if c.replace[0] != "" {
				if !strings.Contains(text, c.replace[0]) {
					t.Fatalf("the scene does not hold %q", c.replace[0])
				}
				text = strings.Replace(text, c.replace[0], c.replace[1], 1)
			}
			path, beside := filepath.Join(dir, "scene.yaml"), filepath.Join(dir, "beside")
			for name, content := range map[string]string{path: text + c.more, beside: c.file} {
				if err := os.WriteFile(name, []byte(content), 0o666); err != nil {
					t.Fatal(err)
				}
			}
			args := []string{c.args[0], path}
			for _, a := range c.args[1:] {
				if a == "beside" {
					a = beside
				}
				args = append(args, a)
			}
			if c.args[0] != "check" && c.args[0] != "live" {
				args = append(args, "--out", filepath.Join(dir, "out"))
			}
			var out, errs bytes.Buffer
			status := run(t.Context(), streams{Out: &out, Err: &errs}, args)
			for _, w := range c.words {
				if !strings.Contains(errs.String(), w) {
					t.Errorf("%.600s\ndoes not say %q", errs.String(), w)
				}
			}
			if _, err := os.Stat(filepath.Join(dir, "out")); status != statusWrong || err == nil {
				t.Errorf("status %d; the output folder is there: %t", status, err == nil)
			}
		})
	}
	for _, l := range limits() {
		if reached[l.of] == (heldElsewhere[l.of] != "") {
			t.Errorf("the limit of %s is reached by a case: %t; held elsewhere: %q", l.of, reached[l.of], heldElsewhere[l.of])
		}
	}
}

// The help states every limit with its number.
func TestLimitsAreStated(t *testing.T) {
	var out, errs bytes.Buffer
	if status := run(t.Context(), streams{Out: &out, Err: &errs}, []string{"help", "limits"}); status != statusDone {
		t.Fatalf("status %d: %s", status, errs.String())
	}
	for _, l := range limits() {
		line := regexp.MustCompile(`(?m)^  ` + regexp.QuoteMeta(l.of) + ` +(\d{1,3}(?: \d{3})*)  `).FindStringSubmatch(out.String())
		if line == nil || strings.ReplaceAll(line[1], " ", "") != fmt.Sprint(l.most) {
			t.Errorf("the help does not state the %d %s", l.most, l.of)
		}
	}
	if document.MaxBytes != 1<<20 {
		t.Error("messages say 1 MiB")
	}
}
