package main

import (
	"fmt"
	"io"

	"fathomlux/optics/result"
	"fathomlux/scene/unit"
)

// toleranceJSON is what tolerances make of the goal's plane. Intervals hold 90 % of the samples; of lx and umol/m2/s those
// keys are there that the goal speaks of.
type toleranceJSON struct {
	Plane     string              `json:"plane"`
	Samples   int                 `json:"samples"`
	MeanLx    *intervalJSON       `json:"mean_lx,omitempty"`
	MinLx     *intervalJSON       `json:"min_lx,omitempty"`
	MeanPPFD  *intervalJSON       `json:"mean_umol_m2_s,omitempty"`
	MinPPFD   *intervalJSON       `json:"min_umol_m2_s,omitempty"`
	Even      intervalJSON        `json:"min_over_mean"`
	GoalShare *float64            `json:"goal_met_share"` // null where no goal is set
	Sources   []toleranceFromJSON `json:"sources"`
	Verdict   string              `json:"verdict"`
	Notes     []string            `json:"notes"`
}

// toleranceFromJSON is one tolerance; shares are of the variance, each tolerance acting alone.
type toleranceFromJSON struct {
	Name  string  `json:"name"`
	Limit string  `json:"limit"`
	Mean  float64 `json:"mean_share"`
	Min   float64 `json:"min_share"`
	Even  float64 `json:"min_over_mean_share"`
}

// toleranceOf is nil where no tolerance was asked for.
func toleranceOf(t *result.Tolerance) *toleranceJSON {
	if t == nil {
		return nil
	}
	mean, low := intervalJSON(t.Mean), intervalJSON(t.Min)
	out := &toleranceJSON{Plane: t.Plane, Samples: t.Samples, Even: intervalJSON(t.MinOverMean), Verdict: t.Verdict, Notes: append([]string{}, t.Notes...)}
	if t.Shown == result.PPFD {
		out.MeanPPFD, out.MinPPFD = &mean, &low
	} else {
		out.MeanLx, out.MinLx = &mean, &low
	}
	if t.GoalAsked {
		out.GoalShare = &t.GoalShare
	}
	for _, s := range t.Sources {
		out.Sources = append(out.Sources, toleranceFromJSON{Name: s.Name, Limit: s.Limit, Mean: s.Mean, Min: s.Min, Even: s.MinOverMean})
	}
	return out
}

// writeTolerance writes the intervals and what each tolerance does; nothing where none were asked for.
func writeTolerance(w io.Writer, t *result.Tolerance) {
	if t == nil {
		return
	}
	rows := [][]string{{"built within tolerances, 90 %", "computed", "from", "to"}}
	row := func(name string, say func(float64) string, v result.Interval) {
		rows = append(rows, []string{name, say(v.Value), say(v.Low), say(v.High)})
	}
	light := func(v float64) string { return lightFigure(t.Shown, v) }
	row(t.Plane+" mean, "+t.Shown.Unit(), light, t.Mean)
	row(t.Plane+" min, "+t.Shown.Unit(), light, t.Min)
	row(t.Plane+" min/mean", unit.Ratio, t.MinOverMean)
	writeTable(w, rows)
	from := "usual tolerance"
	if len(t.Sources) > 0 && t.Sources[0].Given {
		from = "tolerance of the scene"
	}
	rows = [][]string{{from, "share of the mean's spread", "of min/mean's"}}
	for _, s := range t.Sources {
		rows = append(rows, []string{s.Name + " +/- " + s.Limit, fmt.Sprintf("%.0f %%", 100*s.Mean), fmt.Sprintf("%.0f %%", 100*s.MinOverMean)})
	}
	writeTable(w, rows)
	fmt.Fprintln(w, t.Verdict)
	for _, n := range t.Notes {
		fmt.Fprintf(w, "note: %s\n", n)
	}
}

type intervalJSON struct {
	Value float64 `json:"value"`
	Low   float64 `json:"low"`
	High  float64 `json:"high"`
}
