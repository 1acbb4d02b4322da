package main

import (
	"fmt"
	"io"
	"slices"
	"sort"
	"strconv"
	"strings"

	"fathomlux/optics/result"
	"fathomlux/render/output"
	"fathomlux/scene"
	"fathomlux/scene/unit"
)

// mapPrint is what a map prints about.
type mapPrint struct {
	answer    *result.Map
	scene     *scene.Scene
	dir       string
	files     []output.File
	units     unit.System
	ending    string            // of the pictures' names
	tolerance *result.Tolerance // nil where it was not asked for
}

// printMap prints the answer: JSON, the verdict alone, or a compact summary. Warnings and cautions go to standard error
// where standard output is for a program.
func printMap(s streams, o mapOptions, p mapPrint) error {
	if o.json {
		return writeMapJSON(s.Out, p)
	}
	var b strings.Builder
	if !o.quiet {
		writePlanes(&b, p)
		writeBooks(&b, p.answer.Books)
		writeTracing(&b, p.answer)
		writeJunctions(&b, p.answer.Junctions)
	}
	fmt.Fprintln(&b, p.answer.Verdict)
	if !o.quiet {
		writeTolerance(&b, p.tolerance)
	}
	if !o.quiet {
		writeNotes(&b, p)
	}
	_, err := io.WriteString(s.Out, b.String())
	return err
}

// writePlanes writes one line a plane under a head line, columns aligned.
func writePlanes(w io.Writer, p mapPrint) {
	fmt.Fprintf(w, "%s\n", titleOr(p.answer.Title))
	writeTable(w, planeRows(p.answer, p.units))
	writeMaintained(w, p.answer)
	writeKinds(w, p.answer)
}

// planeRows are the cells of the table of planes under their head.
func planeRows(m *result.Map, u unit.System) [][]string {
	q, other := m.Goal.Shown, m.Goal.Shown.Other()
	rows := [][]string{{"plane", "depth " + u.Name(), meanHead(q), "min", "max", "min/mean", meanHead(other), "DLI", "dark"}}
	for _, pl := range m.Planes {
		dli := "-"
		if pl.DLI > 0 {
			dli = unit.Figure(pl.DLI, 2)
		}
		var dark float64
		for _, c := range pl.DarkCorners {
			dark += c.AreaShare
		}
		s := pl.Light(q)
		rows = append(rows, []string{pl.Name, u.Figure(pl.DepthM), lightFigure(q, s.Mean), lightFigure(q, s.Min), lightFigure(q, s.Max),
			unit.Ratio(s.MinOverMean), lightFigure(other, pl.Light(other).Mean), dli, fmt.Sprintf("%.0f %%", 100*dark)})
	}
	return rows
}

// meanHead is the head of a column of means: "mean lx" or "mean PPFD".
func meanHead(q result.Quantity) string { return "mean " + result.Of(q, "lx", "PPFD") }

// lightFigure writes a light without its unit.
func lightFigure(q result.Quantity, v float64) string { return unit.Figure(v, q.Decimals(v)) }

// lightText writes a light with its unit.
func lightText(q result.Quantity, v float64) string { return lightFigure(q, v) + " " + q.Unit() }

// bothMeans writes the mean that the goal counts, and the other one in brackets.
func bothMeans(q result.Quantity, lux, ppfd float64) string {
	return fmt.Sprintf("%s (%s)", lightText(q, result.Of(q, lux, ppfd)), lightText(q.Other(), result.Of(q.Other(), lux, ppfd)))
}

// writeMaintained writes what is left of the means when the maintenance factor has taken its share.
func writeMaintained(w io.Writer, m *result.Map) {
	if m.Maintenance == 1 {
		return
	}
	var parts []string
	for _, p := range m.Planes {
		parts = append(parts, p.Name+" "+bothMeans(m.Goal.Shown, p.Illuminance.Mean*m.Maintenance, p.PPFD.Mean*m.Maintenance))
	}
	fmt.Fprintf(w, "  maintained at %.3g of the light when new, means: %s\n", m.Maintenance, strings.Join(parts, ", "))
}

// writeKinds writes how the photons are shared among kinds of light across the judged plane.
func writeKinds(w io.Writer, m *result.Map) {
	if len(m.Kinds) < 2 {
		return
	}
	var parts []string
	for _, k := range m.Kinds {
		parts = append(parts, fmt.Sprintf("%s %.0f to %.0f %%", k.Name, 100*k.Shares.Min, 100*k.Shares.Max))
	}
	fmt.Fprintf(w, "  share of the photons across %s: %s\n", m.KindsPlane, strings.Join(parts, ", "))
}

// writeTable writes rows of cells, the first column to the left and the others to the right of their widths.
func writeTable(w io.Writer, rows [][]string) {
	widths := make([]int, len(rows[0]))
	for _, r := range rows {
		for i, c := range r {
			widths[i] = max(widths[i], len([]rune(c)))
		}
	}
	for _, r := range rows {
		var line strings.Builder
		for i, c := range r {
			pad := strings.Repeat(" ", widths[i]-len([]rune(c)))
			if i == 0 {
				line.WriteString("  " + c + pad)
				continue
			}
			line.WriteString("  " + pad + c)
		}
		fmt.Fprintln(w, strings.TrimRight(line.String(), " "))
	}
}

// bookEntry is one end that lumens find.
type bookEntry struct {
	name string
	lm   float64
}

// bookEntries are the ends that lumens find, the largest first; what would print as nothing is left out.
func bookEntries(b result.Books) []bookEntry {
	list := []bookEntry{{"floor", b.Floor}, {"optics", b.Optic}, {"cover", b.Cover}, {"spill", b.Spill}, {"surface reflection", b.Surface},
		{"absorbed in water", b.Water}, {"walls", b.Walls}, {"obstacles", b.Obstacles}, {"back out of the water", b.Returned}, {"bounced, not followed", b.Unfollowed}}
	sort.SliceStable(list, func(i, j int) bool { return list[i].lm > list[j].lm })
	return slices.DeleteFunc(list, func(e bookEntry) bool { return e.lm < 0.0005*b.Emitted })
}

// writeBooks writes where the lumens end, the largest first.
func writeBooks(w io.Writer, b result.Books) {
	var parts []string
	for _, e := range bookEntries(b) {
		parts = append(parts, fmt.Sprintf("%s %.0f", e.name, e.lm))
	}
	fmt.Fprintf(w, "  of %.0f lm: %s\n", b.Emitted, strings.Join(parts, ", "))
}

// writeJunctions writes how warm the junctions are and what that takes of the light.
func writeJunctions(w io.Writer, j result.Junctions) {
	if !j.Warm {
		fmt.Fprintln(w, "  cold junctions: the light of the parts' tables")
		return
	}
	fmt.Fprintf(w, "  %s, which leaves %.1f %% of the cold light\n", j.Words(), 100*j.RelativeFlux)
}

// writeNotes writes where the files are, what is odd, and what can hurt somebody.
func writeNotes(w io.Writer, p mapPrint) {
	writeWrote(w, p.dir, p.files)
	for _, f := range oddities(p.scene) {
		fmt.Fprintf(w, "warning: %s\n", f.Error())
	}
	for i, line := range p.answer.Warnings {
		word := "note"
		if i == 0 && p.answer.Junctions.TooHot != "" {
			word = "warning"
		}
		fmt.Fprintf(w, "%s: %s\n", word, line)
	}
	for _, line := range cautions("map", p.scene) {
		fmt.Fprintf(w, "caution: %s\n", line)
	}
}

// gridCellBytes is about what one cell's line takes in memory, where it is made and where it waits to be written.
const gridCellBytes = 2 * 48

// writeGrid writes a field as CSV: cell centres in mm, y outer loop, front row first.
func writeGrid(w io.Writer, f result.Field) error {
	b := make([]byte, 0, gridCellBytes/2*f.Grid.Cells())
	b = append(b, "x_mm,y_mm,illuminance_lx,ppfd_umol_m2_s\n"...)
	for i := range f.Illuminance {
		b = strconv.AppendFloat(b, millimetres(f.Grid.CentreX(i%f.Grid.NX)), 'f', -1, 64)
		b = append(b, ',')
		b = strconv.AppendFloat(b, millimetres(f.Grid.CentreY(i/f.Grid.NX)), 'f', -1, 64)
		b = append(b, ',')
		b = strconv.AppendFloat(b, f.Illuminance[i], 'g', 7, 64)
		b = append(b, ',')
		b = strconv.AppendFloat(b, f.PPFD[i], 'g', 7, 64)
		b = append(b, '\n')
	}
	_, err := w.Write(b)
	return err
}
