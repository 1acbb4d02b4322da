package section

import (
	"image/color"
	"math"

	"fathomlux/optics/result"
	"fathomlux/render/fig"
	"fathomlux/render/style"
)

// The looks of the section, in points and colours.
const (
	wallPt       = 5.0  // walls are drawn this thick, outside the tank's inside
	thinnest     = 2.0  // of a pane or a rail
	smallestMark = 6.0  // of a module
	lampPt       = 4.0  // a module's thickness
	contourCount = 7    // levels, about
	rayInside    = 0.75 // opacity of rays in the water
)

var (
	wallColour  = color.NRGBA{R: 150, G: 160, B: 170, A: 255}
	coverColour = color.NRGBA{R: 150, G: 176, B: 196, A: 255}
	railColour  = color.NRGBA{R: 122, G: 126, B: 134, A: 255}
	lampColour  = color.NRGBA{R: 246, G: 196, B: 64, A: 255}
	rayColour   = color.NRGBA{R: 150, G: 108, B: 20, A: 200}
)

// drawing is a slice that is being drawn into a frame.
type drawing struct {
	Slice
	*style.Canvas
	frame style.Box
	view  extent
	perM  float64
}

// x returns the page's x of a place along the slice.
func (d drawing) x(m float64) float64 { return d.frame.Left + (m-d.view.left)*d.perM }

// y returns the page's y of a height above the floor.
func (d drawing) y(zM float64) float64 { return d.frame.Bottom - (zM-d.view.bottom)*d.perM }

// air returns the page's y of a height above the water surface.
func (d drawing) air(heightM float64) float64 { return d.y(d.WaterDepthM + heightM) }

// water returns where the water is drawn.
func (d drawing) water() style.Box {
	return style.Box{Left: d.x(0), Right: d.x(d.along()), Top: d.y(d.WaterDepthM), Bottom: d.y(0)}
}

// slice draws everything, from the back to the front.
func (d drawing) slice() {
	water := d.water()
	heat := fig.Heat{
		Frame: water, NX: d.Section.N, NY: d.Section.NZ, Values: d.values(),
		Scale: d.Scale, Colours: style.Light(),
	}
	heat.Fill(d.Canvas)
	for _, r := range d.Section.Rays {
		d.ray(r, water)
	}
	d.walls(water)
	d.cover()
	d.blocks()
	d.rails()
	heat.Isolines(d.Canvas, fig.GoalLevels(d.values(), contourCount, d.GoalLevel))
	d.Line(style.Pt(water.Left, water.Top), style.Pt(water.Right, water.Top), style.Pen{Width: 2, Colour: style.Ink})
	fig.Ruler{Frame: water, LengthM: d.along(), Units: d.Units, OffPt: wallPt}.Draw(d.Canvas)
	fig.Ruler{Frame: water, LengthM: d.WaterDepthM, Units: d.Units, Upright: true, FromTop: true, OffPt: wallPt}.Draw(d.Canvas)
	d.names(water)
	d.remarks()
	for _, r := range d.Section.Rays {
		d.stray(r, water)
	}
}

// names writes below the ruler how the slice lies.
func (d drawing) names(water style.Box) {
	left, right := "left", "right"
	if d.Section.Axis == result.AcrossY {
		left, right = "front", "back"
	}
	y := d.frame.Bottom + fig.RulerHeight + wallPt + 6
	d.TryWrite(style.Text{Text: left, At: style.Pt(water.Left, y), Anchor: style.TopMiddle, Font: style.TextFont})
	d.TryWrite(style.Text{Text: right, At: style.Pt(water.Right, y), Anchor: style.TopMiddle, Font: style.TextFont})
}

// walls draws the two walls from the floor to the rim, and the floor.
func (d drawing) walls(water style.Box) {
	rim := d.y(d.HeightM)
	d.FillBox(style.Box{Left: water.Left - wallPt, Right: water.Left, Top: rim, Bottom: water.Bottom + wallPt}, wallColour)
	d.FillBox(style.Box{Left: water.Right, Right: water.Right + wallPt, Top: rim, Bottom: water.Bottom + wallPt}, wallColour)
	d.FillBox(style.Box{Left: water.Left, Right: water.Right, Top: water.Bottom, Bottom: water.Bottom + wallPt}, wallColour)
}

func (d drawing) cover() {
	if d.Cover == nil {
		return
	}
	pane := style.Box{Left: d.x(0), Right: d.x(d.along()), Bottom: d.air(d.Cover.FromM), Top: d.air(d.Cover.FromM + d.Cover.ThicknessM)}
	pane.Top = math.Min(pane.Top, pane.Bottom-thinnest)
	if pane = pane.Cut(d.frame); !pane.Empty() {
		d.FillBox(pane, coverColour)
	}
}

// blocks draws the obstacles that the slice cuts.
func (d drawing) blocks() {
	for _, o := range d.Blocks {
		b := style.Box{Left: d.x(o.FromM), Right: d.x(o.ToM), Bottom: d.y(o.BottomM), Top: d.y(o.TopM)}
		b.Top = math.Min(b.Top, b.Bottom-thinnest)
		if b = b.Cut(d.frame); !b.Empty() {
			d.FillBox(b, railColour)
			d.StrokeBox(b, style.Pen{Width: 1, Colour: style.Ink})
			d.Claim(b)
		}
	}
}

// rails draws the rails and the modules below them, with the modules' labels above the rail where there is room.
func (d drawing) rails() {
	for _, r := range d.Rails {
		if r.TiltRad != 0 {
			middle := style.Pt(d.x((r.FromM+r.ToM)/2), d.air(r.HeightM))
			corners := turned(middle, (r.ToM-r.FromM)/2*d.perM, math.Max(r.ThicknessM*d.perM, thinnest), r.TiltRad)
			d.Polygon(corners, railColour)
			d.Claim(around(corners))
			continue
		}
		b := style.Box{Left: d.x(r.FromM), Right: d.x(r.ToM), Bottom: d.air(r.HeightM), Top: d.air(r.HeightM + r.ThicknessM)}
		b.Top = math.Min(b.Top, b.Bottom-thinnest)
		if b = b.Cut(d.frame); !b.Empty() {
			d.FillBox(b, railColour)
			d.Claim(b)
		}
	}
	labels := make([]style.Text, len(d.Modules))
	for i, m := range d.Modules {
		labels[i] = d.module(m)
	}
	for _, l := range d.Thinned(labels) {
		if d.frame.Contains(d.Box(l)) {
			d.TryWrite(l)
		}
	}
}

// module draws a module and returns its label, above the rail that it sits on; no text where the module is not in
// the picture.
func (d drawing) module(m Mark) style.Text {
	if sum := m.AtM + m.HeightM + m.LengthM; sum-sum != 0 {
		return style.Text{}
	}
	half := math.Max(m.LengthM*d.perM, smallestMark) / 2
	face := d.air(m.HeightM)
	if m.TiltRad != 0 {
		d.tiltedModule(style.Pt(d.x(m.AtM), face), half, m.TiltRad)
		return style.Text{}
	}
	b := style.Box{Left: d.x(m.AtM) - half, Right: d.x(m.AtM) + half, Top: face - lampPt, Bottom: face}.Cut(d.frame)
	if b.Empty() {
		return style.Text{}
	}
	d.FillBox(b, lampColour)
	d.StrokeBox(b, style.Pen{Width: 1, Colour: style.Ink})
	top := b.Top
	for _, r := range d.Rails {
		if r.FromM <= m.AtM && m.AtM <= r.ToM && math.Abs(r.HeightM-m.HeightM) < 0.01+r.ThicknessM {
			top = math.Min(top, d.air(r.HeightM+r.ThicknessM))
		}
	}
	return style.Text{Text: m.Label, At: style.Pt(b.Centre().X, top-4), Anchor: style.BottomMiddle, Font: style.LabelFont}
}

// tiltedModule draws a module whose face is turned about its middle.
func (d drawing) tiltedModule(face style.Point, half, tiltRad float64) {
	corners := turned(face, half, lampPt, tiltRad)
	d.Polygon(corners, lampColour)
	d.Polyline(append(corners, corners[0]), style.Pen{Width: 1, Colour: style.Ink})
}

// turned returns the corners of a body on the page that stands thick above its face, turned about the middle of the face
// so that the light goes to the right where tiltRad is above 0.
func turned(face style.Point, half, thick, tiltRad float64) []style.Point {
	sin, cos := math.Sincos(tiltRad)
	var corners []style.Point
	for _, c := range [4][2]float64{{-half, 0}, {half, 0}, {half, thick}, {-half, thick}} {
		corners = append(corners, style.Pt(face.X+c[0]*cos-c[1]*sin, face.Y-c[0]*sin-c[1]*cos))
	}
	return corners
}

// around returns the upright box around points.
func around(points []style.Point) style.Box {
	b := style.Box{Left: points[0].X, Right: points[0].X, Top: points[0].Y, Bottom: points[0].Y}
	for _, p := range points[1:] {
		b.Left, b.Right = math.Min(b.Left, p.X), math.Max(b.Right, p.X)
		b.Top, b.Bottom = math.Min(b.Top, p.Y), math.Max(b.Bottom, p.Y)
	}
	return b
}

// ray draws one edge of a beam: dark in the air, pale in the water.
func (d drawing) ray(r result.Ray, water style.Box) {
	for i := 1; i < len(r.Points); i++ {
		a, b := d.place(r.Points[i-1].X, r.Points[i-1].Y, r.Points[i-1].Z), d.place(r.Points[i].X, r.Points[i].Y, r.Points[i].Z)
		above := d.frame
		above.Bottom = water.Top
		if from, to, ok := style.ClipLine(a, b, above); ok {
			d.Polyline([]style.Point{from, to}, style.Pen{Width: 1, Colour: rayColour})
		}
		if from, to, ok := style.ClipLine(a, b, water); ok {
			d.Polyline([]style.Point{from, to}, style.Pen{Width: 2.2, Colour: style.Faded(style.Shade, 0.6)})
			d.Polyline([]style.Point{from, to}, style.Pen{Width: 1, Colour: style.Faded(style.PaleLine, rayInside)})
		}
	}
}

// stray draws on the part of a beam's edge that misses the tank: out of the picture, or down to the level of the water.
func (d drawing) stray(r result.Ray, water style.Box) {
	left, right := d.Page(), d.Page()
	left.Right, right.Left = d.frame.Left, d.frame.Right
	for i := 1; i < len(r.Points); i++ {
		a, b := d.place(r.Points[i-1].X, r.Points[i-1].Y, r.Points[i-1].Z), d.place(r.Points[i].X, r.Points[i].Y, r.Points[i].Z)
		for _, side := range []style.Box{left, right} {
			side.Top, side.Bottom = d.frame.Top, water.Top
			if from, to, ok := style.ClipLine(a, b, side); ok {
				d.LineAround([]style.Point{from, to}, style.Pen{Width: 1, Colour: rayColour})
			}
		}
	}
}

// place returns where a point of the tank's axes lies on the page.
func (d drawing) place(x, y, z float64) style.Point {
	if d.Section.Axis == result.AcrossY {
		x = y
	}
	return style.Pt(d.x(x), d.y(z))
}
