package plan

import (
	"math"
	"slices"

	"fathomlux/optics/result"
	"fathomlux/render/style"
	"fathomlux/scene"
	"fathomlux/scene/form"
	"fathomlux/scene/space"
)

// cutSteps is how many pieces the outlines of things and of the ground in a slice are drawn with.
const cutSteps = 96

// Cut is where a slice runs through a tank.
type Cut struct {
	Tank    *scene.Tank
	Section *result.Section
}

func (c Cut) across() bool { return c.Section.Axis == result.AcrossY }

func (c Cut) along() float64 {
	if c.across() {
		return c.Tank.WidthM
	}
	return c.Tank.LengthM
}

// Spans returns where the slice runs inside the tank, by pairs along it.
func (c Cut) Spans() []float64 {
	o := c.Tank.Outline
	if o.Empty() {
		return []float64{0, c.along()}
	}
	var list []float64
	for i, a := range o.Corners {
		b := o.Corners[(i+1)%len(o.Corners)]
		if c.across() {
			a.XM, a.YM, b.XM, b.YM = a.YM, a.XM, b.YM, b.XM
		}
		if (a.YM > c.Section.AtM) != (b.YM > c.Section.AtM) {
			list = append(list, a.XM+(c.Section.AtM-a.YM)/(b.YM-a.YM)*(b.XM-a.XM))
		}
	}
	slices.Sort(list)
	return list
}

// place is the place in the tank of one in the slice.
func (c Cut) place(along, z float64) space.Point {
	if c.across() {
		return space.Point{X: c.Section.AtM, Y: along, Z: z}
	}
	return space.Point{X: along, Y: c.Section.AtM, Z: z}
}

// Dry tells of each cell of the slice whether its middle is outside of the tank, in the ground or in a thing.
func (c Cut) Dry() func(i int) bool {
	return func(i int) bool {
		n := c.Section.N
		at := c.place((float64(i%n)+0.5)*c.Section.StepM, c.Tank.Water.DepthM-(float64(i/n)+0.5)*c.Section.StepZM)
		return !c.Tank.Outline.Empty() && !c.Tank.Outline.Holds(at) ||
			!c.Tank.Ground.Level() && at.Z < c.Tank.Ground.HeightM(at.X, at.Y) || slices.ContainsFunc(c.Tank.Things,
			func(one scene.Thing) bool {
				return slices.ContainsFunc(one.Solids, func(s form.Solid) bool { return s.Holds(at) })
			})
	}
}

// lit returns the values of a slice with NaN where no water is, and the same with colours that go on smoothly beyond.
func (s Slice) lit() (values, painted []float64) {
	values = s.values()
	if t := s.Scene.Tank; t.Outline.Empty() && t.Ground.Level() && len(t.Things) == 0 {
		return values, values
	}
	dry := s.where().Dry()
	painted = result.Spread(values, s.Section.N, dry)
	values = slices.Clone(values)
	for i := range values {
		if dry(i) {
			values[i] = math.NaN()
		}
	}
	return values, painted
}

func (s Slice) where() Cut { return Cut{&s.Scene.Tank, s.Section} }

// beyond paints what lies outside of the tank, from its floor to its rim, as paper.
func (s Slice) beyond(v view, spans []float64) {
	from := 0.0
	for i := 0; i <= len(spans); i += 2 {
		to := s.along()
		if i < len(spans) {
			to = spans[i]
		}
		if to-from > 1e-9 {
			b := v.box(from, 0, to, s.Scene.Tank.Water.DepthM)
			b.Bottom += 1
			if from == 0 {
				b.Left -= 1
			}
			if to == s.along() {
				b.Right += 1
			}
			v.FillBox(b, style.Paper)
		}
		if i+1 < len(spans) {
			from = spans[i+1]
		}
	}
}

// Ground returns the line of the floor through the tank, by span; none where the floor is level.
func (c Cut) Ground() (lines [][]form.Corner) {
	if c.Tank.Ground.Level() {
		return nil
	}
	spans := c.Spans()
	for i := 0; i+1 < len(spans); i += 2 {
		var line []form.Corner
		for k := range cutSteps + 1 {
			along := spans[i] + (spans[i+1]-spans[i])*float64(k)/cutSteps
			at := c.place(along, 0)
			line = append(line, form.Corner{XM: along, YM: c.Tank.Ground.HeightM(at.X, at.Y)})
		}
		lines = append(lines, line)
	}
	return lines
}

// ground draws what lies under the water where the floor is not level.
func (s Slice) ground(v view) {
	for _, line := range s.where().Ground() {
		first, last := line[0], line[len(line)-1]
		below := []form.Corner{{XM: last.XM, YM: -1 / v.perM}, {XM: first.XM, YM: -1 / v.perM}}
		v.Polygon(v.ring(slices.Concat(line, below)), groundColour)
		top := v.ring(line)
		v.Polyline(top[:len(line)], style.Pen{Width: 1.4, Colour: style.Ink})
	}
}

// Things returns the cuts of the solids that stand in the tank.
func (c Cut) Things() (list [][]form.Corner) {
	for i := range c.Tank.Things {
		for k := range c.Tank.Things[i].Solids {
			if one := c.solid(&c.Tank.Things[i].Solids[k]); len(one) > 0 {
				list = append(list, one)
			}
		}
	}
	return list
}

// leafPieces is in how many pieces leaves that float on all of a tank's surface are drawn.
const leafPieces = 40

// Floating returns from where to where on the surface leaves are drawn, by pairs along the slice: pieces with gaps
// between them which hide the share of the surface that the leaves do.
func (c Cut) Floating() (pairs []float64) {
	_, now := c.Tank.LeavesNow()
	a := [2][2]float64{{now.Area.FromXM, now.Area.ToXM}, {now.Area.FromYM, now.Area.ToYM}}
	if c.across() {
		a[0], a[1] = a[1], a[0]
	}
	if now.CoverShare == 0 || c.Section.AtM < a[1][0] || c.Section.AtM > a[1][1] {
		return nil
	}
	spans, step := c.Spans(), c.along()/leafPieces
	for i := 0; i+1 < len(spans); i += 2 {
		low, high := max(spans[i], a[0][0]), min(spans[i+1], a[0][1])
		n := math.Round((high - low) / step)
		for k := range int(n) {
			middle := low + (float64(k)+0.5)*(high-low)/n
			pairs = append(pairs, middle-now.CoverShare*(high-low)/n/2, middle+now.CoverShare*(high-low)/n/2)
		}
	}
	return pairs
}

// floating draws leaves on the surface.
func (s Slice) floating(v view) {
	pairs := s.where().Floating()
	for i := 0; i+1 < len(pairs); i += 2 {
		b := v.box(pairs[i], s.Scene.Tank.Water.DepthM, pairs[i+1], s.Scene.Tank.Water.DepthM)
		v.FillBox(style.Box{Left: b.Left, Right: b.Right, Top: b.Top - leafPt, Bottom: b.Bottom + 1}, leafColour)
	}
}

// plants draws the stands of leaves that the slice cuts.
func (s Slice) plants(v view) {
	for _, p := range s.Scene.Tank.Plants {
		low, high := p.Box.Min, p.Box.Max
		if s.across() {
			low.X, low.Y, high.X, high.Y = low.Y, low.X, high.Y, high.X
		}
		if s.Section.AtM >= low.Y && s.Section.AtM <= high.Y {
			b := v.area(low.X, low.Z, high.X, high.Z)
			v.FillBox(b, leafShade)
			v.hatch(b, leafColour)
			v.StrokeBox(b, style.Pen{Width: 1, Colour: leafColour})
		}
	}
}

// things draws the cuts of what stands in the tank.
func (s Slice) things(v view) {
	for _, one := range s.where().Things() {
		points := v.ring(one)
		v.Polygon(points, stoneColour)
		v.Polyline(points, style.Pen{Width: 1, Colour: style.Ink})
		v.Claim(v.around(points))
	}
}

// solid returns the corners of a solid in the slice; none where the slice does not meet it.
func (c Cut) solid(of *form.Solid) []form.Corner {
	b := of.Bounds()
	from, to := b.Min.X, b.Max.X
	if c.across() {
		from, to = b.Min.Y, b.Max.Y
	}
	var low, high []form.Corner
	under, over := b.Min.Z-1, b.Max.Z+1
	for k := range cutSteps + 1 { // closer at the ends, where round sides are steep
		along := from + (to-from)*(1e-6+(1-2e-6)*(1-math.Cos(math.Pi*float64(k)/cutSteps))/2)
		up, _ := of.First(c.place(along, under), space.Vector{Z: 1})
		down, _ := of.First(c.place(along, over), space.Vector{Z: -1})
		if up < over-under && down < over-under && over-down > 0 { // what is in the floor is not seen
			low = append(low, form.Corner{XM: along, YM: math.Max(0, under+up)})
			high = append(high, form.Corner{XM: along, YM: over - down})
		}
	}
	slices.Reverse(high)
	return slices.Concat(low, high)
}

// turnedRail is a turned rail as the slice meets it.
func (s Slice) turnedRail(r *scene.Rail, one cutRail) (cutRail, bool) {
	from, to, ok := s.meets(r, r.LeftM+r.LengthM/2, style.Pt(r.LengthM/2, r.Profile.WidthM/2), 0)
	if !ok {
		return one, false
	}
	one.from, one.to = from, to
	for i := range r.Modules {
		m := &r.Modules[i]
		half := style.Pt(m.Part.BoardLengthM/2, m.Part.BoardWidthM/2)
		if from, to, ok := s.meets(r, m.XM, half, m.TurnRad); ok {
			one.modules, one.moduleLengthM = append(one.modules, (from+to)/2), to-from
		}
	}
	return one, true
}

// meets returns between which places the slice runs through a rectangle about a place along a turned rail.
func (s Slice) meets(r *scene.Rail, alongM float64, half style.Point, turnRad float64) (from, to float64, ok bool) {
	x, y := r.At(alongM)
	solid := form.NewSolid(form.Box, space.Point{X: x, Y: y}, space.Vector{X: half.X, Y: half.Y, Z: 1}, r.TurnRad+turnRad)
	start, way := s.where().place(-1e3, 0), space.Vector{X: 1}
	end, back := s.where().place(1e3, 0), space.Vector{X: -1}
	if s.across() {
		way, back = space.Vector{Y: 1}, space.Vector{Y: -1}
	}
	first, _ := solid.First(start, way)
	last, _ := solid.First(end, back)
	return first - 1e3, 1e3 - last, first < 2e3
}
