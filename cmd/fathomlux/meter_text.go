package main

import (
	"fmt"
	"io"
	"math"
	"strings"

	"fathomlux/optics/result"
)

// meterJSON is the answer of meter as JSON. Intervals are of 95 % confidence.
type meterJSON struct {
	Scene       string        `json:"scene"`
	Readings    string        `json:"readings"`
	Out         string        `json:"out"`
	Engine      string        `json:"engine"`
	NewScene    string        `json:"new_scene"`
	FluxFactor  float64       `json:"flux_factor"` // of the new scene
	Factor      intervalJSON  `json:"light_over_scene"`
	Clarity     *clarityJSON  `json:"clarity"`    // null where it was not fitted
	NoClarity   string        `json:"no_clarity"` // why not
	Sensors     []sensorJSON  `json:"sensors"`
	Scatter     float64       `json:"scatter_percent"`
	Stated      float64       `json:"stated_error_percent"`
	LeaveOneOut float64       `json:"leave_one_out_percent"`
	Before      float64       `json:"before_percent"`
	Dof         int           `json:"degrees_of_freedom"`
	Outliers    int           `json:"left_out"`
	List        []readingJSON `json:"list"`
	Verdict     string        `json:"verdict"`
	Notes       []string      `json:"notes"`
	Files       []string      `json:"files"`
}

type intervalJSON struct {
	Value float64 `json:"value"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
}

// clarityJSON is the extra absorption of the water. AtLimit tells that it came out as clear as pure water.
type clarityJSON struct {
	Value   float64 `json:"extra_absorption_per_m"`
	Low     float64 `json:"low_per_m"`
	High    float64 `json:"high_per_m"`
	Was     float64 `json:"was_per_m"`
	AtLimit bool    `json:"at_limit"`
}

type sensorJSON struct {
	Name     string       `json:"name"`
	Readings int          `json:"readings"`
	Factor   intervalJSON `json:"factor"`
}

type readingJSON struct {
	Line        int     `json:"line"`
	XMM         float64 `json:"x_mm"`
	YMM         float64 `json:"y_mm"`
	DepthMM     float64 `json:"depth_mm"`
	Sensor      string  `json:"sensor"`
	Unit        string  `json:"unit"`
	Measured    float64 `json:"measured"`
	Before      float64 `json:"computed_before"`
	Fitted      float64 `json:"computed_fitted"`
	Residual    float64 `json:"residual_percent"`
	Studentised float64 `json:"studentised"`
	Outlier     bool    `json:"left_out"`
	Note        string  `json:"note"`
}

func printMeter(s streams, o meterOptions, a meterAnswer) error {
	if o.json {
		return writeJSON(s.Out, meterJSONOf(o, a))
	}
	var b strings.Builder
	if !o.quiet {
		writeMeter(&b, a.fit)
	}
	fmt.Fprintln(&b, a.fit.Verdict)
	if !o.quiet {
		for _, n := range a.fit.Notes {
			fmt.Fprintf(&b, "note: %s\n", n)
		}
		writeWrote(&b, a.dir, a.files)
		for _, line := range (situation{}).at("meter") {
			fmt.Fprintf(&b, "caution: %s\n", line)
		}
	}
	_, err := io.WriteString(s.Out, b.String())
	return err
}

// writeMeter writes the fitted values in lines.
func writeMeter(w io.Writer, f *result.Fit) {
	fmt.Fprintf(w, "%s: %s", titleOr(f.Title), several(len(f.Readings), "reading"))
	if f.Outliers > 0 {
		fmt.Fprintf(w, ", %d of them left out", f.Outliers)
	}
	fmt.Fprintln(w)
	rows := [][]string{{"95 % intervals", "value", "from", "to"}}
	row := func(name string, v result.Interval, format string) {
		rows = append(rows, []string{name, fmt.Sprintf(format, v.Value), fmt.Sprintf(format, v.Low), fmt.Sprintf(format, v.High)})
	}
	if len(f.Sensors) > 1 {
		for _, one := range f.Sensors {
			row("light over the scene's by "+one.Name, one.Factor, "%.3f")
		}
	}
	row("light over the scene's", f.Factor, "%.3f")
	scale := f.FluxFactor / f.Factor.Value
	row("flux_factor of the new scene", result.Interval{Value: f.FluxFactor, Low: scale * f.Factor.Low, High: scale * f.Factor.High}, "%.3f")
	if f.Clarity {
		row("extra_absorption of the water, 1/m", f.ExtraPerM, "%.3f")
	}
	writeTable(w, rows)
	fmt.Fprintf(w, "  one reading scatters by %.1f %% about the fit (stated: %.1f %%), lies %.1f %% off when predicted from the others, and lay %.1f %% off before\n",
		100*f.Scatter, 100*f.Stated, 100*f.LeaveOneOut, 100*f.Before)
}

func meterJSONOf(o meterOptions, a meterAnswer) meterJSON {
	f := a.fit
	percent := func(v float64) float64 { return roundTo(100*v, 1e-4) }
	out := meterJSON{Engine: o.engine, Scene: o.scene, Readings: o.readings, Out: a.dir, NewScene: fittedName(o.scene), FluxFactor: a.fit.FluxFactor, Factor: intervalJSON(f.Factor),
		NoClarity: f.NoClarity, Scatter: percent(f.Scatter), Stated: percent(f.Stated), LeaveOneOut: percent(f.LeaveOneOut), Before: percent(f.Before), Dof: f.Dof,
		Outliers: f.Outliers, Verdict: f.Verdict, Notes: append([]string{}, f.Notes...)}
	if f.Clarity {
		out.Clarity = &clarityJSON{Value: f.ExtraPerM.Value, Low: f.ExtraPerM.Low, High: f.ExtraPerM.High, Was: f.WasPerM, AtLimit: f.Clearest}
	}
	for _, one := range f.Sensors {
		out.Sensors = append(out.Sensors, sensorJSON{Name: one.Name, Readings: one.Readings, Factor: intervalJSON(one.Factor)})
	}
	for _, r := range f.Readings {
		unit := "lx"
		if r.Photons {
			unit = "umol/m2/s"
		}
		out.List = append(out.List, readingJSON{Line: r.Line, XMM: millimetres(r.XM), YMM: millimetres(r.YM), DepthMM: millimetres(r.DepthM), Sensor: f.Sensors[r.Sensor].Name,
			Unit: unit, Measured: r.Measured, Before: r.Computed, Fitted: r.Fitted, Residual: percent(r.Residual), Studentised: math.Round(1e4*r.Studentised) / 1e4, Outlier: r.Outlier, Note: r.Note})
	}
	for _, file := range a.files {
		out.Files = append(out.Files, file.Name)
	}
	return out
}
