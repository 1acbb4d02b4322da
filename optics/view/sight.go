package view

import (
	"math"
	"slices"

	"fathomlux/optics"
	"fathomlux/optics/model"
	"fathomlux/optics/result"
	"fathomlux/optics/stack"
	"fathomlux/optics/walls"
	"fathomlux/scene"
	"fathomlux/scene/colour"
	"fathomlux/scene/form"
	"fathomlux/scene/space"
)

// sight is a lit tank made ready to be looked at.
type sight struct {
	*model.Model
	faces       *optics.Faces
	fence       *form.Fence
	panes       []pane // by edge of the fence
	ground      walls.Wall
	groundMatt  *walls.Matt
	rimM, index float64
	roomCd      float64
	grey        colour.Tristimulus // of the room: that of the tank's own light
	boxes       model.Obstacles    // nil for none
	bars        *form.Pile         // rails
	plants      []*foliage
	hood        *space.Box // nil for none
	dies        []die
	lamps       model.Obstacles // boxes about the dies of each module
	cover       stack.Pane
	hues        []hues // by kind
	glow        *glow  // nil where the water sends nothing
}

// pane is one wall of the tank: its material, and where its light stands among that of the faces.
type pane struct {
	walls.Wall
	matt         *walls.Matt
	face         int          // of the model
	from         space.Point  // the place from which the light's way along the wall counts
	along        space.Vector // its direction
	long         float64
	out          space.Vector    // unit normal to the outside
	ends         [2]space.Vector // normals at both ends, those of a curved wall where it goes on
	start, chord space.Vector    // of the edge
}

// die is one bright disc.
type die struct {
	source  *model.Source
	cd      func(space.Vector) float64 // luminous intensity in a direction of the world
	hue     colour.Tristimulus
	radiusM float64
}

// dieRadiusM is the radius of the opening that a die is seen as. Common practice, no published source: lenses for
// single dies are 10 to 20 mm wide, and light up in their middle.
const dieRadiusM = 0.004

func newSight(sc *scene.Scene, f *optics.Faces, o Options) *sight {
	m := f.Model
	last := &m.Faces[len(m.Faces)-1]
	w := &sight{Model: m, faces: f, fence: form.NewFence(m.Outline()), ground: last.Material, index: m.Water.Index(),
		roomCd: o.RoomCd, boxes: model.NewObstacles(m.BoxesFrom())}
	wallFaces, _ := m.WallFaces()
	w.rimM, w.groundMatt = wallFaces[0].Outline[2].Z, last.Material.NewMatt(w.index)
	w.addPanes(sc)
	if c := m.Cover; c != nil {
		w.cover = stack.Pane{ThicknessM: c.ThicknessM, Index: c.Index, AbsorbPerM: c.AbsorbPerM(550), Hollow: c.Hollow}
	}
	if m.Shaped() {
		w.widenFloor()
	}
	for _, k := range f.Kinds {
		w.hues = append(w.hues, newHues(k.OnFloor, m.Water))
	}
	w.addDies()
	w.addBars(sc)
	w.glow = newGlow(w)
	for i := range m.Leaves {
		w.plants = append(w.plants, newFoliage(&m.Leaves[i], func(at space.Point) bool {
			return w.fence.Holds(at, space.Vector{}) && !m.Filled(at)
		}))
	}
	w.grey = w.white().Times(1)
	return w
}

// widenFloor gives cells of the floor outside the outline the mean of those beside them that have light, so that none
// of their darkness is read at the walls.
func (w *sight) widenFloor() {
	for k := range w.faces.Floor {
		f := &w.faces.Floor[k]
		g, own := f.Grid, slices.Clone(f.Illuminance)
		for i := range own {
			x, y := i%g.NX, i/g.NX
			if own[i] > 0 || w.fence.Holds(space.Point{X: g.CentreX(x), Y: g.CentreY(y)}, space.Vector{}) {
				continue
			}
			sum, n := 0.0, 0
			for b := max(y-1, 0); b <= min(y+1, g.NY-1); b++ {
				for a := max(x-1, 0); a <= min(x+1, g.NX-1); a++ {
					if v := own[b*g.NX+a]; v > 0 {
						sum, n = sum+v, n+1
					}
				}
			}
			if n > 0 {
				f.Illuminance[i] = sum / float64(n)
			}
		}
	}
}

// smoothCos is the least cosine between the normals of two chords that are seen as one curve.
const smoothCos = 0.95

// addPanes lays the walls out, edge by edge of the outline.
func (w *sight) addPanes(sc *scene.Scene) {
	list, numbers := w.WallFaces()
	for i := range list {
		f, side := &list[i], numbers[i]
		of := &w.Faces[side]
		a, b := f.Outline[0], f.Outline[1]
		one := pane{Wall: f.Material, matt: f.Material.NewMatt(w.index), face: int(side), from: of.Outline[0],
			along: of.Along(), out: scaled(f.Normal, -1), start: space.Vector(a)}
		one.chord = space.Vector{X: b.X - a.X, Y: b.Y - a.Y}
		one.long = one.chord.Length()
		one.chord = scaled(one.chord, 1/one.long)
		one.ends = [2]space.Vector{one.out, one.out}
		w.panes = append(w.panes, one)
	}
	edges := sc.Tank.Outline.Edges
	for i := range edges {
		a, b := &w.panes[i], &w.panes[(i+1)%len(edges)]
		if edges[i] == edges[(i+1)%len(edges)] && a.out.Dot(b.out) > smoothCos {
			n := unit(space.Vector{X: a.out.X + b.out.X, Y: a.out.Y + b.out.Y})
			a.ends[1], b.ends[0] = n, n
		}
	}
}

// normal is that to the outside at a place of the wall for a ray in a direction: a curved wall is cut into chords, and
// bends evenly along them.
func (p *pane) normal(at space.Point, d space.Vector) space.Vector {
	if p.ends[0] == p.ends[1] {
		return p.out
	}
	u := min(max((space.Vector{X: at.X - p.start.X, Y: at.Y - p.start.Y}).Dot(p.chord)/p.long, 0), 1)
	n := unit(space.Vector{X: p.ends[0].X + u*(p.ends[1].X-p.ends[0].X), Y: p.ends[0].Y + u*(p.ends[1].Y-p.ends[0].Y)})
	if d.Dot(n)*d.Dot(p.out) <= 0 {
		return p.out
	}
	return n
}

// lux is the illuminance of a kind at a place of the wall under water.
func (w *sight) wallLux(p *pane, kind int, at space.Point) float64 {
	along := (at.X-p.from.X)*p.along.X + (at.Y-p.from.Y)*p.along.Y
	return w.faces.OnWall(p.face, kind, along, at.Z)
}

func (w *sight) addDies() {
	about := make([]space.Box, w.Modules())
	for i := range about {
		about[i] = space.Box{Min: space.Point{X: farM, Y: farM, Z: farM}, Max: space.Point{X: -farM, Y: -farM, Z: -farM}}
	}
	for _, src := range w.Sources {
		b, c, r := &about[src.Module], src.Position, 1.5*dieRadiusM
		b.Min = space.Point{X: min(b.Min.X, c.X-r), Y: min(b.Min.Y, c.Y-r), Z: min(b.Min.Z, c.Z-r)}
		b.Max = space.Point{X: max(b.Max.X, c.X+r), Y: max(b.Max.Y, c.Y+r), Z: max(b.Max.Z, c.Z+r)}
	}
	w.lamps = model.NewObstacles(about)
	for i := range w.Sources {
		src := &w.Sources[i]
		beam := w.Beams[src.Beam]
		w.dies = append(w.dies, die{source: src, radiusM: dieRadiusM, hue: w.hues[src.Spectrum].after(0).Times(1),
			cd: func(d space.Vector) float64 {
				local := src.Frame.Local(d)
				if local.Z <= 0 {
					return 0
				}
				return src.LeavingLm * beam.PerLumen(local)
			}})
	}
}

// overDiesM is how far over the emitting face a bar is drawn.
const overDiesM = 0.001

// addBars draws rails and the hood.
func (w *sight) addBars(sc *scene.Scene) {
	var list []form.Solid
	for i := range sc.Rails {
		r := &sc.Rails[i]
		x, y := r.At(r.LeftM + r.LengthM/2)
		half := space.Vector{X: r.LengthM / 2, Y: r.Profile.WidthM / 2, Z: r.Profile.HeightM / 2}
		list = append(list, form.NewSolid(form.Box,
			space.Point{X: x, Y: y, Z: w.DepthM + r.AboveWaterM + overDiesM + half.Z}, half, r.TurnRad))
	}
	w.bars = form.NewPile(list)
	if h, t := sc.Ambient.Hood, &sc.Tank; h != nil {
		edge := t.Water.DepthM + sc.HoodEdgeM()
		w.hood = &space.Box{Min: space.Point{X: (t.LengthM - h.LengthM) / 2, Y: (t.WidthM - h.WidthM) / 2, Z: edge},
			Max: space.Point{X: (t.LengthM + h.LengthM) / 2, Y: (t.WidthM + h.WidthM) / 2, Z: edge + h.HeightM}}
	}
}

// white is the colour of the light on the floor, Y its mean illuminance.
func (w *sight) white() (all colour.Tristimulus) {
	for k := range w.faces.Kinds {
		lux := result.Summarise(w.faces.Floor[k].Illuminance, 0).Mean
		all = all.Plus(w.hues[k].after(0).Times(lux))
	}
	return all
}

// lux is the illuminance at a place of a face.
func lux(f *result.Field, u, v float64) float64 { return f.Grid.Between(f.Illuminance, u, v) }

// dieAhead adds a die that a line of sight meets within a way, and tells whether it meets one.
func (r *ray) dieAhead(at space.Point, d space.Vector, withinM float64, p path) bool {
	if r.lamps == nil || r.lamps.First(at, d, farM) >= withinM {
		return false
	}
	for i := range r.dies {
		if s, cd := r.dies[i].meet(at, d); s > 0 && s < withinM {
			r.see(r.dies[i].hue, p.weight*cd)
			return true
		}
	}
	return false
}

// meet is how far a die is, 0 where it is not met, and its luminance from there.
func (l *die) meet(at space.Point, d space.Vector) (s, cd float64) {
	n := l.source.Frame.Aim
	cos := -d.Dot(n)
	if cos <= 1e-3 {
		return 0, 0
	}
	c := l.source.Position
	s = -((c.X-at.X)*n.X + (c.Y-at.Y)*n.Y + (c.Z-at.Z)*n.Z) / cos
	to := moved(at, d, s)
	off := space.Vector{X: to.X - c.X, Y: to.Y - c.Y, Z: to.Z - c.Z}
	if s <= liftM || off.Dot(off) > l.radiusM*l.radiusM {
		return 0, 0
	}
	return s, l.cd(scaled(d, -1)) / (math.Pi * l.radiusM * l.radiusM * cos)
}

// glare finds the dies that an eye sees straight through the air, clear walls and the cover, as bright as they are,
// what screens would hide them, and the light that comes to the eye.
func (w *sight) glare(sc *scene.Scene, o Options) (g result.Glare) {
	look := unit(space.Vector{X: o.Toward.X - o.Eye.X, Y: o.Toward.Y - o.Eye.Y, Z: o.Toward.Z - o.Eye.Z})
	seats := sc.Seats()
	g.All = len(seats)
	heights := map[int]float64{}
	for i := range w.dies {
		l := &w.dies[i]
		c := l.source.Position
		d := space.Vector{X: c.X - o.Eye.X, Y: c.Y - o.Eye.Y, Z: c.Z - o.Eye.Z}
		far := d.Length()
		d = scaled(d, 1/max(far, liftM))
		_, cd := l.meet(o.Eye, d)
		share := w.open(o.Eye, d, far)
		if cd *= share; !(cd > 0) {
			continue
		}
		g.DiesLx += share * l.cd(scaled(d, -1)) / (far * far) * max(0, d.Dot(look))
		at := l.source.Module
		if n := len(g.Modules); n == 0 || g.Modules[n-1].Module != at {
			g.Modules = append(g.Modules, result.SeenModule{Module: at, DistanceM: far})
		}
		last := &g.Modules[len(g.Modules)-1]
		last.LuminanceCd = max(last.LuminanceCd, cd)
		rail := seats[at].Rail
		if n := len(g.Screens); n == 0 || g.Screens[n-1].Rail != rail {
			g.Screens = append(g.Screens, result.Screen{Rail: rail})
			heights[rail] = w.DepthM + sc.Rails[rail].AboveWaterM
		}
		s := &g.Screens[len(g.Screens)-1]
		s.HeightM = max(s.HeightM, screenM(&sc.Rails[rail], heights[rail], o.Eye, l))
	}
	g.TankLx = w.tankLx(o.Eye, look)
	return g
}

// open is the share of light that comes through the air from a way ahead, 0 where something opaque or water is between.
func (w *sight) open(at space.Point, d space.Vector, farM float64) float64 {
	if at.Z < w.DepthM && at.Z > 0 && w.fence.Holds(at, d) {
		return 0
	}
	r := &ray{sight: w}
	share := 1.0
	for range mostMet {
		next := r.inAir(at, d)
		if next.s >= farM-2*dieRadiusM {
			return share
		}
		to := moved(at, d, next.s)
		switch {
		case next.what == coverPane:
			ts, tp, _, _ := w.cover.Polarised(math.Abs(d.Z))
			share *= (ts + tp) / 2
		case next.what == wall && to.Z >= w.DepthM && w.panes[next.edge].matt == nil && w.panes[next.edge].Reflectance == 0:
			p := &w.panes[next.edge]
			share *= 1 - p.InAir(math.Abs(d.Dot(p.normal(to, d))))
		default:
			return 0
		}
		at, farM = to, farM-next.s
	}
	return 0
}

// screenM is how far below the emitting face, at some height over the floor, a screen at the edge of a rail that faces
// an eye has to reach to hide a die: to the line from the eye to the far edge of its opening, where that passes the
// screen. 0 where no screen at that edge is between them.
func screenM(r *scene.Rail, faceM float64, eye space.Point, l *die) float64 {
	sin, cos := math.Sincos(r.TurnRad)
	midX, midY := r.At(r.LeftM + r.LengthM/2)
	across := func(at space.Point) float64 { return (at.Y-midY)*cos - (at.X-midX)*sin } // from the rail's middle line
	from, die := across(eye), across(l.source.Position)
	edge := math.Copysign(r.Profile.WidthM/2, from)
	die -= math.Copysign(l.radiusM, from)
	if (from-edge)*(edge-die) <= 0 { // the eye is under the rail, or the die beyond its edge
		return 0
	}
	share := (edge - die) / (from - die) // of the way from the die to the eye
	return max(0, faceM-(l.source.Position.Z+share*(eye.Z-l.source.Position.Z)))
}

// tankLines is the number of lines of sight by which the light at the eye is found. They lie on a spiral whose turns
// are apart by the golden angle, so that they are even over the circle.
const tankLines = 1 << 13

var goldenAngle = math.Pi * (3 - math.Sqrt(5))

// tankLx is the illuminance of a face at an eye that looks some way, from all but the dies themselves and the room:
// pi times the mean luminance over directions that are as frequent as their cosine with that way (Lambert).
func (w *sight) tankLx(eye space.Point, look space.Vector) float64 {
	dark := *w
	dark.roomCd, dark.dies, dark.lamps = 0, nil, nil
	right := unit(space.Vector{X: look.Y, Y: -look.X, Z: 0})
	if math.Hypot(look.X, look.Y) < 1e-6 {
		right = space.Vector{X: 1}
	}
	up := space.Vector{X: right.Y * look.Z, Y: -right.X * look.Z, Z: right.X*look.Y - right.Y*look.X}
	var all colour.Tristimulus
	const n = tankLines
	for i := range n {
		sin2, turn := (float64(i)+0.5)/n, goldenAngle*float64(i)
		sin, cos := math.Sqrt(sin2), math.Sqrt(1-sin2)
		a, b := sin*math.Cos(turn), sin*math.Sin(turn)
		d := space.Vector{X: cos*look.X + a*right.X + b*up.X, Y: cos*look.Y + a*right.Y + b*up.Y,
			Z: cos*look.Z + a*right.Z + b*up.Z}
		r := &ray{sight: &dark, share: 1.0 / n, glowTimes: 1}
		r.from(eye, d, path{weight: 1})
		all = all.Plus(r.light)
	}
	return math.Pi * all.Y
}
