package plan

import (
	"cmp"
	"image/color"
	"math"
	"slices"

	"fathomlux/optics/result"
	"fathomlux/render/fig"
	"fathomlux/render/style"
	"fathomlux/scene"
	"fathomlux/scene/unit"
)

// Slice is a vertical slice through the tank: the light of level planes in the water.
type Slice struct {
	fig.Page
	Scene     *scene.Scene
	Section   *result.Section
	Quantity  result.Quantity
	GoalLevel float64 // of the quantity, drawn as a heavier isoline; 0 where the goal names none
	Chosen    bool    // somebody chose where it lies; else it is where a map cuts
}

// sliceRoom is the room for a slice; right of it the names of heights stand.
var sliceRoom = style.Pt(fig.PageWidth-2*fig.Margin-fig.RulerWidth-190, tallest)

// cutRail is a rail as a slice meets it: in the tank's axis along the slice and height above the floor. The light
// leaves its lower side; a tilt turns it about the middle of that side, the light towards the back.
type cutRail struct {
	name          string
	from, to      float64
	face, top     float64
	tilt          float64
	modules       []float64 // the middles of those that are shown
	moduleLengthM float64
}

func (b cutRail) middle() float64 { return (b.from + b.to) / 2 }

// Draw draws the slice: the light as colours, the surface, the cover, the walls and the rim, the rails in the air
// above, and the edges of the beams on their way down. Height and length have the same scale.
func (s Slice) Draw() (*style.Canvas, error) {
	rails := s.rails()
	v := s.view(rails)
	v.units = s.Units
	scale := style.CommonScale(s.values())
	s.Page.Notes = append(s.notes(rails), s.Page.Notes...)
	return s.Page.Draw(v.pageWidth(sliceRoom.X), func(*style.Typesetter, float64) []fig.Block {
		return []fig.Block{
			v.block(0, wallPt+edgeName, func(v view) { s.draw(v, rails, scale) }),
			fig.Key(s.Quantity.Name(), s.Quantity.Unit(), scale, s.GoalLevel, s.values()),
		}
	})
}

func (s Slice) values() []float64 { return s.Section.Light(s.Quantity) }

func (s Slice) across() bool { return s.where().across() }

func (s Slice) along() float64 { return s.where().along() }

// rails returns the rails that the slice meets: those at its y with all their modules, or all of them in a cross slice
// with their nearest modules.
func (s Slice) rails() (list []cutRail) {
	for i, r := range s.Scene.Rails {
		face := s.Scene.Tank.Water.DepthM + r.AboveWaterM
		one := cutRail{name: r.Name, face: face, top: face + r.Profile.HeightM}
		half := r.Profile.WidthM / 2
		var met bool
		switch {
		case r.TurnRad != 0:
			if one, met = s.turnedRail(&s.Scene.Rails[i], one); !met {
				continue
			}
		case s.across() && s.Section.AtM >= r.LeftM && s.Section.AtM <= r.LeftM+r.LengthM:
			one.from, one.to, one.tilt = r.YM-half, r.YM+half, r.TiltRad
			if len(r.Modules) > 0 {
				one.modules, one.moduleLengthM = []float64{r.YM}, r.Modules[0].Part.BoardWidthM
			}
		case !s.across() && math.Abs(r.YM-s.Section.AtM) < half:
			one.from, one.to = r.LeftM, r.LeftM+r.LengthM
			for _, m := range r.Modules {
				one.modules, one.moduleLengthM = append(one.modules, m.XM), m.Part.BoardLengthM
			}
		default:
			continue
		}
		list = append(list, one)
	}
	return list
}

// view returns what is shown: the tank with its rim, the rails wholly as far as they stand out by at most half the
// tank's length, and some air above.
func (s Slice) view(rails []cutRail) view {
	tank, long := s.Scene.Tank, s.along()
	left, right, bottom, top := 0.0, long, 0.0, math.Max(tank.HeightM, tank.Water.DepthM)
	for _, b := range rails {
		left, right = math.Max(math.Min(left, b.from), -long/2), math.Min(math.Max(right, b.to), 1.5*long)
		top = math.Max(top, b.top+math.Abs(math.Sin(b.tilt)*(b.to-b.from))/2)
	}
	if c := tank.Cover; c != nil {
		top = math.Max(top, tank.Water.DepthM+c.AboveWaterM+c.ThicknessM)
	}
	margin := 0.02 * math.Max(right-left, top)
	left, right, bottom = left-margin, right+margin, -margin/2
	top += 0.07*(top-bottom) + margin
	v := sized(right-left, top-bottom, sliceRoom)
	v.left, v.bottom = left, bottom
	return v
}

func (s Slice) notes(rails []cutRail) []string {
	note := s.Quantity.Name() + " of horizontal planes"
	if len(s.Section.Rays) > 0 {
		note += "; thin lines are the edges of the beams"
	}
	notes := []string{unit.Capital(note) + "."}
	shown := 0
	for _, b := range rails {
		shown += len(b.modules)
	}
	through := slices.ContainsFunc(s.Scene.Seats(), func(at scene.Seat) bool { // all stand in one place along the rail
		m := s.Scene.Rails[at.Rail].Modules[at.Module]
		return math.Abs(m.XM-s.Section.AtM) < m.Part.BoardLengthM/2
	})
	if s.across() && shown > 0 {
		text := "The slice goes through a module"
		if !through && s.Chosen {
			text = "The slice lies between modules"
		} else if !through {
			text = "The slice lies where it is darkest between modules"
		}
		if shown > 1 || !through {
			text += "; the nearest module of each rail is drawn"
		}
		notes = append(notes, text+".")
	}
	return append(notes, emptiness(s.values(), "slice")...)
}

// nameHeights names the heights at the right edge: the surface, the cover, the rim and each rail. Texts that would meet
// are moved apart, each with a leader from where its height ends.
func (s Slice) nameHeights(v view, rails []cutRail) {
	const left, gap, mostLines, mostNames = 30.0, 17.0, 10, 13
	type name struct {
		at   style.Point // the corner of the leader
		from float64     // the x at which it starts; a further line of a text has none: NaN
		text string
	}
	tank := s.Scene.Tank
	water, wall := tank.Water.DepthM, v.at(s.along(), 0).X+wallPt
	var list []name
	add := func(z, fromPt float64, text string) {
		if at := style.Pt(v.frame.Right+8, v.at(0, z).Y); at.Y >= v.frame.Top && at.Y <= v.frame.Bottom {
			list = append(list, name{at, math.Max(fromPt, wall), text})
		}
	}
	add(water, wall, "water surface")
	if c := tank.Cover; c != nil {
		add(water+c.AboveWaterM, wall, "cover "+v.units.Length(c.AboveWaterM))
	}
	if rim := tank.RimAboveWaterM(); math.Abs(rim) > 1e-6 {
		add(tank.HeightM, wall, "rim "+v.units.Length(rim))
	}
	for _, b := range rails {
		add(b.face, v.at(b.to, 0).X, scene.RailWord(b.name)+" "+v.units.Length(b.face-water))
	}
	list = list[:min(len(list), mostNames)]
	slices.SortStableFunc(list, func(a, b name) int { return cmp.Compare(a.at.Y, b.at.Y) })
	list = slices.CompactFunc(list, func(a, b name) bool { return a.text == b.text })
	var lines []name
	var wanted []float64
	for _, n := range list {
		for _, line := range v.Wrap(n.text, style.LabelFont, v.Page().Right-12-v.frame.Right-left, mostLines) {
			lines, wanted = append(lines, name{n.at, n.from, line}), append(wanted, n.at.Y)
			n.from = math.NaN()
		}
	}
	pen := style.Pen{Width: 1, Colour: style.SoftInk}
	edge := style.Pen{Width: 1, Colour: style.SoftInk, Dash: []float64{2, 3}}
	for i, y := range fig.Spread(wanted, gap, v.frame.Top+6, v.frame.Bottom-6) {
		n, text := lines[i], style.Pt(v.frame.Right+left, y)
		if !math.IsNaN(n.from) {
			v.Line(style.Pt(math.Min(n.from+3, v.frame.Right), n.at.Y), n.at, edge)
			v.Line(n.at, style.Pt(text.X-4, y), pen)
		}
		v.TryWrite(style.Text{Text: n.text, At: text, Anchor: style.MiddleLeft, Font: style.LabelFont, Colour: style.SoftInk})
	}
}

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
