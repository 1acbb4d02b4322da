package main

import (
	"fmt"
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

// tenthMM writes a length in mm to a tenth.
func tenthMM(m float64) string { return tenth(millimetres(m)) }

func titleOr(title string) string {
	if title == "" {
		return "(no title)"
	}
	return title
}

// summaryLines say in a few lines what a sound scene is.
func summaryLines(sc *scene.Scene) (list answer.Answer) {
	line := func(title, format string, args ...any) {
		list = append(list, answer.Figure{Title: title, Value: fmt.Sprintf(format, args...)})
	}
	t, w, light := sc.Tank, sc.Tank.Walls, sc.AtSwitchOn()
	line("tank", "%s x %s x %s mm inside (length x width x height)", tenthMM(t.LengthM), tenthMM(t.WidthM),
		tenthMM(t.HeightM))
	line("walls", "front %s, back %s, left %s, right %s; floor diffuse %s",
		wallText(w.Front), wallText(w.Back), wallText(w.Left), wallText(w.Right), number(t.FloorReflectance))
	if c := t.Cover; c != nil {
		line("cover", "%s %s mm, %s mm above the water", coverName(c.Material), tenthMM(c.ThicknessM),
			tenthMM(c.AboveWaterM))
	}
	if len(t.Obstacles) > 0 {
		line("shadows", "%s", strings.Join(obstacleNames(t), ", "))
	}
	line("water", "%s mm deep, %s, %s °C, %s g/kg", tenthMM(t.Water.DepthM), waterText(t.Water),
		tenth(t.Water.TemperatureC), number(t.Water.SalinityGPerKg))
	for _, r := range sc.Rails {
		line("rail", "%s: %s, %s mm from x = %s mm, y = %s mm, %s mm above the water, tilt %s°", r.Name,
			r.Profile.Name,
			tenthMM(r.LengthM), tenthMM(r.LeftM), tenthMM(r.YM), tenthMM(r.AboveWaterM), tenth(degrees(r.TiltRad)))
		for _, g := range alikeModules(r) {
			line("modules", "%d x %s with %s (%s° beam) at %s mA", g.count, g.part, g.optic, tenth(g.beamDeg),
				tenth(g.currentMA))
		}
	}
	if h := sc.Ambient.Hood; h != nil {
		line("hood", "%s x %s x %s mm (length x width x height), closed, in a room of %s °C",
			tenthMM(h.LengthM), tenthMM(h.WidthM), tenthMM(h.HeightM), tenth(sc.Ambient.AirC))
	}
	line("flux", "%.0f lm from the LEDs, %.0f lm after the optics, junctions at %s °C", light.DiesLm, light.OpticsLm,
		tenth(scene.ColdJunctionC))
	line("power", "%.1f W at the modules, junctions at %s °C", light.PowerW, tenth(scene.ColdJunctionC))
	if sc.Wiring.Driver.Name != "" || sc.Wiring.Strings > 0 || sc.Wiring.HoursPerDay > 0 {
		line("wiring", "%s", wiringText(sc))
	}
	line("goal", "%s", goalText(sc.Goal))
	return list
}

// summary is what a sound scene describes, for programs. The unit of a number stands in its key.
func summary(sc *scene.Scene) answer.Answer {
	t, w, f, light := sc.Tank, sc.Tank.Walls, sc.AtSwitchOn(), sc.Wiring
	var cover, hood, wiring, goal, halfDepth any // null where the scene has none
	if c := t.Cover; c != nil {
		cover = fields("material", coverName(c.Material), "thickness_mm", millimetres(c.ThicknessM), "above_water_mm",
			millimetres(c.AboveWaterM))
	}
	if h := sc.Ambient.Hood; h != nil {
		hood = fields("length_mm", millimetres(h.LengthM), "width_mm", millimetres(h.WidthM), "height_mm",
			millimetres(h.HeightM))
	}
	if light.Driver.Name != "" || light.Strings > 0 || light.HoursPerDay > 0 {
		wiring = fields("driver", light.Driver.Name, "strings", light.Strings, "string_v", roundTo(sc.StringV(),
			0.001), "hours_per_day", light.HoursPerDay)
	}
	if g := sc.Goal; g.Set() {
		goal = fields("plane", g.Plane.Name, "depth_mm", millimetres(g.Plane.DepthM), "illuminance_lx", g.IlluminanceLx,
			"ppfd_umol_m2_s", roundTo(g.PPFD, 1e-9), "dli_mol_m2_day", roundTo(g.DLI, 1e-9), "min_over_mean",
			g.Uniformity)
	}
	if t.Water.HalfDepthM > 0 {
		halfDepth = millimetres(t.Water.HalfDepthM)
	}
	return fields("title", sc.Title,
		"tank", fields("length_mm", millimetres(t.LengthM), "width_mm", millimetres(t.WidthM), "height_mm",
			millimetres(t.HeightM),
			"walls", fields("front", wallFields(w.Front), "back", wallFields(w.Back), "left", wallFields(w.Left),
				"right", wallFields(w.Right)),
			"floor_reflectance", t.FloorReflectance, "cover", cover, "obstacles", obstacleNames(t)),
		"water", fields("kind", t.Water.Kind.Name, "half_depth_mm", halfDepth, "depth_mm", millimetres(t.Water.DepthM),
			"temperature_c", t.Water.TemperatureC, "salinity_g_per_kg", t.Water.SalinityGPerKg),
		"rails", railFields(sc.Rails), "modules", len(sc.Seats()),
		"light", fields("junction_c", scene.ColdJunctionC, "dies_lm", roundTo(f.DiesLm, 0.001), "after_optics_lm",
			roundTo(f.OpticsLm, 0.001),
			"modules_w", roundTo(f.PowerW, 0.0001)),
		"wiring", wiring, "goal", goal, "ambient", fields("air_c", sc.Ambient.AirC, "hood", hood))
}

func railFields(rails []scene.Rail) answer.Table {
	t := answer.Table{Columns: []answer.Column{{Key: "name"}, {Key: "profile"}, {Key: "length_mm"}, {Key: "left_mm"},
		{Key: "y_mm"}, {Key: "above_water_mm"}, {Key: "tilt_deg"}, {Key: "modules"}}}
	for _, r := range rails {
		groups := answer.Table{Columns: []answer.Column{{Key: "count"}, {Key: "part"}, {Key: "optic"},
			{Key: "beam_deg"}, {Key: "current_ma"}}}
		for _, g := range alikeModules(r) {
			groups.Rows = append(groups.Rows, []any{g.count, g.part, g.optic, g.beamDeg, g.currentMA})
		}
		t.Rows = append(t.Rows, []any{r.Name, r.Profile.Name, millimetres(r.LengthM), millimetres(r.LeftM),
			millimetres(r.YM), millimetres(r.AboveWaterM), degrees(r.TiltRad), groups})
	}
	return t
}

// moduleGroup is all modules of a rail that are alike.
type moduleGroup struct {
	count              int
	part, optic        string
	beamDeg, currentMA float64
}

// alikeModules returns the groups of a rail in the order in which they first appear.
func alikeModules(r scene.Rail) (list []moduleGroup) {
	for _, m := range r.Modules {
		g := moduleGroup{count: 1, part: m.Part.Name, optic: m.Optic.Name, beamDeg: degrees(m.Optic.BeamRad),
			currentMA: roundTo(m.CurrentA*1000, 1e-6)}
		i := slices.IndexFunc(list, func(h moduleGroup) bool { h.count = 1; return h == g })
		if i < 0 {
			list = append(list, g)
		} else {
			list[i].count++
		}
	}
	return list
}

func obstacleNames(t scene.Tank) []string {
	names := []string{}
	for _, o := range t.Obstacles {
		names = append(names, o.Name)
	}
	return names
}

// wallKind names a wall; pane is true for those whose reflectance follows from the angle.
func wallKind(w scene.Wall) (name string, pane bool) {
	switch w.Kind {
	case scene.AcrylicWall:
		return "acrylic", true
	case scene.DiffuseWall:
		return "diffuse", false
	case scene.MirrorWall:
		return "mirror", false
	}
	return "glass", true
}

func wallFields(w scene.Wall) answer.Answer {
	name, pane := wallKind(w)
	return fields("kind", name, "reflectance", optional(w.Reflectance, !pane))
}

func wallText(w scene.Wall) string {
	name, pane := wallKind(w)
	if pane {
		return name
	}
	return name + " " + number(w.Reflectance)
}

func coverName(m scene.CoverMaterial) string {
	switch m {
	case scene.LowIronGlass:
		return "low-iron glass"
	case scene.Acrylic:
		return "acrylic"
	}
	return "glass"
}

func waterText(w scene.Water) string {
	if w.HalfDepthM == 0 {
		return w.Kind.Name
	}
	return fmt.Sprintf("measured (half the light left at %s mm)", tenthMM(w.HalfDepthM))
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
	where := tenthMM(g.Plane.DepthM) + " mm down"
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
