package main

import (
	"fmt"
	"math"

	"github.com/spf13/cobra"

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

// bind adds the flags.
func (o *wiringOptions) bind(c *cobra.Command) {
	o.common.bind(c)
	f := c.Flags()
	f.StringVar(&o.lead, "lead", "2 m", "length of cable from the driver to the first rail")
	choose(f, &o.feed, "feed", "end of the rails that the leads reach", "left", "right")
	f.StringVar(&o.junction, "junction", "",
		"junction temperature in operation, such as \"60 C\" (default from the thermal balance)")
}

// request turns the flags' texts into what wiring takes, but for the junctions. Low voltage is led 500 m at most.
func (o wiringOptions) request() (r wiring.Request, err error) {
	r.FeedRight = o.feed == "right"
	r.LeadM, err = quantityIn("--lead", o.lead, unit.Cable, 0, 500)
	return r, err
}

// wired is a scene with the answer to its wiring.
type wired struct {
	situation
	junctions string // at which temperatures the voltages hold, in words
	notes     []finding.Finding
}

// read reads the scene of the call and wires it.
func (o wiringOptions) read() (wired, error) {
	sc, err := scene.Read(o.scene())
	if err != nil {
		return wired{}, err
	}
	return o.wire(sc)
}

// wire wires a scene that was read.
func (o wiringOptions) wire(sc *scene.Scene) (wired, error) {
	r, err := o.request()
	if err != nil {
		return wired{}, err
	}
	a := wired{situation: situation{scene: sc, units: o.system()}}
	if r.JunctionC, err = a.junctionsOf(o.junction); err != nil {
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

// junctionsOf returns the junction temperatures that the caller asks for, or those in the balance of heat, or, where
// there is none, the highest that the parts allow. The balance is kept in any case: it tells how warm the rails get.
func (a *wired) junctionsOf(text string) (junctionC func(parts.Mounted) float64, err error) {
	junctionC, a.op, err = operating.WorkingJunctions(a.scene)
	switch {
	case text != "":
		c, err := quantityIn("--junction", text, unit.Temperature, -20, 200)
		a.junctions = fmt.Sprintf("junctions at %s °C, as given", tenth(c))
		return func(parts.Mounted) float64 { return c }, err
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
