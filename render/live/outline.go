package live

import (
	"cmp"
	"fmt"
	"net/http"
	"strconv"

	"fathomlux/optics/result"
	"fathomlux/render/plan"
	"fathomlux/render/style"
	"fathomlux/scene"
	"fathomlux/scene/document"
	"fathomlux/scene/edit"
	"fathomlux/scene/finding"
	"fathomlux/scene/form"
	"fathomlux/scene/key"
	"fathomlux/scene/parts"
	"fathomlux/scene/space"
	"fathomlux/scene/unit"
)

// object is a mapping of a JSON text. The wire has SI units, as keys end; the page turns them into mm, degrees and mA.
type object = map[string]any

// outline tells what a page draws and offers, of the version that it asks for, or else of what the file holds. Texts are
// for people and may hold anything.
func (h *Handler) outline(w http.ResponseWriter, r *http.Request) {
	name := cmp.Or(r.FormValue("file"), h.config.First)
	holds, other := h.holds(name)
	number, _ := strconv.ParseInt(r.FormValue("version"), 10, 64) // 0, which is no version, where it is none
	v := cmp.Or(h.version(number), holds)
	switch {
	case v == nil && other != nil:
		answer(w, other)
		return
	case v == nil:
		http.Error(w, "there is no scene yet", http.StatusServiceUnavailable)
		return
	}
	o := h.outlineOf(v, name)
	if f := h.config.Files; f != nil {
		o["save_as"] = f.Free(name)
		if draft, at := h.draftOf(name, holds); draft != nil {
			o["draft"] = object{"version": draft.number, "at": at}
		}
	}
	answer(w, o)
}

// outlineOf is the outline of a version with its state, on the page of a file.
func (h *Handler) outlineOf(v *version, name string) object {
	o := outlineOf(v.scene)
	o["state"], o["disk"], o["things"] = State{v.number, edit.SettingOf(v.scene)}, h.onDisk(name), thingsOf(v.scene)
	o["has_report"], o["has_sheets"] = h.config.Report != nil, h.config.Sheet != nil
	o["file"], o["eyes"] = name, append([]Choice{}, h.config.Eyes...)
	return o
}

// each makes a list of what a function makes of each of some things, empty but never nil.
func each[T any](list []T, of func(T) object) []object {
	all := make([]object, len(list))
	for i, one := range list {
		all[i] = of(one)
	}
	return all
}

func outlineOf(sc *scene.Scene) object {
	t, g := sc.Tank, sc.Goal
	var cover any
	if c := t.Cover; c != nil { // above the water
		cover = object{"from_m": c.AboveWaterM, "to_m": c.AboveWaterM + c.ThicknessM}
	}
	colours := []string{}
	for _, c := range style.Light().Table() {
		colours = append(colours, fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B))
	}
	plane := "floor"
	if g.Set() {
		plane = document.Visible(g.Plane.Name)
	}
	return object{"file": document.Visible(sc.File), "title": document.Visible(sc.Title),
		"length_m": t.LengthM, "width_m": t.WidthM, "height_m": t.HeightM,
		"cover": cover, "plane": plane, "inches": sc.Units() == unit.US,
		"named_plane": plane == "surface" || plane == "mid" || plane == "floor", // its name is not just its depth
		"goal": object{"set": g.Set(), "lux": g.IlluminanceLx, "ppfd": g.PPFD, "dli": g.DLI, "uniformity": g.Uniformity,
			"photons": g.Photons()},
		"half_depth": t.Water.HalfDepthM > 0, // the water's loss was measured, whatever its kind
		"colours":    colours, "controls": controls(), "rails": each(sc.Rails, railOf),
		"channels": groupsOf(sc, sc.Wiring.Channels, func(c scene.Channel) string { return c.Name }, sc.Dimmed),
		"drivers":  groupsOf(sc, sc.Wiring.Supplies, func(s scene.Supply) string { return s.Name }, sc.Fed),
		"knots":    knotsOf(sc),
		"feed":     object{"driver": sc.Wiring.Driver.Name, "strings": sc.Wiring.Strings},
		"boxes": each(t.Obstacles, func(o scene.Obstacle) object {
			return object{"name": document.Visible(o.Name), "low_m": corner(o.Box.Min), "high_m": corner(o.Box.Max)}
		}),
		"outline_m": corners(t.Outline.Corners), "solids": each(t.Things, func(one scene.Thing) object {
			return object{"name": document.Visible(one.Name), "seen_m": lines(plan.Seen(&one))}
		}),
		"floating": floatingOf(t), "plants": each(t.Plants, func(p scene.Plant) object {
			return object{"name": document.Visible(p.Name), "low_m": corner(p.Box.Min), "high_m": corner(p.Box.Max)}
		}),
		"parts": each(parts.Names(sc.Catalogue.Modules), func(name string) object {
			low, high := sc.Catalogue.Modules[name].CurrentRange()
			return object{"name": name, "low_a": low, "high_a": high}
		}),
		"optics": each(parts.Names(sc.Catalogue.Optics), func(name string) object {
			p := sc.Catalogue.Optics[name]
			widest := max(p.BeamRad, p.BeamAcrossRad, p.FieldRad, p.FieldAcrossRad)
			return object{"name": p.Name, "beam_rad": p.BeamRad, "widest_rad": widest, "measured": p.File != ""}
		}),
		"waters": each(parts.Names(sc.Catalogue.Waters), func(name string) object {
			w := t.Water
			if name != w.Kind.Name { // the scene's own one has the scene's own numbers
				w.Kind = sc.Catalogue.Waters[name]
			}
			return object{"name": name, "low_extra_per_m": w.LowestExtraPerM()}
		})}
}

// floatingOf is where leaves float and the share of it that they hide now; nil where none do.
func floatingOf(t scene.Tank) any {
	_, now := t.LeavesNow()
	if now.CoverShare == 0 {
		return nil
	}
	return object{"share": now.CoverShare, "area_m": [4]float64{now.Area.FromXM, now.Area.FromYM, now.Area.ToXM, now.Area.ToYM}}
}

// groupsOf are drivers or channels with the modules of each, in the words of a scene file.
func groupsOf[T any](sc *scene.Scene, list []T, name func(T) string, seats func(int) []scene.Seat) []object {
	all := make([]object, len(list))
	for i, one := range list {
		all[i] = object{"name": document.Visible(name(one)), "modules": append([]string{}, sc.RunsByRail(seats(i))...)}
	}
	return all
}

// controls are the quantities that sliders change, each with its meaning and its range: those of the variables of a
// sweep, and the water's extra absorption.
func controls() object {
	extra := key.Water.Row("extra_absorption")
	all := object{"extra": control(extra.Meaning, nil, extra.Shape.Range.Low, extra.Shape.Range.High)}
	for _, v := range edit.Variables() {
		low, high := v.Span()
		all[v.Name] = control(v.About, v.Dimension, low, high)
	}
	return all
}

// keySuffix ends the key of a quantity on the wire.
var keySuffix = map[*unit.Dimension]string{unit.Length: "_m", unit.Current: "_a", unit.Angle: "_rad",
	unit.Level: "_share"}

func control(about string, d *unit.Dimension, low, high float64) object {
	return object{"about": about, "low" + keySuffix[d]: low, "high" + keySuffix[d]: high}
}

func corner(at space.Point) [3]float64 { return [3]float64{at.X, at.Y, at.Z} }

// corners are some on the wire, never nil.
func corners(list []form.Corner) [][2]float64 {
	all := make([][2]float64, len(list))
	for i, c := range list {
		all[i] = [2]float64{c.XM, c.YM}
	}
	return all
}

// lines are several of them.
func lines(list [][]form.Corner) [][][2]float64 {
	all := make([][][2]float64, len(list))
	for i, one := range list {
		all[i] = corners(one)
	}
	return all
}

func railOf(r scene.Rail) object {
	keepOuts := [][2]float64{}
	for _, k := range r.KeepOuts {
		keepOuts = append(keepOuts, [2]float64{k.FromM, k.ToM})
	}
	return object{"name": document.Visible(r.Name), "left_m": r.LeftM, "length_m": r.LengthM, "turn_rad": r.TurnRad,
		"profile": r.Profile.Name, "width_m": r.Profile.WidthM, "thickness_m": r.Profile.HeightM, "keep_outs_m": keepOuts,
		"modules": each(r.Modules, func(m scene.Module) object {
			low, high := m.Part.CurrentRange()
			return object{"part": m.Part.Name, "optic": m.Optic.Name, "length_m": m.Part.BoardLengthM, "turn_rad": m.TurnRad,
				"width_m": m.Part.BoardWidthM, "current_a": m.CurrentA, "low_a": low, "high_a": high}
		})}
}

// headOf is the part of an answer that is text. After it come numbers: lux of the plane, PPFD of the plane, lux of the
// slice, PPFD of the slice. The edges of the beams in the slice are x, z, x, z...
func headOf(g *result.Glance, sc *scene.Scene, system unit.System) object {
	p, shown, cut, goal := &g.Plane, shownOf(g), &g.Section, g.Goal
	dli := 0.0 // where the scene gives no hours
	if sc.Wiring.HoursPerDay > 0 {
		dli = p.DLI
	}
	rays := make([][]float64, len(cut.Rays))
	for i, ray := range cut.Rays {
		for _, at := range ray.Points {
			along := at.X
			if cut.Axis == result.AcrossY {
				along = at.Y
			}
			rays[i] = append(rays[i], along, at.Z)
		}
	}
	parts := each(goal.Parts, func(part result.GoalPart) object {
		s, a := part.Light.Of(goal.Shown), part.Area
		return object{"name": document.Visible(part.Label), "met": part.Met, "mean": s.Mean, "min": s.Min, "max": s.Max,
			"min_over_mean": s.MinOverMean, "area_m": [4]float64{a.FromXM, a.FromYM, a.ToXM, a.ToYM},
			"outlined": a != space.Area{} && part.DepthM == shown.DepthM}
	})
	if len(parts) == 1 && !goal.Parts[0].Named {
		parts = parts[:0] // all is said of the plane
	}
	where := plan.Cut{Tank: &sc.Tank, Section: cut}
	return object{
		"plane": object{"nx": shown.Field.Grid.NX, "ny": shown.Field.Grid.NY, "depth_m": shown.DepthM, "goals": shown == p,
			"lux": lightOf(shown.Illuminance, shown.Field.Illuminance), "ppfd": lightOf(shown.PPFD, shown.Field.PPFD),
			"dark": each(shown.DarkCorners, func(d result.DarkCorner) object {
				return object{"where": d.Where, "area_m": [4]float64{d.FromXM, d.FromYM, d.ToXM, d.ToYM}}
			})},
		"section": object{"n": cut.N, "nz": cut.NZ, "at_m": cut.AtM, "across": cut.Axis == result.AcrossY,
			"spans_m": where.Spans(), "floating_m": append([]float64{}, where.Floating()...), "ground_m": lines(where.Ground()), "solids_m": lines(where.Things()), "scale": scaleOf(style.CommonScale(cut.Illuminance)),
			"ppfd_scale": scaleOf(style.CommonScale(cut.PPFD)), "rays_m": rays},
		"lux": lightOf(p.Illuminance, p.Field.Illuminance), "ppfd": lightOf(p.PPFD, p.Field.PPFD), "dli": dli,
		"power_w": g.PowerW, "lumens_lm": g.LumensLm, "heat": g.Junctions.Words(), "verdict": g.Verdict.Sentence(system),
		"stripes": result.Stripes(g.MirroredShare).Sentence(system),
		"misfit":  goal.Unbuildable.Words(system), "misfit_code": codeOf(goal.Unbuildable),
		"goal": object{"quantity": goal.Shown.Name(), "level": goal.Level, "asked": goal.Asked, "met": goal.Met,
			"parts": parts, "missing": append([]string{}, finding.Lines(goal.Missing(), finding.Note, system)...)},
	}
}

// codeOf is the code of a finding, empty where there is none.
func codeOf(f finding.Finding) string {
	if !f.Any() {
		return ""
	}
	return f.Code.Name
}

// shownOf is the plane that a glance shows.
func shownOf(g *result.Glance) *result.Plane { return cmp.Or(g.Shown, &g.Plane) }

func lightOf(s result.Statistics, values []float64) object {
	return object{"mean": s.Mean, "min": s.Min, "max": s.Max, "min_over_mean": s.MinOverMean,
		"scale": scaleOf(style.ScaleFor(values))}
}

func scaleOf(s style.Scale) object { return object{"low": s.Low, "high": s.High, "ticks": s.Ticks} }
