package plan

import (
	"cmp"
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
