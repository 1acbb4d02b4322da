package direct

import (
	"sync"

	"fathomlux/optics/result"
	"fathomlux/optics/stage"
	"fathomlux/scene/space"
)

// sum is an engine made ready for one plane: a track for each kind of source.
type sum struct {
	engine *Engine
	depthM float64
	nx     int
	fine   fineness // of the tracks
	views  [][]view // by source of the stage: the strips in which it is seen
	rim    rim
	boxes  []space.Box // as seen from the plane

	lock   sync.Mutex
	tracks map[trackKey]func() *track // made when first asked for
}

// view is one source seen in one image strip.
type view struct {
	track          *track
	source         *stage.Source
	run, fix       crossings // along x and along y
	originX, signX float64   // where x of the tank lies in the strip
	originY, signY float64
	boxes          []space.Box // in all strips on the way
}

// trackKey tells apart the sources that need different tracks. beam is -1 where intensity is not baked in.
type trackKey struct {
	spectrum, beam int
	heightM        float64
}

func (e *Engine) key(src stage.Source) trackKey {
	k := trackKey{spectrum: src.Spectrum, beam: -1, heightM: e.stage.HeightM(src)}
	if shape := e.stage.Beams[src.Beam]; src.Frame.Aim == space.Down.Aim && shape.Round() && shape.Smooth() {
		k.beam = src.Beam
	}
	return k
}

// prepare readies a plane at depthM and rows of nx cells for the sources of the stage.
func (e *Engine) prepare(depthM float64, nx int) *sum {
	return e.prepareWith(depthM, nx, measured)
}

// prepareWith is prepare with tracks as fine as said.
func (e *Engine) prepareWith(depthM float64, nx int, fine fineness) *sum {
	s := e.empty(depthM, nx, fine)
	for i := range e.stage.Sources {
		s.views = append(s.views, s.viewsOf(&e.stage.Sources[i]))
	}
	return s
}

// empty readies a plane without any sources.
func (e *Engine) empty(depthM float64, nx int, fine fineness) *sum {
	return &sum{engine: e, depthM: depthM, nx: nx, fine: fine, rim: e.rim(), boxes: e.stage.BoxesFrom(depthM), tracks: map[trackKey]func() *track{}}
}

// track returns the track of a source's kind. It is safe for several goroutines; each track is made once.
func (s *sum) track(src *stage.Source) *track {
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
		m.round = e.stage.Beams[k.beam]
	}
	return m.make(fine)
}

// viewsOf lists the open image strips of a source.
func (s *sum) viewsOf(src *stage.Source) []view {
	e, t := s.engine, s.track(src)
	var list []view
	for my := -e.orders.Y; my <= e.orders.Y; my++ {
		fix := cross(src.Position.Y, e.stage.WidthM, my, e.pairY())
		for mx := -e.orders.X; mx <= e.orders.X && fix.open; mx++ {
			run := cross(src.Position.X, e.stage.LengthM, mx, e.pairX())
			if !run.open {
				continue
			}
			v := view{track: t, source: src, run: run, fix: fix,
				boxes: unfoldedBoxes(s.boxes, e.stage.LengthM, e.stage.WidthM, mx, my)}
			v.originX, v.signX = unfold(mx, e.stage.LengthM)
			v.originY, v.signY = unfold(my, e.stage.WidthM)
			list = append(list, v)
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
	out.modules = make([]rowLight, s.engine.stage.Modules())
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
func (e *Engine) pairX() sidePair { return sidePair{e.mirror(stage.Left), e.mirror(stage.Right)} }

// pairY returns the walls across y, nil where a wall mirrors nothing.
func (e *Engine) pairY() sidePair { return sidePair{e.mirror(stage.Front), e.mirror(stage.Back)} }
