package main

import (
	"bytes"
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strings"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/render"
	"fathomlux/render/answer"
	"fathomlux/render/output"
	"fathomlux/scene"
	"fathomlux/scene/unit"
)

// placesAsked reads the places whose spectra are asked for; all that is wrong with them is told at once.
func (o mapOptions) placesAsked(sc *scene.Scene) (list []optics.NamedPoint, err error) {
	known := map[optics.Point]string{}
	var errs []error
	for _, text := range o.at {
		p, err := placeIn(sc, text)
		if before, ok := known[p.Point]; ok && err == nil {
			err = fmt.Errorf("%s and %s are the same place; give it once", before, p.Name)
		}
		if err != nil {
			errs = append(errs, fmt.Errorf("--at: %w", err))
			continue
		}
		known[p.Point] = p.Name
		list = append(list, p)
	}
	if len(o.at) > 0 && o.engine != string(optics.Full) {
		errs = append(errs, errors.New("--at: spectra are of all light; remove --engine"))
	}
	return list, errors.Join(errs...)
}

func placeIn(sc *scene.Scene, text string) (p optics.NamedPoint, err error) {
	words := strings.Split(text, ",")
	if len(words) != 3 {
		return p, fmt.Errorf("%.60q is not a place; write x, y and a plane as in \"400 mm, 200 mm, floor\"", text)
	}
	for i := range words {
		words[i] = strings.TrimSpace(words[i])
	}
	p.Name = strings.Join(words, ", ")
	for i, to := range []*float64{&p.X, &p.Y} {
		if *to, err = unit.Length.Parse(words[i]); err != nil {
			return p, err
		}
	}
	plane, err := sc.Tank.Plane(words[2])
	if err != nil {
		return p, err
	}
	p.DepthM = plane.DepthM
	return p, optics.CheckPlace(sc, p)
}

func (o mapOptions) placesLit(ctx context.Context, sc *scene.Scene, request optics.Options) ([]result.PlaceLight,
	error) {
	places, err := o.placesAsked(sc)
	if err != nil || len(places) == 0 {
		return nil, err
	}
	return optics.SpectraAt(ctx, sc, places, request)
}

// placeParts are the light at places, with their spectra for programs; nothing where none was asked for.
func placeParts(places []result.PlaceLight, look render.Look) answer.Answer {
	if len(places) == 0 {
		return nil
	}
	var records []answer.Answer
	for _, p := range places {
		record := answer.Answer{answer.Figure{Key: "name", Title: "place", Value: p.Name},
			answer.Figure{Key: "at_mm", Value: []float64{millimetres(p.XM), millimetres(p.YM)}},
			answer.Figure{Key: "depth_mm", Value: millimetres(p.DepthM)},
			answer.Figure{Key: "illuminance_lx", Title: "lx", Say: figured(0), Value: p.Lux},
			answer.Figure{Key: "ppfd_umol_m2_s", Title: ppfdUnit, Say: figured(1), Value: p.PPFD},
			answer.Figure{Key: "photons_700_to_750_umol_m2_s", Title: "700 to 750 nm, " + ppfdUnit, Say: figured(2),
				Value: p.FarRed}}
		record = append(append(record, colourFigures(p.Colour, p.Bands)...), fields("spectrum", fields("wavelength_nm", p.Nm,
			"irradiance_w_m2_nm", p.Power, "photons_umol_m2_s_nm", p.Photons))...)
		records = append(records, record)
	}
	return answer.Answer{answer.Rows("places", "Light at places", records...),
		fields("spectra_csv", "spectra.csv", "spectra_png", "spectra."+string(look.Format))}
}

// withSpectra adds the spectra at places, as a table and a picture, to files.
func withSpectra(ctx context.Context, files []output.File, places []result.PlaceLight, m *result.Map,
	look render.Look) ([]output.File, error) {
	if len(places) == 0 {
		return files, nil
	}
	t := answer.Table{Columns: keys("place", "wavelength_nm", "irradiance_w_m2_nm", "photons_umol_m2_s_nm")}
	for _, p := range places {
		for i, nm := range p.Nm {
			t.Rows = append(t.Rows, []any{p.Name, nm, p.Power[i], p.Photons[i]})
		}
	}
	pictures, err := render.Spectra(ctx, places, m, look)
	return slices.Concat(files, []output.File{csvFile("spectra.csv", t)}, pictures), err
}

// emitsTo refuses a name for the scene as plain text that leads to another folder.
func (o *mapOptions) emitsTo() error {
	if o.emit != "" && (!filepath.IsLocal(o.emit) || o.emit != filepath.Base(o.emit) || o.emit == ".") {
		return fmt.Errorf("--emit: %q is no plain file name; give one such as scene.txt, and the folder with --out", o.emit)
	}
	return nil
}

// outFiles are the files of a map with what was asked for beside it: spectra at places, and the scene as plain text.
func (o *mapOptions) outFiles(ctx context.Context, m *result.Map, sc *scene.Scene, look render.Look,
	places []result.PlaceLight) ([]output.File, error) {
	files, err := mapFiles(ctx, m, sc, look, o.cores())
	if err == nil {
		files, err = withSpectra(ctx, files, places, m, look)
	}
	if err != nil || o.emit == "" {
		return files, err
	}
	var b bytes.Buffer
	err = optics.Emit(&b, sc, o.cold, m.Planes)
	return append(files, output.File{Name: o.emit, Data: b.Bytes()}), err
}

// addFaces adds the faces that are asked for; that of the floor is the plane there.
func (o mapOptions) addFaces(sc *scene.Scene, request *optics.Options) error {
	for _, name := range o.faces {
		floor := scene.PlaneRef{Name: "floor", DepthM: sc.Tank.Water.DepthM}
		there := func(p scene.PlaneRef) bool { return math.Abs(p.DepthM-floor.DepthM) < 1e-9 }
		switch {
		case name != "floor":
			request.Walls = append(request.Walls, name)
		case len(request.Planes) > 0 && !slices.ContainsFunc(request.Planes, there):
			request.Planes = append(request.Planes, floor)
		}
		if slices.ContainsFunc(sc.Tank.Things, func(t scene.Thing) bool { return t.Name == name }) {
			return fmt.Errorf("--face: %.60q is a thing; the light on the faces of all things is in things.csv of every map",
				name)
		}
	}
	if err := request.CheckWalls(sc); err != nil {
		return fmt.Errorf("--face: %w", err)
	}
	return nil
}

// wallTable is the light on sides of the tank, with the names of their files.
func wallTable(m *result.Map, look render.Look) answer.Table {
	var records []answer.Answer
	for _, w := range m.Walls {
		name, g := render.FaceFileName(w.Name), w.Field.Grid
		record := append(answer.Answer{answer.Figure{Key: "name", Title: "face", Value: w.Name}},
			lightFigures(m.Goal.Shown, w.Illuminance, w.PPFD)...)
		records = append(records, append(record, fields("standard_error_lx", w.ErrorLx, "from", w.Ends[0], "to", w.Ends[1],
			"length_mm", millimetres(float64(g.NX)*g.StepXM), "height_mm", millimetres(float64(g.NY)*g.StepYM),
			"covered_share", w.Field.Solid.Share(), "csv", name+".csv", "png", name+"."+string(look.Format))...))
	}
	return answer.Rows("faces", "Light on faces of the tank", records...)
}

// toleranceGroup is what tolerances make of the goal's plane. Intervals hold 90 % of the samples; shares of the sources
// are of the variance, each acting alone.
func toleranceGroup(t *result.Tolerance, u unit.System) answer.Group {
	unitKey := result.Of(t.Shown, "_lx", "_umol_m2_s")
	intervals := answer.Table{Columns: []answer.Column{{Title: "built within tolerances, 90 %"}, {Title: "computed"},
		{Title: "from"}, {Title: "to"}}}
	parts := fields("plane", t.Plane, "part", optional(t.Place, t.Place != ""), "samples", t.Samples)
	row := func(key, title string, say func(float64) string, v result.Interval) {
		intervals.Rows = append(intervals.Rows, []any{cmp.Or(t.Place, t.Plane) + " " + title,
			say(v.Value), say(v.Low), say(v.High)})
		parts = append(parts, fields(key, interval(v))...)
	}
	light := func(v float64) string { return lightFigure(t.Shown, v) }
	row("mean"+unitKey, "mean, "+t.Shown.Unit(), light, t.Mean)
	row("min"+unitKey, "min, "+t.Shown.Unit(), light, t.Min)
	row("min_over_mean", "U0 (min/mean)", unit.Ratio, t.MinOverMean)
	from := "default tolerance"
	if len(t.Sources) > 0 && t.Sources[0].Given {
		from = "tolerance of the scene"
	}
	columns := []answer.Column{{Title: from}, {Key: "name"}, {Key: "limit"},
		{Key: "mean_share", Title: "share of the mean's variance", Say: percent}, {Key: "min_share"},
		{Key: "min_over_mean_share", Title: "of U0's", Say: percent}}
	sources := answer.TableOf("sources", columns, t.Sources, func(s result.ToleranceSource) []any {
		return []any{s.Name + " +/- " + s.Limit, s.Name, s.Limit, s.Shares[0], s.Shares[1], s.Shares[2]}
	})
	return answer.Group{Key: "tolerance", Parts: answer.Answer{parts, intervals,
		fields("goal_met_share", optional(t.GoalShare, t.GoalAsked)), sources,
		verdictParts(t.Verdict.Sentence(u)), foundParts(t.Notes, u)}}
}
