package main

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"os/signal"
	"runtime"
	"slices"
	"strings"
	"syscall"

	"fathomlux/render/answer"
	"fathomlux/render/output"
	"fathomlux/scene"
	"fathomlux/scene/document"
	"fathomlux/scene/finding"
	"fathomlux/scene/unit"
)

// say prints an answer in the form that the call asks for: JSON, or in a terminal all of it, or under --quiet what is
// brief.
func (o common) say(w io.Writer, whole, brief answer.Answer) error {
	switch {
	case o.json:
		return answer.WriteJSON(w, whole)
	case o.quiet:
		return answer.WriteText(w, brief)
	}
	return answer.WriteText(w, whole)
}

type outcome struct {
	command  string // whose cautions are shown
	title    string // in a terminal, that of the scene where it is empty
	scenes   []*scene.Scene
	parts    answer.Answer
	brief    []string          // the verdict, and what it leaves out
	quiet    answer.Answer     // what --quiet prints, the brief where it is nil
	found    []finding.Finding // beside the warnings of the scenes
	cautions []string          // in place of those of the command; nil for those
	files    []output.File
	unmet    string                // what is added to the error of --require-goal; empty where the goal is met
	interim  string                // how far an interruption let it come; empty where it is whole
	pictured func(io.Writer) error // draws in the terminal before the answer; nil for nothing
}

// hand prints an answer and writes its files, all or nothing, and returns what the exit status speaks of.
func (o common) hand(ctx context.Context, s streams, out outcome) error {
	dir, quiet := o.dir(out.scenes[0].File), out.quiet
	if quiet == nil {
		quiet = answer.Answer{answer.Lines{List: out.brief}}
	}
	whole := out.whole(dir, o.system())
	err := o.deliver(ctx, s, dir, out.files, func(s streams) error {
		if out.pictured != nil {
			if err := out.pictured(s.Out); err != nil {
				return err
			}
		}
		return o.say(s.Out, whole, quiet)
	})
	switch {
	case err != nil:
		return err
	case out.interim != "":
		return errors.New(out.interim)
	case o.requireGoal && out.unmet != "":
		return fmt.Errorf("%w%s", errGoalNotMet, out.unmet)
	}
	return nil
}

// whole is the answer with what stands before and after it everywhere: title, file and folder, then the files, what is
// unusual, what is to be known and what can hurt somebody.
func (out outcome) whole(dir string, u unit.System) answer.Answer {
	found := out.found
	var read []string
	for _, sc := range out.scenes {
		if !slices.Contains(read, sc.File) {
			read = append(read, sc.File)
			found = append(found, warningsOf(sc)...)
		}
	}
	said := out.cautions
	if said == nil {
		said = long(sayings(out.command, unwired(u, out.scenes...)...))
	}
	first := out.scenes[0]
	return answer.Answer{answer.Lines{List: []string{cmp.Or(out.title, titleOr(first.Title))}, In: answer.Text},
		fields("scene", first.File, "title", first.Title, "out", dir), out.parts, wroteLines(dir, out.files),
		foundParts(found, u), answer.Lines{Key: "cautions", Lead: "caution", List: said}}
}

func wroteLines(dir string, files []output.File) answer.Lines {
	return answer.Lines{List: []string{"wrote to " + dir + ": " + strings.Join(fileNames(files), ", ")}, In: answer.Text}
}

func fileNames(files []output.File) []string {
	return each(files, func(f output.File) string { return f.Name })
}

// each is what a function makes of each thing of a list, nil of none.
func each[T, R any](list []T, of func(T) R) (made []R) {
	for _, one := range list {
		made = append(made, of(one))
	}
	return made
}

// withMore adds files to others; of two of one name the first stays.
func withMore(files []output.File, more ...output.File) []output.File {
	for _, f := range more {
		if !slices.ContainsFunc(files, func(other output.File) bool { return other.Name == f.Name }) {
			files = append(files, f)
		}
	}
	return files
}

// foundParts are findings: in JSON one list, for people warnings first. Line and column are 1-based, 0 where the whole
// file is meant.
func foundParts(found []finding.Finding, u unit.System) answer.Answer {
	t := answer.Table{Key: "findings", In: answer.JSON, Columns: keys("code", "severity", "place", "text")}
	var lines [2]answer.Lines
	for _, f := range found {
		p := f.Place
		place := optional(fields("file", p.File, "line", p.Line, "column", p.Column, "path", p.Path), p != finding.Place{})
		t.Rows = append(t.Rows, []any{f.Code.Name, f.Code.Severity.String(), place, f.Words(u)})
		at := &lines[min(f.Code.Severity, finding.Warning)]
		at.List = append(at.List, document.Visible(f.Line(u)))
	}
	lines[finding.Note].Lead, lines[finding.Note].In = "note", answer.People
	lines[finding.Warning].Lead, lines[finding.Warning].In = "warning", answer.People
	return answer.Answer{t, lines[finding.Warning], lines[finding.Note]}
}

func csvFile(name string, t answer.Table) output.File {
	var b bytes.Buffer
	_ = answer.WriteCSV(&b, t) // a buffer takes all
	return output.File{Name: name, Data: b.Bytes()}
}

// col is a column of numbers or words for all forms.
func col(key, title, unit string, digits int) answer.Column {
	return answer.Column{Key: key, Title: title, Unit: unit, Digits: digits}
}

// keys are columns for programs alone.
func keys(names ...string) []answer.Column {
	return each(names, func(name string) answer.Column { return answer.Column{Key: name} })
}

// amount is a figure that has at least two significant digits for people.
func amount(key, title, unit string, digits int, v float64) answer.Figure {
	return answer.Figure{Key: key, Title: title, Unit: unit, Say: figured(digits), Value: v}
}

// optional is a value, or nothing where it is not known.
func optional(v any, known bool) any {
	if !known {
		return nil
	}
	return v
}

// known is a figure where it is known, else nothing for people, and null for programs.
func known(is bool, f answer.Figure) answer.Figure {
	if !is {
		return answer.Figure{Key: f.Key}
	}
	return f
}

// fields are figures for programs alone, written as keys and values in turn.
func fields(pairs ...any) (list answer.Answer) {
	for i := 0; i < len(pairs); i += 2 {
		list = append(list, answer.Figure{Key: pairs[i].(string), Value: pairs[i+1]})
	}
	return list
}

// finer lets the figures of a table keep two significant digits.
func finer(t answer.Table) answer.Table {
	for i, c := range t.Columns {
		if c.Say == nil {
			t.Columns[i].Say = figured(c.Digits)
		}
	}
	return t
}

// deliver hands over an answer, whole or not at all. All that is printed is made first, then all files are written
// under temporary names into the folder that dir has told, then the text goes to standard output, and at last the
// files take their names.
func (o common) deliver(ctx context.Context, s streams, dir string, files []output.File,
	print func(streams) error) error {
	if err := o.checkLinks(dir); err != nil {
		return err
	}
	text := &pending{to: s.Out}
	if err := print(streams{In: s.In, Out: text, Err: s.Err}); err != nil {
		return err
	}
	if len(files) == 0 {
		_, err := s.Out.Write(text.Bytes())
		return err
	}
	closed := false // nobody reads any more, as after `| head -1`: that is no fault of the files
	last := func() error {
		err := writeUntil(ctx, s.Out, text.Bytes())
		closed = failedBy(err, syscall.EPIPE, 109, 232) // ERROR_BROKEN_PIPE, ERROR_NO_DATA
		if closed {
			return nil
		}
		return err
	}
	onInterrupt(ctx).writes.Store(true)
	defer onInterrupt(ctx).writes.Store(false)
	if err := output.WriteSet(ctx, dir, files, last); err != nil || !closed {
		return err
	}
	_, err := s.Out.Write(text.Bytes()) // ends the process by the signal that says so, where there is one
	return err
}

// checkLinks refuses links on the way to the usual place, for they may have come with somebody's scene. They are
// followed where the user has named the folder.
func (o common) checkLinks(dir string) error {
	if o.out != "" {
		return nil
	}
	for _, at := range []string{usualOut, dir} {
		if info, err := os.Lstat(at); err == nil && info.Mode()&fs.ModeSymlink != 0 {
			return fmt.Errorf("cannot write into %s: %s is a link, which is followed only where --out names it; give --out "+
				"%s", dir, at, dir)
		}
	}
	return nil
}

// pending is text that is still to be printed.
type pending struct {
	bytes.Buffer
	to io.Writer
}

// writeUntil writes text, until ctx ends: a reader such as a pager may let it wait for long. A pipe that is closed
// gives syscall.EPIPE in place of the signal.
func writeUntil(ctx context.Context, to io.Writer, text []byte) error {
	signals := make(chan os.Signal, 1)
	signal.Notify(signals, syscall.SIGPIPE)
	defer signal.Stop(signals)
	ended := make(chan error, 1)
	go func() {
		ended <- guarded(func() error {
			_, err := to.Write(text)
			return err
		})
	}()
	select {
	case err := <-ended:
		return err
	case <-ctx.Done():
		return ctx.Err()
	}
}

// failedBy tells whether a call of the system failed by a code, or on Windows by one of its own for the same.
func failedBy(err error, code syscall.Errno, windows ...syscall.Errno) bool {
	return errors.Is(err, code) || runtime.GOOS == "windows" &&
		slices.ContainsFunc(windows, func(own syscall.Errno) bool { return errors.Is(err, own) })
}

// degrees returns an angle in degrees, rounded to 1e-9 so that 40 deg comes back as 40.
func degrees(rad float64) float64 { return roundTo(rad*180/math.Pi, 1e-9) }

// millimetres returns a length in mm, rounded to a nanometre so that 1180 mm comes back as 1180.
func millimetres(m float64) float64 { return roundTo(m*1000, 1e-6) }

// roundTo returns v rounded to a multiple of step, a power of ten below 1. What rounds to nothing is 0, never -0.
func roundTo(v, step float64) float64 {
	n := math.Round(1 / step)
	if r := math.Round(v*n) / n; r != 0 {
		return r
	}
	return 0
}
