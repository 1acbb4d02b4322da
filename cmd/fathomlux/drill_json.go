package main

import (
	"io"
	"strings"

	"fathomlux/scene"
	"fathomlux/scene/drilling"
)

// inchesJSON is a length to the nearest 1/32 in, and how far that is off.
type inchesJSON struct {
	Text    string  `json:"in"`
	ErrorMM float64 `json:"error_mm"`
}

// drillRowJSON is a row of the table. The place across the rail is null where it means nothing; a module or a diameter of 0 is none.
type drillRowJSON struct {
	Mark       string      `json:"mark"`
	Module     int         `json:"module"`
	FromLeftMM float64     `json:"from_left_mm"`
	FromLeft   inchesJSON  `json:"from_left"`
	FromFront  *float64    `json:"from_front_mm"`
	FrontIn    *inchesJSON `json:"from_front"`
	DiameterMM float64     `json:"diameter_mm"`
	Note       string      `json:"note"`
}

// drillRailJSON is one rail of drill as JSON.
type drillRailJSON struct {
	Name     string         `json:"name"`
	Profile  string         `json:"profile"`
	LengthMM float64        `json:"length_mm"`
	WidthMM  float64        `json:"width_mm"`
	PDF      string         `json:"pdf"`
	SVG      string         `json:"svg"`
	CSV      string         `json:"csv"`
	Rows     []drillRowJSON `json:"rows"`
	Warnings []string       `json:"warnings"`
}

// drillJSON is the answer of drill as JSON.
type drillJSON struct {
	Scene    string          `json:"scene"`
	Out      string          `json:"out"`
	Paper    string          `json:"paper"`
	Rails    []drillRailJSON `json:"rails"`
	Cautions []string        `json:"cautions"`
}

func inchesOf(m float64) inchesJSON {
	in := drilling.NearestInches(m)
	return inchesJSON{Text: in.String(), ErrorMM: millimetres(in.ErrorM)}
}

func writeDrillJSON(w io.Writer, o drillOptions, dir string, list []drilled, sc *scene.Scene) error {
	out := drillJSON{Scene: o.scene, Out: dir, Paper: strings.ToLower(o.paper), Cautions: drillCautions(sc)}
	for _, d := range list {
		p := d.plan
		one := drillRailJSON{Name: p.Name, Profile: p.Profile, LengthMM: millimetres(p.LengthM), WidthMM: millimetres(p.WidthM),
			PDF: d.pdf, SVG: d.svg, CSV: d.csv, Warnings: append([]string{}, p.Warnings...)}
		if words := unshownWords(p.Name); words != "" {
			one.Warnings = append(one.Warnings, words)
		}
		for _, r := range p.Rows() {
			row := drillRowJSON{Mark: string(r.Mark), Module: r.Module, FromLeftMM: millimetres(r.FromLeftM), FromLeft: inchesOf(r.FromLeftM),
				DiameterMM: millimetres(r.DiameterM), Note: r.Note}
			if r.HasFront() {
				mm, in := millimetres(r.FromFrontM), inchesOf(r.FromFrontM)
				row.FromFront, row.FrontIn = &mm, &in
			}
			one.Rows = append(one.Rows, row)
		}
		out.Rails = append(out.Rails, one)
	}
	return encodeJSON(w, out)
}
