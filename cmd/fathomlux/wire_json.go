package main

import (
	"encoding/json"
	"io"

	"fathomlux/scene"
	"fathomlux/scene/circuit"
)

// wireJSON is the answer of wire as JSON: keys are stable, units in their names.
type wireJSON struct {
	Scene     string           `json:"scene"`
	Title     string           `json:"title"`
	Out       string           `json:"out"`
	Junctions string           `json:"junctions"`
	Groups    []wireGroupJSON  `json:"groups"` // one a current
	Running   runningJSON      `json:"running"`
	Dead      []deadStringJSON `json:"dead_strings"` // empty where not asked for; the first has string 0, none dead
	Notes     []string         `json:"notes"`
	Warnings  []faultJSON      `json:"warnings"`
	Cautions  []string         `json:"cautions"`
}

type wireGroupJSON struct {
	CurrentMA    float64          `json:"current_ma"`
	Modules      int              `json:"modules"`
	ColdC        float64          `json:"cold_junction_c"`
	Splits       []splitJSON      `json:"splits"`
	Recommended  pickJSON         `json:"recommended"`
	Chosen       pickJSON         `json:"chosen"`
	Serve        string           `json:"would_serve"` // in words, where no driver feeds all modules; empty otherwise
	VoltageV     float64          `json:"voltage_v"`
	Strings      []stringJSON     `json:"strings"`
	Open         *electricFault   `json:"string_opens"` // null where nothing is chosen, as below
	Short        *electricFault   `json:"module_shorts"`
	Worst        *spreadJSON      `json:"spread_worst"`
	Likely       *spreadJSON      `json:"spread_likely"`
	Consequences []string         `json:"consequences"`
	Limits       []limitJSON      `json:"limits"`
	Driver       *wireDriverJSON  `json:"driver"`
	Assumed      wireAssumedShare `json:"assumed"`
}

// wireAssumedShare are the assumptions of common practice.
type wireAssumedShare struct {
	Forward float64 `json:"forward_voltage_share"`
	Margin  float64 `json:"power_margin_share"`
	Drop    float64 `json:"wire_drop_share"`
	CopperC float64 `json:"copper_c"`
}

type splitJSON struct {
	Strings   int      `json:"strings"`
	Each      int      `json:"modules_each"`
	Refused   string   `json:"refused"` // why not, empty where it serves
	WarmV     float64  `json:"warm_v"`
	HighestV  float64  `json:"cold_v"`
	DriverA   float64  `json:"driver_a"`
	LoadW     float64  `json:"load_w"`
	Touch     string   `json:"touch"`
	Fits      []string `json:"drivers_fit"`
	LargestMM float64  `json:"largest_gap_mm"`
}

type pickJSON struct {
	Strings int    `json:"strings"` // 0 where none
	Driver  string `json:"driver"`  // empty where none
	Why     string `json:"why"`
	Flagged bool   `json:"flagged"`
}

type stringJSON struct {
	Number    int      `json:"number"`
	Modules   []string `json:"modules"` // in the order of the current
	CurrentMA float64  `json:"current_ma"`
	WireM     float64  `json:"wire_m"`
	Metric    string   `json:"wire_metric"` // thinnest that serves, empty where none does
	American  string   `json:"wire_awg"`
	DropV     float64  `json:"wire_drop_v"` // of the metric one
	Advised   string   `json:"wire_advised"`
}

type electricFault struct {
	String       int      `json:"string"`
	HighestShare float64  `json:"highest_current_share"`
	Over         []int    `json:"strings_over_limit"`
	Notes        []string `json:"notes"`
}

type spreadJSON struct {
	LowestMA  float64 `json:"lowest_ma"`
	HighestMA float64 `json:"highest_ma"`
	Over      bool    `json:"over_limit"`
}

type limitJSON struct {
	Name   string  `json:"name"`
	Source string  `json:"source"`
	LimitV float64 `json:"limit_v"`
	Met    bool    `json:"met"`
}

type wireDriverJSON struct {
	Name       string   `json:"name"`
	Fits       bool     `json:"fits"`
	Reasons    []string `json:"reasons"`
	Cautions   []string `json:"cautions"`
	Efficiency float64  `json:"efficiency"`
	LoadShare  float64  `json:"load_share"`
	MainsW     float64  `json:"mains_w"`
}

type runningJSON struct {
	LoadW       float64 `json:"load_w"`
	MainsW      float64 `json:"mains_w"` // 0 where a driver is missing, as below
	FluxLm      float64 `json:"flux_after_optics_lm"`
	LmPerMainsW float64 `json:"lm_per_mains_w"`
	HoursPerDay float64 `json:"hours_per_day"`
	KWhPerYear  float64 `json:"kwh_per_year"`
	Cost        float64 `json:"cost_per_year"`
	Currency    string  `json:"currency"`
}

type deadStringJSON struct {
	String      int     `json:"string"`
	Plane       string  `json:"plane"`
	MeanLx      float64 `json:"mean_lx"`
	MinLx       float64 `json:"min_lx"`
	MinOverMean float64 `json:"min_over_mean"`
	MeanPPFD    float64 `json:"mean_ppfd_umol_m2_s"`
	MinPPFD     float64 `json:"min_ppfd_umol_m2_s"`
	EvenPPFD    float64 `json:"min_over_mean_ppfd"`
	Quantity    string  `json:"quantity"`      // that the goal counts: "illuminance" or "PPFD"
	LeftShare   float64 `json:"share_of_mean"` // of that quantity
}

// writeWireJSON writes the answer as one document.
func writeWireJSON(w io.Writer, p wirePrint) error {
	out := wireJSON{Scene: p.scene.File, Title: p.scene.Title, Out: p.dir, Junctions: p.junctions, Running: runningOf(p.wired), Dead: []deadStringJSON{},
		Notes: append([]string{}, p.notes...), Warnings: faultsJSON(oddities(p.scene)), Cautions: wiringCautions(p.wired)}
	for i := range p.groups {
		out.Groups = append(out.Groups, wireGroupOf(p.scene, &p.groups[i]))
	}
	for _, d := range p.light {
		p := d.plane
		out.Dead = append(out.Dead, deadStringJSON{String: d.number, Plane: p.Name, MeanLx: p.Illuminance.Mean, MinLx: p.Illuminance.Min, MinOverMean: p.Illuminance.MinOverMean,
			MeanPPFD: p.PPFD.Mean, MinPPFD: p.PPFD.Min, EvenPPFD: p.PPFD.MinOverMean, Quantity: p.Shown.Name(), LeftShare: d.leftShare})
	}
	return encodeJSON(w, out)
}

// encodeJSON writes one indented document.
func encodeJSON(w io.Writer, document any) error {
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(document)
}

func runningOf(a wired) runningJSON {
	t := a.totals()
	r := runningJSON{LoadW: t.loadW, HoursPerDay: t.hoursPerDay}
	if t.complete {
		r.MainsW, r.FluxLm, r.LmPerMainsW, r.KWhPerYear, r.Cost, r.Currency = t.mainsW, t.fluxLm, t.lmPerMainsW, t.kWhPerYear, t.cost.Amount, t.cost.Currency
	}
	return r
}

// wireGroupOf returns one group.
func wireGroupOf(sc *scene.Scene, g *scene.WireGroup) wireGroupJSON {
	p, given := g.Plan, g.Job.Given
	out := wireGroupJSON{CurrentMA: roundTo(1000*g.CurrentA(), 1e-6), Modules: len(g.Members), ColdC: given.ColdC, Recommended: pickOf(p.Splits, p.Recommended),
		Chosen: pickOf(p.Splits, p.Chosen), Serve: g.Serve, Strings: []stringJSON{}, Consequences: []string{}, Limits: []limitJSON{},
		Assumed: wireAssumedShare{Forward: given.Forward.Share, Margin: given.MarginShare, Drop: given.DropShare, CopperC: given.CopperC}}
	for _, s := range p.Splits {
		out.Splits = append(out.Splits, splitOf(s))
	}
	if len(p.Circuit.Strings) == 0 {
		return out
	}
	out.VoltageV = p.Sharing.VoltageV
	for i := range p.Circuit.Strings {
		out.Strings = append(out.Strings, stringOf(sc, g, i))
	}
	out.Open, out.Short, out.Worst, out.Likely = faultOf(g, p.Open), faultOf(g, p.Short), spreadOf(p.Worst), spreadOf(p.Likely)
	out.Consequences = consequences(sc, g)
	for _, l := range p.Limits {
		out.Limits = append(out.Limits, limitJSON{Name: l.Name, Source: l.Source, LimitV: l.LimitV, Met: l.Met})
	}
	if fit, ok := g.Fit(); ok {
		out.Driver = &wireDriverJSON{Name: fit.Driver.Name, Fits: fit.Fits, Reasons: append([]string{}, fit.Reasons...), Cautions: append([]string{}, fit.Cautions...),
			Efficiency: fit.Efficiency, LoadShare: fit.LoadShare, MainsW: fit.MainsW}
	}
	return out
}

func splitOf(s circuit.Split) splitJSON {
	out := splitJSON{Strings: s.Strings, Each: s.PerString, Refused: s.Refused, WarmV: s.WarmV, HighestV: s.HighestV, DriverA: s.DriverA, LoadW: s.LoadW, Fits: []string{}, LargestMM: millimetres(s.LargestGapM)}
	if s.Refused == "" {
		out.Touch = s.Touch.String()
	}
	for _, f := range s.Fits {
		if f.Fits {
			out.Fits = append(out.Fits, f.Driver.Name)
		}
	}
	return out
}

func pickOf(splits []circuit.Split, p circuit.Pick) pickJSON {
	out := pickJSON{Why: p.Why, Flagged: p.Flagged}
	if p.Split >= 0 && p.Split < len(splits) {
		s := splits[p.Split]
		out.Strings = s.Strings
		if p.Fit >= 0 && p.Fit < len(s.Fits) {
			out.Driver = s.Fits[p.Fit].Driver.Name
		}
	}
	return out
}

func stringOf(sc *scene.Scene, g *scene.WireGroup, i int) stringJSON {
	out := stringJSON{Number: g.FirstString + i, Modules: memberNames(sc, g, i), CurrentMA: roundTo(1000*g.Plan.Sharing.CurrentA[i], 1e-6)}
	w := g.Plan.Wires[i]
	out.WireM = w.LengthM
	if w.UseMetric >= 0 {
		out.Metric, out.DropV = w.Metric[w.UseMetric].Gauge.Name, w.Metric[w.UseMetric].DropV
	}
	if w.UseAmerican >= 0 {
		out.American = w.American[w.UseAmerican].Gauge.Name
	}
	if use, ok := scene.AdvisedWire(w); ok {
		out.Advised = use.Metric + " or " + use.American
	}
	return out
}

func faultOf(g *scene.WireGroup, f circuit.Fault) *electricFault {
	out := &electricFault{String: g.FirstString + f.String, HighestShare: f.HighestShare, Over: []int{}, Notes: append([]string{}, f.Notes...)}
	for _, i := range f.Over {
		out.Over = append(out.Over, g.FirstString+i)
	}
	return out
}

func spreadOf(s circuit.Spread) *spreadJSON {
	return &spreadJSON{LowestMA: 1000 * s.LowestA, HighestMA: 1000 * s.HighestA, Over: s.Over}
}
