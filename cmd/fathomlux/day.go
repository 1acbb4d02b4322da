package main

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"fathomlux/optics/day"
	"fathomlux/optics/result"
	"fathomlux/render"
	"fathomlux/render/answer"
	"fathomlux/render/output"
	"fathomlux/scene"
	"fathomlux/scene/finding"
	"fathomlux/scene/operating"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
	"fathomlux/scene/wiring"
)

type dayOptions struct {
	common
	step, above, from string
	weeks             int
}

// usualAbove is the PPFD whose hours are told where neither the call nor the goal names one. Chosen.
const usualAbove = 50

// The gentle start that is shown unless told. Common practice, no published source.
const (
	usualWeeks = 6
	usualFrom  = "50 %"
)

// mostWeeks is the longest gentle start.
const mostWeeks = 52

func newDayCommand(s streams) *cobra.Command {
	var o dayOptions
	c := &cobra.Command{
		Use:   "day SCENE",
		Short: "sum up a day of light: daily light integral, hours, energy, heat, and tables for a controller",
		Long: `Follows the levels of the channels over the day that the scene has (day), and shows the daily light integral of
each plane, the hours above a PPFD, the energy with its cost, and the peak of the heat. Dimming by current moves along
the table of each part, dimming by pulses does not; both cool the rail.

Writes a chart of levels and light by the clock, a map of the daily light integral of each plane, and the level of each
channel for every minute as a table (CSV) and as a C header for controllers. --weeks adds a gentle start for a new tank
or new corals: the levels of the day times a factor that rises from week to week (common practice).`,
		Example: "fathomlux day scene.yaml\nfathomlux day scene.yaml --above \"80 umol/m2/s\" --weeks 6 --from \"40 %\"",
	}
	o.bind(c)
	o.bindFormat(c)
	f := c.Flags()
	f.StringVar(&o.step, "step", "", "cell size of the grid, such as \"5 mm\" (default about 6000 cells)")
	f.StringVar(&o.above, "above", "", "PPFD whose hours are told, such as \"80 umol/m2/s\" (default that of the "+
		"goal, or "+strconv.Itoa(usualAbove)+" umol/m2/s)")
	f.IntVar(&o.weeks, "weeks", usualWeeks, "weeks of a gentle start, up to the levels of the day; 0 for none")
	f.StringVar(&o.from, "from", usualFrom, "its first week, as a share of the levels of the day")
	f.BoolVar(&o.requireGoal, "require-goal", false, "exit with status 1 where the goal's daily light is not met")
	return command(s, c, &o.given, o.run)
}

func (o *dayOptions) run(ctx context.Context, s streams) error {
	sc, err := scene.Read(o.scene())
	if err != nil {
		return err
	}
	if o.requireGoal && !sc.Goal.Daily().Set() {
		return fmt.Errorf("%s: --require-goal needs a daily light as the goal; add goal: {plane: floor, dli: 5 mol/m2/day}",
			sc.File)
	}
	out, err := o.day(ctx, sc)
	if err != nil {
		return err
	}
	return o.hand(ctx, s, out)
}

func (o *dayOptions) day(ctx context.Context, sc *scene.Scene) (out outcome, err error) {
	look, err := o.look()
	request, errDay := o.request(sc)
	if err := errors.Join(err, errDay); err != nil {
		return out, err
	}
	d, err := day.Of(ctx, sc, request)
	if err != nil {
		return out, fmt.Errorf("%s: %w", sc.File, err)
	}
	verdict := dayVerdict(d, sc, request.AbovePPFD)
	pictures, err := render.Day(ctx, d, sc, []string{verdict}, look, o.cores())
	if err != nil {
		return out, err
	}
	table := minuteTable(d, sc.Day)
	out = outcome{command: "day", scenes: []*scene.Scene{sc}, brief: []string{verdict},
		parts: append(verdictParts(verdict), dayParts(d, sc, request.AbovePPFD)...),
		files: append([]output.File{csvFile("day.csv", table), {Name: "day.h", Data: []byte(minuteHeader(table))}},
			pictures...)}
	if d.Goal.Asked && !d.Goal.Met {
		out.unmet = ": " + verdict
	}
	return out, nil
}

// request turns the flags' texts into what is asked of a day: on the goal's plane first, and the usual others.
func (o *dayOptions) request(sc *scene.Scene) (r day.Options, err error) {
	r = day.Options{Workers: o.cores(), AbovePPFD: usualAbove, Weeks: o.weeks}
	add := func(p scene.PlaneRef) {
		same := func(q scene.PlaneRef) bool { return math.Abs(p.DepthM-q.DepthM) < 1e-9 }
		if !slices.ContainsFunc(r.Planes, same) {
			r.Planes = append(r.Planes, p)
		}
	}
	for _, part := range sc.Goal.Parts() {
		add(part.Plane)
	}
	for _, name := range []string{"surface", "mid", "floor"} {
		if p, err := sc.Tank.Plane(name); err == nil {
			add(p)
		}
	}
	if sc.Goal.PPFD > 0 {
		r.AbovePPFD = sc.Goal.PPFD
	}
	var errs [4]error
	if o.above != "" {
		r.AbovePPFD, errs[0] = quantityIn("--above", o.above, unit.PhotonFluxDensity, 0.001, 10_000)
	}
	errs[1] = inRange("--weeks", o.weeks, 0, mostWeeks)
	r.From, errs[2] = shareIn("--from", o.from, 0, 1)
	r.StepM, errs[3] = parseStep(o.step, sc.Tank)
	if err := errors.Join(errs[:]...); err != nil {
		return r, err
	}
	full := sc.Copy()
	for c := range full.Wiring.Channels {
		full.SetLevel(c, 1)
	}
	junctionC, _, err := operating.WorkingJunctions(full)
	if err == nil {
		r.Groups, _ = wiring.Wire(full, wiring.Request{JunctionC: func(m parts.Mounted) float64 { return junctionC(m) }})
	}
	return r, err
}

// dayVerdict says in one sentence what the goal's plane gets over the day.
func dayVerdict(d *result.Day, sc *scene.Scene, abovePPFD float64) string {
	p := d.Planes[0]
	goal := "no daily light is set as the goal"
	if d.Goal.Asked {
		goal = "the goal of " + strings.TrimPrefix(goalFigures(sc.Goal.Daily()), "mean ") +
			map[bool]string{true: " is met", false: " is not met"}[d.Goal.Met]
	}
	if missing := d.Goal.Missing(); len(d.Goal.Parts) > 1 && len(missing) > 0 {
		goal += ": " + finding.All(missing).Say(unit.Metric)
	}
	return fmt.Sprintf("The %s gets %s %s over the day, at most %s %s at a time, %s h of it at or above %s: %s.",
		planeWord(p.Name), unit.Figure(p.DLI, 2), dliUnit, unit.Figure(p.PeakPPFD, 1), ppfdUnit, unit.Figure(p.AboveH, 1),
		number(abovePPFD), goal)
}

// planeWord names a plane behind "the".
func planeWord(name string) string {
	if name == "mid" || name == "surface" || name == "floor" {
		return map[string]string{"mid": "middle of the water"}[name] + strings.TrimPrefix(name, "mid")
	}
	return "plane at " + name
}

func dayParts(d *result.Day, sc *scene.Scene, abovePPFD float64) answer.Answer {
	planes := answer.Table{Key: "planes", Title: "Light of the day by plane", Columns: []answer.Column{
		{Key: "plane", Title: "plane"}, {Key: "depth_mm"}, col("dli_mol_m2_day", "DLI", dliUnit, 2),
		col("dli_min", "min", dliUnit, 2), col("dli_max", "max", dliUnit, 2), col("u0", "U0", "", 2),
		col("peak_ppfd", "peak PPFD", ppfdUnit, 1), col("hours_above", "at or above "+number(abovePPFD), "h", 1)}}
	for _, p := range d.Planes {
		s := p.Plane.PPFD
		planes.Rows = append(planes.Rows, []any{p.Name, millimetres(p.DepthM), p.DLI, s.Min, s.Max, s.MinOverMean,
			p.PeakPPFD, p.AboveH})
	}
	moments := answer.TableOf("moments", keys("at_h", "levels", "ppfd", "electrical_w", "mains_w", "heat_w",
		"hottest_junction_c"), d.Moments, func(m result.Moment) []any {
		return []any{m.AtH, m.Levels, d.Planes[0].Sum(m), m.ElectricalW, optional(m.MainsW, d.MainsWh > 0),
			m.HeatW, m.JunctionC}
	})
	moments.In = answer.JSON
	weeks := answer.Table{Key: "weeks", Title: "A gentle start: the levels of the day times", Columns: []answer.Column{
		{Key: "week", Title: "week"}, col("level_percent", "levels", "%", 0), col("dli_mol_m2_day", "DLI", dliUnit, 2)}}
	for i, w := range d.Weeks {
		weeks.Rows = append(weeks.Rows, []any{i + 1, 100 * w.Factor, w.DLI})
	}
	mains, tariff := d.MainsWh/1000, sc.Wiring.TariffPerKWh
	return answer.Answer{answer.Figure{Key: "channels", Value: d.Channels}, finer(planes), moments,
		amount("modules_kwh_day", "energy of the modules", "kWh a day", 2, d.ElectricalWh/1000),
		known(mains > 0, amount("mains_kwh_day", "energy from the mains", "kWh a day", 2, mains)),
		known(mains > 0 && tariff.Currency != "", amount("cost_per_year", "which costs", tariff.Currency+" a year", 2,
			mains*tariff.Amount*365)),
		amount("peak_heat_w", "peak heat of the rails", "W", 1, d.PeakHeatW),
		answer.Figure{Key: "peak_heat_at_h", Title: "first reached at", Value: d.PeakHeatAtH, Say: clockText},
		answer.Figure{Key: "hottest_junction_c", Title: "hottest junction", Unit: "°C", Value: d.HottestC},
		weeks}
}

func clockText(h float64) string {
	minutes := int(math.Round(h * 60))
	return fmt.Sprintf("%d:%02d", minutes/60, minutes%60)
}

// minutesADay is how many rows the tables for controllers have.
const minutesADay = 24 * 60

// minuteTable is the level of each channel at each minute, in percent to a hundredth.
func minuteTable(d *result.Day, programs []scene.Program) answer.Table {
	t := answer.Table{Columns: keys("minute", "time")}
	for _, name := range d.Channels {
		t.Columns = append(t.Columns, answer.Column{Key: "percent_" + name})
	}
	for m := range minutesADay {
		row := []any{m, clockText(float64(m) / 60)}
		for _, p := range programs {
			row = append(row, roundTo(100*p.Level(float64(m)/60, false), 0.01))
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// minuteHeader is the same table as a C header, in hundredths of a percent.
func minuteHeader(t answer.Table) string {
	channels := t.Columns[2:]
	names := each(channels, func(c answer.Column) string { return cString(strings.TrimPrefix(c.Key, "percent_")) })
	var b strings.Builder
	fmt.Fprintf(&b, `/* Levels of the channels of a light by the minute of the day, in hundredths of a percent of full:
   10000 is full. Written by fathomlux. Before it drives anything, check what your dimmer takes for full and off. */
#ifndef FATHOMLUX_DAY_H
#define FATHOMLUX_DAY_H

#define FATHOMLUX_DAY_MINUTES %d
#define FATHOMLUX_DAY_CHANNELS %d

static const char *const fathomlux_day_names[FATHOMLUX_DAY_CHANNELS] = {%s};

static const unsigned short fathomlux_day[FATHOMLUX_DAY_MINUTES][FATHOMLUX_DAY_CHANNELS] = {
`, len(t.Rows), len(channels), strings.Join(names, ", "))
	for _, row := range t.Rows {
		levels := each(row[2:], func(percent any) string {
			return strconv.Itoa(int(math.Round(100 * percent.(float64))))
		})
		fmt.Fprintf(&b, "\t{%s}, /* %s */\n", strings.Join(levels, ", "), row[1])
	}
	b.WriteString("};\n\n#endif\n")
	return b.String()
}

// cString writes a text as a string of C: what is no plain letter as bytes in octal, which cannot run into a digit
// behind it, and question marks so that they begin no trigraph.
func cString(text string) string {
	var b strings.Builder
	for _, c := range []byte(text) {
		if c < ' ' || c > '~' || strings.IndexByte(`"\?`, c) >= 0 {
			fmt.Fprintf(&b, `\%03o`, c)
		} else {
			b.WriteByte(c)
		}
	}
	return `"` + b.String() + `"`
}
