package main

import (
	"io"
	"os"
	"strings"

	"golang.org/x/term"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/render"
	"fathomlux/render/preview"
	"fathomlux/render/style"
	"fathomlux/scene"
)

// The size of a terminal that does not tell its own.
const (
	usualColumns = 80
	usualLines   = 24
)

// screen is what a preview is drawn on.
type screen struct {
	out            io.Writer
	columns, lines int
	depth          preview.Depth
}

// screenOf looks at what a stream ends in. Colours need a terminal that has them, and no NO_COLOR.
func screenOf(out io.Writer) screen {
	at := screen{out: out, columns: usualColumns, lines: usualLines}
	file, ok := terminalOf(out)
	if !ok {
		return at
	}
	if columns, lines, err := term.GetSize(int(file.Fd())); err == nil && columns > 0 && lines > 0 {
		at.columns, at.lines = columns, lines
	}
	if term.IsTerminal(int(file.Fd())) {
		at.depth = depthOf(os.Getenv)
	}
	if at.depth != preview.Plain {
		at.out = file // colours are commands to the terminal, which text may not give
	}
	return at
}

// depthOf tells how many colours a terminal has by what its environment says of it.
func depthOf(env func(string) string) preview.Depth {
	switch colours := env("COLORTERM"); {
	case env("NO_COLOR") != "" || env("TERM") == "dumb":
		return preview.Plain
	case colours == "truecolor" || colours == "24bit" || env("WT_SESSION") != "": // the latter on Windows
		return preview.TrueColour
	case strings.Contains(env("TERM"), "256color"):
		return preview.Colours256
	}
	return preview.Plain
}

// printPreview draws the goal's plane, or the lowest one where nothing is asked for, on the terminal.
func printPreview(at screen, m *result.Map, sc *scene.Scene, units style.Units) error {
	_, err := io.WriteString(at.out, preview.Draw(previewOf(at, m, sc, units)))
	return err
}

// previewOf chooses the plane, and takes the quantity that the goal counts.
func previewOf(at screen, m *result.Map, sc *scene.Scene, units style.Units) preview.Plan {
	p, q := optics.GoalPlane(sc, m.Planes), m.Goal.Shown
	plan := preview.Plan{Heading: q.Name() + ", " + render.PlaneWords(p, units) + ", seen from above", Unit: q.Unit(),
		LengthM: sc.Tank.LengthM, WidthM: sc.Tank.WidthM, NX: p.Field.Grid.NX, NY: p.Field.Grid.NY,
		Values: result.Of(q, p.Field.Illuminance, p.Field.PPFD), Columns: at.columns, Lines: max(6, at.lines-6),
		Depth: at.depth, Units: units}
	for _, r := range sc.Rails {
		for _, module := range r.Modules {
			plan.Modules = append(plan.Modules, preview.Mark{XM: module.XM, YM: r.YM, Dead: module.Dead})
		}
	}
	return plan
}
