package render

import (
	"context"
	"fmt"
	"math"
	"slices"

	"fathomlux/render/chart"
	"fathomlux/scene"
	"fathomlux/scene/heat"
	"fathomlux/scene/operating"
	"fathomlux/scene/unit"
)

// Heat draws the temperature along each rail, with a dot for the junction of each module on a stem from its rail.
// notes are the sentences below the chart.
func Heat(ctx context.Context, o *operating.Point, sc *scene.Scene, notes []string, look Look) ([]Picture, error) {
	return finish(ctx, []drawing{heatDrawing(o, sc, notes, look)}, look, 1)
}

func heatDrawing(o *operating.Point, sc *scene.Scene, notes []string, look Look) drawing {
	unitM := look.Units.Metres()
	head := "temperature along the rails, and of the junctions: "
	if len(sc.Rails) == 1 {
		head = "temperature along the rail, and of the junctions: "
	}
	c := chart.Chart{Page: look.page(sc.Title, head+surroundings(o, sc, look),
		"; steady state in still air, computed from the parts' figures", notes...)}
	p := chart.Panel{X: chart.Axis{Label: "x from the tank's left side, " + look.Units.Name(), Tight: true},
		Y: chart.Axis{Label: "temperature, \u00b0C"}, Limits: heatLimits(o, sc)}
	numbered := sameSeats(sc)
	var groups []*alikeRails
	seen := map[string]*alikeRails{} // by what is plotted
	for i, r := range o.Rails {
		g := &alikeRails{}
		line, dots := &g.line, &g.dots
		for k, x := range r.Line.XM {
			line.X, line.Y = append(line.X, (r.LeftM+x)/unitM), append(line.Y, r.Line.TC[k])
		}
		for k, m := range r.Modules {
			x := sc.Rails[i].Modules[k].XM / unitM
			if numbered && i == 0 && (m.ElectricalW > 0 || len(o.Rails) > 1) {
				p.Ticks = append(p.Ticks, chart.Tick{X: x, Label: fmt.Sprint(k + 1)})
			}
			if m.ElectricalW > 0 {
				dots.X, dots.Y, dots.From = append(dots.X, x), append(dots.Y, m.JunctionC), append(dots.From, m.RailC)
			}
		}
		plotted := fmt.Sprintf("%.2f %.0f %.2f %.0f", line.X, line.Y, dots.X, dots.Y)
		if seen[plotted] == nil {
			line.Pen, dots.Mark = chart.Look(len(groups), 2)
			dots.Radius, dots.Pen.Colour = 5, line.Pen.Colour
			seen[plotted], groups = g, append(groups, g)
		}
		seen[plotted].names = append(seen[plotted].names, scene.RailWord(r.Name))
	}
	for _, g := range groups {
		g.line.Name = unit.List(g.names, mostNames)
		g.dots.Name = "junctions on " + g.line.Name
		if len(o.Rails) == 1 {
			g.dots.Name = "junctions, on stems from the rail; numbers of the modules above"
		}
		p.Series = append(p.Series, g.line, g.dots)
	}
	if numbered && len(o.Rails) > 1 {
		c.Notes = append(slices.Clone(notes), "Numbers along the upper edge: the modules of each rail.")
	}
	c.Panels = []chart.Panel{p}
	return drawing{"heat", c}
}

// alikeRails are rails whose lines and junctions lie on each other, to a kelvin: they would cover each other.
type alikeRails struct {
	line, dots chart.Series
	names      []string
}

// mostNames is how many rails are named on one line.
const mostNames = 3

// sameSeats tells whether one row of numbers names the modules of all rails: they stand at the same places along x.
func sameSeats(sc *scene.Scene) bool {
	near := func(m, n scene.Module) bool { return math.Abs(m.XM-n.XM) <= 0.001 }
	return !slices.ContainsFunc(sc.Rails[1:], func(r scene.Rail) bool {
		return !slices.EqualFunc(sc.Rails[0].Modules, r.Modules, near)
	})
}

// heatLimits are the lowest of the parts' highest junctions, what a hand bears, and the air.
func heatLimits(o *operating.Point, sc *scene.Scene) []chart.Limit {
	lowest := 0.0
	for _, r := range sc.Rails {
		for _, m := range r.Modules {
			if limit := m.Part.HighestJunctionC; lowest == 0 || limit < lowest {
				lowest = limit
			}
		}
	}
	limits := []chart.Limit{{At: heat.TouchC, Label: fmt.Sprintf("%d \u00b0C: bar too hot to touch", heat.TouchC)},
		{At: o.HoodAirC, Label: fmt.Sprintf("%.0f \u00b0C: air around the rail", o.HoodAirC)}}
	if lowest > 0 {
		limits = append(limits, chart.Limit{At: lowest, Label: fmt.Sprintf("%.0f \u00b0C: highest junction", lowest)})
	}
	return limits
}

// surroundings says in what air the rails hang.
func surroundings(o *operating.Point, sc *scene.Scene, look Look) string {
	room := fmt.Sprintf("room of %.0f \u00b0C", o.AirC)
	h := sc.Ambient.Hood
	if h == nil {
		return room + ", no hood"
	}
	u := look.Units
	return fmt.Sprintf("%s, hood of %s x %s x %s %s with %.0f \u00b0C inside", room, u.Figure(h.LengthM),
		u.Figure(h.WidthM), u.Figure(h.HeightM), u.Name(), o.HoodAirC)
}
