package plan

import (
	"cmp"
	"fmt"
	"math"
	"strings"

	"fathomlux/optics/result"
	"fathomlux/render/fig"
	"fathomlux/render/style"
	"fathomlux/scene"
	"fathomlux/scene/finding"
	"fathomlux/scene/unit"
)

// Plan is the light on one plane, seen from above.
type Plan struct {
	fig.Page
	Scene    *scene.Scene
	Plane    *result.Plane
	Quantity result.Quantity
	Goal     result.Goal // for this plane; its Level is drawn as a heavier isoline, 0 for none
	GoalNote string      // told where the goal asks nothing of this plan; empty: "none set"
}

var planRoom = style.Pt(fig.PageWidth-2*fig.Margin-fig.RulerWidth-sideRoom, tallest)

// Draw draws the plan, front edge at the bottom: the light as colours with isolines, rails, modules and obstacles
// where they are, dark corners, rulers, the colour scale and the figures. The page is 1400 points wide, less where
// the tank is not long for its width.
func (p Plan) Draw() (*style.Canvas, error) {
	tank := p.Scene.Tank
	v := sized(tank.LengthM, tank.WidthM, planRoom)
	v.units = p.Units
	scale := style.ScaleFor(p.values())
	p.Page.Notes = append(p.notes(v.seats(p.Scene, "")), p.Page.Notes...)
	return p.Page.Draw(v.pageWidth(planRoom.X), func(t *style.Typesetter, textPt float64) []fig.Block {
		return []fig.Block{
			v.block(edgeName, edgeName, func(v view) { p.draw(v, scale) }),
			fig.Key(p.Quantity.Name(), p.Quantity.Unit(), scale, p.Goal.Level,
				known(p.values(), p.Plane.Field.Solid, p.Plane.Field.Grid, tank.Outline)),
			p.Told(fig.Figures(t, p.figures(), textPt)),
		}
	})
}

func (p Plan) values() []float64 { return p.Quantity.Drawn(p.Plane.Field) }

// heat returns a field of light on a frame seen from above.
func heat(f result.Field, q result.Quantity, frame style.Box, scale style.Scale) fig.Heat {
	return fig.Heat{Frame: frame, NX: f.Grid.NX, NY: f.Grid.NY, Values: q.Drawn(f), Scale: scale,
		FirstRowAtBottom: true}
}

func (p Plan) draw(v view, scale style.Scale) {
	light, seats := heat(p.Plane.Field, p.Quantity, v.frame, scale), v.seats(p.Scene, "")
	painted(p.Plane.Field, p.Quantity, v.frame, scale, p.Scene.Tank.Outline).Fill(v.Canvas)
	dark, tinted := v.darkFrames(p.dark()), v.darkFrames(p.coloured())
	v.outlines(p.Scene, seats)
	v.areas(p.Goal)
	v.number(p.Scene, seats, func(b style.Box) bool { return onEdge(dark, b) })
	v.drawDark(dark, darkLetter, 7, 5)
	v.drawDark(tinted, colourLetter, 2, 4)
	light.Isolines(v.Canvas, p.Goal.Level)
	v.floorEdges(p.Scene.Tank)
}

// coloured returns the plane's coloured places, on the plan of the quantity that the goal counts.
func (p Plan) coloured() []result.DarkCorner {
	if p.Quantity != p.Plane.Shown {
		return nil
	}
	return p.Plane.Coloured
}

// dark returns the plane's dark corners, which are those of the quantity that the goal counts.
func (p Plan) dark() []result.DarkCorner {
	if p.Quantity != p.Plane.Shown {
		return nil
	}
	return p.Plane.DarkCorners
}

// figuresOf are the statistics of a quantity on a plane or a face, without figures where no cell has a value.
func figuresOf(q result.Quantity, s result.Statistics, values []float64) []fig.Figure {
	none := style.Number(math.NaN())
	light, uniformity := func(float64) string { return none }, none
	if _, _, known := style.Range(values); known {
		light = func(v float64) string { return style.Number(v) + " " + q.Unit() }
		if s.MinOverMean-s.MinOverMean == 0 {
			uniformity = unit.Ratio(s.MinOverMean)
		}
	}
	return []fig.Figure{{Label: "mean", Value: light(s.Mean)}, {Label: "min", Value: light(s.Min)},
		{Label: "max", Value: light(s.Max)}, {Label: "uniformity U0 (min/mean)", Value: uniformity}}
}

func (p Plan) figures() []fig.Figure {
	s, share := p.Plane.Light(p.Quantity), style.Number(math.NaN())
	if _, _, known := style.Range(p.values()); known {
		above := s.ShareAboveGoal
		if len(p.Goal.Parts) == 1 {
			above = p.Goal.Parts[0].Light.Of(p.Quantity).ShareAboveGoal
		}
		share = finding.Percent(above).Say(p.Units)
	}
	figures := figuresOf(p.Quantity, s, p.values())
	if p.Goal.Level > 0 {
		of := "area"
		if len(p.Goal.Parts) == 1 && p.Goal.Parts[0].Named {
			of = p.Goal.Parts[0].Label
		}
		label := fmt.Sprintf("%s at or above %s %s", of, style.FourDigits(p.Goal.Level), p.Quantity.Unit())
		figures = append(figures, fig.Figure{Label: label, Value: share})
	}
	goal := fig.Figure{Label: "goal", Value: cmp.Or(p.GoalNote, "none set")}
	switch {
	case p.Goal.Asked && p.Goal.Met:
		goal.Value, goal.Mark = "met", fig.Disc
	case p.Goal.Asked:
		goal.Value, goal.Mark = "not met", fig.Ring
	}
	return append(figures, goal)
}

// notes returns the sentences below the figures: what the goal misses, where the dark corners are, what is not shown.
func (p Plan) notes(seats []seat) []string {
	var notes []string
	for _, part := range p.Goal.Parts {
		if len(p.Goal.Parts) > 1 || part.Named {
			notes = append(notes, p.partNote(part))
		}
	}
	if missing := p.Goal.Missing(); len(missing) > 0 {
		notes = append(notes, "Missing: "+finding.All(missing).Say(p.Units))
	}
	notes = append(notes, emptiness(p.values(), "plane")...)
	notes = append(append(notes, p.darkNotes()...), p.colourNotes()...)
	notes = append(notes, signs(seats)...)
	beyond := 0
	for _, s := range seats {
		if s.box.Empty() {
			beyond++
		}
	}
	if beyond > 0 {
		notes = append(notes, fmt.Sprintf("Not shown: %d of %d modules, which stand beyond the tank's edges.", beyond,
			len(seats)))
	}
	return notes
}

// partNote sums up the light at the place of one part of the goal.
func (p Plan) partNote(part result.GoalPart) string {
	l := part.Light.Of(p.Quantity)
	words := fmt.Sprintf("%s: mean %s, min %s, max %s %s, U0 %s", part.Label, style.Number(l.Mean), style.Number(l.Min),
		style.Number(l.Max), p.Quantity.Unit(), unit.Ratio(l.MinOverMean))
	if at := part.Light.Dimmest; p.Quantity == p.Goal.Shown {
		words += fmt.Sprintf(", dimmest at x %s, y %s", p.Units.Length(at.XM), p.Units.Length(at.YM))
	}
	return words + "."
}

func emptiness(values []float64, what string) []string {
	_, high, ok := style.Range(values)
	switch {
	case !ok:
		return []string{"No cell of this " + what + " has a value."}
	case high == 0:
		return []string{"No light reaches this " + what + "."}
	}
	return nil
}

func (p Plan) darkNotes() []string {
	dark := p.dark()
	if len(dark) == 0 {
		return nil
	}
	head, unitName := strings.TrimSuffix("Dark corners in "+p.Plane.DarkIn, " in "), p.Quantity.Unit()
	if p.Plane.DarkLimit > 0 {
		head += fmt.Sprintf(" (below %s %s)", style.Number(p.Plane.DarkLimit), unitName)
	}
	var each []string
	for i, d := range dark[:min(len(dark), mostDark)] {
		each = append(each, fmt.Sprintf("%s: %s, lowest %s %s, %s of the area", darkLetter(i), d.Place(p.Units),
			style.Number(d.Lowest), unitName, finding.Percent(d.AreaShare).Say(p.Units)))
	}
	if more := len(dark) - mostDark; more > 0 {
		each = append(each, fmt.Sprintf("and %d more", more))
	}
	return []string{head + ", dashed: " + strings.Join(each, "; ") + "."}
}

// colourNotes tell where the light has another colour.
func (p Plan) colourNotes() []string {
	list := p.coloured()
	if len(list) == 0 {
		return nil
	}
	var each []string
	for i, d := range list[:min(len(list), mostDark)] {
		each = append(each, fmt.Sprintf("%s: %s, %.0f steps, %s of the area", colourLetter(i), d.Place(p.Units), -d.Lowest,
			finding.Percent(d.AreaShare).Say(p.Units)))
	}
	if more := len(list) - mostDark; more > 0 {
		each = append(each, fmt.Sprintf("and %d more", more))
	}
	return []string{fmt.Sprintf("Another colour (more than %g steps from the mean), dotted: %s.", p.Plane.ColourLimit,
		strings.Join(each, "; "))}
}

// Small is the light on a plane as it stands on a page with others: without isolines, texts, rulers and scale.
type Small struct {
	Scene    *scene.Scene
	Spectrum string // only modules with this one are shown; empty: all
	Field    result.Field
	Quantity result.Quantity
	Scale    style.Scale
}

// Draw draws the light into a frame in the tank's proportion, rails as lines and modules as small marks.
func (s Small) Draw(c *style.Canvas, frame style.Box) {
	const thinRail, smallModule = 1.0, 3.0
	v := view{Canvas: c, frame: frame, perM: frame.Width() / s.Scene.Tank.LengthM}
	outline := s.Scene.Tank.Outline
	painted(s.Field, s.Quantity, frame, s.Scale, outline).Fill(c)
	v.blank(outline)
	for _, r := range s.Scene.Rails {
		if b := v.rail(r); r.TurnRad != 0 {
			fromX, fromY := r.At(r.LeftM)
			toX, toY := r.At(r.LeftM + r.LengthM)
			line := []style.Point{v.at(fromX, fromY), v.at(toX, toY)}
			v.clipped(line, style.Pen{Width: 3 * thinRail, Colour: style.Shade})
			v.clipped(line, style.Pen{Width: thinRail, Colour: style.PaleLine})
		} else if !b.Empty() {
			b.Top, b.Bottom = b.Centre().Y, b.Centre().Y
			c.FillBox(b.Grown(thinRail), style.Shade)
			c.Line(style.Pt(b.Left, b.Top), style.Pt(b.Right, b.Top), style.Pen{Width: thinRail, Colour: style.PaleLine})
		}
	}
	for _, one := range v.seats(s.Scene, s.Spectrum) {
		if !one.box.Empty() {
			mark := one.box.Centre().Around(smallModule / 2)
			c.FillBox(mark.Grown(1.2).Cut(frame), style.Shade)
			c.FillBox(mark.Cut(frame), style.PaleLine)
		}
	}
	v.edge(outline, style.Pen{Width: 1, Colour: style.Ink})
	c.Claim(frame)
}

// Wall is the light on a side of the tank under water, as that of its own plane: along it from left to right, up from
// the floor to the surface.
type Wall struct {
	fig.Page
	Wall     *result.Wall
	Quantity result.Quantity
}

// Draw draws the wall: the light as colours with isolines, rulers along and up, the colour scale and the figures.
func (w Wall) Draw() (*style.Canvas, error) {
	f := w.Wall.Field
	v := sized(float64(f.Grid.NX)*f.Grid.StepXM, float64(f.Grid.NY)*f.Grid.StepYM, planRoom)
	v.units = w.Units
	values := w.Quantity.Drawn(f)
	scale := style.ScaleFor(values)
	w.Page.Notes = append(emptiness(values, "face"), w.Page.Notes...)
	return w.Page.Draw(v.pageWidth(planRoom.X), func(t *style.Typesetter, textPt float64) []fig.Block {
		return []fig.Block{
			v.block(edgeName, edgeName, func(v view) { w.draw(v, scale) }),
			fig.Key(w.Quantity.Name(), w.Quantity.Unit(), scale, 0, values),
			w.Told(fig.Figures(t, figuresOf(w.Quantity, w.Wall.Light(w.Quantity), values), textPt)),
		}
	})
}

func (w Wall) draw(v view, scale style.Scale) {
	g := w.Wall.Field.Grid
	light := heat(w.Wall.Field, w.Quantity, v.frame, scale)
	light.Fill(v.Canvas)
	light.Isolines(v.Canvas, 0)
	v.StrokeBox(v.frame, style.Pen{Width: 1.4, Colour: style.Ink})
	fig.Ruler{Frame: v.frame, LengthM: float64(g.NX) * g.StepXM, Units: v.units}.Draw(v.Canvas)
	fig.Ruler{Frame: v.frame, LengthM: float64(g.NY) * g.StepYM, Units: v.units, Upright: true}.Draw(v.Canvas)
	v.TryWrite(style.Text{Text: "water surface", Font: style.TextFont}.Beside(v.frame, 8, style.Above))
	v.TryWrite(style.Text{Text: "floor", Font: style.TextFont}.Beside(v.frame, fig.RulerHeight+6, style.Below))
	low := v.frame.Bottom + fig.RulerHeight + 6
	v.TryWrite(style.Text{Text: w.Wall.Ends[0], Font: style.TextFont, At: style.Pt(v.frame.Left, low)})
	v.TryWrite(style.Text{Text: w.Wall.Ends[1], Font: style.TextFont, At: style.Pt(v.frame.Right, low),
		Anchor: style.TopRight})
}

// Net is the light on one plane at one moment, seen from above: colours alone, without isolines and outlines, which
// would hide the lines of light. Scale may end below the brightest points.
type Net struct {
	fig.Page
	Scene    *scene.Scene
	Field    result.Field
	Quantity result.Quantity
	Scale    style.Scale
	Figures  []fig.Figure
}

// Draw draws the net with rulers, the colour scale and the figures.
func (n Net) Draw() (*style.Canvas, error) {
	tank := n.Scene.Tank
	v := sized(tank.LengthM, tank.WidthM, planRoom)
	v.units = n.Units
	return n.Page.Draw(v.pageWidth(planRoom.X), func(t *style.Typesetter, textPt float64) []fig.Block {
		return []fig.Block{
			v.block(edgeName, edgeName, func(v view) {
				painted(n.Field, n.Quantity, v.frame, n.Scale, tank.Outline).Fill(v.Canvas)
				v.blank(tank.Outline)
				v.floorEdges(tank)
			}),
			fig.Key(n.Quantity.Name(), n.Quantity.Unit(), n.Scale, 0, n.Quantity.Drawn(n.Field)),
			n.Told(fig.Figures(t, n.Figures, textPt)),
		}
	})
}
