package main

import (
	"fmt"
	"math"
	"strings"

	"fathomlux/render/answer"
	"fathomlux/scene"
	"fathomlux/scene/finding"
	"fathomlux/scene/heat"
	"fathomlux/scene/operating"
	"fathomlux/scene/unit"
)

func (a heatAnswer) cautions() []string { return situation{scene: a.scene, op: a.op}.at("heat") }

// brief is the verdict with what would be cooler and what burns.
func (a heatAnswer) brief() answer.Answer {
	return answer.Answer{answer.Lines{List: append([]string{a.verdict()}, a.adviceLines()...)},
		answer.Lines{Lead: "caution", List: a.cautions()}}
}

// parts are the figures of the balance.
func (a heatAnswer) parts() answer.Answer {
	op, hood := a.op, a.scene.Ambient.Hood != nil
	under := func(key, title string, c float64) answer.Figure {
		if !hood {
			return answer.Figure{Key: key}
		}
		return answer.Figure{Key: key, Title: title, Unit: "°C", Value: c}
	}
	return answer.Answer{
		moduleTable(a),
		amount("electrical_w", "power input", "W", 1, op.ElectricalW),
		amount("light_w", "of it, light", "W", 1, op.LightW),
		amount("heat_w", "of it, heat", "W", 1, op.HeatW),
		amount("given_to_air_w", "heat to the air", "W", 1, op.LossW),
		amount("cold_lm", "rated LED flux", "lm", 0, op.RatedLm),
		amount("warm_lm", "LED flux at operating temperature", "lm", 0, op.FluxLm),
		answer.Figure{Title: "share of the rated flux", Unit: "%", Digits: 1, Value: 100 * op.RelativeFlux()},
		answer.Figure{Key: "lost_share", Value: 1 - op.RelativeFlux()},
		answer.Figure{Key: "air_c", Title: "room", Unit: "°C", Digits: 1, Value: op.AirC},
		under("hood_air_c", "air inside the hood", op.HoodAirC),
		under("hood_wall_c", "wall of the hood", op.HoodWallC),
		answer.Figure{Key: "hottest_junction_c", Title: "hottest junction", Unit: "°C", Value: op.HottestJunctionC()},
		answer.Figure{Key: "too_hot", Value: op.TooHot().Words(unit.Metric)},
		answer.Figure{Key: "required_margin_k", Value: a.marginK},
		railTable(op),
		answer.Lines{List: []string{a.verdict()}, In: answer.Text}, // on a page it is the first sentence
		answer.Figure{Key: "verdict", Value: a.verdict()},
		adviceTable(a.advice), answer.Lines{List: a.adviceLines(), In: answer.People},
		answer.Lines{Key: "formulas_stretched", List: finding.Lines(op.Stretched, finding.Note, unit.Metric),
			In: answer.JSON},
		lifeTable(a.lives), answer.Lines{Lead: "life", List: a.lifeLines(), In: answer.People},
	}
}

// moduleTable is one line a module.
func moduleTable(a heatAnswer) answer.Table {
	t := answer.Table{Key: "modules", Title: "Temperatures and power of each module", Sorts: true,
		Columns: []answer.Column{{Key: "module", Title: "module"}, {Key: "part"}, col("x_mm", "x", "mm", 0),
			col("rail_c", "rail", "°C", 1), col("board_c", "board", "°C", 1), col("junction_c", "junction", "°C", 1),
			col("margin_k", "margin", "K", 1), {Key: "voltage_v"}, col("electrical_w", "power input", "W", 2),
			{Key: "light_w"}, col("heat_w", "heat", "W", 2), {Key: "flux_lm"}, {Key: "relative_flux"}, {Key: "dead"},
			col("", "of rated flux", "%", 1)}}
	for ri, r := range a.op.Rails {
		for mi, m := range r.Modules {
			own := a.scene.Rails[ri].Modules[mi]
			left := any(100 * m.RelativeFlux)
			if own.Dead {
				left = "dead"
			}
			t.Rows = append(t.Rows, []any{a.scene.SeatName(scene.Seat{Rail: ri, Module: mi}), own.Part.Name,
				millimetres(own.XM), m.RailC, m.BoardC, m.JunctionC, m.MarginK, m.VoltageV, m.ElectricalW, m.LightW, m.HeatW,
				m.RatedLm * m.RelativeFlux, m.RelativeFlux, own.Dead, left})
		}
	}
	return finer(t)
}

// railTable says where each rail is hottest, and whether a hand bears it.
func railTable(o *operating.Point) answer.Table {
	t := answer.Table{Key: "rails", Title: "Where the rails are hottest", Columns: []answer.Column{
		{Key: "name", Title: "rail"}, col("hottest_c", "hottest", "°C", 1), col("hottest_x_mm", "at x", "mm", 0),
		{Key: "heat_w"}, {Key: "cool_to_touch"}, {Title: "touch"}}}
	for _, r := range o.Rails {
		cool := r.HottestRailC <= heat.TouchC
		touch := "cool enough to touch, by temperature alone"
		switch boardC := hottestBoardC(r); {
		case !cool:
			touch = "too hot to touch"
		case boardC > heat.TouchC:
			touch += fmt.Sprintf(", but not its boards with up to %s °C", aboveTouch(boardC))
		}
		t.Rows = append(t.Rows, []any{r.Name, r.HottestRailC, millimetres(r.LeftM + r.HottestRailM), r.HeatW, cool, touch})
	}
	return t
}

// alongTable is the temperature along each rail.
func alongTable(o *operating.Point) answer.Table {
	t := answer.Table{Columns: keys("rail", "x_mm", "from_left_mm", "rail_c")}
	for _, r := range o.Rails {
		for i, at := range r.Line.XM {
			t.Rows = append(t.Rows, []any{r.Name, millimetres(r.LeftM + at), millimetres(at), r.Line.TC[i]})
		}
	}
	return t
}

// verdict says in one sentence whether the parts bear the heat, and what it takes of the light.
func (a heatAnswer) verdict() string {
	o := a.op
	if o.RatedLm == 0 {
		return "No module is on."
	}
	lost := fmt.Sprintf("heating costs %.1f %% of the light, %s of %s lm", 100*(1-o.RelativeFlux()),
		unit.Figure(o.RatedLm-o.FluxLm, 0), unit.Figure(o.RatedLm, 0))
	if why := o.TooHot(); why.Any() {
		return "Too hot: " + why.Words(unit.Metric) + "; " + lost + "."
	}
	m := o.Rails[o.Tightest.Rail].Modules[o.Tightest.Module]
	return fmt.Sprintf("The junctions stay below their highest temperature: module %s, which has the least margin, "+
		"reaches %.0f °C, %.0f K below its %.0f °C; %s.",
		a.scene.SeatName(o.Tightest), m.JunctionC, m.MarginK, m.JunctionC+m.MarginK, lost)
}

// notes say in one line how far the figures can be trusted, and what was moved.
func (a heatAnswer) notes() []finding.Finding {
	list := a.op.Notes
	if trust := a.op.Trust(); trust.Any() {
		list = append([]finding.Finding{trust}, list...)
	}
	return list
}

// adviceTable is what would make each rail cool enough that does not keep the margin; nothing where a way alone does
// not serve.
func adviceTable(list []operating.Advice) answer.Table {
	t := answer.Table{Key: "advice", In: answer.JSON, Columns: keys("rail", "length_mm", "current_factor", "flux_share",
		"profiles")}
	for _, a := range list {
		var profiles []string
		for _, p := range a.Profiles {
			profiles = append(profiles, p.Name)
		}
		t.Rows = append(t.Rows, []any{a.Rail, optional(millimetres(a.LengthM), a.LengthM > 0),
			optional(a.Factor, a.Factor > 0), optional(a.FluxShare, a.Factor > 0), profiles})
	}
	return t
}

func (a heatAnswer) adviceLines() (lines []string) {
	for _, one := range a.advice {
		lines = append(lines, fmt.Sprintf("to keep junctions %s K below their highest temperature: %s", number(a.marginK),
			adviceText(a.scene, one)))
	}
	return lines
}

// adviceText says what would make a rail cool enough, each way by itself.
func adviceText(sc *scene.Scene, a operating.Advice) string {
	var ways []string
	if a.LengthM > 0 {
		words := fmt.Sprintf("a rail of %.0f mm or more with the modules spread in proportion",
			math.Ceil(1000*a.LengthM-1e-6))
		if a.LengthM > sc.Tank.LengthM {
			words += ", longer than the tank"
		}
		ways = append(ways, words)
	}
	if a.Factor > 0 {
		words := fmt.Sprintf("%.0f %% of the current", math.Floor(100*a.Factor+1e-6))
		if amps, ok := oneCurrent(a.CurrentsA); ok {
			words = unit.Current.Say(math.Floor(1000*amps+1e-6)/1000) + " or less"
		}
		if a.FluxShare > 0 {
			words += fmt.Sprintf(", which leaves %.0f %% of the light", 100*a.FluxShare)
		}
		ways = append(ways, words)
	}
	for _, p := range a.Profiles {
		words := "profile " + p.Name
		if p.PricePerM.Currency != "" {
			words += " (" + moneyText(p.PricePerM) + "/m)"
		}
		ways = append(ways, words)
	}
	if len(ways) == 0 {
		ways = []string{"neither a rail of four times the length nor less current within the parts' tables nor a known " +
			"profile suffices by itself"}
	}
	return scene.RailWord(a.Rail) + ": " + strings.Join(ways, "; or ")
}

// oneCurrent returns the current that all modules that are on share.
func oneCurrent(list []float64) (amps float64, ok bool) {
	for _, a := range list {
		if a > 0 && amps > 0 && math.Abs(a-amps) > 1e-9 {
			return 0, false
		}
		amps = math.Max(amps, a)
	}
	return amps, amps > 0
}

// lifeTable is how long the light of each part lasts; nothing where nothing can be said, or where the scene gives no
// hours.
func lifeTable(list []operating.Life) answer.Table {
	t := answer.Table{Key: "lives", In: answer.JSON, Columns: keys("part", "board_c", "judged_at_c", "l70_h", "longer",
		"l70_years", "why_not")}
	for _, l := range list {
		t.Rows = append(t.Rows, []any{l.Part, l.BoardC, l.TestC, optional(l.Hours, l.Untested == ""), l.Beyond,
			optional(l.Years, l.Years > 0), l.Untested})
	}
	return t
}

func (a heatAnswer) lifeLines() (lines []string) {
	for _, l := range a.lives {
		lines = append(lines, lifeText(a.scene, l))
	}
	return lines
}

// lifeText says how long the light of a part lasts.
func lifeText(sc *scene.Scene, l operating.Life) string {
	lead := fmt.Sprintf("%s, board at most %.0f °C", l.Part, l.BoardC)
	if l.Untested != "" {
		return lead + ": " + l.Untested
	}
	if l.TestC > l.BoardC {
		lead += fmt.Sprintf(" (judged by the test at %.0f °C)", l.TestC)
	}
	words := fmt.Sprintf("%s: L%.0f of %.0f h", lead, 100*lifeShare, l.Hours)
	if l.Beyond {
		words += fmt.Sprintf(" or longer (a test of %.0f h cannot tell how much longer)", l.TestedH)
	}
	if l.Years > 0 {
		words += fmt.Sprintf("; at %s h a day that is %.1f years", number(sc.Wiring.HoursPerDay), l.Years)
	}
	return words
}
