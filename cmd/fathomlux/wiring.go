package main

import (
	"fmt"
	"math"

	"github.com/spf13/cobra"

	"fathomlux/scene"
	"fathomlux/scene/document"
	"fathomlux/scene/operating"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
	"fathomlux/scene/wiring"
)

// wiringOptions are the options of the commands that wire a scene.
type wiringOptions struct {
	common
	scene    string
	lead     string
	feed     string
	junction string
}

// bind adds the flags.
func (o *wiringOptions) bind(c *cobra.Command) {
	o.common.bind(c)
	f := c.Flags()
	f.StringVar(&o.lead, "lead", "2 m", "length of cable from the driver to the first rail")
	f.StringVar(&o.feed, "feed", "left", "end of the rails that the leads reach: left or right")
	f.StringVar(&o.junction, "junction", "",
		"junction temperature in operation, such as \"60 C\" (default from the balance of heat)")
}

// longestLeadM bounds a lead; low voltage is not led farther.
const longestLeadM = 500

// wish turns the flags' texts into what the scene's wiring takes.
func (o wiringOptions) wish() (wiring.Request, error) {
	var w wiring.Request
	m, err := unit.Cable.Parse(o.lead)
	if err != nil {
		return w, fmt.Errorf("--lead: %w", err)
	}
	if !(m >= 0 && m <= longestLeadM) {
		return w, fmt.Errorf("--lead: %s is not between 0 and %d m", o.lead, longestLeadM)
	}
	w.LeadM = m
	switch o.feed {
	case "left":
	case "right":
		w.FeedRight = true
	default:
		if near := document.Suggest(o.feed, []string{"left", "right"}); near != "" {
			return w, fmt.Errorf("--feed: %.20q is neither left nor right; did you mean %s?", o.feed, near)
		}
		return w, fmt.Errorf("--feed: %.20q is neither left nor right", o.feed)
	}
	return w, nil
}

// wired is a scene with the answer to its wiring.
type wired struct {
	scene     *scene.Scene
	groups    []wiring.Group
	junctions string           // at which temperatures the voltages hold, in words
	op        *operating.Point // the balance of heat; nil where there is none
	notes     []string
}

// wire reads the scene and wires it.
func (o wiringOptions) wire() (wired, error) {
	if _, err := o.wish(); err != nil {
		return wired{}, err
	}
	sc, err := scene.Read(o.scene)
	if err != nil {
		return wired{}, err
	}
	return o.wireScene(sc)
}

// wireScene wires a scene that was read.
func (o wiringOptions) wireScene(sc *scene.Scene) (wired, error) {
	w, err := o.wish()
	if err != nil {
		return wired{}, err
	}
	a := wired{scene: sc}
	if w.JunctionC, err = a.junctionsOf(o.junction); err != nil {
		return wired{}, err
	}
	if a.groups, err = wiring.Wire(sc, w); err != nil {
		return wired{}, fmt.Errorf("%s: %w", o.scene, err)
	}
	for _, g := range a.groups {
		a.notes = append(a.notes, g.Notes...)
	}
	return a, nil
}

// junctionsOf returns the junction temperatures that the caller asks for, or those in the balance of heat, or, where
// there is
// none, the highest that the parts allow. The balance is kept in any case: it tells how warm the rails get.
func (a *wired) junctionsOf(text string) (func(int) float64, error) {
	junctionC, o, err := operating.WorkingJunctions(a.scene)
	a.op = o
	if text != "" {
		return a.asked(text)
	}
	if err != nil {
		return nil, err
	}
	if o == nil {
		a.junctions = "junctions at the highest temperature that the parts allow"
		a.notes = append(a.notes,
			"the rails find no balance of heat: they cannot carry this power; see the command heat")
		return junctionC, nil
	}
	if hot := o.TooHot(); hot != "" {
		a.notes = append(a.notes, hot)
	}
	low, high, _ := o.JunctionsC()
	a.junctions = fmt.Sprintf("junctions at %.0f to %.0f °C in the balance of heat", low, high)
	if math.Round(low) == math.Round(high) {
		a.junctions = fmt.Sprintf("junctions at %.0f °C in the balance of heat", low)
	}
	return junctionC, nil
}

// asked reads one junction temperature for all modules.
func (a *wired) asked(text string) (func(int) float64, error) {
	c, err := unit.Temperature.Parse(text)
	if err != nil {
		return nil, fmt.Errorf("--junction: %w", err)
	}
	if !(c >= -20 && c <= 200) {
		return nil, fmt.Errorf("--junction: %s is not between -20 C and 200 C", text)
	}
	a.junctions = fmt.Sprintf("junctions at %s °C, as asked for", tenth(c))
	return func(int) float64 { return c }, nil
}

// totals are what all drivers of a scene take together.
type totals struct {
	drivers                   int
	loadW, mainsW, kWhPerYear float64
	cost                      parts.Money
	fluxLm, lmPerMainsW       float64
	hoursPerDay               float64
	complete                  bool // whether every group has a driver of known efficiency
}

// totals sums over the groups.
func (a *wired) totals() totals {
	t := totals{complete: true, hoursPerDay: a.scene.Wiring.HoursPerDay,
		cost: parts.Money{Currency: a.scene.Wiring.TariffPerKWh.Currency}}
	for i := range a.groups {
		g := &a.groups[i]
		if s, ok := g.Split(); ok {
			t.loadW += s.LoadW
		} else if len(g.Plan.Splits) > 0 {
			t.loadW += g.Plan.Splits[0].LoadW // of one string of all, which is never refused; the same in all strings
		}
		r := g.Plan.Running
		if r.MainsW == 0 {
			t.complete = false
			continue
		}
		t.drivers++
		t.mainsW += r.MainsW
		t.kWhPerYear += r.KWhPerYear
		t.cost.Amount += r.CostPerYear.Amount
		t.fluxLm += g.Job.Use.FluxLm
	}
	if t.complete && t.mainsW > 0 {
		t.lmPerMainsW = t.fluxLm / t.mainsW
	}
	return t
}

// moneyText writes an amount, a dash where none is known.
func moneyText(m parts.Money) string {
	if m.Currency == "" {
		return "-"
	}
	return unit.Figure(m.Amount, 2) + " " + m.Currency
}
