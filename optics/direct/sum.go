package direct

import (
	"math"
	"slices"
	"sync"

	"fathomlux/optics/model"
	"fathomlux/optics/result"
	"fathomlux/scene/space"
)

// sum is an engine made ready for one plane: a track for each kind of source.
type sum struct {
	engine *Engine
	depthM float64
	nx     int
	fine   fineness // of the tracks
	views  [][]view // by source: the strips in which it is seen
	rim    rim
	boxes  []space.Box // as seen from the plane, those that may stand above it
	strips sync.Map    // strip to []space.Box

	lock   sync.Mutex
	tracks map[trackKey]func() *track // made when first asked for
}

// view is one source seen in one image strip.
type view struct {
	track          *track
	source         *model.Source
	run, fix       *crossings // along x and along y
	originX, signX float64    // where x of the tank lies in the strip
	originY, signY float64
	boxes          []space.Box // in all strips on the way
	mirrors        bool        // whether all walls on the way return the same share of any ray
	share          float64     // of mirrors
}

// trackKey tells apart the sources that need different tracks. beam is -1 where intensity is not baked in.
type trackKey struct {
	spectrum, beam int
	heightM        float64
}

func (e *Engine) key(src model.Source) trackKey {
	k := trackKey{spectrum: src.Spectrum, beam: -1, heightM: e.model.HeightM(src)}
	if shape := e.model.Beams[src.Beam]; src.Frame.Aim == space.Down.Aim && shape.Round() && shape.Smooth() {
		k.beam = src.Beam
	}
	return k
}

// prepare readies a plane at depthM and rows of nx cells for the sources of the model.
func (e *Engine) prepare(depthM float64, nx int) *sum {
	return e.prepareWith(depthM, nx, measured)
}

// prepareWith is prepare with tracks as fine as said.
func (e *Engine) prepareWith(depthM float64, nx int, fine fineness) *sum {
	s := e.empty(depthM, nx, fine)
	for _, board := range boards(e.model.Sources) {
		joined := e.joined(board)
		far := func(v view) bool { return joined != nil && len(v.run.at)+len(v.fix.at) > 1 }
		for i := range board {
			s.views = append(s.views, slices.DeleteFunc(s.viewsOf(&board[i], e.orders), far))
		}
		if joined != nil {
			s.views = append(s.views, slices.DeleteFunc(s.viewsOf(joined, e.orders), func(v view) bool { return !far(v) }))
		}
	}
	return s
}

// Where a plane takes more than joinWork, see Work, the images of a board's dies that were mirrored twice or more are
// summed as those of one in their middle, if that puts an image's brightest place off by no more than joinError of
// itself. That place lies far beyond the wall, and what the dies light directly or by one mirror, most of the light,
// is summed die by die: mean and lowest are off by less than 0.1 %, and cells too, but for the few within which the
// shadow of the rim ends an image's light.
const (
	joinWork  = 20000
	joinError = 0.003
)

// joined returns the dies of a board as one, nil where they are few or too far apart. An off-axis shift of r at
// height h loses the share 1 - I(r/h)/I(0) of the intensity and 3/2 (r/h)^2 by the inverse-square cosine law, cos^3
// of the angle.
func (e *Engine) joined(board []model.Source) *model.Source {
	if len(board) < 2 || e.Work() < joinWork {
		return nil
	}
	one := board[0]
	one.Position, one.EmittedLm, one.LeavingLm = space.Point{}, 0, 0
	share := 1 / float64(len(board))
	for _, d := range board {
		at := &one.Position
		at.X, at.Y, at.Z = at.X+share*d.Position.X, at.Y+share*d.Position.Y, at.Z+share*d.Position.Z
		one.EmittedLm, one.LeavingLm = one.EmittedLm+d.EmittedLm, one.LeavingLm+d.LeavingLm
	}
	shape := e.model.Beams[one.Beam]
	for _, d := range board {
		a := math.Hypot(d.Position.X-one.Position.X, d.Position.Y-one.Position.Y) / e.model.HeightM(one)
		dimmer := min(shape.PerLumen(direction(a, 0)), shape.PerLumen(direction(a, math.Pi/2)))
		lost := 1 - dimmer/shape.PerLumen(direction(0, 0))
		if !(lost+1.5*a*a < joinError) {
			return nil
		}
	}
	return &one
}

// empty readies a plane without any sources.
func (e *Engine) empty(depthM float64, nx int, fine fineness) *sum {
	s := &sum{engine: e, depthM: depthM, nx: nx, fine: fine, rim: e.rim(), tracks: map[trackKey]func() *track{}}
	for _, b := range e.model.BoxesFrom(depthM) {
		if b.Max.Z > e.model.DepthM-depthM {
			s.boxes = append(s.boxes, b)
		}
	}
	return s
}

// track returns the track of a source's kind. It is safe for several goroutines; each track is made once.
func (s *sum) track(src *model.Source) *track {
	k := s.engine.key(*src)
	s.lock.Lock()
	once, ok := s.tracks[k]
	if !ok {
		once = sync.OnceValue(func() *track { return s.engine.newTrack(k, s.depthM, s.fine) })
		s.tracks[k] = once
	}
	s.lock.Unlock()
	return once()
}

// newTrack makes the track of one kind of source down to depthM.
func (e *Engine) newTrack(k trackKey, depthM float64, fine fineness) *track {
	l := e.lamps[k.spectrum]
	m := trackMaker{kept: l.kept, ppfdPerLux: l.ppfdPerLux}
	m.luminous, m.photon = e.columns(k.spectrum, k.heightM, depthM)
	if k.beam >= 0 {
		m.round = e.model.Beams[k.beam]
	}
	return m.make(fine)
}

// viewsOf lists the open image strips of a source up to some orders.
func (s *sum) viewsOf(src *model.Source, o Orders) []view {
	e, t := s.engine, s.track(src)
	runs := make([]crossings, 2*o.X+1)
	for i := range runs {
		runs[i] = cross(src.Position.X, e.tank.LengthM, i-o.X, e.pairX())
	}
	list := make([]view, 0, len(runs)*(2*o.Y+1))
	for my := -o.Y; my <= o.Y; my++ {
		fix := cross(src.Position.Y, e.tank.WidthM, my, e.pairY())
		for i := range runs {
			if mx := i - o.X; fix.open && runs[i].open {
				v := view{track: t, source: src, run: &runs[i], fix: &fix, boxes: s.boxesTo(mx, my)}
				v.share, v.mirrors = runs[i].mirrors()
				if share, ok := fix.mirrors(); v.mirrors {
					v.share, v.mirrors = v.share*share, ok
				}
				v.originX, v.signX = unfold(mx, e.tank.LengthM)
				v.originY, v.signY = unfold(my, e.tank.WidthM)
				list = append(list, v)
			}
		}
	}
	return list
}

// rowLight is the light on one row of cells.
type rowLight struct {
	lux, ppfd []float64
	modules   []rowLight
}

func newRow(n int) rowLight { return rowLight{lux: make([]float64, n), ppfd: make([]float64, n)} }

// row sums all sources and images for row iy of a grid. Each module is summed apart and the modules are added in order,
// so that the whole has the same bytes whether or not a caller keeps them apart.
func (s *sum) row(g result.Grid, iy int) rowLight {
	return s.line(g.CentreY(iy), g.StepXM)
}

// line is row for any y and for s.nx cells of the given step that start at the left wall.
func (s *sum) line(y, step float64) rowLight {
	out := newRow(s.nx)
	out.modules = make([]rowLight, s.engine.model.Modules())
	for m := range out.modules {
		out.modules[m] = newRow(s.nx)
	}
	for _, views := range s.views {
		for i := range views {
			s.image(&views[i], y, step).add(out.modules[views[i].source.Module])
		}
	}
	for _, m := range out.modules {
		for i := range out.lux {
			out.lux[i] += m.lux[i]
			out.ppfd[i] += m.ppfd[i]
		}
	}
	return out
}

// image places a view over a row at y with cells of the given step.
func (s *sum) image(v *view, y, step float64) *image {
	at := v.source.Position
	return &image{view: v, sum: s, rim: s.rim, fixed: v.originY + v.signY*y - at.Y,
		first: v.originX + v.signX*step/2 - at.X, step: v.signX * step}
}

// pairX returns the walls across x, nil where a wall mirrors nothing.
func (e *Engine) pairX() sidePair { return sidePair{e.mirror(model.Left), e.mirror(model.Right)} }

// pairY returns the walls across y, nil where a wall mirrors nothing.
func (e *Engine) pairY() sidePair { return sidePair{e.mirror(model.Front), e.mirror(model.Back)} }
