package live

import (
	"fmt"
	"net/http"
	"strconv"

	"fathomlux/render/style"
	"fathomlux/scene"
	"fathomlux/scene/document"
	"fathomlux/scene/edit"
	"fathomlux/scene/key"
	"fathomlux/scene/parts"
	"fathomlux/scene/space"
	"fathomlux/scene/unit"
)

// outline tells what a page draws and offers, of the version that it asks for, or of the newest one. Texts are for
// people and may hold anything.
func (h *Handler) outline(w http.ResponseWriter, r *http.Request) {
	number, _ := strconv.Atoi(r.FormValue("version")) // 0, which is no version, where it is none
	sc, ok := h.at(number)
	if !ok {
		number, _ = h.now()
		sc, ok = h.at(number)
	}
	if !ok {
		http.Error(w, "there is no scene yet", http.StatusServiceUnavailable)
		return
	}
	o := outlineOf(sc)
	o["state"], o["save_as"] = stateOf(number, edit.SettingOf(sc)), h.config.Name
	o["has_report"] = h.config.Report != nil
	writeJSON(w, o)
}

func outlineOf(sc *scene.Scene) object {
	t, g := sc.Tank, sc.Goal
	var cover any
	if c := t.Cover; c != nil { // above the water
		cover = object{"from_mm": thousand(c.AboveWaterM), "to_mm": thousand(c.AboveWaterM + c.ThicknessM)}
	}
	boxes, rails, optics, waters, colours := []object{}, []object{}, []object{}, []object{}, []string{}
	for _, b := range t.Obstacles {
		boxes = append(boxes, object{"name": document.Visible(b.Name), "low_mm": corner(b.Box.Min),
			"high_mm": corner(b.Box.Max)})
	}
	for _, r := range sc.Rails {
		rails = append(rails, railOf(r))
	}
	for _, name := range parts.Names(sc.Catalogue.Optics) {
		p := sc.Catalogue.Optics[name]
		widest := max(p.BeamRad, p.BeamAcrossRad, p.FieldRad, p.FieldAcrossRad)
		optics = append(optics, object{"name": p.Name, "beam_deg": tidy(p.BeamRad / radPerDeg),
			"widest_deg": tidy(widest / radPerDeg), "measured": p.File != ""})
	}
	for _, name := range parts.Names(sc.Catalogue.Waters) { // the scene's own one has the scene's own numbers
		w := t.Water
		if name != w.Kind.Name {
			w.Kind = sc.Catalogue.Waters[name]
		}
		waters = append(waters, object{"name": name, "low_extra_per_m": w.LowestExtraPerM()})
	}
	for _, c := range style.Light().Table() {
		colours = append(colours, fmt.Sprintf("#%02x%02x%02x", c.R, c.G, c.B))
	}
	plane := "floor"
	if g.Set() {
		plane = document.Visible(g.Plane.Name)
	}
	return object{"file": document.Visible(sc.File), "title": document.Visible(sc.Title),
		"length_mm": thousand(t.LengthM), "width_mm": thousand(t.WidthM), "height_mm": thousand(t.HeightM),
		"cover": cover, "boxes": boxes, "plane": plane,
		"named_plane": plane == "surface" || plane == "mid" || plane == "floor", // its name is not just its depth
		"goal": object{"set": g.Set(), "lux": g.IlluminanceLx, "ppfd": g.PPFD, "dli": g.DLI, "uniformity": g.Uniformity,
			"photons": g.Photons()},
		"half_depth": t.Water.HalfDepthM > 0, // the water's loss was measured, whatever its kind
		"rails":      rails, "optics": optics, "waters": waters, "colours": colours, "controls": controls()}
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

func control(about string, d *unit.Dimension, low, high float64) object {
	scale := 1.0
	switch d {
	case unit.Length, unit.Current:
		scale = 1000
	case unit.Angle:
		scale = 1 / radPerDeg
	}
	return object{"about": about, "low": tidy(low * scale), "high": tidy(high * scale)}
}

func corner(at space.Point) [3]float64 {
	return [3]float64{thousand(at.X), thousand(at.Y), thousand(at.Z)}
}

func railOf(r scene.Rail) object {
	keepOuts, modules := [][2]float64{}, []object{}
	for _, k := range r.KeepOuts {
		keepOuts = append(keepOuts, [2]float64{thousand(k.FromM), thousand(k.ToM)})
	}
	for _, m := range r.Modules {
		low, high := m.Part.CurrentRange()
		modules = append(modules, object{"part": m.Part.Name, "optic": m.Optic.Name,
			"length_mm": thousand(m.Part.BoardLengthM), "width_mm": thousand(m.Part.BoardWidthM),
			"current_ma": thousand(m.CurrentA), "low_ma": thousand(low), "high_ma": thousand(high)})
	}
	return object{"name": document.Visible(r.Name), "left_mm": thousand(r.LeftM), "length_mm": thousand(r.LengthM),
		"width_mm": thousand(r.Profile.WidthM), "thickness_mm": thousand(r.Profile.HeightM), "keep_outs_mm": keepOuts,
		"modules": modules}
}
