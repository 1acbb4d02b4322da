package render

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/floats"

	"fathomlux/optics/result"
	"fathomlux/render/chart"
	"fathomlux/render/diagram"
	"fathomlux/render/fig"
	"fathomlux/render/polar"
	"fathomlux/render/stream"
	"fathomlux/render/style"
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

// leastLoss is the share of the light below which a loss is not drawn.
const leastLoss = 0.0005

// balanceDrawing prepares the picture of the flux balance: where the lumens end or, where the goal counts photons,
// these. Where no module shines a page that says so takes the place of one that an earlier map may have left in the
// folder.
func balanceDrawing(m *result.Map, sc *scene.Scene, look Look) drawing {
	b, beside, photons := m.Balance, result.FluxBalance{}, m.Goal.Shown == result.PPFD
	p := stream.Page{Say: func(f stream.Flux) (string, string) { return unit.Figure(f.Drawn, 0) + " lm", "" }}
	title := "luminous flux balance: where the %s of the LEDs end up; widths are to scale"
	if photons {
		b, beside, title = m.Photons, m.Balance, "balance of photons: where the %s of the LEDs end up; widths are to scale"
		p.Say = func(f stream.Flux) (string, string) {
			return unit.Figure(f.Drawn, 1) + " µmol/s", unit.Figure(f.Beside, 0) + " lm"
		}
	}
	if !(b.Emitted > 0) {
		return drawing{"balance", stream.Page{Page: mapPage(m, look,
			"no module is on, so there is no light to account for")}}
	}
	p.Emitted, p.Floor = stream.Flux{Drawn: b.Emitted, Beside: beside.Emitted},
		stream.Flux{Drawn: b.Floor, Beside: beside.Floor}
	emitted, _ := p.Say(p.Emitted)
	p.Page = mapPage(m, look, fmt.Sprintf(title, emitted))
	loss := func(name string, drawn, beside float64) stream.Loss {
		return stream.Loss{Name: name, Flux: stream.Flux{Drawn: drawn, Beside: beside}}
	}
	unfollowed := loss("reflected, not followed by this engine", b.Unfollowed, beside.Unfollowed)
	unfollowed.Strange = true
	p.Above = []stream.Loss{loss("lost in the lenses", b.Optic, beside.Optic),
		loss("past the tank (spill)", b.Spill, beside.Spill),
		loss("reflected or absorbed by the cover", b.Cover, beside.Cover),
		loss("reflected by the water surface", b.Surface, beside.Surface)}
	p.Below = []stream.Loss{loss("stopped by leaves", b.Leaves, beside.Leaves),
		loss("absorbed in the water", b.Water, beside.Water),
		loss("through the walls, or absorbed by them", b.Walls, beside.Walls),
		loss("back out of the water", b.Returned, beside.Returned), unfollowed}
	shade := loss("stopped by obstacles and the rim", b.Obstacles, beside.Obstacles)
	if inWater := func(o scene.Obstacle) bool { return o.Box.Min.Z < sc.Tank.Water.DepthM }; !slices.ContainsFunc(
		sc.Tank.Obstacles, inWater) {
		p.Above = append(p.Above, shade)
	} else {
		p.Below = append([]stream.Loss{shade}, p.Below...)
	}
	unseen := func(l stream.Loss) bool { return !(l.Flux.Drawn >= leastLoss*b.Emitted) }
	p.Above, p.Below = slices.DeleteFunc(p.Above, unseen), slices.DeleteFunc(p.Below, unseen)
	p.Notes = []string{"Light is counted where it finally ends up: what the cover absorbs, or " +
		"what leaves the water, may have reached the floor first; a pale floor sends much of it back. Walls also take " +
		"light above the surface."}
	return drawing{"balance", p}
}

// mostPages is the highest number of drivers that get a page each.
const mostPages = 24

// Wire draws the wiring diagram of a scene in the format that is asked for and as SVG: one page with all drivers, and
// where there are several a page for each, with its own figures, as own has them. A single driver, and each on a page
// of its own, is shown from behind, too. Subtitle, notes, groups, figures and cautions are the diagram's.
func Wire(ctx context.Context, sc *scene.Scene, d diagram.Diagram, own func(i int) []fig.Figure, look Look) (
	list []Picture, err error) {
	notes := d.Notes
	for _, r := range sc.Rails {
		for _, m := range r.Modules {
			if !slices.Contains(d.Kinds, m.Part.Name) {
				d.Kinds = append(d.Kinds, m.Part.Name)
			}
		}
	}
	d.Page, d.Rails, d.Back = look.page(sc.Title, d.Subtitle, "", notes...), sc.Rails, len(d.Groups) == 1
	pages := []drawing{{"wiring", d}}
	for i, g := range d.Groups {
		if len(d.Groups) == 1 || i >= mostPages || len(g.Circuit.Strings) == 0 {
			continue
		}
		one := d
		one.Groups, one.Figures, one.Back, one.Cautions = d.Groups[i:i+1], own(i), true,
			[]string{"those on the page of all drivers hold; read them before you connect anything"}
		one.Page = look.page(sc.Title, fmt.Sprintf("driver %s, %d of %d", g.Name, i+1, len(d.Groups)), "")
		pages = append(pages, drawing{fmt.Sprintf("wiring-%d", i+1), one})
	}
	if list, err = finish(ctx, pages, look, 1); err == nil && look.Format != style.SVG {
		look.Format = style.SVG
		more, err := finish(ctx, pages[:1], look, 1)
		return append(list, more...), err
	}
	return list, err
}

// Beam draws the two pictures of an optic: the polar curve and the cone. notes stand below both.
func Beam(ctx context.Context, b *result.Beam, look Look, notes []string) ([]Picture, error) {
	measured := ""
	if b.File != "" {
		measured = "; measured, " + b.File
	}
	page := func(subtitle string) fig.Page {
		return look.page(strings.TrimSuffix("Optic "+b.Name+": "+b.About, ": "), subtitle, measured, notes...)
	}
	return finish(ctx, []drawing{
		{b.Name + "-polar", polar.Curve{Page: page("Intensity over the angle for 1000 lm leaving the optic"), Beam: b}},
		{b.Name + "-cone", polar.Cone{Page: page("The beam in air for 1000 lm leaving the optic"), Beam: b}},
	}, look, 2)
}

// Spectrum draws the power of a kind of light over the wavelength, with the eye's sensitivity faint behind it.
func Spectrum(ctx context.Context, s *result.Spectrum, look Look) ([]Picture, error) {
	eye := chart.Series{Name: "thin: V(\u03bb), the eye's sensitivity in daylight", X: s.Nm, Y: s.Sensitivity,
		Pen: style.SeriesPen(0, 1)}
	power := chart.Series{X: s.Nm, Y: s.Power, Pen: style.SeriesPen(0, 2)}
	c := chart.Chart{
		Panels: []chart.Panel{{Series: []chart.Series{eye, power}, X: chart.Axis{Label: "wavelength, nm", Tight: true},
			Y: chart.Axis{Label: "spectral power, relative to the peak", Zero: true}}},
		Page: look.page(strings.TrimSuffix("Spectrum "+s.Name+": "+s.About, ": "), "Spectral power distribution", "",
			fmt.Sprintf("%.1f lx correspond to 1 \u00b5mol/m\u00b2/s of photons from 400 to 700 nm. Luminous efficacy of "+
				"radiation %.0f lm/W, photon efficacy of radiation "+
				"%.2f \u00b5mol/J; highest at %.0f nm.", s.LuxPerPPFD, s.LmPerW, s.UmolPerJ, s.PeakNm),
			fmt.Sprintf("Photons: %.0f %% from 400 to 500 nm, %.0f %% from 500 to 600 nm, %.0f %% from 600 to 700 nm.",
				100*s.Blue, 100*s.Green, 100*s.Red)),
	}
	return finish(ctx, []drawing{{s.Name + "-spectrum", c}}, look, 1)
}

// Spectra draws the light at places over the wavelength: photons where the goal of the map counts these, else power.
func Spectra(ctx context.Context, places []result.PlaceLight, m *result.Map, look Look) ([]Picture, error) {
	p := chart.Panel{X: chart.Axis{Label: "wavelength, nm", Tight: true},
		Y: chart.Axis{Label: "spectral irradiance, mW/m\u00b2/nm", Zero: true}}
	if m.Goal.Shown == result.PPFD {
		p.Y.Label = "photons, \u00b5mol/m\u00b2/s/nm"
	}
	var notes []string
	for i, one := range places {
		y := one.Photons
		if m.Goal.Shown != result.PPFD {
			y = floats.ScaleTo(make([]float64, len(one.Power)), 1000, one.Power)
		}
		pen, _ := chart.Look(i, 2)
		p.Series = append(p.Series, chart.Series{Name: one.Name, X: one.Nm, Y: y, Pen: pen})
		notes = append(notes, placeNote(&one))
	}
	page := mapPage(m, look, "Spectrum at places, as the light comes down through a level plane")
	page.Notes = append(notes, page.Notes...)
	return finish(ctx, []drawing{{"spectra", chart.Chart{Page: page, Panels: []chart.Panel{p}}}}, look, 1)
}

// placeNote sums up the light at a place.
func placeNote(p *result.PlaceLight) string {
	temperature := fmt.Sprintf("no colour temperature, x %.4f, y %.4f", p.Colour.X, p.Colour.Y)
	if p.Colour.Temperate {
		temperature = fmt.Sprintf("%.0f K, Duv %.4f", p.Colour.CCTK, p.Colour.Duv)
	}
	if p.Colour.White {
		temperature += fmt.Sprintf(", Ra %.0f", p.Colour.Ra)
	}
	return fmt.Sprintf("%s: %s lx; %s \u00b5mol/m\u00b2/s from 400 to 700 nm, %.0f %% blue, %.0f %% green, %.0f %% red; "+
		"%s \u00b5mol/m\u00b2/s from 700 to 750 nm; %s.", p.Name, style.Number(p.Lux), style.Number(p.PPFD), 100*p.Bands.Blue,
		100*p.Bands.Green, 100*p.Bands.Red, figure3(p.FarRed), temperature)
}
