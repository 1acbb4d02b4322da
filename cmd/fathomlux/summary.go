package main

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"fathomlux/render/answer"
	"fathomlux/render/style"
	"fathomlux/scene"
	"fathomlux/scene/unit"
)

// number writes v with at most six digits and no trailing zeros.
func number(v float64) string { return answer.Number(v, answer.General) }

// tenth writes a figure to a tenth: a temperature in degrees, a length in mm, an angle in degrees, a current in mA.
func tenth(v float64) string { return number(roundTo(v, 0.1)) }

func titleOr(title string) string { return cmp.Or(title, "(no title)") }

// summary is what a sound scene describes: sentences for people, and for programs figures under keys with their units.
func summary(sc *scene.Scene) answer.Group {
	t, w, light := sc.Tank, sc.Tank.Walls, sc.AtSwitchOn()
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
	item(true, "walls", "walls", "front %[1]s, back %[2]s, left %[3]s, right %[4]s; floor diffuse %[5]s",
		"front", wallFields(w.Front), "back", wallFields(w.Back), "left", wallFields(w.Left),
		"right", wallFields(w.Right), "floor_reflectance", t.FloorReflectance)
	cover := cmp.Or(t.Cover, &scene.Cover{})
	item(t.Cover != nil, "cover", "cover", "%[1]s %[2]s mm, %[3]s mm above the water", "material",
		[...]string{"glass", "low-iron glass", "acrylic"}[cover.Material], "thickness_mm", millimetres(cover.ThicknessM), "above_water_mm",
		millimetres(cover.AboveWaterM))
	obstacles := []string{}
	for _, o := range t.Obstacles {
		obstacles = append(obstacles, o.Name)
	}
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
	hood := cmp.Or(sc.Ambient.Hood, &scene.Hood{})
	item(sc.Ambient.Hood != nil, "hood", "hood", "%[1]s x %[2]s x %[3]s mm (length x width x height), closed, in a room of "+
		tenth(sc.Ambient.AirC)+" °C", "length_mm", millimetres(hood.LengthM), "width_mm", millimetres(hood.WidthM),
		"height_mm", millimetres(hood.HeightM))
	cold := number(scene.ColdJunctionC)
	say("flux", fmt.Sprintf("%.0f lm from the LEDs, %.0f lm after the optics, junctions at %s °C", light.DiesLm,
		light.OpticsLm, cold))
	say("power", fmt.Sprintf("%.1f W at the modules, junctions at %s °C", light.PowerW, cold))
	wiring, g := sc.Wiring, sc.Goal
	wired := wiring.Driver.Name != "" || wiring.Strings > 0 || wiring.HoursPerDay > 0
	if wired {
		say("wiring", wiringText(sc))
	}
	list = append(list, fields("modules", len(sc.Seats()),
		"light", fields("junction_c", scene.ColdJunctionC, "dies_lm", roundTo(light.DiesLm, 0.001),
			"after_optics_lm", roundTo(light.OpticsLm, 0.001), "modules_w", roundTo(light.PowerW, 0.0001)),
		"wiring", optional(fields("driver", wiring.Driver.Name, "strings", wiring.Strings, "string_v",
			roundTo(sc.StringV(), 0.001), "hours_per_day", wiring.HoursPerDay), wired),
		"goal", optional(fields("plane", g.Plane.Name, "depth_mm", millimetres(g.Plane.DepthM), "illuminance_lx",
			g.IlluminanceLx, "ppfd_umol_m2_s", roundTo(g.PPFD, 1e-9), "dli_mol_m2_day", roundTo(g.DLI, 1e-9),
			"min_over_mean", g.Uniformity), g.Set()))...)
	say("goal", goalText(g))
	return answer.Group{Key: "summary", Parts: list}
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
			"tilt_deg", degrees(r.TiltRad))
		say("rail", sentence("%[1]s: %[2]s, %[3]s mm from x = %[4]s mm, y = %[5]s mm, %[6]s mm above the water, "+
			"tilt %[7]s°", rail))
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
		all.List = append(all.List, answer.Group{Parts: append(rail, alike)})
	}
	return append(list, all)
}

// wallFields are the kind of a wall, and its reflectance where that does not follow from the angle.
func wallFields(w scene.Wall) answer.Answer {
	painted := w.Kind == scene.DiffuseWall || w.Kind == scene.MirrorWall
	return fields("kind", [...]string{"glass", "acrylic", "diffuse", "mirror"}[w.Kind],
		"reflectance", optional(w.Reflectance, painted))
}

func wiringText(sc *scene.Scene) string {
	var list []string
	w := sc.Wiring
	if w.Strings > 0 {
		text := unit.Several(w.Strings, "string")
		if v := sc.StringV(); v > 0 {
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

func goalText(g scene.Goal) string {
	if !g.Set() {
		return "none"
	}
	where := unit.Metric.Length(g.Plane.DepthM) + " down"
	if slices.Contains([]string{"surface", "mid", "floor"}, g.Plane.Name) {
		where = fmt.Sprintf("%s (%s)", g.Plane.Name, where)
	}
	return where + ": " + goalFigures(g)
}

// goalFigures says what a goal asks for.
func goalFigures(g scene.Goal) string {
	var list []string
	add := func(format string, v float64) {
		if v > 0 {
			list = append(list, fmt.Sprintf(format, style.FourDigits(v)))
		}
	}
	add("mean %s lx", g.IlluminanceLx)
	add("mean %s "+ppfdUnit, roundTo(g.PPFD, 1e-9))
	add("mean %s "+dliUnit, roundTo(g.DLI, 1e-9))
	add("U0 %s", g.Uniformity)
	return strings.Join(list, ", ")
}
