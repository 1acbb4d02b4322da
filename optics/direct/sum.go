package direct

import (
	"math"
	"sync"

	"fathomlux/optics/model"
	"fathomlux/optics/result"
	"fathomlux/scene/space"
)

// sum is an engine made ready for one plane: a track for each kind of source.
type sum struct {
	engine *Engine
	depthM float64
	fine   fineness // of the tracks
	views  [][]view // by source: the strips in which it is seen
	boards [][]model.Source
	rim    rim
	boxes  []space.Box // as seen from the plane, those that may stand above it
	feet   []space.Box // those that the plane cuts
	across bool        // whether all of boxes go across the whole tank
	strips sync.Map    // strip to []space.Box
}

// view is one source seen in one image strip.
type view struct {
	track          *track
	source         *model.Source
	run, fix       *crossings // along x and along y
	originX, signX float64    // where x of the tank lies in the strip
	originY, signY float64
	boxes          []space.Box // in all strips on the way
	dies           []view      // that it stands for where that matters, see ring
	radiusM        float64     // within which these are
	changeOfWay    float64     // see changeOfWay
	mirrors        bool        // whether all walls on the way return the same share of any ray
	share          float64     // of mirrors
}

// trackKey tells apart the sources that need different tracks. beam is -1 where intensity is not baked in.
type trackKey struct {
	spectrum, beam int
	heightM        float64
	ring           string // see ring
}

func (e *Engine) key(src model.Source) trackKey {
	k := trackKey{spectrum: src.Spectrum, beam: -1, heightM: e.model.HeightM(src)}
	if shape := e.model.Beams[src.Beam]; src.Frame.Aim == space.Down.Aim && shape.Round() && shape.Smooth() {
		k.beam = src.Beam
	}
	return k
}

// prepare readies a plane at depthM for the sources of the model.
func (e *Engine) prepare(depthM float64) *sum { return e.prepareWith(depthM, measured) }

// prepareWith is prepare with tracks as fine as said.
func (e *Engine) prepareWith(depthM float64, fine fineness) *sum {
	s := e.empty(depthM, fine)
	s.boards = boards(e.model.Sources)
	for _, board := range s.boards {
		s.views = append(s.views, s.viewsOfBoard(board, e.orders))
	}
	return s
}

// viewsOfBoard lists the open image strips of dies of a board up to some orders: of all as one where they form a ring,
// die by die else, but for images mirrored twice or more, which are joined where they may be.
func (s *sum) viewsOfBoard(board []model.Source, o Orders) (list []view) {
	joined, ring := s.joined(board), s.ring(board)
	far := func(v view) bool { return joined != nil && len(v.run.at)+len(v.fix.at) > 1 }
	var dies [][]view
	for i := range board {
		dies = append(dies, s.viewsOf(&board[i], o, s.track(&board[i])))
	}
	switch {
	case ring != nil:
		list = s.viewsOf(ring.source, o, s.ringTrack(ring))
		for i := range list {
			for k := range dies {
				if !far(list[i]) {
					list[i].dies = append(list[i].dies, dies[k][i])
				}
			}
			list[i].radiusM = ring.radiusM
			list[i].changeOfWay = changeOfWay * ring.radiusM / math.Sqrt(list[i].track.apparent)
		}
		return list
	case joined != nil:
		dies = append(dies, s.viewsOf(joined, o, s.track(joined)))
	}
	for k, views := range dies {
		for _, v := range views {
			if far(v) == (k == len(board)) {
				list = append(list, v)
			}
		}
	}
	return list
}

// The images of a board's dies that were mirrored twice or more are summed as those of one in their middle, if that
// puts the light straight under an image off by no more than joinError of itself. That place lies far beyond the
// wall, and what the dies light directly or by one mirror, most of the light, is summed die by die: mean and lowest
// are off by less than 0.1 %, and cells too, but for the few within which the shadow of the rim ends an image's
// light.
const joinError = 0.002

// joined returns the dies of a board as one, nil where they are too far apart. An off-axis shift of r at height h
// loses the share 1 - I(r/h)/I(0) of the intensity and 3/2 (r/h)^2 by the inverse-square cosine law, cos^3 of the
// angle; water stands for as much less height as light bends in it.
func (s *sum) joined(board []model.Source) *model.Source {
	e := s.engine
	if len(board) < 2 {
		return nil
	}
	one := middle(board)
	shape, heightM := e.model.Beams[one.Beam], e.model.HeightM(one)+s.depthM/e.model.Water.Index()
	for _, d := range board {
		a := math.Hypot(d.Position.X-one.Position.X, d.Position.Y-one.Position.Y) / heightM
		dimmer := min(shape.PerLumen(direction(a, 0)), shape.PerLumen(direction(a, math.Pi/2)))
		lost := 1 - dimmer/shape.PerLumen(direction(0, 0))
		if !(lost+1.5*a*a < joinError) {
			return nil
		}
	}
	return &one
}

// middle is a board's dies as one in their middle.
func middle(board []model.Source) model.Source {
	one := board[0]
	one.Position, one.EmittedLm, one.LeavingLm = space.Point{}, 0, 0
	share := 1 / float64(len(board))
	for _, d := range board {
		at := &one.Position
		at.X, at.Y, at.Z = at.X+share*d.Position.X, at.Y+share*d.Position.Y, at.Z+share*d.Position.Z
		one.EmittedLm, one.LeavingLm = one.EmittedLm+d.EmittedLm, one.LeavingLm+d.LeavingLm
	}
	return one
}

// empty readies a plane without any sources.
func (e *Engine) empty(depthM float64, fine fineness) *sum {
	s := &sum{engine: e, depthM: depthM, fine: fine, rim: e.rim()}
	s.feet, s.across = cutBoxes(e.model, depthM), true
	for _, b := range e.model.BoxesFrom(depthM) {
		if b.Max.Z > e.model.DepthM-depthM {
			s.boxes = append(s.boxes, b)
			s.across = s.across && b.Min.Y <= 0 && b.Max.Y >= e.tank.WidthM
		}
	}
	return s
}

// track returns the track of a source's kind.
func (s *sum) track(src *model.Source) *track {
	k := s.engine.key(*src)
	return s.kept(k, func() *track { return s.engine.newTrack(k, s.depthM, s.fine) })
}

// tracks keeps those of all planes, made when first asked for. It is safe for several goroutines.
type tracks struct {
	lock sync.Mutex
	list map[planeTrack]func() *track
	size int // of all of them, in nodes
}

// planeTrack is a track on a plane.
type planeTrack struct {
	trackKey
	depthM float64
	fine   fineness
}

// mostTrackNodes is how many nodes of tracks are kept, of 72 bytes.
const mostTrackNodes = 500_000

// kept returns the track of a key, made once.
func (s *sum) kept(k trackKey, make func() *track) *track {
	all, key := s.engine.tracks, planeTrack{k, s.depthM, s.fine}
	all.lock.Lock()
	once, ok := all.list[key]
	if !ok {
		once = sync.OnceValue(func() *track {
			t := make()
			all.lock.Lock()
			all.size += len(t.nodes)
			all.lock.Unlock()
			return t
		})
		if all.size > mostTrackNodes {
			clear(all.list)
			all.size = 0
		}
		all.list[key] = once
	}
	all.lock.Unlock()
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

// viewsOf lists the open image strips of a source with some track up to some orders.
func (s *sum) viewsOf(src *model.Source, o Orders, t *track) []view {
	e := s.engine
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

// rowLight is the light on one row of cells, of modules too where they are kept apart.
type rowLight struct {
	lux, ppfd []float64
	modules   []rowLight
}

func newRow(n int) rowLight { return rowLight{lux: make([]float64, n), ppfd: make([]float64, n)} }

// line sums all sources and images for some whole cells.
func (s *sum) line(cells cellRow) rowLight {
	out := newRow(cells.n)
	s.addLine(out, cells, func(int) (cutting, []float64) { return uncut, nil })
	return out
}

// addLine adds all sources and images to a row, and to those of modules where they are kept apart. Each module is summed
// apart and the modules are added in order, so that the whole has the same bytes in either case. open gives for each
// board of dies how cells are cut for it, and what the light of each is multiplied with; nil where all are free.
func (s *sum) addLine(to rowLight, cells cellRow, open func(board int) (c cutting, factors []float64)) {
	module, board, last := newRow(cells.n), newRow(cells.n), -1
	flush := func() {
		to.add(module)
		if to.modules != nil && last >= 0 {
			to.modules[last].add(module)
		}
		module.clear()
	}
	for i, views := range s.views {
		if len(views) == 0 {
			continue
		}
		if at := views[0].source.Module; at != last {
			flush()
			last = at
		}
		c, factors := open(i)
		one := module
		if factors != nil {
			one = board
		}
		for k := range views {
			s.addView(one, &views[k], cells, c)
		}
		for i, k := range factors {
			module.lux[i] += float64(k * board.lux[i])
			module.ppfd[i] += float64(k * board.ppfd[i])
		}
		board.clear()
	}
	flush()
}

// add adds the light of another row.
func (r rowLight) add(o rowLight) {
	for i := range r.lux {
		r.lux[i] += o.lux[i]
		r.ppfd[i] += o.ppfd[i]
	}
}

func (r rowLight) clear() {
	clear(r.lux)
	clear(r.ppfd)
}

// rowIn is the part of a field that is row iy of its grid.
func rowIn(f result.Field, iy int) rowLight {
	from, to := iy*f.Grid.NX, (iy+1)*f.Grid.NX
	return rowLight{lux: f.Illuminance[from:to], ppfd: f.PPFD[from:to]}
}

// image places a view over a row of cells.
func (s *sum) image(v *view, cells cellRow) image {
	at := v.source.Position
	return image{view: v, sum: s, rim: s.rim, fixed: v.originY + v.signY*cells.y - at.Y, row: cells,
		first: v.originX + v.signX*(cells.fromM+cells.stepM/2) - at.X, step: v.signX * cells.stepM}
}

// pairX returns the walls across x, nil where a wall mirrors nothing.
func (e *Engine) pairX() sidePair { return sidePair{e.mirror(model.Left), e.mirror(model.Right)} }

// pairY returns the walls across y, nil where a wall mirrors nothing.
func (e *Engine) pairY() sidePair { return sidePair{e.mirror(model.Front), e.mirror(model.Back)} }
