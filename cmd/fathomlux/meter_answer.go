package main

import (
	"fmt"

	"fathomlux/optics/result"
	"fathomlux/render/answer"
	"fathomlux/render/output"
	"fathomlux/scene/unit"
)

// answer is what meter answers. Intervals are of 95 % confidence.
func (o *meterOptions) answer(f *result.Fit, files []output.File) answer.Answer {
	percent := func(key, title string, share float64) answer.Figure {
		return answer.Figure{Key: key, Title: title, Unit: "%", Digits: 1, Value: roundTo(100*share, 1e-4)}
	}
	about := unit.Several(len(f.Readings), "reading")
	if f.Outliers > 0 {
		about += fmt.Sprintf(", %d of them left out", f.Outliers)
	}
	return answer.Answer{fields("readings", o.args[1], "files", fileNames(files),
		"new_scene", nameWith(o.scene(), "fitted"), "flux_factor", f.FluxFactor, "light_over_scene", interval(f.Factor),
		"absorption", absorption(f), "no_absorption", f.NoAbsorption.Words(o.system()), "sensors", sensorTable(f)),
		answer.Lines{List: []string{about}}, intervalTable(f),
		percent("residual_standard_deviation_percent", "residual standard deviation of one reading", f.Scatter),
		percent("stated_error_percent", "standard error stated for one reading", f.Stated),
		percent("leave_one_out_percent", "cross-validation error (each reading from the others)", f.LeaveOneOut),
		percent("before_percent", "deviation before the fit", f.Before),
		fields("degrees_of_freedom", f.Dof, "left_out", f.Outliers, "list", residualTable(f)),
		verdictParts(f.Verdict.Sentence(o.system()))}
}

func interval(v result.Interval) answer.Answer {
	return fields("value", v.Value, "low", v.Low, "high", v.High)
}

// absorption is the extra absorption of the water, nothing where it was not fitted.
func absorption(f *result.Fit) any {
	if !f.Absorption {
		return nil
	}
	return fields("extra_absorption_per_m", f.ExtraPerM.Value, "low_per_m", f.ExtraPerM.Low,
		"high_per_m", f.ExtraPerM.High, "was_per_m", f.WasPerM, "at_limit", f.Clearest)
}

// intervalTable is what was fitted, for people.
func intervalTable(f *result.Fit) answer.Table {
	t := answer.Table{In: answer.People, Columns: []answer.Column{{Title: "95 % intervals"}, col("", "value", "", 3),
		col("", "from", "", 3), col("", "to", "", 3)}}
	row := func(name string, v result.Interval, times float64) {
		t.Rows = append(t.Rows, []any{name, v.Value * times, v.Low * times, v.High * times})
	}
	if len(f.Sensors) > 1 {
		for _, one := range f.Sensors {
			row("light relative to the scene, by "+one.Name, one.Factor, 1)
		}
	}
	row("light relative to the scene", f.Factor, 1)
	row("flux_factor of the new scene", f.Factor, f.FluxFactor/f.Factor.Value)
	if f.Absorption {
		row("extra_absorption of the water, 1/m", f.ExtraPerM, 1)
	}
	return t
}

func sensorTable(f *result.Fit) answer.Table {
	return answer.TableOf("", keys("name", "readings", "factor"), f.Sensors, func(s result.SensorFactor) []any {
		return []any{s.Name, s.Readings, interval(s.Factor)}
	})
}

func residualTable(f *result.Fit) answer.Table {
	columns := keys("line", "x_mm", "y_mm", "depth_mm", "sensor", "unit", "measured", "computed_before",
		"computed_fitted", "residual_percent", "studentised", "left_out", "note")
	return answer.TableOf("", columns, f.Readings, func(r result.Measured) []any {
		return []any{r.Line, millimetres(r.XM), millimetres(r.YM), millimetres(r.DepthM), f.Sensors[r.Sensor].Name,
			r.Quantity.Unit(), r.Measured, r.Computed, r.Fitted, roundTo(100*r.Residual, 1e-4),
			roundTo(r.Studentised, 1e-4), r.Outlier, r.Note}
	})
}
