package main

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/floats"

	"fathomlux/optics/result"
	"fathomlux/render"
	"fathomlux/render/answer"
	"fathomlux/scene"
	"fathomlux/scene/space"
	"fathomlux/scene/unit"
)

func lightFigure(q result.Quantity, v float64) string { return unit.Figure(v, q.Decimals(v)) }

func lightText(q result.Quantity, v float64) string { return lightFigure(q, v) + " " + q.Unit() }

// bothMeans writes the mean that the goal counts, and the other one in brackets.
func bothMeans(q result.Quantity, lux, ppfd float64) string {
	return fmt.Sprintf("%s (%s)", lightText(q, result.Of(q, lux, ppfd)),
		lightText(q.Other(), result.Of(q.Other(), lux, ppfd)))
}

// figured returns a writer of numbers with so many decimals, and more for small ones.
func figured(decimals int) func(float64) string {
	return func(v float64) string { return unit.Figure(v, decimals) }
}

func percent(share float64) string { return fmt.Sprintf("%.0f %%", 100*share) }

// lengthFigure is a length that people read in a system of units, and programs in mm.
func lengthFigure(key, title string, u unit.System, lengthM float64) answer.Figure {
	return answer.Figure{Key: key, Title: title, Unit: u.Name(), Value: millimetres(lengthM),
		Say: func(mm float64) string { return u.Figure(mm / 1000) }}
}

// lightFigures are the statistics of a light: for people those of the quantity shown, and the mean of the other one.
func lightFigures(shown result.Quantity, lux, ppfd result.Statistics) (list answer.Answer) {
	titles := []string{"min", "max", "U0 (min/mean)"}
	for _, q := range []result.Quantity{shown, shown.Other()} {
		s, of, ratio := result.Of(q, lux, ppfd), result.Of(q, "_lx", "_ppfd_umol_m2_s"), result.Of(q, "", "_ppfd")
		say := func(v float64) string { return lightFigure(q, v) }
		list = append(list, answer.Figure{Key: "mean" + of, Title: "mean", Unit: q.Unit(), Say: say, Value: s.Mean},
			answer.Figure{Key: "min" + of, Title: titles[0], Unit: q.Unit(), Say: say, Value: s.Min},
			answer.Figure{Key: "max" + of, Title: titles[1], Unit: q.Unit(), Say: say, Value: s.Max},
			answer.Figure{Key: "min_over_mean" + ratio, Title: titles[2], Say: unit.Ratio, Value: s.MinOverMean})
		titles = make([]string, len(titles))
	}
	return list
}

// dliFigure is the daily light, nothing where it is not known.
func dliFigure(dli float64, known bool) answer.Figure {
	return answer.Figure{Key: "dli_mol_m2_day", Title: "DLI", Unit: dliUnit, Say: figured(2),
		Value: optional(dli, known)}
}

// only returns the figures for some forms alone.
func only(in answer.Form, list answer.Answer) answer.Answer {
	for i, p := range list {
		f := p.(answer.Figure)
		f.In = in
		list[i] = f
	}
	return list
}

// candidateFigures are one candidate of a study in a quantity, with its values of the axes; more is told between its
// light and its power.
func candidateFigures(shown result.Quantity, axes []result.Axis, c result.Candidate,
	more ...answer.Part) answer.Answer {
	list := answer.Answer{answer.Figure{Key: "name", Title: "candidate", Value: c.Name}}
	var values answer.Answer
	for i, a := range axes {
		v, name := a.In(c.Values[i], unit.Metric)
		values = append(values, answer.Figure{Key: strings.TrimSuffix(a.Name+"_"+strings.ToLower(name), "_"),
			Value: roundTo(v, 1e-6)})
	}
	if len(axes) > 0 {
		list = append(only(answer.CSV, slices.Clone(values)), list[0], answer.Figure{Key: "values", Value: values,
			In: answer.JSON})
	}
	list = append(append(list, lightFigures(shown, c.Illuminance, c.PPFD)...), dliFigure(c.DLI, c.DLI > 0))
	return append(append(list, more...),
		answer.Figure{Key: "power_w", Title: "power", Unit: "W", Say: figured(1), Value: c.PowerW},
		answer.Figure{Key: "hottest_junction_c", Value: optional(c.Junctions.HighestC, c.Junctions.Warm)},
		answer.Figure{Key: "goal_met", Value: c.Goal.Met},
		answer.Figure{Key: "goal_parts", Value: partsData(c.Goal), In: answer.JSON},
		answer.Figure{Title: "goal", Value: goalWord(c.Goal)},
		answer.Figure{Key: "why_not", Value: c.WhyNot().Words(unit.Metric)})
}

// planeTable are the planes of a map, with the names of their files.
func planeTable(m *result.Map, sc *scene.Scene, look render.Look) answer.Table {
	var records []answer.Answer
	k, ending := m.Maintenance, "."+string(look.Format)
	_, photons := sc.Goal.Asks()
	for i := range m.Planes {
		p, dark := &m.Planes[i], 0.0
		for _, c := range p.DarkCorners {
			dark += c.AreaShare
		}
		record := append(answer.Answer{answer.Figure{Key: "name", Title: "plane", Value: p.Name},
			lengthFigure("depth_mm", "depth", look.Units, p.DepthM)},
			only(answer.People, lightFigures(m.Goal.Shown, p.Illuminance, p.PPFD))...)
		record = append(record, dliFigure(p.DLI, sc.Wiring.HoursPerDay > 0),
			answer.Figure{Title: "dark", Value: dark, Say: percent})
		name, lux, ppfd := render.PlaneFileName(p.Name), p.Illuminance, p.PPFD
		maintained := fields("mean_lx", lux.Mean*k, "min_lx", lux.Min*k, "max_lx", lux.Max*k, "mean_ppfd_umol_m2_s",
			ppfd.Mean*k, "dli_mol_m2_day", p.DLI*k)
		record = append(append(record, planeData(p, sc.Goal)...), fields("csv", name+".csv", "png", name+ending,
			"maintained", optional(maintained, k < 1))...)
		if photons {
			record = append(record, fields("ppfd_png", name+"-ppfd"+ending)...)
		}
		records = append(records, record)
	}
	return answer.Rows("planes", "Light on horizontal planes", records...)
}

// planeData are the figures of a plane for programs, but for its name and depth. The standard error of a cell is the
// root mean square over all; both errors are null where nothing was traced.
func planeData(p *result.Plane, goal scene.Goal) answer.Answer {
	g := p.Field.Grid
	part, own := goal.On(p.DepthM)
	own = own && part.Area == space.Area{}
	statistics := func(s result.Statistics, of string, asked bool) answer.Answer {
		return fields("mean"+of, s.Mean, "min"+of, s.Min, "max"+of, s.Max, "min_over_mean", s.MinOverMean,
			"min_over_max", s.MinOverMax, "cv", s.CV, "p05"+of, s.P05, "p95"+of, s.P95,
			"share_above_goal", optional(s.ShareAboveGoal, asked && own))
	}
	traced := len(p.ErrorLx)
	errors := fields("mean_lx", p.MeanErrorLx, "cell_lx", floats.Norm(p.ErrorLx, 2)/math.Sqrt(float64(traced)))
	return fields("grid", fields("nx", g.NX, "ny", g.NY, "step_mm", millimetres(max(g.StepXM, g.StepYM)),
		"step_x_mm", millimetres(g.StepXM), "step_y_mm", millimetres(g.StepYM),
		"lowest_over_mm", millimetres(g.LowestM())), // step_mm is the larger of both
		"illuminance", statistics(p.Illuminance, "_lx", part.IlluminanceLx > 0),
		"ppfd", statistics(p.PPFD, "_umol_m2_s", part.PPFD > 0 || part.DLI > 0),
		"standard_error", optional(errors, traced > 0),
		"dark_limit"+result.Of(p.Shown, "_lx", "_umol_m2_s"), p.DarkLimit,
		"photon_flux_umol_s", p.PhotonFlux(), // downwards through the plane
		"obstacles_share", p.Field.Solid.Share(), // of the cells, which no figure counts
		"dark_corners", darkTable(p, unit.Metric))
}

func darkTable(p *result.Plane, u unit.System) answer.Table {
	pair := func(from, to float64) []float64 { return []float64{millimetres(from), millimetres(to)} }
	columns := []answer.Column{{Key: "where", Title: "where"}, {Title: "x"}, {Title: "y"}, {Key: "x_mm"}, {Key: "y_mm"},
		{Key: "area_share", Title: "share of the area", Say: percent},
		{Key: result.Of(p.Shown, "", "lowest_umol_m2_s"), Title: "lowest", Unit: p.Shown.Unit(),
			Say: func(v float64) string { return lightFigure(p.Shown, v) }}, {Key: "lowest_lx"}, {Title: "lowest at"}}
	t := answer.TableOf("", columns, p.DarkCorners, func(c result.DarkCorner) []any {
		return []any{c.Place(u), u.Span(c.FromXM, c.ToXM), u.Span(c.FromYM, c.ToYM), pair(c.FromXM, c.ToXM),
			pair(c.FromYM, c.ToYM), c.AreaShare, c.Lowest, c.LowestLx,
			fmt.Sprintf("x %s, y %s", u.Length(c.LowestXM), u.Length(c.LowestYM))}
	})
	t.Title = "Dark corners, " + cmp.Or(p.DarkIn, p.Name) + ": below " + lightText(p.Shown, p.DarkLimit)
	return t
}

// balanceData is a flux balance for programs; ends with a title are those of people.
func balanceData(b result.FluxBalance) (list answer.Answer) {
	for _, f := range []answer.Figure{{Key: "emitted", Value: b.Emitted}, {Key: "optic", Title: "optics", Value: b.Optic},
		{Key: "cover", Title: "cover", Value: b.Cover}, {Key: "spill", Title: "spill", Value: b.Spill},
		{Key: "surface", Title: "surface reflection", Value: b.Surface},
		{Key: "water", Title: "absorbed in water", Value: b.Water}, {Key: "walls", Title: "walls", Value: b.Walls},
		{Key: "floor", Title: "absorbed by the floor", Value: b.Floor},
		{Key: "obstacles", Title: "obstacles", Value: b.Obstacles},
		{Key: "leaves", Title: "leaves", Value: b.Leaves},
		{Key: "returned", Title: "back out of the water", Value: b.Returned}, {Key: "entered", Value: b.Entered},
		{Key: "unfollowed", Title: "reflected, not followed", Value: b.Unfollowed}} {
		list = append(list, f)
	}
	return list
}

// balanceTable says where the light ends up, in lumens or, where the goal counts photons, in these with lumens beside
// them, the largest share first; what would read as nothing is left out.
func balanceTable(m *result.Map) answer.Table {
	b, photons := m.Balance, m.Goal.Shown == result.PPFD
	t := answer.Table{In: answer.Page,
		Columns: []answer.Column{{Title: "where"}, {Title: "flux", Unit: "lm"}, {Title: "share", Unit: "%", Digits: 1}}}
	if photons {
		b = m.Photons
		t.Columns = append(t.Columns, t.Columns[1])
		t.Columns[1] = answer.Column{Title: "photons", Unit: "µmol/s", Digits: 2}
	}
	t.Title = "Where the " + emittedText(m) + " of the LEDs end up"
	lumens := balanceData(m.Balance)
	for i, p := range balanceData(b) {
		f := p.(answer.Figure)
		if v := f.Value.(float64); f.Title != "" && v >= 0.0005*b.Emitted {
			row := []any{f.Title, v, 100 * v / b.Emitted}
			if photons {
				row = append(row, lumens[i].(answer.Figure).Value)
			}
			t.Rows = append(t.Rows, row)
		}
	}
	slices.SortStableFunc(t.Rows, func(x, y []any) int { return cmp.Compare(y[1].(float64), x[1].(float64)) })
	return t
}

// emittedText says what the LEDs give, in the quantity of the goal.
func emittedText(m *result.Map) string {
	lm := unit.Figure(m.Balance.Emitted, 0) + " lm"
	if m.Goal.Shown == result.PPFD {
		return unit.Figure(m.Photons.Emitted, 1) + " µmol/s (" + lm + ")"
	}
	return lm
}

// kindTable is how the modules of each spectrum share the photons of a plane; no rows where all are of one.
func kindTable(m *result.Map) answer.Table {
	columns := []answer.Column{{Key: "spectrum", Title: "spectrum"}, {Key: "modules", Title: "modules"},
		{Key: "mean_lx", Title: "mean", Unit: "lx", Say: figured(0)},
		{Key: "mean_ppfd_umol_m2_s", Title: "mean", Unit: ppfdUnit, Say: figured(1)},
		{Key: "share_from", Title: "least share", Say: percent}, {Key: "share_to", Title: "greatest share", Say: percent}}
	t := answer.TableOf("by_spectrum", columns, m.Kinds, func(k result.Kind) []any {
		return []any{k.Name, k.Modules, k.Illuminance.Mean, k.PPFD.Mean, k.Shares.Min, k.Shares.Max}
	})
	t.Title = "Light by spectrum, plane " + m.KindsPlane
	return t
}

// faceTable is the light on the faces of the things in the tank; no rows where there are none.
func faceTable(m *result.Map, u unit.System) answer.Table {
	columns := []answer.Column{{Key: "thing", Title: "thing"}, {Key: "face", Title: "face"}, {Title: "heights"},
		{Key: "from_mm"}, {Key: "to_mm"}, {Key: "area_cm2", Title: "area", Unit: "cm²", Say: figured(0)},
		{Key: "mean_lx", Title: "mean", Unit: "lx", Say: figured(0)},
		{Key: "min_lx", Title: "min", Unit: "lx", Say: figured(0)},
		{Key: "mean_ppfd_umol_m2_s", Title: "mean", Unit: ppfdUnit, Say: figured(1)},
		{Key: "min_ppfd_umol_m2_s", Title: "min", Unit: ppfdUnit, Say: figured(1)}, {Key: "standard_error_lx"}}
	t := answer.TableOf("things", columns, m.Faces, func(f result.Face) []any {
		return []any{f.Thing, f.Name, u.Span(f.FromM, f.ToM), millimetres(f.FromM), millimetres(f.ToM), 1e4 * f.AreaM2,
			f.MeanLx, f.LeastLx, f.MeanPPFD, f.LeastPPFD, f.ErrorLx}
	})
	t.Title = "Light on the faces of things"
	return t
}

func junctionsData(j result.Junctions) answer.Answer {
	return fields("at_operating_temperature", j.Warm, "lowest_c", optional(j.LowestC, j.Warm),
		"highest_c", optional(j.HighestC, j.Warm), "relative_flux", j.RelativeFlux, "too_hot", j.TooHot.Words(unit.Metric))
}

func junctionsText(j result.Junctions) string {
	if !j.Warm {
		return "rated flux, at the parts' test temperature"
	}
	return fmt.Sprintf("%s, %.1f %% of the rated flux", strings.TrimPrefix(j.Words(), "junctions at "), 100*j.RelativeFlux)
}

// tracingData says how photons were traced; nil where none were. The cells' error is the root mean square of their
// standard errors over the mean, of the worst plane.
func tracingData(t *result.Tracing) any {
	if t == nil {
		return nil
	}
	return fields("photons", t.Photons, "seed", t.Seed, "cell_error", t.Error, "interrupted", t.Interrupted)
}

func colourFigures(c result.Colour, b result.Bands) answer.Answer {
	number := func(decimals int) func(float64) string {
		return func(v float64) string { return fmt.Sprintf("%.*f", decimals, v) }
	}
	temperature, duv, ra := "none", "-", "-"
	if c.Temperate {
		temperature, duv = fmt.Sprintf("%.0f", c.CCTK), fmt.Sprintf("%.4f", c.Duv)
	}
	if c.White {
		ra = fmt.Sprintf("%.0f", c.Ra)
	}
	return answer.Answer{
		answer.Figure{Key: "chromaticity_x", Title: "x", Say: number(4), Value: roundTo(c.X, 1e-5)},
		answer.Figure{Key: "chromaticity_y", Title: "y", Say: number(4), Value: roundTo(c.Y, 1e-5)},
		answer.Figure{Key: "cct_k", Value: optional(math.Round(c.CCTK), c.Temperate)},
		answer.Figure{Title: "colour temperature K", Value: temperature},
		answer.Figure{Key: "duv", Value: optional(roundTo(c.Duv, 1e-5), c.Temperate)},
		answer.Figure{Title: "Duv", Value: duv},
		answer.Figure{Key: "ra", Value: optional(roundTo(c.Ra, 0.1), c.White)}, answer.Figure{Title: "Ra", Value: ra},
		answer.Figure{Key: "r9", Value: optional(roundTo(c.R9, 0.1), c.White)},
		answer.Figure{Key: "blue", Title: "photons 400 to 500 nm", Say: percent, Value: b.Blue},
		answer.Figure{Key: "green", Title: "500 to 600 nm", Say: percent, Value: b.Green},
		answer.Figure{Key: "red", Title: "600 to 700 nm", Say: percent, Value: b.Red}}
}

// colourTable is what the light on the planes looks like; no rows where unlike spectra share none of them.
func colourTable(m *result.Map, u unit.System) answer.Table {
	var records []answer.Answer
	for _, c := range m.Colours {
		mixed, away := len(m.Kinds) > 1, "-"
		if mixed {
			away = fmt.Sprintf("%.0f steps at x %s, y %s", c.StepsMost, u.Length(c.MostXM), u.Length(c.MostYM))
		}
		record := append(answer.Answer{answer.Figure{Key: "plane", Title: "plane", Value: c.Plane}},
			colourFigures(c.Colour, c.Bands)...)
		records = append(records, append(record,
			answer.Figure{Key: "steps_most", Value: optional(roundTo(c.StepsMost, 0.01), mixed)},
			answer.Figure{Key: "steps_most_at_mm", Value: optional([]float64{millimetres(c.MostXM), millimetres(c.MostYM)},
				mixed)},
			answer.Figure{Title: "farthest from the mean", Value: away}))
	}
	return answer.Rows("colour", "Colour of the light", records...)
}

// glareParts are what dazzles the eye, what screens would hide it, and the light that comes to it.
func glareParts(sc *scene.Scene, g *result.Glare, u unit.System) answer.Answer {
	seats := sc.Seats()
	modules := answer.TableOf("modules_in_sight", []answer.Column{{Key: "module", Title: "module in sight"},
		{Key: "distance_mm"}, {Title: "distance"},
		{Key: "luminance_cd_m2", Title: "luminance", Unit: "cd/m²", Say: figured(0)}},
		g.Modules, func(m result.SeenModule) []any {
			return []any{sc.SeatName(seats[m.Module]), millimetres(m.DistanceM), u.Length(m.DistanceM), m.LuminanceCd}
		})
	modules.Title = "Modules in sight"
	name := func(s result.Screen) string { return cmp.Or(sc.Rails[s.Rail].Name, fmt.Sprintf("rail %d", s.Rail+1)) }
	screens := answer.TableOf("screens", keys("rail", "below_emitting_face_mm"), g.Screens, func(s result.Screen) []any {
		return []any{name(s), optional(millimetres(s.HeightM), s.HeightM > 0)}
	})
	screens.In = answer.JSON
	list := answer.Answer{modules, screens, fields("modules", g.All, "eye_lx_of_dies", g.DiesLx, "eye_lx_of_tank",
		g.TankLx)}
	say := func(title, words string) { list = append(list, answer.Figure{Title: title, Value: words}) }
	say("modules in sight", fmt.Sprintf("%d of %d", len(g.Modules), g.All))
	for _, s := range g.Screens {
		words := "none hides them: the eye is under the rail"
		if s.HeightM > 0 {
			words = u.Length(s.HeightM) + " below the emitting face hides them from here and from higher up"
		}
		say("screen along the edge of "+name(s), words)
	}
	say("light at the eye", fmt.Sprintf("%s lx from the dies in sight, %s lx from all else that they light, on a face "+
		"that looks where the eye looks; dies that glass or water mirror are left out", figured(1)(g.DiesLx),
		figured(1)(g.TankLx)))
	return list
}
