package direct

import (
	"math"

	"fathomlux/optics/model"
	"fathomlux/optics/walls"
	"fathomlux/scene/space"
)

// lane is the light of one kind of source on one row of cells, in one image strip across it, tabulated over the
// distance along the row: sources in a line along the tank cast the same light along it, wherever they sit. Walls
// across the row and boxes come on top.
type lane struct {
	stepM   float64   // from node to node
	perCell int       // nodes to a cell
	light   [2][]pair // by interval between nodes, per lumen: where x grows from the source, and where it falls
	ray     slope     // down to the middle of the row
	lines   []*slope  // down to lines of it, by number; made when first asked for
	waterM  []float64 // by node: way along the row at which the ray meets the water
	rimM    []float64 // and at which it sinks below the rim
	returns [2]returns
}

// returns is what a wall returns by node; nil where that is the same of all rays.
type returns struct{ air, water []float64 }

// slope is how rays run from a source down to a line along the tank, by node.
type slope struct {
	fixed      float64 // signed distance of the line from the source along y
	tan, water []float64
}

// kindOf is what of a source lanes depend on: all but its place along x and its flux.
func kindOf(src model.Source) model.Source {
	src.Module, src.Position.X, src.EmittedLm, src.LeavingLm = 0, 0, 0, 0
	return src
}

// Nodes lie nodeShare of the radius of a beam's spot apart or less, light halfway between them is then off by its
// square over 6, and mostNodeM, by which edges of light where walls across y begin to count are blurred.
const (
	nodeShare = 1.0 / 32
	mostNodeM = 0.005
)

// nodesOf returns the nodes to a cell for a kind of source: whole ones, so that all cells lie alike between them.
func (s *sum) nodesOf(src *model.Source, cells cellRow) int {
	m := s.engine.model
	wayM := src.Position.Z + s.depthM - m.DepthM
	nodeM := min(mostNodeM, nodeShare*min(wayM, m.Beams[src.Beam].SpotM(wayM)))
	return int(math.Ceil(cells.stepM / nodeM))
}

// laneRow holds the lanes of one row of cells, made when first asked for.
type laneRow struct {
	sum    *sum
	cells  cellRow
	reachM float64         // how far along the row from a source light is asked for
	lanes  map[int][]*lane // by strip, by the number of a kind of source
	boards map[boardStrip]*through
	boxes  map[strip][]space.Box // as sum.boxesTo has them
	nodes  int                   // of all lanes
	list   []laneView            // for use again
	shares [][]float64           // for use again
}

// lane returns the lane of a kind of source in strip my, nil where no light comes that way.
func (r *laneRow) lane(e *emitter, my int) *lane {
	list := r.lanes[my]
	if len(list) <= e.kind {
		list = append(list, make([]*lane, e.kind+1-len(list))...)
		r.lanes[my] = list
	}
	if list[e.kind] == nil {
		list[e.kind] = r.newLane(e.source, my)
	}
	if l := list[e.kind]; l.perCell > 0 {
		return l
	}
	return nil
}

// fixed returns the signed distance along y from a source to the row's image in a strip, asideM beside its middle.
func (r *laneRow) fixed(src model.Source, my int, asideM float64) float64 {
	origin, sign := unfold(my, r.sum.engine.tank.WidthM)
	return origin + sign*(r.cells.y+asideM) - src.Position.Y
}

// newLane makes a lane, without nodes where no light comes.
func (r *laneRow) newLane(src model.Source, my int) *lane {
	e := r.sum.engine
	fix := cross(src.Position.Y, e.tank.WidthM, my, e.pairY())
	if !fix.open {
		return &lane{}
	}
	t, fixed, perCell := r.sum.track(&src), r.fixed(src, my, 0), r.sum.nodesOf(&src, r.cells)
	stepM, kept := r.cells.stepM/float64(perCell), r.keeps(src, my, &fix, t)
	reachM := min(r.reachM, math.Sqrt(max(0, t.farthest-fixed*fixed)))
	if reachM == 0 {
		return &lane{}
	}
	n := int(math.Ceil(reachM/stepM)) + 2 // nodes, of which the last bound the last interval
	r.nodes += n
	l := &lane{stepM: stepM, perCell: perCell, ray: newSlope(t, fixed, stepM, n), waterM: make([]float64, n),
		rimM: make([]float64, n)}
	var nodes [2][]node
	for side := range nodes {
		if side == 1 && t.baked {
			nodes[1] = nodes[0]
			break
		}
		nodes[side] = make([]node, n)
	}
	e.fillReturns(l, n)
	for k := range n {
		d := float64(k) * stepM
		p := t.look(d*d + fixed*fixed)
		ray := r.sum.rim.ray(t.heightM, p)
		l.waterM[k], l.rimM[k] = d*ray.surface, d*ray.below
		e.returnsAt(l, k, min(1, d*ray.sinPerM))
		kept := kept(d, ray)
		for side, sign := range [2]float64{1, -1} {
			weight := kept
			if !t.baked {
				weight *= e.intensity(&src, sign*d, fixed, p)
			}
			nodes[side][k] = node{lux: weight * p.lux(), ppfd: weight * p.ppfd()}
			if t.baked {
				break
			}
		}
	}
	l.light[0] = pairsOf(nodes[0])
	if l.light[1] = l.light[0]; !t.baked {
		l.light[1] = pairsOf(nodes[1])
	}
	return l
}

// keeps tells what walls across y return of the rays to a distance along the row, of which one runs to its middle: the
// mean over the row's width, within which they may begin or end to.
func (r *laneRow) keeps(src model.Source, my int, fix *crossings, t *track) func(d float64, middle wallRay) float64 {
	var across []float64
	for j := 0; j < edgePieces && len(fix.at) > 0 && !r.cells.points; j++ {
		across = append(across, r.fixed(src, my, r.cells.asideM((2*j+1)*lineParts/(2*edgePieces))))
	}
	return func(d float64, middle wallRay) (mean float64) {
		if across == nil {
			return fix.kept(r.fixed(src, my, 0), middle)
		}
		for _, fixed := range across {
			mean += fix.kept(fixed, r.sum.rim.ray(t.heightM, t.look(d*d+fixed*fixed))) / edgePieces
		}
		return mean
	}
}

// newSlope tabulates how rays run down to a line.
func newSlope(t *track, fixed, stepM float64, n int) slope {
	s := slope{fixed, make([]float64, n), make([]float64, n)}
	for k := range n {
		d := float64(k) * stepM
		p := t.look(d*d + fixed*fixed)
		s.tan[k], s.water[k] = p.tan(), p.water()
	}
	return s
}

// line returns how rays run down to a line of the row, by its number.
func (r *laneRow) line(l *lane, src model.Source, my, at int) *slope {
	if at == lineParts/2 {
		return &l.ray
	}
	if l.lines == nil {
		l.lines = make([]*slope, lineParts+1)
	}
	if l.lines[at] == nil {
		one := newSlope(r.sum.track(&src), r.fixed(src, my, r.cells.asideM(at)), l.stepM, len(l.waterM))
		l.lines[at] = &one
	}
	return l.lines[at]
}

// fillReturns readies what walls across the row return.
func (e *Engine) fillReturns(l *lane, n int) {
	for i, w := range e.wallsX() {
		if w == nil {
			continue
		}
		if _, constant := w.Constant(); !constant {
			l.returns[i] = returns{make([]float64, n), make([]float64, n)}
		}
	}
}

// returnsAt notes what walls across the row return of the ray to node k, by its cosine in air.
func (e *Engine) returnsAt(l *lane, k int, cos float64) {
	for i, w := range e.wallsX() {
		if of := l.returns[i]; of.air != nil {
			of.air[k], of.water[k] = w.Air(cos), w.Water(cos)
		}
	}
}

// wallsX are the walls across x, the low and the high one, nil where one mirrors nothing or is like the low one.
func (e *Engine) wallsX() [2]*walls.Table {
	pair := e.pairX()
	if e.alikeX() {
		pair.high = nil
	}
	return [2]*walls.Table{pair.low, pair.high}
}

// alikeX tells whether both walls across x are the same.
func (e *Engine) alikeX() bool { return e.tank.Walls[model.Left] == e.tank.Walls[model.Right] }

// where returns the distance along the row at which a way that grows with it reaches a length, at the last node if it
// does not.
func where(ways []float64, lengthM, stepM float64) float64 {
	k, end := 0, len(ways)
	for k < end {
		if middle := int(uint(k+end) / 2); ways[middle] > lengthM {
			end = middle
		} else {
			k = middle + 1
		}
	}
	switch k {
	case 0:
		return 0
	case len(ways):
		return float64(k-1) * stepM
	}
	return stepM * (float64(k-1) + (lengthM-ways[k-1])/(ways[k]-ways[k-1]))
}

// laneShade is a box as a row sees it on one side of a source.
type laneShade struct {
	*shade
	*slope
	heightM, depthM, stepM float64
	low, high              float64 // of the box along the row, where distances on this side are above 0
}

// keeps is by how much the ray to a node keeps within one of the bounds that the box sets; see shadeSide.bounds.
func (v *laneShade) keeps(bound, k int) float64 {
	from, to := v.ways(v.heightM, v.depthM, v.tan[k], v.water[k])
	switch a := float64(k) * v.stepM; bound {
	case 0:
		return to*a - v.low
	case 1:
		return v.high - from*a
	case 2:
		return v.fixedTo - from
	}
	return to - v.fixedFrom
}

// hidden returns the distances between two at which the box hides the source along the row.
func (v *laneShade) hidden(near, far float64) (from, to float64, ok bool) {
	if from, to = near, far; v.high < 0 || near >= far {
		return from, to, false
	}
	if v.low > 0 { // it takes that way at least
		from = max(from, v.low/max(v.fixedTo, 1e-9))
	}
	if v.fixedFrom > 0 { // and that at most
		to = min(to, v.high/v.fixedFrom)
	}
	first, last := int(from/v.stepM), min(int(math.Ceil(to/v.stepM)), len(v.tan)-1)
	if from >= to || first >= last {
		return from, to, false
	}
	asked := [4]bool{v.low > 0, v.high < far, v.fixedTo < 1, v.fixedFrom > 0}
	for bound, counts := range asked {
		if !counts {
			continue
		}
		near, far := v.keeps(bound, first), v.keeps(bound, last)
		switch {
		case near < 0 && far < 0:
			return from, to, false
		case near < 0:
			from = max(from, v.end(bound, first, last, near, far))
		case far < 0:
			to = min(to, v.end(bound, first, last, near, far))
		}
	}
	return from, to, from < to
}

// end returns the distance between two nodes at which one bound is met.
func (v *laneShade) end(bound, low, high int, atLow, atHigh float64) float64 {
	for guess := true; high-low > 1; guess = !guess { // a straight line's, then the middle
		k := (low + high) / 2
		if guess {
			k = low + min(max(1, int(float64(high-low)*atLow/(atLow-atHigh))), high-low-1)
		}
		if value := v.keeps(bound, k); (value < 0) == (atHigh < 0) {
			high, atHigh = k, value
		} else {
			low, atLow = k, value
		}
	}
	return v.stepM * (float64(low) + float64(high-low)*atLow/(atLow-atHigh))
}

// intensity returns the candela per lumen that a source sends to a place at signed distances along x and y.
func (e *Engine) intensity(src *model.Source, dx, dy float64, p place) float64 {
	cos := 1.0
	if p.tan() > 0 {
		cos = p.sin() / p.tan()
	}
	local := src.Frame.Local(space.Vector{X: p.sin() * dx, Y: p.sin() * dy, Z: -cos})
	return e.model.Beams[src.Beam].Fast(local)
}
