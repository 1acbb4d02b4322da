package main

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"fathomlux/render"
	"fathomlux/render/answer"
	"fathomlux/render/output"
	"fathomlux/scene"
	"fathomlux/scene/edit"
	"fathomlux/scene/finding"
	"fathomlux/scene/heat"
	"fathomlux/scene/operating"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
)

type heatOptions struct {
	common
	air, hood string
	without   []string
	marginK   float64
	samples   int
}

// What is asked for where the call does not say.
const (
	usualMarginK = 20
	usualSamples = 20
)

func newHeatCommand(s streams) *cobra.Command {
	var o heatOptions
	c := &cobra.Command{
		Use:   "heat SCENE",
		Short: "show how warm the rail and the junctions get, and how much light that costs",
		Long: `Balances electrical power, light and heat of all modules on their rails in still air: the rail conducts heat
along itself and gives it to the air by natural convection and radiation; flux and voltage follow the junctions. The
watts of light are the flux over the luminous efficacy of radiation of the spectrum; what an optic absorbs heats its
board.

Shows each module's temperatures, the hottest junction against its limit, whether the rail is cool enough to touch, the
light lost to heat, what would make it cooler, and how long the light lasts where a part gives figures for that. Sun,
draughts and the warmth of the tank are left out. Writes the temperature along each rail as a picture and as tables.`,
		Example: `fathomlux heat scene.yaml
fathomlux heat scene.yaml --air "30 C" --hood "1200 mm x 450 mm x 120 mm" --margin 30`,
	}
	o.bind(c)
	o.bindFormat(c)
	f := c.Flags()
	f.StringVar(&o.air, "air", "", "temperature of the room instead of the scene's, such as \"30 C\"")
	f.StringVar(&o.hood, "hood", "", "closed box over the rails instead of the scene's, as length x width x height such "+
		"as \"1200 mm x 450 mm x 120 mm\", or none")
	f.StringArrayVar(&o.without, "without", nil,
		"dead modules, as a rail and numbers on it: main:3, main:2,5 or main:1-3; may be repeated")
	f.Float64Var(&o.marginK, "margin", usualMarginK,
		"least margin of a junction to its highest temperature, in kelvins; advice is given where it is less")
	f.IntVar(&o.samples, "samples", usualSamples, "samples in the parts' maintenance tests: 20 or more allow a "+
		"projection to 6 times the length of the test, 10 to 19 to 5.5 times")
	return command(s, c, &o.given, o.run)
}

// heatAnswer is all that heat tells.
type heatAnswer struct {
	situation
	marginK float64
	advice  []heat.Advice
	lives   []operating.Life
}

func (o *heatOptions) run(ctx context.Context, s streams) error {
	sc, err := scene.Read(o.scene())
	if err != nil {
		return err
	}
	sc, err = o.apply(sc)
	look, errLook := o.look()
	if err := errors.Join(err, errLook); err != nil {
		return err
	}
	a, err := balance(situation{scene: sc, units: look.Units}, o.marginK, o.samples)
	if err != nil {
		return err
	}
	files, err := heatFiles(ctx, a, look)
	if err != nil {
		return err
	}
	return o.hand(ctx, s, outcome{scenes: []*scene.Scene{a.scene}, parts: a.parts(), quiet: a.brief(), found: a.notes(),
		cautions: a.at("heat"), files: files})
}

// apply makes the changes that the flags ask for; all that is wrong with them is told at once.
func (o *heatOptions) apply(sc *scene.Scene) (*scene.Scene, error) {
	var errs [5]error
	changed, err := edit.Without(sc, o.without...)
	if err != nil {
		changed, errs[0] = sc.Copy(), fmt.Errorf("--without: %w", err)
	}
	if o.air != "" {
		changed.Ambient.AirC, errs[1] = quantityIn("--air", o.air, unit.Temperature, -20, 60)
	}
	if o.hood != "" {
		if changed.Ambient.Hood, err = parseHood(o.hood); err != nil {
			errs[2] = fmt.Errorf("--hood: %w", err)
		}
	}
	if !(o.marginK >= 0 && o.marginK <= 200) {
		errs[3] = fmt.Errorf("--margin: %g is not between 0 and 200 kelvins", o.marginK)
	}
	if o.samples < 10 {
		errs[4] = fmt.Errorf("--samples: %d samples are too few to project from; at least 10 are needed", o.samples)
	}
	return changed, errors.Join(errs[:]...)
}

// parseHood reads "1200 mm x 450 mm x 120 mm", or "none".
func parseHood(text string) (*scene.Hood, error) {
	if text == "none" {
		return nil, nil
	}
	words := strings.Split(text, "x")
	if len(words) != 3 {
		return nil, fmt.Errorf("%.60q is not a box; write length x width x height such as \"1200 mm x 450 mm x 120 mm\", or "+
			"none", text)
	}
	h := scene.Hood{At: finding.Place{File: "--hood"}}
	for i, side := range []*float64{&h.LengthM, &h.WidthM, &h.HeightM} {
		var err error
		*side, err = quantityIn("side", strings.TrimSpace(words[i]), unit.Length, scene.MinSideM, scene.MaxSideM)
		if err != nil {
			return nil, err
		}
	}
	return &h, nil
}

// balance balances the scene. A scene without a balance is an error that says what would serve.
func balance(f situation, marginK float64, samples int) (a heatAnswer, err error) {
	a = heatAnswer{situation: f, marginK: marginK}
	sc := f.scene
	switch a.op, err = operating.Of(sc); {
	case errors.Is(err, heat.ErrTooHot):
		a.advice = operating.Advise(sc, nil, marginK)
		return a, fmt.Errorf("%s: %w; %s", sc.File, err, strings.Join(a.adviceLines(), "; "))
	case err != nil:
		return a, fmt.Errorf("%s: %w", sc.File, err)
	}
	a.advice, a.lives = operating.Advise(sc, a.op, marginK), operating.Lives(sc, a.op, lifeShare, samples)
	return a, nil
}

// lifeShare is the share of the initial flux whose time is told: L70 of the trade.
const lifeShare = 0.7

func heatFiles(ctx context.Context, a heatAnswer, look render.Look) ([]output.File, error) {
	notes := each(a.at("heat"), func(line string) string { return unit.Capital(line) + "." })
	pictures, err := render.Heat(ctx, a.op, a.scene, append([]string{a.verdict()}, notes...), look)
	if err != nil {
		return nil, err
	}
	return []output.File{csvFile("heat.csv", a.moduleTable()), csvFile("heat-along.csv", alongTable(a.op)),
		pictures[0]}, nil
}

// brief is the verdict with what would be cooler and what burns.
func (a heatAnswer) brief() answer.Answer {
	return answer.Answer{answer.Lines{List: append([]string{a.verdict()}, a.adviceLines()...)},
		answer.Lines{Lead: "caution", List: a.at("heat")}}
}

func (a heatAnswer) parts() answer.Answer {
	op := a.op
	waterW, waterK := operating.WaterHeat(a.scene, op)
	hood := func(key, title string, c float64) answer.Figure {
		return known(a.scene.Ambient.Hood != nil, answer.Figure{Key: key, Title: title, Unit: "°C", Value: c})
	}
	return answer.Answer{
		a.moduleTable(),
		amount("electrical_w", "power input", "W", 1, op.ElectricalW),
		amount("light_w", "radiant power", "W", 1, op.LightW),
		amount("heat_w", "heat", "W", 1, op.HeatW),
		amount("given_to_air_w", "heat to the air", "W", 1, op.LossW),
		known(op.DriversW > 0, amount("drivers_in_hood_w", "lost by drivers inside the hood", "W", 1, op.DriversW)),
		amount("light_to_water_w", "light into the water, at most", "W", 1, waterW),
		known(waterK > 0, amount("water_k_per_day", "water warmed by it, without losses, by", "K a day", 2, waterK)),
		amount("rated_flux_lm", "rated LED flux", "lm", 0, op.RatedLm),
		amount("flux_lm", "LED flux at operating temperature", "lm", 0, op.FluxLm),
		answer.Figure{Title: "share of the rated flux", Unit: "%", Digits: 1, Value: 100 * op.RelativeFlux()},
		answer.Figure{Key: "lost_share", Value: 1 - op.RelativeFlux()},
		answer.Figure{Key: "air_c", Title: "room air", Unit: "°C", Digits: 1, Value: op.AirC},
		hood("hood_air_c", "air inside the hood", op.HoodAirC),
		hood("hood_wall_c", "wall of the hood", op.HoodWallC),
		answer.Figure{Key: "hottest_junction_c", Title: "hottest junction", Unit: "°C", Value: op.HottestJunctionC()},
		answer.Figure{Key: "too_hot", Value: op.TooHot().Words(unit.Metric)},
		answer.Figure{Key: "required_margin_k", Value: a.marginK},
		a.railTable(),
		answer.Lines{List: []string{a.verdict()}, In: answer.Text}, // on a page it is the first sentence
		answer.Figure{Key: "verdict", Value: a.verdict()},
		a.adviceTable(), answer.Lines{List: a.adviceLines(), In: answer.People},
		answer.Lines{Key: "formulas_out_of_range", List: finding.Lines(op.Stretched, finding.Note, unit.Metric),
			In: answer.JSON},
		a.lifeTable(),
	}
}

func (a heatAnswer) moduleTable() answer.Table {
	t := answer.Table{Key: "modules", Title: "Temperatures and power of each module",
		Columns: []answer.Column{{Key: "module", Title: "module"}, {Key: "part"}, lengthFigure("x_mm", "x", a.units, 0),
			col("rail_c", "rail", "°C", 1), col("board_c", "board", "°C", 1), {Key: "case_c"},
			col("junction_c", "junction", "°C", 1), col("margin_k", "margin", "K", 1), {Key: "voltage_v"},
			col("electrical_w", "power input", "W", 2), {Key: "light_w"}, col("heat_w", "heat", "W", 2),
			{Key: "flux_lm"}, {Key: "relative_flux"}, {Key: "dead"}, col("", "of rated flux", "%", 1)}}
	for ri, r := range a.op.Rails {
		for mi, m := range r.Modules {
			own := a.scene.Rails[ri].Modules[mi]
			left := any(100 * m.RelativeFlux)
			if own.Dead {
				left = "dead"
			}
			t.Rows = append(t.Rows, []any{a.scene.SeatName(scene.Seat{Rail: ri, Module: mi}), own.Part.Name,
				millimetres(own.XM), m.RailC, m.BoardC, m.CaseC, m.JunctionC, m.MarginK, m.VoltageV, m.ElectricalW,
				m.LightW, m.HeatW, m.RatedLm * m.RelativeFlux, m.RelativeFlux, own.Dead, left})
		}
	}
	return finer(t)
}

// railTable says where each rail is hottest, and whether a hand bears it.
func (a heatAnswer) railTable() answer.Table {
	t := answer.Table{Key: "rails", Title: "Where the rails are hottest", Columns: []answer.Column{
		{Key: "name", Title: "rail"}, col("hottest_c", "hottest", "°C", 1), lengthFigure("hottest_x_mm", "at x", a.units, 0),
		{Key: "heat_w"}, {Key: "cool_to_touch"}, {Title: "touch"}}}
	for _, r := range a.op.Rails {
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

func alongTable(o *operating.Point) answer.Table {
	t := answer.Table{Columns: keys("rail", "x_mm", "from_left_mm", "rail_c")}
	for _, r := range o.Rails {
		for i, at := range r.Line.XM {
			t.Rows = append(t.Rows, []any{r.Name, millimetres(r.LeftM + at), millimetres(at), r.Line.TC[i]})
		}
	}
	return t
}

// verdict says in one sentence whether the parts stay below their limits, and how much light the heat costs.
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
	return fmt.Sprintf("The junctions stay below their limit: module %s, which has the least margin, "+
		"reaches %.0f °C, %.0f K below its limit of %.0f °C; %s.",
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
func (a heatAnswer) adviceTable() answer.Table {
	t := answer.Table{Key: "advice", In: answer.JSON, Columns: keys("rail", "length_mm", "current_factor", "flux_share",
		"profiles")}
	for _, one := range a.advice {
		profiles := each(one.Profiles, func(p parts.Profile) string { return p.Name })
		t.Rows = append(t.Rows, []any{one.Rail, optional(millimetres(one.LengthM), one.LengthM > 0),
			optional(one.Factor, one.Factor > 0), optional(one.FluxShare, one.Factor > 0), profiles})
	}
	return t
}

func (a heatAnswer) adviceLines() (lines []string) {
	for _, one := range a.advice {
		lines = append(lines, fmt.Sprintf("to keep the junctions %s K below their limit: %s", number(a.marginK),
			a.adviceText(one)))
	}
	return lines
}

// adviceText says what would make a rail cool enough, each way by itself.
func (f situation) adviceText(a heat.Advice) string {
	var ways []string
	if a.LengthM > 0 {
		step := map[unit.System]float64{unit.Metric: 0.001, unit.US: 0.01 * unit.US.Metres()}[f.units]
		words := fmt.Sprintf("a rail of %s or more with the modules spread in proportion",
			f.units.Length(step*math.Ceil(a.LengthM/step-1e-6)))
		if a.LengthM > f.scene.Tank.LengthM {
			words += ", longer than the tank"
		}
		ways = append(ways, words)
	}
	if a.Factor > 0 {
		amps := slices.Max(a.CurrentsA) // each the same, or 0 where a module is off
		words := fmt.Sprintf("%.0f %% of the current", math.Floor(100*a.Factor+1e-6))
		if !slices.ContainsFunc(a.CurrentsA, func(other float64) bool { return other > 0 && amps-other > 1e-9 }) {
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
		ways = []string{"neither a rail of four times the length, nor less current within the parts' tables, nor a known " +
			"profile is enough by itself"}
	}
	return scene.RailWord(a.Rail) + ": " + strings.Join(ways, "; or ")
}

// lifeTable is how long the light of each part lasts, by the test at the nearest temperature that is no lower; nothing
// where nothing can be said, or where the scene gives no hours.
func (a heatAnswer) lifeTable() answer.Table {
	years := answer.Column{Key: "l70_years"}
	if hours := a.scene.Wiring.HoursPerDay; hours > 0 {
		years = col("l70_years", "at "+number(hours)+" h a day", "years", 1)
	}
	t := answer.Table{Key: "lifetimes", Title: "How long the light lasts", Columns: []answer.Column{
		{Key: "part", Title: "part"}, col("case_c", "hottest case (solder point)", "°C", 0),
		col("tested_at_c", "tested at", "°C", 0), col("l70_h", fmt.Sprintf("L%.0f", 100*lifeShare), "h", 0),
		{Key: "at_least"}, years, {Key: "why_not"}, {Title: "remark"}}}
	for _, l := range a.lives {
		remark := l.Untested
		if l.Beyond {
			remark = fmt.Sprintf("at least; a test of %.0f h allows no longer projection", l.TestedH)
		}
		t.Rows = append(t.Rows, []any{l.Part, l.CaseC, optional(l.TestC, l.Untested == ""),
			optional(l.Hours, l.Untested == ""), l.Beyond, optional(l.Years, l.Years > 0), l.Untested, remark})
	}
	return t
}
