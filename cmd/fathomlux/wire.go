package main

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"github.com/spf13/cobra"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/render"
	"fathomlux/render/answer"
	"fathomlux/render/diagram"
	"fathomlux/render/fig"
	"fathomlux/render/output"
	"fathomlux/scene"
	"fathomlux/scene/finding"
	"fathomlux/scene/operating"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
	"fathomlux/scene/wiring"
)

// wiringOptions are the options of the commands that wire a scene.
type wiringOptions struct {
	common
	lead, feed, junction string
}

func (o *wiringOptions) bind(c *cobra.Command) {
	o.common.bind(c)
	f := c.Flags()
	f.StringVar(&o.lead, "lead", "2 m", "length of cable from the driver to the first rail")
	choose(f, &o.feed, "feed", "end of the rails at which the leads arrive", "left", "right")
	f.StringVar(&o.junction, "junction", "",
		"junction temperature in operation, such as \"60 C\" (default from the thermal balance)")
}

// request turns the flags' texts into what wiring takes; it has no junctions where none are given. Low voltage is led
// 500 m at most. All that is wrong with the flags is told at once.
func (o wiringOptions) request() (r wiring.Request, err error) {
	var errs [2]error
	r.FeedRight = o.feed == "right"
	r.LeadM, errs[0] = quantityIn("--lead", o.lead, unit.Cable, 0, 500)
	if o.junction != "" {
		var c float64
		c, errs[1] = quantityIn("--junction", o.junction, unit.Temperature, -20, 200)
		r.JunctionC = func(parts.Mounted) float64 { return c }
	}
	return r, errors.Join(errs[:]...)
}

// wired is a scene with the answer to its wiring.
type wired struct {
	situation
	junctions string // at which temperatures the voltages hold, in words
	notes     []finding.Finding
}

func (o wiringOptions) read() (wired, error) {
	sc, err := scene.Read(o.scene())
	if err != nil {
		return wired{}, err
	}
	return o.wire(sc)
}

func (o wiringOptions) wire(sc *scene.Scene) (wired, error) {
	r, err := o.request()
	if err != nil {
		return wired{}, err
	}
	a := wired{situation: situation{scene: sc, units: o.system()}}
	if r.JunctionC, err = a.junctionsOf(r.JunctionC); err != nil {
		return wired{}, err
	}
	if a.groups, err = wiring.Wire(sc, r); err != nil {
		return wired{}, fmt.Errorf("%s: %w", sc.File, err)
	}
	for _, g := range a.groups {
		a.notes = append(a.notes, g.Notes...)
	}
	return a, nil
}

// junctionsOf returns the junction temperatures that are given, or those in the balance of heat, or, where
// there is none, the highest that the parts allow. The balance is kept in any case: it tells how warm the rails get.
func (a *wired) junctionsOf(given func(parts.Mounted) float64) (junctionC func(parts.Mounted) float64, err error) {
	junctionC, a.op, err = operating.WorkingJunctions(a.scene)
	switch {
	case given != nil:
		a.junctions = fmt.Sprintf("junctions at %s °C, as given", tenth(given(parts.Mounted{})))
		return given, nil
	case err != nil:
		return nil, err
	case a.op == nil:
		a.junctions = "junctions at the highest temperature that the parts allow"
		a.notes = append(a.notes, finding.CannotCarry.Of())
		return junctionC, nil
	}
	if hot := a.op.TooHot(); hot.Any() {
		a.notes = append(a.notes, hot)
	}
	low, high, _ := a.op.JunctionsC()
	span := fmt.Sprintf("%.0f to %.0f", low, high)
	if math.Round(low) == math.Round(high) {
		span = fmt.Sprintf("%.0f", low)
	}
	a.junctions = "junctions at " + span + " °C by the thermal balance"
	return junctionC, nil
}

// moneyText writes an amount, a dash where none is known.
func moneyText(m parts.Money) string {
	if m.Currency == "" {
		return "-"
	}
	return unit.Figure(m.Amount, 2) + " " + m.Currency
}

type wireOptions struct {
	wiringOptions
	deadStrings bool
}

func newWireCommand(s streams) *cobra.Command {
	var o wireOptions
	c := &cobra.Command{
		Use:   "wire SCENE",
		Short: "show how to wire and feed the modules, and what the light costs to run",
		Long: `Lists every way to wire the modules as strings of equal length on one constant-current driver, recommends one,
and works out the one that the scene asks for: what an open or a short circuit does to the rest, which wire serves, what
is drawn from the mains and what a year costs. Writes the wiring diagram (PNG, SVG), where something is wired, and the
list of splits (CSV).

Drivers with the modules that each feeds stand in the scene (wiring.drivers). Unless it names any, the modules of each
channel, part and current are split over as few as serve: at or below 60 V first, then so that no first fault drives a
module above its limit; what came second is named, with why it lost.

It plans only; ` + codesDecide + `.`,
		Example: `fathomlux wire scene.yaml
fathomlux wire scene.yaml --lead "5 m" --feed right
fathomlux wire scene.yaml --dead-strings`,
	}
	o.wiringOptions.bind(c)
	o.bindFormat(c)
	c.Flags().BoolVar(&o.deadStrings, "dead-strings", false,
		"also compute the light that is left when each string is dead")
	return command(s, c, &o.given, o.run)
}

// run reads the scene, wires it, writes all files at once and prints the answer.
func (o *wireOptions) run(ctx context.Context, s streams) error {
	look, err := o.look()
	a, errWiring := o.read()
	if err := errors.Join(err, errWiring); err != nil {
		return err
	}
	var light []result.Plane
	if o.deadStrings {
		if light, err = deadStrings(ctx, a, o.cores()); err != nil {
			return err
		}
	}
	files, err := wireFiles(ctx, a, look)
	if err != nil {
		return err
	}
	chosen := each(a.groups, func(g wiring.Group) string { return g.Choice(a.scene).Say(look.Units) })
	return o.hand(ctx, s, outcome{scenes: []*scene.Scene{a.scene}, parts: a.answer(light), brief: chosen, found: a.notes,
		cautions: a.at("wire"), files: files})
}

// wireFiles draws the diagram and writes the table of splits. Where nothing could be chosen there is no diagram.
func wireFiles(ctx context.Context, a wired, look render.Look) ([]output.File, error) {
	files := []output.File{csvFile("wire.csv", splitTable(a.groups...))}
	if !slices.ContainsFunc(a.groups, func(g wiring.Group) bool { return g.Chosen.Split != nil }) {
		return files, nil
	}
	d := diagram.Diagram{Groups: a.groups, Page: fig.Page{Subtitle: "wiring, " + a.junctions,
		Notes: finding.Lines(a.notes, finding.Note, look.Units)}, Cautions: a.at("wire")}
	for _, p := range a.runningFigures() {
		f := p.(answer.Figure)
		if len(a.groups) > 1 {
			f.Title += ", all drivers"
		}
		d.Figures = append(d.Figures, fig.Figure{Label: f.Title, Value: f.Words()})
	}
	pictures, err := render.Wire(ctx, a.scene, d, func(i int) []fig.Figure { return driverFigures(&a.groups[i]) }, look)
	return append(files, pictures...), err
}

// driverFigures are what stands below the drawing of one driver: its own load, not that of all.
func driverFigures(g *wiring.Group) (list []fig.Figure) {
	add := func(label string, v float64, decimals int, unitName string) {
		list = append(list, fig.Figure{Label: label, Value: unit.Figure(v, decimals) + " " + unitName})
	}
	when := "in operation"
	if g.Level < 1 {
		when = "at full light"
	}
	add("load "+when+", this driver", g.Chosen.Split.LoadW, 1, "W")
	if fit := g.Chosen.Fit; fit != nil {
		if fit.MainsW > 0 {
			add("from the mains "+when+", this driver", fit.MainsW, 1, "W")
		}
		add("at work, at most", fit.Verdict.WorkV, 1, "V")
		if fit.Verdict.OpenKnown {
			add("without a load, at most", fit.Verdict.OpenV, 1, "V")
		}
	}
	return list
}

// coarseCells is about how many cells the longer side of the grid of a dead string's light has.
const coarseCells = 60

// deadStrings computes the light on the goal's plane with all strings alive, and then with each of them dead. The
// others keep their wanted current.
func deadStrings(ctx context.Context, a wired, workers int) (light []result.Plane, err error) {
	sc := a.scene
	step := max(sc.Tank.LengthM, sc.Tank.WidthM) / coarseCells
	request := optics.Options{Planes: []scene.PlaneRef{sc.Goal.Plane}, Workers: workers,
		StepM: min(step, sc.Tank.LengthM, sc.Tank.WidthM)}
	for _, members := range append([][]parts.Mounted{nil}, wiring.Strings(a.groups)...) {
		m, err := optics.Map(ctx, wiring.WithDead(sc, members), request)
		if err != nil {
			return nil, err
		}
		m.Planes[0].Field = result.Field{} // only figures are told
		light = append(light, m.Planes[0])
	}
	return light, nil
}
