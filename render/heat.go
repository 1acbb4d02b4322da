package render

import (
	"context"
	"fmt"
	"image"

	"fathomlux/render/chart"
	"fathomlux/scene"
	"fathomlux/scene/heat"
)

// Heat draws the temperature along each rail, with a dot for the junction of each module on a stem from its rail. notes are the
// sentences below the chart.
func Heat(ctx context.Context, o *scene.Operating, sc *scene.Scene, notes []string, look Look) ([]Picture, error) {
	return finish(ctx, []drawing{heatDrawing(o, sc, notes, look)}, look, 1)
}

func heatDrawing(o *scene.Operating, sc *scene.Scene, notes []string, look Look) drawing {
	unitM := look.Units.Metres()
	c := chart.Lines{Title: sc.Title, Subtitle: "temperature along the rails, and of the junctions: " + surroundings(o, sc, look),
		XLabel: "x from the tank's left side, " + look.Units.Name(), YLabel: "temperature, \u00b0C", Notes: notes, PixelFactor: look.PixelFactor,
		Footer: "fathomlux " + look.Version + "; steady state in still air, computed from the parts' figures"}
	if len(sc.Rails) == 1 {
		c.Subtitle = "temperature along the rail, and of the junctions: " + surroundings(o, sc, look)
	}
	for i, r := range o.Rails {
		line := chart.Line{Name: scene.RailWord(r.Name), Plain: true}
		for k, x := range r.Line.XM {
			line.X, line.Y = append(line.X, (r.LeftM+x)/unitM), append(line.Y, r.Line.TC[k])
		}
		dots := chart.Dots{Line: i, Name: "junctions on " + line.Name}
		if len(o.Rails) == 1 {
			dots.Name = "junctions, on stems from the rail; numbers of the modules above"
		}
		for k, m := range r.Modules {
			if m.ElectricalW == 0 {
				continue
			}
			x := sc.Rails[i].Modules[k].XM / unitM
			dots.X, dots.Y, dots.From = append(dots.X, x), append(dots.Y, m.JunctionC), append(dots.From, m.RailC)
			if len(o.Rails) == 1 {
				c.Marks = append(c.Marks, chart.Mark{X: x, Label: fmt.Sprint(k + 1)})
			}
		}
		c.Lines, c.Dots = append(c.Lines, line), append(c.Dots, dots)
	}
	c.Limits = heatLimits(o, sc)
	return drawing{name: "heat.png", title: c.Title + ", " + c.Subtitle, draw: func() (*image.RGBA, error) { return c.Draw() }}
}

// heatLimits are the lowest of the parts' highest junctions, what a hand bears, and the air.
func heatLimits(o *scene.Operating, sc *scene.Scene) []chart.Limit {
	lowest := 0.0
	for _, r := range sc.Rails {
		for _, m := range r.Modules {
			if limit := m.Part.HighestJunctionC; lowest == 0 || limit < lowest {
				lowest = limit
			}
		}
	}
	limits := []chart.Limit{{Y: heat.TouchC, Label: fmt.Sprintf("%d \u00b0C: bar too hot to touch", heat.TouchC)}, {Y: o.HoodAirC, Label: fmt.Sprintf("%.0f \u00b0C: air around the rail", o.HoodAirC)}}
	if lowest > 0 {
		limits = append(limits, chart.Limit{Y: lowest, Label: fmt.Sprintf("%.0f \u00b0C: highest junction", lowest)})
	}
	return limits
}

// surroundings says in what air the rails hang.
func surroundings(o *scene.Operating, sc *scene.Scene, look Look) string {
	room := fmt.Sprintf("room of %.0f \u00b0C", o.AirC)
	h := sc.Ambient.Hood
	if h == nil {
		return room + ", no hood"
	}
	u := look.Units
	return fmt.Sprintf("%s, hood of %s x %s x %s %s with %.0f \u00b0C inside", room, u.Figure(h.LengthM), u.Figure(h.WidthM), u.Figure(h.HeightM), u.Name(), o.HoodAirC)
}
