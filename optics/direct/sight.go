package direct

import (
	"context"

	"fathomlux/optics/model"
	"fathomlux/optics/parallel"
	"fathomlux/optics/result"
	"fathomlux/scene/form"
	"fathomlux/scene/space"
)

// sight is a plane in a tank that is no upright box, made ready: straight light is summed by the true faces, with no
// image, wherever nothing hides the source.
type sight struct {
	*sum
	fence           *form.Fence
	wet, under, top model.Obstacles
	seen            []seen
	plain           bool   // whether nothing hides a source from any place
	levels          []*sum // of a ground that is not level, from below to above, levelM apart; else the plane alone
	levelM          float64
}

// seen is one source with its track.
type seen struct {
	*model.Source
	track  *track
	tracks []*track // by level
	over   bool     // whether it hangs over the tank's plan
}

// sight readies a plane for the sources of the model.
func (e *Engine) sight(depthM float64, fine fineness) *sight {
	s := &sight{sum: e.empty(depthM, fine), fence: e.fence}
	s.wet, s.under, s.top = e.model.Layers(depthM)
	s.plain = e.fence.Convex() && s.wet == nil && s.under == nil && s.top == nil && len(e.model.Solids) == 0 &&
		e.model.Ground == nil && len(e.model.Leaves) == 0 && e.model.Floating.Share == 0
	s.rise(fine)
	for i := range e.model.Sources {
		src := &e.model.Sources[i]
		one := seen{src, s.track(src), nil, e.fence.Holds(src.Position, space.Vector{})}
		for _, level := range s.levels {
			one.tracks = append(one.tracks, level.track(src))
		}
		s.seen = append(s.seen, one)
		s.plain = s.plain && s.seen[i].over
	}
	return s
}

// add adds share times the light at a place of the plane, module by module.
func (s *sight) add(to []light, at space.Point, share float64) {
	for i := range s.seen {
		s.addFrom(to, &s.seen[i], at, share, false)
	}
}

// addFrom adds the light of a source; it is looked what hides it, if that is not sure to be nothing.
func (s *sight) addFrom(to []light, src *seen, at space.Point, share float64, sure bool) {
	if s.engine.model.Slope > 0 {
		return // a surface that moves bends all light as it likes
	}
	level, above := s.level(at)
	if s.addBy(to, src, level, at, share*(1-above), sure); above > 0 {
		s.addBy(to, src, level+1, at, share*above, sure)
	}
}

// on finds a place on the track of a source to a level; there is none beyond its light.
func (s *sight) on(src *seen, level int, at space.Point) (p place, x, y float64, ok bool) {
	x, y = at.X-src.Position.X, at.Y-src.Position.Y
	if u := x*x + y*y; u <= src.tracks[level].farthest {
		return src.tracks[level].look(u), x, y, true
	}
	return p, x, y, false
}

// addBy adds the light of a source by its track to one level.
func (s *sight) addBy(to []light, src *seen, level int, at space.Point, share float64, sure bool) {
	p, x, y, ok := s.on(src, level, at)
	if !ok {
		return
	}
	weight := share * src.LeavingLm * s.facing(at, x, y, p, level)
	if !src.tracks[level].baked {
		weight *= s.engine.intensity(src.Source, x, y, p)
	}
	if weight == 0 || p.lux() == 0 {
		return
	}
	if !sure {
		weight *= s.open(src, at, p)
	}
	if weight > 0 {
		to[src.Module].lux += float64(weight * p.lux())
		to[src.Module].ppfd += float64(weight * p.ppfd())
	}
}

// light is an illuminance, lx, and a PPFD, umol/m2/s.
type light struct{ lux, ppfd float64 }

// open is the share of a ray that comes all the way from a source to a place.
func (s *sight) open(src *seen, at space.Point, p place) float64 {
	rim := max(0, s.rim.way(src.track.heightM, p))
	if !src.over || !s.fence.Convex() {
		in := onWay(src.Position, at, rim)
		d := space.Vector{X: at.X - in.X, Y: at.Y - in.Y}
		if !s.fence.Holds(in, d) {
			return 0
		}
		if _, edge := s.fence.Next(in, d, 1-1e-9, false); edge >= 0 {
			return 0
		}
	}
	m, z := s.engine.model, s.engine.model.DepthM
	surface := onWay(src.Position, at, p.water())
	surface.Z = z
	if s.hidden(s.wet, surface, at) || m.Ground != nil && hides(m.Ground, surface, at) {
		return 0
	}
	from := src.Position
	if c := m.Cover; c != nil {
		over := onWay(src.Position, at, (m.HeightM(*src.Source)-c.UndersideM-c.ThicknessM)*p.tan())
		over.Z = z + c.UndersideM + c.ThicknessM
		from = onWay(src.Position, at, p.water()-c.UndersideM*p.tan())
		if from.Z = z + c.UndersideM; s.hidden(s.top, src.Position, over) {
			return 0
		}
	}
	if s.hidden(s.under, from, surface) {
		return 0
	}
	d, long := along(surface, at)
	return (1 - m.Floating.Hides(surface.X, surface.Y)) * m.LeavesPass(surface, d, long)
}

// hidden tells whether a box of some layer, or a solid, stands on the straight way between two places.
func (s *sight) hidden(by model.Obstacles, from, to space.Point) bool {
	if by != nil {
		if d, long := along(from, to); by.First(from, d, long) < long {
			return true
		}
	}
	for i := range s.engine.model.Solids {
		if hides(s.engine.model.Solids[i].Pile, from, to) {
			return true
		}
	}
	return false
}

// onWay is the place in plan at a share of the way from a source to a place.
func onWay(from, to space.Point, share float64) space.Point {
	return space.Point{X: from.X + share*(to.X-from.X), Y: from.Y + share*(to.Y-from.Y), Z: to.Z}
}

// sightM is how far before its end a straight way is not looked at for what hides it: what lies at a place does not.
const sightM = 1e-6

// hides tells whether a surface stands on the straight way between two places.
func hides(by model.Surface, from, to space.Point) bool {
	d, long := along(from, to)
	way, _ := by.First(from, d, long-sightM)
	return way < long-sightM
}

// along returns the direction and the length of a straight way.
func along(from, to space.Point) (d space.Vector, longM float64) {
	d = space.Vector{X: to.X - from.X, Y: to.Y - from.Y, Z: to.Z - from.Z}
	if longM = d.Length(); longM > 0 {
		d = space.Vector{X: d.X / longM, Y: d.Y / longM, Z: d.Z / longM}
	}
	return d, longM
}

// looks is at how many places along each side a cell is looked at where it may lie partly in a shadow, or outside.
const looks = 4

// cell adds the mean over the part of a cell that is inside the tank and outside boxes. pieces is into how many a side
// is cut where nothing but the beam changes the light.
func (s *sight) cell(to []light, g result.Grid, i, pieces int) {
	x, y, m, a := g.CentreX(i%g.NX), g.CentreY(i/g.NX), s.engine.model, cellOf(g, i)
	fine := pieces
	if !g.Points && (!s.plain || s.cuts(a)) {
		pieces = max(pieces, looks)
	}
	var list []space.Point
	for k := range pieces * pieces {
		u, v := (float64(k%pieces)+0.5)/float64(pieces)-0.5, (float64(k/pieces)+0.5)/float64(pieces)-0.5
		if at := m.Place(s.depthM, x+u*g.StepXM, y+v*g.StepYM); s.free(at) {
			list = append(list, at)
		}
	}
	if area, mid := s.fence.Within(a); len(list) == 0 && area > 0 && !g.Points {
		list = append(list, m.Place(s.depthM, mid.XM, mid.YM))
	}
	whole := pieces > 1 && len(list) == pieces*pieces && s.free(m.Place(s.depthM, x, y))
	for i := range s.seen {
		src, places, sure := &s.seen[i], list, false
		if whole {
			all, none := s.alike(src, [5]space.Point{list[0], list[pieces-1], list[len(list)-pieces], list[len(list)-1],
				m.Place(s.depthM, x, y)})
			if sure = all; none {
				continue
			} else if all && fine == 1 {
				places = []space.Point{m.Place(s.depthM, x, y)}
			}
		}
		for _, at := range places {
			s.addFrom(to, src, at, 1/float64(len(places)), sure)
		}
	}
}

// alike tells whether all of a source is seen from all of the corners and the middle of a cell, or nothing from any of
// them: then no edge of a shadow crosses it.
func (s *sight) alike(src *seen, places [5]space.Point) (all, none bool) {
	all, none = true, true
	for _, at := range places {
		level, _ := s.level(at)
		open := 0.0
		if p, _, _, ok := s.on(src, level, at); ok {
			open = s.open(src, at, p)
		}
		all, none = all && open == 1, none && open == 0
	}
	return all, none
}

// cuts tells whether the outline may cut an area.
func (s *sight) cuts(a space.Area) bool {
	for _, c := range [4]space.Point{{X: a.FromXM, Y: a.FromYM}, {X: a.ToXM, Y: a.FromYM}, {X: a.FromXM, Y: a.ToYM},
		{X: a.ToXM, Y: a.ToYM}} {
		if !s.fence.Holds(c, space.Vector{}) {
			return true
		}
	}
	return false
}

// free tells whether a place is inside the tank and outside boxes and solids.
func (s *sight) free(at space.Point) bool {
	return s.fence.Holds(at, space.Vector{}) && (s.wet == nil || !s.wet.Hold(at)) && !s.engine.model.Filled(at)
}

// byPlane is Plane by sight.
func (s *sight) byPlane(ctx context.Context, g result.Grid, perModule bool) (Light, error) {
	out, pieces, n := Light{Whole: newField(g)}, 1, s.engine.model.Modules()
	for _, board := range boards(s.engine.model.Sources) {
		pieces = max(pieces, s.pieces(g, board))
	}
	if perModule {
		for range n {
			out.Modules = append(out.Modules, newField(g))
		}
	}
	err := parallel.ForEach(ctx, s.engine.workers, g.NY, func(iy int) {
		own := make([]light, n)
		for i := iy * g.NX; i < (iy+1)*g.NX; i++ {
			clear(own)
			s.cell(own, g, i, pieces)
			for m, l := range own {
				out.Whole.Illuminance[i] += l.lux
				out.Whole.PPFD[i] += l.ppfd
				if perModule {
					out.Modules[m].Illuminance[i], out.Modules[m].PPFD[i] = l.lux, l.ppfd
				}
			}
		}
		s.engine.tell(g.NX)
	})
	return out, err
}

// point is the light at one place of the plane, 0 outside the tank and in what stands there.
func (s *sight) point(p Point) (lux, ppfd float64) {
	lux, ppfd, _ = s.inWater(p)
	return lux, ppfd
}

// inWater is point, and tells whether there is water at the place.
func (s *sight) inWater(p Point) (lux, ppfd float64, wet bool) {
	at := s.engine.model.Place(s.depthM, p.X, p.Y)
	if !s.free(at) {
		return 0, 0, false
	}
	own := make([]light, s.engine.model.Modules())
	s.add(own, at, 1)
	for _, l := range own {
		lux, ppfd = lux+l.lux, ppfd+l.ppfd
	}
	return lux, ppfd, true
}

// cut adds a row of a slice.
func (s *sight) cut(to rowLight, axis result.SectionAxis, atM, stepM float64) {
	for i := range to.lux {
		to.lux[i], to.ppfd[i] = s.point(inSlice(axis, atM, (float64(i)+0.5)*stepM))
	}
}

// inSlice is the place along a slice.
func inSlice(axis result.SectionAxis, atM, alongM float64) Point {
	if axis == result.AcrossY {
		return Point{X: atM, Y: alongM}
	}
	return Point{X: alongM, Y: atM}
}

// fieldsBySight is Bench.Fields by sight.
func (b *Bench) fieldsBySight(ctx context.Context, sets []Lit, workers int) ([]result.Field, error) {
	fields := make([]result.Field, len(sets))
	err := parallel.ForEach(ctx, workers, len(sets), func(i int) {
		e := b.sum.engine.WithSources(sets[i].Sources, Orders{})
		e.workers, e.progress = 1, nil
		light, _ := e.sight(b.sum.depthM, measured).byPlane(context.Background(), b.grid, false) // ctx ends the loop
		fields[i] = light.Whole
	})
	return fields, err
}
