package main

import (
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"fathomlux/render/style"
)

// number writes v with at most six digits and no trailing zeros.
func number(v float64) string { return strconv.FormatFloat(v, 'g', 6, 64) }

// tenth writes a figure to a tenth: a temperature in degrees, a length in mm, an angle in degrees, a current in mA.
func tenth(v float64) string { return number(roundTo(v, 0.1)) }

// several writes a count with its noun: "1 string", "2 strings".
func several(n int, noun string) string {
	if n != 1 {
		noun += "s"
	}
	return strconv.Itoa(n) + " " + noun
}

// writeCheckText writes what the scenes are, their warnings and their cautions, for people.
// Faults are not repeated here: they go to standard error as the command's error.
func writeCheckText(w io.Writer, checks []sceneCheck, quiet bool) {
	for i, c := range checks {
		if c.scene == nil {
			continue
		}
		if !quiet {
			if i > 0 {
				fmt.Fprintln(w)
			}
			writeSummary(w, c.file, summarise(c.scene))
		}
		for _, f := range c.warnings {
			fmt.Fprintf(w, "warning: %s\n", f.Error())
		}
		for _, line := range c.cautions {
			fmt.Fprintf(w, "caution: %s\n", line)
		}
	}
}

// writeSummary writes a scene in a few lines: a word for what, then what.
func writeSummary(w io.Writer, file string, s *summaryJSON) {
	fmt.Fprintf(w, "%s: %s\n", file, titleOr(s.Title))
	for _, l := range summaryLines(s) {
		fmt.Fprintf(w, "  %-7s  %s\n", l.what, l.text)
	}
}

// summaryLine is a word for what, empty where it is that of the line before, and what.
type summaryLine struct{ what, text string }

// summaryLines say in a few lines what a scene is.
func summaryLines(s *summaryJSON) []summaryLine {
	var lines []summaryLine
	line := func(what, format string, args ...any) {
		lines = append(lines, summaryLine{what, fmt.Sprintf(format, args...)})
	}
	t := s.Tank
	line("tank", "%s x %s x %s mm inside (length x width x height)", tenth(t.LengthMM), tenth(t.WidthMM), tenth(t.HeightMM))
	line("walls", "front %s, back %s, left %s, right %s; floor diffuse %s", wallText(t.Walls.Front), wallText(t.Walls.Back), wallText(t.Walls.Left), wallText(t.Walls.Right), number(t.FloorReflectance))
	if c := t.Cover; c != nil {
		line("cover", "%s %s mm, %s mm above the water", c.Material, tenth(c.ThicknessMM), tenth(c.AboveWaterMM))
	}
	if len(t.Obstacles) > 0 {
		line("shadows", "%s", strings.Join(t.Obstacles, ", "))
	}
	line("water", "%s mm deep, %s, %s C, %s g/kg", tenth(s.Water.DepthMM), waterText(s.Water), tenth(s.Water.TemperatureC), number(s.Water.SalinityGPerKg))
	for _, r := range s.Rails {
		line("rail", "%s: %s, %s mm from x = %s mm, y = %s mm, %s mm above the water, tilt %s deg", r.Name, r.Profile,
			tenth(r.LengthMM), tenth(r.LeftMM), tenth(r.YMM), tenth(r.AboveWaterMM), tenth(r.TiltDeg))
		for _, g := range r.Modules {
			line("", "%d x %s with %s (%s deg beam) at %s mA", g.Count, g.Part, g.Optic, tenth(g.BeamDeg), tenth(g.CurrentMA))
		}
	}
	if h := s.Ambient.Hood; h != nil {
		line("hood", "%s x %s x %s mm (length x width x height), closed, in a room of %s C", tenth(h.LengthMM), tenth(h.WidthMM), tenth(h.HeightMM), tenth(s.Ambient.AirC))
	}
	line("light", "%.0f lm from the dies, %.0f lm after the optics, junctions at %s C", s.Light.DiesLm, s.Light.OpticsLm, tenth(s.Light.JunctionC))
	line("power", "%.1f W at the modules, junctions at %s C", s.Light.ModulesW, tenth(s.Light.JunctionC))
	if s.Wiring != nil {
		line("wiring", "%s", wiringText(*s.Wiring))
	}
	line("goal", "%s", goalText(s.Goal))
	return lines
}

func titleOr(title string) string {
	if title == "" {
		return "(no title)"
	}
	return title
}

func wallText(w wallJSON) string {
	if w.Reflectance == nil {
		return w.Kind
	}
	return w.Kind + " " + number(*w.Reflectance)
}

func waterText(w waterJSON) string {
	if w.HalfDepthMM == nil {
		return w.Kind
	}
	return fmt.Sprintf("measured (half the light left at %s mm)", tenth(*w.HalfDepthMM))
}

func wiringText(w wiringJSON) string {
	var parts []string
	if w.Strings > 0 {
		text := several(w.Strings, "string")
		if w.StringV > 0 {
			text += fmt.Sprintf(" of about %.1f V", w.StringV)
		}
		parts = append(parts, text)
	}
	if w.Driver != "" {
		parts = append(parts, "driver "+w.Driver)
	}
	if w.HoursPerDay > 0 {
		parts = append(parts, number(w.HoursPerDay)+" h a day")
	}
	return strings.Join(parts, ", ")
}

func goalText(g *goalJSON) string {
	if g == nil {
		return "none"
	}
	where := tenth(g.DepthMM) + " mm down"
	if slices.Contains([]string{"surface", "mid", "floor"}, g.Plane) {
		where = fmt.Sprintf("%s (%s)", g.Plane, where)
	}
	return where + ": " + goalFigures(*g)
}

// goalFigures says what a goal asks for.
func goalFigures(g goalJSON) string {
	var parts []string
	add := func(format string, v float64) {
		if v > 0 {
			parts = append(parts, fmt.Sprintf(format, style.FourDigits(v)))
		}
	}
	add("mean %s lx", g.IlluminanceLx)
	add("mean %s umol/m2/s", g.PPFD)
	add("mean %s mol/m2/day", g.DLI)
	add("min/mean %s", g.Uniformity)
	return strings.Join(parts, ", ")
}
