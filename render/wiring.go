package render

import (
	"cmp"
	"context"
	"fmt"
	"slices"
	"strings"

	"fathomlux/render/diagram"
	"fathomlux/render/fig"
	"fathomlux/render/style"
	"fathomlux/scene"
	"fathomlux/scene/circuit"
	"fathomlux/scene/wiring"
)

// Wiring is what a wiring diagram shows beside the scene.
type Wiring struct {
	Groups   []wiring.Group
	Subtitle string
	Figures  []fig.Figure
	Notes    []string
	Cautions []string
}

// Wire draws the wiring diagram of a scene in the format that is asked for and as SVG. Groups for which nothing could
// be chosen are left out.
func Wire(ctx context.Context, sc *scene.Scene, w Wiring, look Look) ([]Picture, error) {
	d := diagram.Diagram{Page: look.page(sc.Title, w.Subtitle, "", w.Notes...), Figures: w.Figures, Cautions: w.Cautions}
	for i := range w.Groups {
		if _, ok := w.Groups[i].Split(); !ok {
			d.Notes = append(slices.Clone(d.Notes), w.Groups[i].Plan.Chosen.Why)
			continue
		}
		d.Feeds = append(d.Feeds, feedOf(sc, &w.Groups[i], look.Units))
		if fit, ok := w.Groups[i].Fit(); ok && !fit.Fits {
			d.Notes = append(slices.Clone(d.Notes), fit.Driver.Name+" does not fit: "+strings.Join(fit.Reasons, "; "))
		}
	}
	var list []Picture
	for _, format := range slices.Compact([]style.Format{cmp.Or(look.Format, style.PNG), style.SVG}) {
		look.Format = format
		pictures, err := finish(ctx, []drawing{{"wiring", d}}, look, 1)
		if err != nil {
			return nil, err
		}
		list = append(list, pictures...)
	}
	return list, nil
}

// feedOf returns one group's driver with its strings.
func feedOf(sc *scene.Scene, g *wiring.Group, units style.Units) diagram.Feed {
	f := diagram.Feed{Driver: "no driver fits", Right: g.Job.Feed.Right, Total: totalOf(g)}
	if fit, ok := g.Fit(); ok {
		f.Driver, f.Facts = fit.Driver.Name, factsOf(fit)
	}
	if g.Job.Feed.LeadM > 0 {
		f.Facts = append(f.Facts, "lead of "+leadText(g.Job.Feed.LeadM, units))
	}
	for _, r := range sc.Rails {
		f.Rails = append(f.Rails, diagram.Rail{Name: r.Name, FromM: r.LeftM, LengthM: r.LengthM})
	}
	seats := sc.Seats()
	for i, members := range g.Plan.Circuit.Number {
		name := fmt.Sprintf("string %d", g.FirstString+i)
		one := diagram.String{Number: g.FirstString + i, Short: name + ", goes on",
			Label: fmt.Sprintf("%s: %.1f V, %.0f mA", name, g.Plan.Sharing.VoltageV, 1000*g.Plan.Sharing.CurrentA[i])}
		for _, k := range members {
			at := seats[g.Members[k]]
			one.Stops = append(one.Stops, diagram.Module{Rail: at.Rail, AlongM: g.Job.Modules[k].AlongM,
				Name: fmt.Sprint(at.Module + 1)})
		}
		f.Strings = append(f.Strings, one)
	}
	return f
}

// leadText writes the length of a cable.
func leadText(m float64, units style.Units) string {
	if units == style.US {
		return fmt.Sprintf("%.3g ft", m/0.3048) // exact by definition
	}
	return fmt.Sprintf("%.3g m", m)
}

// totalOf says what a group takes together.
func totalOf(g *wiring.Group) string {
	s, ok := g.Split()
	if !ok {
		return ""
	}
	strings := "strings"
	if s.Strings == 1 {
		strings = "string"
	}
	return fmt.Sprintf("%d %s of %d: %.1f V, %.0f mA, %.1f W in operation, %.1f V when switched on cold", s.Strings,
		strings, s.PerString, g.Plan.Sharing.VoltageV, 1000*s.DriverA, s.LoadW, s.HighestV)
}

// factsOf returns what a driver's box says.
func factsOf(fit circuit.Fit) []string {
	d := fit.Driver
	facts := []string{fmt.Sprintf("constant current, %.0f mA", 1000*fit.CurrentA),
		fmt.Sprintf("%.0f to %.0f V, %.3g W", d.LowestV, d.HighestV, d.RatedW)}
	if !fit.Fits {
		facts = append(facts, "does not fit, see below")
	}
	if d.IP != "" {
		facts = append(facts, d.IP)
	}
	return facts
}
