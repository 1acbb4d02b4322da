package main

import (
	"context"
	"errors"
	"fmt"
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

// placeIn reads a place in the water.
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

// placesLit computes the light at the places that are asked for.
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
			answer.Figure{Key: "photons_700_to_750_umol_m2_s", Title: "700 to 750 nm, " + ppfdUnit, Say: figured(2), Value: p.FarRed}}
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
