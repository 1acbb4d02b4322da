package main

import (
	"encoding/json"
	"io"
	"slices"

	"fathomlux/scene"
	"fathomlux/scene/heat"
)

// heatJSON is the answer of heat as JSON: keys are stable, units in their names.
type heatJSON struct {
	Scene       string           `json:"scene"`
	Title       string           `json:"title"`
	Out         string           `json:"out"`
	AirC        float64          `json:"air_c"`
	HoodAirC    *float64         `json:"hood_air_c"` // null where there is no hood
	HoodWallC   *float64         `json:"hood_wall_c"`
	Rails       []railHeatJSON   `json:"rails"`
	Modules     []moduleHeatJSON `json:"modules"`
	ElectricalW float64          `json:"electrical_w"`
	LightW      float64          `json:"light_w"`
	HeatW       float64          `json:"heat_w"`
	LossW       float64          `json:"given_to_air_w"`
	ColdLm      float64          `json:"cold_lm"`
	WarmLm      float64          `json:"warm_lm"`
	LostShare   float64          `json:"lost_share"`
	HottestC    float64          `json:"hottest_junction_c"`
	TooHot      string           `json:"too_hot"` // empty where all is well
	MarginK     float64          `json:"wished_margin_k"`
	Advice      []adviceJSON     `json:"advice"` // of rails that do not keep the wished margin
	Lives       []lifeJSON       `json:"lives"`
	Verdict     string           `json:"verdict"`
	Notes       []string         `json:"notes"`
	Warnings    []faultJSON      `json:"warnings"`
	Cautions    []string         `json:"cautions"`
}

type railHeatJSON struct {
	Name       string  `json:"name"`
	HottestC   float64 `json:"hottest_c"`
	HottestXMM float64 `json:"hottest_x_mm"`
	Touch      bool    `json:"may_be_touched"`
	HeatW      float64 `json:"heat_w"`
}

type moduleHeatJSON struct {
	Module       string  `json:"module"`
	Part         string  `json:"part"`
	XMM          float64 `json:"x_mm"`
	RailC        float64 `json:"rail_c"`
	BoardC       float64 `json:"board_c"`
	JunctionC    float64 `json:"junction_c"`
	MarginK      float64 `json:"margin_k"`
	VoltageV     float64 `json:"voltage_v"`
	ElectricalW  float64 `json:"electrical_w"`
	HeatW        float64 `json:"heat_w"`
	RelativeFlux float64 `json:"relative_flux"`
	Dead         bool    `json:"dead"`
}

// adviceJSON is what would make one rail cool enough; null or empty where that way alone does not serve.
type adviceJSON struct {
	Rail          string   `json:"rail"`
	LengthMM      *float64 `json:"length_mm"`
	CurrentFactor *float64 `json:"current_factor"`
	FluxShare     *float64 `json:"flux_share"`
	Profiles      []string `json:"profiles"`
}

type lifeJSON struct {
	Part    string   `json:"part"`
	BoardC  float64  `json:"board_c"`
	JudgedC float64  `json:"judged_at_c"`
	Hours   *float64 `json:"l70_h"` // null where nothing can be said
	Beyond  bool     `json:"longer"`
	Years   *float64 `json:"l70_years"` // null where the scene gives no hours
	WhyNot  string   `json:"why_not"`
}

func writeHeatJSON(w io.Writer, o heatOptions, a heatAnswer, dir string) error {
	op := a.op
	out := heatJSON{Scene: o.scene, Title: a.scene.Title, Out: dir, AirC: op.AirC, ElectricalW: op.ElectricalW, LightW: op.LightW, HeatW: op.HeatW, LossW: op.LossW,
		ColdLm: op.ColdLm, WarmLm: op.FluxLm, LostShare: 1 - op.RelativeFlux(), HottestC: op.HottestJunctionC(), TooHot: op.TooHot(), MarginK: o.marginK, Verdict: a.verdict(),
		Modules: []moduleHeatJSON{}, Advice: []adviceJSON{}, Lives: []lifeJSON{}, Notes: slices.Concat([]string{}, op.Stretched, op.Notes), Warnings: faultsJSON(oddities(a.scene)),
		Cautions: append(append([]string{}, touchHeat(op)...), cautions(a.scene)...)}
	if a.scene.Ambient.Hood != nil {
		out.HoodAirC, out.HoodWallC = &op.HoodAirC, &op.HoodWallC
	}
	for ri, r := range op.Rails {
		out.Rails = append(out.Rails, railHeatJSON{Name: r.Name, HottestC: r.HottestRailC, HottestXMM: millimetres(r.LeftM + r.HottestRailM),
			Touch: r.HottestRailC <= heat.TouchC, HeatW: r.HeatW})
		for mi, m := range r.Modules {
			own := a.scene.Rails[ri].Modules[mi]
			out.Modules = append(out.Modules, moduleHeatJSON{Module: a.scene.SeatName(scene.Seat{Rail: ri, Module: mi}), Part: own.Part.Name, XMM: millimetres(own.XM),
				RailC: m.RailC, BoardC: m.BoardC, JunctionC: m.JunctionC, MarginK: m.MarginK, VoltageV: m.VoltageV, ElectricalW: m.ElectricalW, HeatW: m.HeatW,
				RelativeFlux: m.RelativeFlux, Dead: own.Dead})
		}
	}
	for _, one := range a.advice {
		out.Advice = append(out.Advice, adviceOf(one))
	}
	for _, l := range a.lives {
		out.Lives = append(out.Lives, lifeOf(l))
	}
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	e.SetEscapeHTML(false)
	return e.Encode(out)
}

func adviceOf(a scene.RailAdvice) adviceJSON {
	out := adviceJSON{Rail: a.Rail, Profiles: []string{}}
	if a.Length.Reached {
		mm := millimetres(a.Length.LengthM)
		out.LengthMM = &mm
	}
	if a.Current.Reached {
		out.CurrentFactor, out.FluxShare = &a.Current.Factor, &a.Current.FluxShare
	}
	for _, p := range a.Profiles {
		if p.Reached {
			out.Profiles = append(out.Profiles, p.Profile.Name)
		}
	}
	return out
}

func lifeOf(l scene.PartLife) lifeJSON {
	out := lifeJSON{Part: l.Part, BoardC: l.BoardC, JudgedC: l.TestC, Beyond: l.Beyond, WhyNot: l.Untested}
	if l.Untested == "" {
		out.Hours = &l.Hours
	}
	if l.Years > 0 {
		out.Years = &l.Years
	}
	return out
}
