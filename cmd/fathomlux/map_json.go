package main

import (
	"encoding/json"
	"io"

	"fathomlux/optics/result"
	"fathomlux/scene/document"
	"fathomlux/scene/unit"
)

// mapJSON is the answer of map as JSON: keys are stable, units in their names.
type mapJSON struct {
	Scene     string         `json:"scene"`
	Title     string         `json:"title"`
	Engine    string         `json:"engine"`
	Tracing   *tracingJSON   `json:"tracing"` // null where nothing was traced
	Out       string         `json:"out"`
	Planes    []planeJSON    `json:"planes"`
	Sections  []sectionJSON  `json:"sections"`
	Flux      fluxJSON       `json:"flux_lm"`
	Factor    float64        `json:"maintenance_factor"`
	Kinds     []kindJSON     `json:"kinds"`
	Junctions junctionsJSON  `json:"junctions"`
	Tolerance *toleranceJSON `json:"tolerance,omitempty"`
	Goal      goalMetJSON    `json:"goal"`
	Verdict   string         `json:"verdict"`
	Notes     []string       `json:"notes"`
	Warnings  []faultJSON    `json:"warnings"`
	Cautions  []string       `json:"cautions"`
}

// faultJSON is a fault or a warning; line and column are 1-based, 0 where the whole file is meant.
type faultJSON struct {
	File    string `json:"file"`
	Line    int    `json:"line"`
	Column  int    `json:"column"`
	Path    string `json:"path"`
	Message string `json:"message"`
}

func faultsJSON(faults []document.Fault) []faultJSON {
	list := []faultJSON{}
	for _, f := range faults {
		list = append(list, faultJSON(f))
	}
	return list
}

type planeJSON struct {
	Name        string           `json:"name"`
	DepthMM     float64          `json:"depth_mm"`
	Grid        gridJSON         `json:"grid"`
	CSV         string           `json:"csv"`
	PNG         string           `json:"png"`                // the plan's picture, whatever its format
	PPFDPNG     string           `json:"ppfd_png,omitempty"` // the plan in PPFD, where the goal speaks of photons
	Illuminance illuminanceJSON  `json:"illuminance"`
	PPFD        ppfdJSON         `json:"ppfd"`
	Error       *planeErrorJSON  `json:"standard_error"` // null where nothing was traced
	DLI         *float64         `json:"dli_mol_m2_day"` // null where the scene gives no hours
	Maintained  *maintainedJSON  `json:"maintained"`     // null where no light-loss factor is asked for
	DarkLimitLx float64          `json:"dark_limit_lx"`  // 0 where the goal counts photons alone, and the next stands
	DarkLimit   float64          `json:"dark_limit_umol_m2_s,omitempty"`
	SolidShare  float64          `json:"obstacles_share"` // of the cells, which no figure counts
	Dark        []darkCornerJSON `json:"dark_corners"`
}

// maintainedJSON are the values after the loss of light that the maintenance factor says.
type maintainedJSON struct {
	MeanLx   float64 `json:"mean_lx"`
	MinLx    float64 `json:"min_lx"`
	MaxLx    float64 `json:"max_lx"`
	MeanPPFD float64 `json:"mean_ppfd_umol_m2_s"`
	DLI      float64 `json:"dli_mol_m2_day"`
}

// kindJSON is the light of all modules of one spectrum on the goal's plane; shares are of the photons, 0 to 1.
type kindJSON struct {
	Spectrum  string  `json:"spectrum"`
	Modules   int     `json:"modules"`
	MeanLx    float64 `json:"mean_lx"`
	MeanPPFD  float64 `json:"mean_ppfd_umol_m2_s"`
	ShareFrom float64 `json:"share_from"`
	ShareTo   float64 `json:"share_to"`
}

// gridJSON is a plane's grid; step_mm is the larger of the two steps, which differ where whole cells do not fit.
type gridJSON struct {
	NX      int     `json:"nx"`
	NY      int     `json:"ny"`
	StepMM  float64 `json:"step_mm"`
	StepXMM float64 `json:"step_x_mm"`
	StepYMM float64 `json:"step_y_mm"`
}

type illuminanceJSON struct {
	MeanLx         float64  `json:"mean_lx"`
	MinLx          float64  `json:"min_lx"`
	MaxLx          float64  `json:"max_lx"`
	MinOverMean    float64  `json:"min_over_mean"`
	MinOverMax     float64  `json:"min_over_max"`
	CV             float64  `json:"cv"`
	P05Lx          float64  `json:"p05_lx"`
	P95Lx          float64  `json:"p95_lx"`
	ShareAboveGoal *float64 `json:"share_above_goal"` // null where no goal in lx is set for this plane
}

type ppfdJSON struct {
	Mean           float64  `json:"mean_umol_m2_s"`
	Min            float64  `json:"min_umol_m2_s"`
	Max            float64  `json:"max_umol_m2_s"`
	MinOverMean    float64  `json:"min_over_mean"`
	MinOverMax     float64  `json:"min_over_max"`
	CV             float64  `json:"cv"`
	P05            float64  `json:"p05_umol_m2_s"`
	P95            float64  `json:"p95_umol_m2_s"`
	ShareAboveGoal *float64 `json:"share_above_goal"` // null where no goal in PPFD or DLI is set for this plane
}

type darkCornerJSON struct {
	Where     string     `json:"where"`
	XMM       [2]float64 `json:"x_mm"`
	YMM       [2]float64 `json:"y_mm"`
	AreaShare float64    `json:"area_share"`
	LowestLx  float64    `json:"lowest_lx"`
	Lowest    float64    `json:"lowest_umol_m2_s,omitempty"`
}

type sectionJSON struct {
	Axis     string  `json:"axis"` // "along" or "across"
	AtMM     float64 `json:"at_mm"`
	PNG      string  `json:"png"`      // its picture, whatever its format
	Quantity string  `json:"quantity"` // drawn: "illuminance" or "PPFD"
}

type fluxJSON struct {
	Emitted    float64 `json:"emitted"`
	Optic      float64 `json:"optic"`
	Cover      float64 `json:"cover"`
	Spill      float64 `json:"spill"`
	Surface    float64 `json:"surface"`
	Water      float64 `json:"water"`
	Walls      float64 `json:"walls"`
	Floor      float64 `json:"floor"`
	Obstacles  float64 `json:"obstacles"`
	Returned   float64 `json:"returned"`
	Entered    float64 `json:"entered"`
	Unfollowed float64 `json:"unfollowed"`
}

// junctionsJSON says at which junction temperatures light holds.
type junctionsJSON struct {
	Warm         bool     `json:"warm"`
	LowestC      *float64 `json:"lowest_c"` // null where cold
	HighestC     *float64 `json:"highest_c"`
	RelativeFlux float64  `json:"relative_flux"`
	TooHot       string   `json:"too_hot"` // empty where all is well
}

func junctionsOf(j result.Junctions) junctionsJSON {
	out := junctionsJSON{Warm: j.Warm, RelativeFlux: j.RelativeFlux, TooHot: j.TooHot}
	if j.Warm {
		out.LowestC, out.HighestC = &j.LowestC, &j.HighestC
	}
	return out
}

type goalMetJSON struct {
	Asked    bool     `json:"asked"`
	Met      bool     `json:"met"`
	Missing  []string `json:"missing"`
	Quantity string   `json:"quantity"` // in which it is judged: "illuminance" or "PPFD"
}

func goalMetOf(g result.Goal) goalMetJSON {
	return goalMetJSON{Asked: g.Asked, Met: g.Met, Missing: append([]string{}, g.Missing...), Quantity: g.Shown.Name()}
}

func writeMapJSON(w io.Writer, p mapPrint) error {
	a := p.answer
	out := mapJSON{Scene: p.scene.File, Title: a.Title, Engine: a.Engine, Tracing: tracingOf(a.Tracing), Out: p.dir, Flux: fluxJSON(a.Books), Junctions: junctionsOf(a.Junctions),
		Goal:    goalMetOf(a.Goal),
		Verdict: a.Verdict, Notes: append([]string{}, a.Warnings...), Warnings: faultsJSON(oddities(p.scene)), Cautions: append([]string{}, cautions("map", p.scene)...)}
	out.Tolerance = toleranceOf(p.tolerance)
	out.Factor, out.Kinds = a.Maintenance, []kindJSON{}
	for _, k := range a.Kinds {
		out.Kinds = append(out.Kinds, kindJSON{Spectrum: k.Name, Modules: k.Modules, MeanLx: k.Illuminance.Mean, MeanPPFD: k.PPFD.Mean, ShareFrom: k.Shares.Min, ShareTo: k.Shares.Max})
	}
	for i := range a.Planes {
		one := planeOf(&a.Planes[i])
		one.PNG = fileName(one.Name) + p.ending
		if p.scene.Goal.PPFD > 0 || p.scene.Goal.DLI > 0 {
			one.PPFDPNG = fileName(one.Name) + "-ppfd" + p.ending
		}
		if a.Maintenance < 1 {
			lx, ppfd := a.Planes[i].Illuminance.Scaled(a.Maintenance), a.Planes[i].PPFD.Scaled(a.Maintenance)
			one.Maintained = &maintainedJSON{MeanLx: lx.Mean, MinLx: lx.Min, MaxLx: lx.Max, MeanPPFD: ppfd.Mean, DLI: a.Planes[i].DLI * a.Maintenance}
		}
		if p.scene.Wiring.HoursPerDay > 0 {
			one.DLI = &a.Planes[i].DLI
		}
		if g := p.scene.Goal; g.Plane.DepthM == a.Planes[i].DepthM {
			if g.IlluminanceLx > 0 {
				one.Illuminance.ShareAboveGoal = &a.Planes[i].Illuminance.ShareAboveGoal
			}
			if g.PPFD > 0 || g.DLI > 0 {
				one.PPFD.ShareAboveGoal = &a.Planes[i].PPFD.ShareAboveGoal
			}
		}
		out.Planes = append(out.Planes, one)
	}
	for _, s := range a.Sections {
		one := sectionJSON{Axis: "along", AtMM: millimetres(s.AtM), PNG: "section-along" + p.ending, Quantity: a.Goal.Shown.Name()}
		if s.Axis == result.AcrossY {
			one.Axis, one.PNG = "across", "section-across"+p.ending
		}
		out.Sections = append(out.Sections, one)
	}
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(out)
}

func planeOf(p *result.Plane) planeJSON {
	g, s, f := p.Field.Grid, p.Illuminance, p.PPFD
	one := planeJSON{Name: p.Name, DepthMM: millimetres(p.DepthM), CSV: fileName(p.Name) + ".csv",
		Grid:        gridJSON{NX: g.NX, NY: g.NY, StepMM: millimetres(max(g.StepXM, g.StepYM)), StepXMM: millimetres(g.StepXM), StepYMM: millimetres(g.StepYM)},
		Illuminance: illuminanceJSON{MeanLx: s.Mean, MinLx: s.Min, MaxLx: s.Max, MinOverMean: s.MinOverMean, MinOverMax: s.MinOverMax, CV: s.CV, P05Lx: s.P05, P95Lx: s.P95},
		PPFD:        ppfdJSON{Mean: f.Mean, Min: f.Min, Max: f.Max, MinOverMean: f.MinOverMean, MinOverMax: f.MinOverMax, CV: f.CV, P05: f.P05, P95: f.P95},
		Error:       planeErrorOf(p), DarkLimitLx: p.DarkLimit, SolidShare: p.Field.Solid.Share(), Dark: []darkCornerJSON{}}
	if p.Shown == result.PPFD {
		one.DarkLimitLx, one.DarkLimit = 0, p.DarkLimit
	}
	for _, c := range p.DarkCorners {
		dark := darkCornerJSON{Where: c.Place(unit.Metric.Span), XMM: [2]float64{millimetres(c.FromXM), millimetres(c.ToXM)},
			YMM: [2]float64{millimetres(c.FromYM), millimetres(c.ToYM)}, AreaShare: c.AreaShare, LowestLx: c.LowestLx}
		if p.Shown == result.PPFD {
			dark.Lowest = c.Lowest
		}
		one.Dark = append(one.Dark, dark)
	}
	return one
}
