package main

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"fathomlux/render/answer"
	"fathomlux/render/style"
	"fathomlux/scene"
	"fathomlux/scene/document"
	"fathomlux/scene/drilling"
	"fathomlux/scene/finding"
	"fathomlux/scene/key"
	"fathomlux/scene/unit"
	"fathomlux/scene/wiring"
)

type checkOptions struct {
	common
	strict bool
}

func newCheckCommand(s streams) *cobra.Command {
	var o checkOptions
	c := &cobra.Command{
		Use:   "check SCENE...",
		Short: "list the faults in scenes, and warn of what is unusual in them",
		Long: `Reads each scene file with everything it names and lists every fault with its place. For a valid scene it shows
what the file describes, what is unusual in it (warnings) and what can hurt somebody (cautions). Warnings and cautions
leave the exit status at 0, unless --strict is given.`,
		Example: "fathomlux check scene.yaml\nfathomlux check --json foyer.yaml shelf.yaml",
	}
	o.bindSaying(c)
	c.Flags().Lookup("quiet").Usage = "leave out the summary; show only faults, warnings and cautions"
	c.Flags().BoolVar(&o.strict, "strict", false, "exit with status 2 where a scene has warnings")
	return command(s, c, &o.given, o.run)
}

// run reads all scenes, prints what they are, and returns all their faults in one error.
func (o *checkOptions) run(_ context.Context, s streams) error {
	whole, brief := answer.Groups{Key: "scenes"}, answer.Groups{}
	var errs []error
	for _, file := range o.args {
		sc, err := scene.Read(file)
		errs = append(errs, err)
		if sc != nil && o.strict && len(warningsOf(sc)) > 0 {
			errs = append(errs, fmt.Errorf("%s: %s, and --strict was given", file, unit.Several(len(warningsOf(sc)), "warning")))
		}
		found := findingParts(file, sc, err)
		brief.List = append(brief.List, answer.Group{Parts: found})
		whole.List = append(whole.List, checkGroup(file, sc, found))
	}
	err := o.say(s.Out, answer.Answer{whole}, answer.Answer{brief})
	return errors.Join(append(errs, err)...)
}

// checkGroup is what check answers about one file; the scene is nil where the file is not sound.
func checkGroup(file string, sc *scene.Scene, found answer.Answer) answer.Group {
	if sc == nil {
		return answer.Group{Parts: answer.Answer{fields("scene", file, "sound", false, "summary", nil), found}}
	}
	return answer.Group{Title: file + ": " + titleOr(sc.Title), Parts: answer.Answer{fields("scene", file, "sound", true),
		summary(sc), found}}
}

// findingParts are faults, warnings and cautions of a file. A file that cannot be read is a fault of the file as a
// whole. For people, faults are not repeated here: they go to standard error as the command's error.
func findingParts(file string, sc *scene.Scene, err error) answer.Answer {
	var found []finding.Finding
	var said []string
	t := answer.Table{Key: "faults", In: answer.JSON, Columns: keys("file", "line", "column", "path", "message")}
	switch several, is := errors.AsType[*document.Error](err); {
	case is:
		for _, f := range several.Faults {
			t.Rows = append(t.Rows, []any{f.File, f.Line, f.Column, f.Path, f.Message})
		}
	case err != nil:
		t.Rows = [][]any{{file, 0, 0, "", err.Error()}}
	default:
		found, said = warningsOf(sc), checked(sc).at("check")
	}
	return answer.Answer{t, foundParts(found, unit.Metric), answer.Lines{Key: "cautions", Lead: "caution", List: said}}
}

// number writes v with at most six digits and no trailing zeros.
func number(v float64) string { return answer.Number(v, answer.General) }

// tenth writes a figure to a tenth: a temperature in degrees, a length in mm, an angle in degrees, a current in mA.
func tenth(v float64) string { return number(roundTo(v, 0.1)) }

func titleOr(title string) string { return cmp.Or(title, "(no title)") }

// summary is what a sound scene describes: sentences for people, and for programs figures under keys with their units.
func summary(sc *scene.Scene) answer.Group {
	t, light := sc.Tank, sc.AtSwitchOn()
	list := fields("title", sc.Title, "air_c", sc.Ambient.AirC)
	say := func(title, words string) { list = append(list, answer.Figure{Title: title, Value: words}) }
	item := func(known bool, key, title, format string, pairs ...any) {
		data := fields(pairs...)
		list = append(list, answer.Figure{Key: key, Value: optional(data, known)})
		if known {
			say(title, sentence(format, data))
		}
	}
	item(true, "tank", "tank", "%[1]s x %[2]s x %[3]s mm inside (length x width x height)",
		"length_mm", millimetres(t.LengthM), "width_mm", millimetres(t.WidthM), "height_mm", millimetres(t.HeightM))
	wallFigures(t.Walls, t.FloorReflectance, say, item)
	cover := cmp.Or(t.Cover, &scene.Cover{})
	item(t.Cover != nil, "cover", "cover", "%[1]s %[2]s mm, %[3]s mm above the water", "material",
		[...]string{"glass", "low-iron glass", "acrylic", "polycarbonate", "twin-wall"}[cover.Material],
		"thickness_mm", millimetres(cover.ThicknessM), "above_water_mm", millimetres(cover.AboveWaterM))
	share := func(v float64, of string) {
		if v > 0 {
			say("cover", number(roundTo(100*v, 1e-6))+" % of the light "+of)
		}
	}
	share(cover.DirtShare, "is taken by dirt on it")
	share(cover.ScatteredShare, "through it is thrown aside")
	list = append(list, append(shapeFigures(t, say, item), leafFigures(sc, say, item)...)...)
	obstacles := each(t.Obstacles, func(o scene.Obstacle) string { return o.Name })
	list = append(list, fields("obstacles", obstacles)...)
	if len(obstacles) > 0 {
		say("shadows", strings.Join(obstacles, ", "))
	}
	water := "%[1]s mm deep, %[2]s, %[3]s °C, %[4]s g/kg"
	if t.Water.HalfDepthM > 0 {
		water = "%[1]s mm deep, measured (half the light left at %[5]s mm), %[3]s °C, %[4]s g/kg"
	}
	item(true, "water", "water", water, "depth_mm", millimetres(t.Water.DepthM), "kind", t.Water.Kind.Name,
		"temperature_c", t.Water.TemperatureC, "salinity_g_per_kg", t.Water.SalinityGPerKg,
		"half_depth_mm", optional(millimetres(t.Water.HalfDepthM), t.Water.HalfDepthM > 0))
	list = append(list, railFigures(sc.Rails)...)
	if open := guessedTails(sc); len(open) > 0 {
		say("tails", strings.Join(open, ", ")+" without a field angle: light far off the axis is a guess, and so are "+
			"the lowest values; give field, or see map --tolerance")
	}
	hoodFigure(sc, item)
	cold := number(scene.ColdJunctionC)
	say("flux", fmt.Sprintf("%.0f lm from the LEDs, %.0f lm after the optics, junctions at %s °C", light.DiesLm,
		light.OpticsLm, cold))
	say("power", fmt.Sprintf("%.1f W at the modules, junctions at %s °C", light.PowerW, cold))
	fed := wiringFigure(sc, say)
	list = append(list, fields("modules", len(sc.Seats()),
		"light", fields("junction_c", scene.ColdJunctionC, "dies_lm", roundTo(light.DiesLm, 0.001),
			"after_optics_lm", roundTo(light.OpticsLm, 0.001), "modules_w", roundTo(light.PowerW, 0.0001)),
		"wiring", fed, "day", dayFigure(sc, say),
		"goal", goalAsked(sc.Goal))...)
	say("goal", goalText(sc.Goal))
	return answer.Group{Key: "summary", Parts: list}
}

// dayFigure is the day of each channel: from when to when it is on, and up to which level; nothing without a day.
func dayFigure(sc *scene.Scene, say func(title, words string)) any {
	list := []answer.Answer{}
	for c, p := range sc.Day {
		on := slices.IndexFunc(p, func(k scene.Knot) bool { return k.Level > 0 })
		if on < 0 {
			say("day", sc.Wiring.Channels[c].Name+": off")
			continue
		}
		highest := slices.MaxFunc(p, func(a, b scene.Knot) int { return cmp.Compare(a.Level, b.Level) }).Level
		one := fields("channel", sc.Wiring.Channels[c].Name, "from", clockText(p[0].AtH), "to", clockText(p[len(p)-1].AtH),
			"highest_percent", roundTo(100*highest, 1e-6))
		say("day", sentence("%[1]s: %[2]s to %[3]s, up to %[4]s %%", one))
		list = append(list, one)
	}
	if sc.Day == nil {
		return nil
	}
	return list
}

// sentence is figures in words: their values, from 1 on to a tenth, as arguments of a format; those of a list side by
// side.
func sentence(format string, list answer.Answer) string {
	var words []any
	for _, p := range list {
		f := p.(answer.Figure)
		f.Say = func(v float64) string {
			if math.Abs(v) < 1 {
				return number(v)
			}
			return tenth(v)
		}
		if inner, is := f.Value.(answer.Answer); is {
			words = append(words, strings.TrimSuffix(sentence("%[1]s %[2]s", inner), " -"))
			continue
		}
		words = append(words, f.Words())
	}
	return fmt.Sprintf(format, words...)
}

// railFigures are the rails: each a sentence, and one for all its modules that are alike.
func railFigures(rails []scene.Rail) (list answer.Answer) {
	say := func(title, words string) { list = append(list, answer.Figure{Title: title, Value: words}) }
	all := answer.Groups{Key: "rails", In: answer.JSON}
	for _, r := range rails {
		rail := fields("name", r.Name, "profile", r.Profile.Name, "length_mm", millimetres(r.LengthM),
			"left_mm", millimetres(r.LeftM), "y_mm", millimetres(r.YM), "above_water_mm", millimetres(r.AboveWaterM),
			"tilt_deg", degrees(r.TiltRad), "turn_deg", degrees(r.TurnRad))
		where := "%[1]s: %[2]s, %[3]s mm from x = %[4]s mm, y = %[5]s mm, %[6]s mm above the water, tilt %[7]s°"
		if r.TurnRad != 0 {
			where += ", turned by %[8]s° about its middle"
		}
		say("rail", sentence(where, rail))
		counts, kinds, alike := map[string]int{}, []answer.Answer{}, answer.Groups{Key: "modules"}
		const words = "%[1]s with %[2]s (%[3]s° beam) at %[4]s mA"
		for _, m := range r.Modules {
			kind := fields("part", m.Part.Name, "optic", m.Optic.Name, "beam_deg", degrees(m.Optic.BeamRad),
				"current_ma", roundTo(m.CurrentA*1000, 1e-6))
			if counts[sentence(words, kind)]++; counts[sentence(words, kind)] == 1 {
				kinds = append(kinds, kind)
			}
		}
		for _, kind := range kinds {
			count := counts[sentence(words, kind)]
			say("modules", fmt.Sprintf("%d x %s", count, sentence(words, kind)))
			alike.List = append(alike.List, answer.Group{Parts: append(fields("count", count), kind...)})
		}
		if layout, err := drilling.Make(r, true); err == nil && len(r.Modules) > 0 {
			say("hangs", hangText(layout.Hang, unit.Metric))
			rail = append(rail, hangParts(layout.Hang, unit.Metric)...)
		}
		all.List = append(all.List, answer.Group{Parts: append(rail, alike)})
	}
	return append(list, all)
}

// guessedTails are the optics of a scene whose field angle is a guess.
func guessedTails(sc *scene.Scene) (names []string) {
	for _, m := range modulesOf(sc) {
		if m.Optic.GuessedFieldRad(false) > 0 && !slices.Contains(names, m.Optic.Name) {
			names = append(names, m.Optic.Name)
		}
	}
	return names
}

func hoodFigure(sc *scene.Scene, item func(known bool, key, title, format string, pairs ...any)) {
	hood, words, edgeM := cmp.Or(sc.Ambient.Hood, &scene.Hood{}), "", 0.0
	if hood.Inside > 0 {
		words, edgeM = "; its inside reflects %[4]s, its lower edge %[5]s mm above the water", sc.HoodEdgeM()
	}
	item(sc.Ambient.Hood != nil, "hood", "hood", "%[1]s x %[2]s x %[3]s mm (length x width x height), closed, in a "+
		"room of "+tenth(sc.Ambient.AirC)+" °C"+words, "length_mm", millimetres(hood.LengthM),
		"width_mm", millimetres(hood.WidthM), "height_mm", millimetres(hood.HeightM), "inside_reflectance", hood.Inside,
		"edge_above_water_mm", optional(millimetres(edgeM), hood.Inside > 0))
}

func wallFigures(w scene.Walls, floor float64, say func(title, words string),
	item func(known bool, key, title, format string, pairs ...any)) {
	item(true, "walls", "walls", "front %[1]s, back %[2]s, left %[3]s, right %[4]s; floor diffuse %[5]s",
		"front", wallFields(w.Front), "back", wallFields(w.Back), "left", wallFields(w.Left),
		"right", wallFields(w.Right), "floor_reflectance", floor)
	if w.Has(scene.FilmWall) {
		say("film", "behind a pane with a gap of air: the pane goes on mirroring, the film sends back a share of the rest")
	}
	if w.Has(scene.PaintWall) {
		say("paint", "on a pane without a gap of air: it ends the mirroring, and the floor gets less light")
	}
	item(w.ThicknessM > 0 || w.DirtShare > 0, "panes", "panes", "%[1]s mm thick, dirt takes %[2]s of 1 at each reflection",
		"thickness_mm", millimetres(w.ThicknessM), "dirt_share", w.DirtShare)
}

// wallFields are the kind of a wall, and its reflectance where that does not follow from the angle.
func wallFields(w scene.Wall) answer.Answer {
	own := w.Kind == scene.PaintWall || w.Kind == scene.FilmWall || w.Kind == scene.MirrorWall
	return fields("kind", [...]string{"glass", "acrylic", "paint", "mirror", "film", "low-iron glass"}[w.Kind],
		"reflectance", optional(w.Reflectance, own))
}

func wiringText(sc *scene.Scene) string {
	var list []string
	w := sc.Wiring
	if w.Strings > 0 {
		text := unit.Several(w.Strings, "string")
		if v := wiring.StringV(sc); v > 0 {
			text += fmt.Sprintf(" of about %.1f V", v)
		}
		list = append(list, text)
	}
	if w.Driver.Name != "" {
		list = append(list, "driver "+w.Driver.Name)
	}
	if w.HoursPerDay > 0 {
		list = append(list, number(w.HoursPerDay)+" h a day")
	}
	return strings.Join(list, ", ")
}

// wiringFigure is the wiring for programs, null where the scene says nothing of it; it says it to people, too.
func wiringFigure(sc *scene.Scene, say func(title, words string)) any {
	w := sc.Wiring
	if text := wiringText(sc); text != "" {
		say("wiring", text)
	}
	drivers, channels := feedTables(sc)
	for _, t := range []answer.Table{drivers, channels} {
		for _, row := range t.Rows {
			if t.Key == "drivers" || row[1] != 100.0 {
				say(strings.TrimSuffix(t.Key, "s"), feedText(t, row))
			}
		}
	}
	return optional(fields("driver", w.Driver.Name, "strings", w.Strings, "string_v", roundTo(wiring.StringV(sc), 0.001),
		"hours_per_day", w.HoursPerDay, "drivers", drivers, "channels", channels),
		w.Driver.Name != "" || w.Strings > 0 || w.HoursPerDay > 0 || len(w.Supplies) > 0)
}

// feedTables are the drivers that a scene names, and its channels.
func feedTables(sc *scene.Scene) (drivers, channels answer.Table) {
	w := sc.Wiring
	drivers = answer.Table{Key: "drivers", Columns: keys("name", "driver", "modules", "strings", "at", "channel")}
	for i, v := range w.Supplies {
		drivers.Rows = append(drivers.Rows, []any{v.Name, v.Driver.Name, sc.Runs(sc.Fed(i)), v.Strings, siteWords[v.Site],
			v.Channel})
	}
	channels = answer.Table{Key: "channels", Columns: keys("name", "level_percent", "dimming", "modules")}
	for i, c := range w.Channels {
		channels.Rows = append(channels.Rows, []any{c.Name, roundTo(100*c.Level, 1e-6),
			key.Channel.Row("dimming").Shape.Words[c.Dimming], sc.Runs(sc.Dimmed(i))})
	}
	return drivers, channels
}

// feedText says a row of drivers or channels.
func feedText(t answer.Table, row []any) string {
	if t.Key == "channels" {
		return fmt.Sprintf("%s at %s %% by %s: %s", row[0], number(row[1].(float64)), row[2], row[3])
	}
	text := fmt.Sprintf("%s: %s", row[0], row[2])
	for i, word := range []string{"on %v", "", "strings: %v", "at: %v"} {
		if v := row[i+1]; word != "" && v != "" && v != 0 {
			text += ", " + fmt.Sprintf(word, v)
		}
	}
	return text
}

// warningsOf are the warnings about a scene: what reading it found, wiring and hood, and names that no picture can
// show.
func warningsOf(sc *scene.Scene) []finding.Finding {
	return slices.Concat(sc.Warnings, wiring.Warnings(sc), sc.HoodWarnings(), unshown(sc))
}

// unshown warns about names with letters that the embedded fonts lack. The place is the key: where it stands in the
// file a scene does not keep.
func unshown(sc *scene.Scene) (list []finding.Finding) {
	say := func(path, name string) {
		if lacking := style.Unshown(name); lacking != "" {
			f := finding.LettersUnshown.Of(finding.Quote(lacking), finding.Quote(name))
			list = append(list, f.At(finding.Place{File: sc.File, Path: path}))
		}
	}
	say("title", sc.Title)
	for i, o := range sc.Tank.Obstacles {
		say(fmt.Sprintf("tank.obstacles[%d].name", i), o.Name)
	}
	for i, r := range sc.Rails {
		say(fmt.Sprintf("rails[%d].name", i), r.Name)
	}
	return list
}
