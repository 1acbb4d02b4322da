package render

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"fathomlux/render/chart"
	"fathomlux/render/style"
	"fathomlux/scene"
	"fathomlux/scene/heat"
	"fathomlux/scene/operating"
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
	for i, alike := range alikeRails(o, sc) {
		first := alike[0]
		r := o.Rails[first]
		pen, mark := chart.Look(i, 2)
		line, dots := chart.Series{Name: railWords(o, alike), Pen: pen}, chart.Series{Mark: mark, Radius: 5,
			Pen: style.Pen{Colour: pen.Colour}}
		dots.Name = "junctions on " + line.Name
		if len(o.Rails) == 1 {
			dots.Name = "junctions, on stems from the rail; numbers of the modules above"
		}
		for k, x := range r.Line.XM {
			line.X, line.Y = append(line.X, (r.LeftM+x)/unitM), append(line.Y, r.Line.TC[k])
		}
		for k, m := range r.Modules {
			x := sc.Rails[first].Modules[k].XM / unitM
			if numbered && i == 0 && (m.ElectricalW > 0 || len(o.Rails) > 1) {
				p.Ticks = append(p.Ticks, chart.Tick{X: x, Label: fmt.Sprint(k + 1)})
			}
			if m.ElectricalW > 0 {
				dots.X, dots.Y, dots.From = append(dots.X, x), append(dots.Y, m.JunctionC), append(dots.From, m.RailC)
			}
		}
		p.Series = append(p.Series, line, dots)
	}
	if numbered && len(o.Rails) > 1 {
		c.Notes = append(slices.Clone(notes), "Numbers along the upper edge: the modules of each rail.")
	}
	c.Panels = []chart.Panel{p}
	return drawing{"heat", c}
}

// alikeRails groups the rails whose lines and junctions lie on each other, to a millimetre and a kelvin: they would
// cover each other. Indices stand in the order of the file.
func alikeRails(o *operating.Point, sc *scene.Scene) (groups [][]int) {
	seen := map[string]int{}
	for i, r := range o.Rails {
		var words strings.Builder
		fmt.Fprintf(&words, "%.3f %.3f %.0f", r.LeftM, r.Line.XM, r.Line.TC)
		for k, m := range r.Modules {
			fmt.Fprintf(&words, " %.3f %v %.0f", sc.Rails[i].Modules[k].XM, m.ElectricalW == 0, m.JunctionC)
		}
		k, known := seen[words.String()]
		if !known {
			k, seen[words.String()] = len(groups), len(groups)
			groups = append(groups, nil)
		}
		groups[k] = append(groups[k], i)
	}
	return groups
}

// sameSeats tells whether one row of numbers names the modules of all rails: they stand at the same places along x.
func sameSeats(sc *scene.Scene) bool {
	near := func(m, n scene.Module) bool { return math.Abs(m.XM-n.XM) <= 0.001 }
	return !slices.ContainsFunc(sc.Rails[1:], func(r scene.Rail) bool {
		return !slices.EqualFunc(sc.Rails[0].Modules, r.Modules, near)
	})
}

// mostNames is how many rails are named on one line.
const mostNames = 3

// railWords names rails in a sentence.
func railWords(o *operating.Point, alike []int) string {
	first := scene.RailWord(o.Rails[alike[0]].Name)
	if n := len(alike); n > mostNames {
		return fmt.Sprintf("%s and %d like it", first, n-1)
	}
	names := make([]string, len(alike))
	for at, i := range alike {
		names[at] = scene.RailWord(o.Rails[i].Name)
	}
	return strings.Join(names, ", ")
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
