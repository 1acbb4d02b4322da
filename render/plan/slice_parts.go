package plan

import (
	"image/color"
	"math"

	"fathomlux/render/fig"
	"fathomlux/render/style"
)

// The looks of a slice, in points and colours.
const (
	wallPt      = 5.0  // walls are drawn this thick, outside the tank's inside
	thinnest    = 2.0  // of a pane or a rail
	leastModule = 6.0  // length
	modulePt    = 4.0  // a module's thickness
	leafPt      = 3.0  // a floating leaf's thickness over the surface
	rayInside   = 0.75 // opacity of rays in the water
)

var (
	wallColour   = color.NRGBA{R: 150, G: 160, B: 170, A: 255}
	coverColour  = color.NRGBA{R: 150, G: 176, B: 196, A: 255}
	railColour   = color.NRGBA{R: 122, G: 126, B: 134, A: 255}
	groundColour = color.NRGBA{R: 172, G: 150, B: 118, A: 255}
	leafColour   = color.NRGBA{R: 34, G: 96, B: 40, A: 255}
	leafShade    = color.NRGBA{R: 90, G: 160, B: 70, A: 80}
	stoneColour  = color.NRGBA{R: 138, G: 134, B: 128, A: 255}
	moduleColour = color.NRGBA{R: 246, G: 196, B: 64, A: 255}
	rayColour    = color.NRGBA{R: 150, G: 108, B: 20, A: 200}
)

func (s Slice) draw(v view, rails []cutRail, scale style.Scale) {
	tank, long := s.Scene.Tank, s.along()
	water := v.box(0, 0, long, tank.Water.DepthM)
	values, painted := s.lit()
	light := fig.Heat{Frame: water, NX: s.Section.N, NY: s.Section.NZ, Values: painted, Scale: scale}
	light.Fill(v.Canvas)
	light.Values = values
	spans := s.where().Spans()
	s.beyond(v, spans)
	s.plants(v)
	s.things(v)
	s.ground(v)
	pen := style.Pen{Width: 1, Colour: rayColour}
	air := v.frame
	air.Bottom = water.Top
	s.rays(v, air, func(from, to style.Point) { v.Line(from, to, pen) })
	s.rays(v, water, func(from, to style.Point) {
		v.Line(from, to, style.Pen{Width: 2.2, Colour: style.Faded(style.Shade, 0.6)})
		v.Line(from, to, style.Pen{Width: 1, Colour: style.Faded(style.PaleLine, rayInside)})
	})
	s.walls(v, spans)
	s.obstacles(v)
	for _, b := range rails {
		v.drawRail(b)
	}
	light.Isolines(v.Canvas, s.GoalLevel)
	for i := 0; i+1 < len(spans); i += 2 {
		v.Line(v.at(spans[i], tank.Water.DepthM), v.at(spans[i+1], tank.Water.DepthM), style.Pen{Width: 2, Colour: style.Ink})
	}
	s.floating(v)
	ruler := fig.Ruler{Frame: water, LengthM: long, Units: v.units, OffPt: wallPt}
	ruler.Draw(v.Canvas)
	ruler.LengthM, ruler.Upright, ruler.FromTop = tank.Water.DepthM, true, true
	ruler.Draw(v.Canvas)
	ends := [2]string{"left", "right"}
	if s.across() {
		ends = [2]string{"front", "back"}
	}
	for i, x := range []float64{water.Left, water.Right} {
		v.TryWrite(style.Text{Text: ends[i], At: style.Pt(x, v.frame.Bottom+fig.RulerHeight+wallPt+6),
			Anchor: style.TopMiddle, Font: style.TextFont})
	}
	s.nameHeights(v, rails)
	left, right := v.Page(), v.Page() // what misses the tank goes on out of the picture, or down to the level of the water
	left.Right, right.Left = v.frame.Left, v.frame.Right
	for _, side := range []style.Box{left, right} {
		side.Top, side.Bottom = air.Top, air.Bottom
		s.rays(v, side, func(from, to style.Point) { v.LineAround([]style.Point{from, to}, pen) })
	}
}

// walls draws walls, floor and cover of each part of the tank that the slice runs through.
func (s Slice) walls(v view, spans []float64) {
	tank, floor := s.Scene.Tank, v.at(0, 0).Y
	rim, ground := v.at(0, tank.HeightM).Y, floor+wallPt
	for i := 0; i+1 < len(spans); i += 2 {
		left, right := v.at(spans[i], 0).X, v.at(spans[i+1], 0).X
		for _, wall := range []style.Box{{Left: left - wallPt, Right: left, Top: rim, Bottom: ground},
			{Left: right, Right: right + wallPt, Top: rim, Bottom: ground},
			{Left: left, Right: right, Top: floor, Bottom: ground}} {
			v.FillBox(wall, wallColour)
		}
		if c := tank.Cover; c != nil {
			under := tank.Water.DepthM + c.AboveWaterM
			v.FillBox(v.thick(spans[i], under, spans[i+1], under+c.ThicknessM), coverColour)
		}
	}
}

// rays calls draw with each straight piece of the beams' edges that lies in a part of the page.
func (s Slice) rays(v view, in style.Box, draw func(from, to style.Point)) {
	for _, r := range s.Section.Rays {
		var last style.Point
		for i, p := range r.Points {
			if s.across() {
				p.X = p.Y
			}
			at := v.at(p.X, p.Z)
			if from, to, ok := style.ClipLine(last, at, in); ok && i > 0 {
				draw(from, to)
			}
			last = at
		}
	}
}

// thick returns where a flat body is drawn, thick enough to be seen.
func (v view) thick(left, bottom, right, top float64) style.Box {
	b := v.box(left, bottom, right, top)
	b.Top = math.Min(b.Top, b.Bottom-thinnest)
	return b.Cut(v.frame)
}

func (s Slice) obstacles(v view) {
	for _, o := range s.Scene.Tank.Obstacles {
		low, high := o.Box.Min, o.Box.Max
		if s.across() {
			low.X, low.Y, high.X, high.Y = low.Y, low.X, high.Y, high.X
		}
		if s.Section.AtM < low.Y || s.Section.AtM > high.Y {
			continue
		}
		if b := v.thick(low.X, low.Z, high.X, high.Z); !b.Empty() {
			v.FillBox(b, railColour)
			v.StrokeBox(b, style.Pen{Width: 1, Colour: style.Ink})
			v.Claim(b)
		}
	}
}

func (v view) drawRail(b cutRail) {
	v.body(v.at(b.middle(), b.face), (b.to-b.from)*v.perM/2, math.Max((b.top-b.face)*v.perM, thinnest), b.tilt, railColour)
	for _, at := range b.modules {
		face := v.at(at, b.face)
		if half := math.Max(b.moduleLengthM*v.perM, leastModule) / 2; v.frame.Left <= face.X-half &&
			face.X+half <= v.frame.Right {
			corners := v.body(face, half, modulePt, b.tilt, moduleColour)
			v.Polyline(append(corners, corners[0]), style.Pen{Width: 1, Colour: style.Ink})
		}
	}
}

// body draws a body that stands thick above its face, turned about the middle of the face so that the light goes to
// the right where tilt is above 0, and returns its corners, in points. One that is level is cut at the frame.
func (v view) body(face style.Point, half, thick, tilt float64, colour color.NRGBA) (corners []style.Point) {
	sin, cos := math.Sincos(tilt)
	around := face.Around(0)
	for _, c := range [4][2]float64{{-half, 0}, {half, 0}, {half, thick}, {-half, thick}} {
		p := style.Pt(face.X+c[0]*cos-c[1]*sin, face.Y-c[0]*sin-c[1]*cos)
		if tilt == 0 {
			p.X, p.Y = math.Min(math.Max(p.X, v.frame.Left), v.frame.Right), math.Max(p.Y, v.frame.Top)
		}
		corners = append(corners, p)
		around.Left, around.Right = math.Min(around.Left, p.X), math.Max(around.Right, p.X)
		around.Top, around.Bottom = math.Min(around.Top, p.Y), math.Max(around.Bottom, p.Y)
	}
	v.Polygon(append(corners, corners[0]), colour)
	v.Claim(around)
	return corners
}
