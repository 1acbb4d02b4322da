package direct

import (
	"math"

	"fathomlux/scene/space"
)

// laneView is one source over a row in one image strip.
type laneView struct {
	*lane
	*emitter
	row         *laneRow
	xM, lumens  float64
	run         *crossings
	mx, my      int
	first, step float64 // signed distances of the first cell from the source along x, and of the next from it
	shadow      cover
	boxes       []space.Box // on the way to the strip
	covered     []float64   // share of each cell that boxes hide; nil for none
	sides       [2]side
}

// side is the cells on one side of a source, at signed steps from the nearest on, and the distances between which light
// reaches them.
type side struct {
	sign              float64 // of x
	cell, step, cells int
	nearM, fromM, toM float64 // nearM is that of the nearest cell
}

// ready places the view over the row's n cells.
func (v *laneView) ready(n int) {
	cells := v.row.cells
	origin, sign := unfold(v.mx, v.row.sum.engine.tank.LengthM)
	v.first, v.step = origin+sign*(cells.fromM+cells.stepM/2)-v.xM, sign*cells.stepM
	middle := int(min(max(math.Ceil(-v.first/v.step), 0), float64(n))) // the first cell at or beyond the source
	v.sides = [2]side{{sign: sign, cell: middle, step: 1, cells: n - middle},
		{sign: -sign, cell: middle - 1, step: -1, cells: middle}}
	for i := range v.sides {
		v.limit(&v.sides[i])
	}
	v.cover()
}

// paint adds the view's light to a span of the row.
func (v *laneView) paint(to rowLight, s span) {
	for i := range v.sides {
		v.addSide(to, &v.sides[i], s)
	}
}

// limit finds between which distances light reaches the cells on one side.
func (v *laneView) limit(s *side) {
	s.nearM = s.sign * (v.first + float64(s.cell)*v.step)
	halfM := math.Abs(v.step) / 2
	if s.fromM = 0; s.nearM > 2*halfM { // else the cell over the source may lie on both sides
		s.fromM = s.nearM - halfM
	}
	s.toM = min(s.nearM+2*halfM*float64(s.cells)-halfM, v.endM())
	if v.run.entry != 0 {
		s.fromM = max(s.fromM, where(v.rimM, math.Abs(v.run.entry), v.stepM))
	}
	if len(v.run.at) > 0 {
		s.toM = min(s.toM, where(v.rimM, math.Abs(v.run.at[0]), v.stepM))
	}
}

// endM is how far a lane reaches: half an interval short of its last node, so that no cell that lies on an end, but
// for rounding, asks for more.
func (l *lane) endM() float64 { return (float64(len(l.waterM)) - 1.5) * l.stepM }

// cellAt is the first cell at or beyond a distance, within some; stepM is that between cells.
func (s *side) cellAt(distanceM, stepM float64, within span) int {
	return int(min(max(math.Ceil((distanceM-s.nearM)/math.Abs(stepM)), float64(within.from)), float64(within.to)))
}

// addSide adds the light of the cells on one side, between the distances at which walls change. Along the row away
// from the source rays only grow flatter: walls that are met under water near the source are met above it farther
// away, the nearest wall first.
func (v *laneView) addSide(to rowLight, s *side, within span) {
	least, most := within.from-s.cell, within.to-s.cell
	if s.step < 0 {
		least, most = s.cell-within.to+1, s.cell-within.from+1
	}
	least, most = max(least, 0), min(most, s.cells)
	cellAt := func(distanceM float64) int { return s.cellAt(distanceM, v.step, span{least, most}) }
	if s.fromM >= s.toM || least >= most {
		return
	}
	at := cellAt(s.fromM)
	for inAir := 0; inAir <= len(v.run.at); inAir++ {
		nextM := s.toM
		if inAir < len(v.run.at) {
			nextM = min(nextM, where(v.waterM, math.Abs(v.run.at[inAir]), v.stepM))
		}
		from, next := at, cellAt(nextM)
		if at = max(at, next); from < at {
			v.addStretch(to, s, span{from, at}, inAir)
		}
	}
}

// addStretch adds the light of cells, counted from the nearest, for whose rays the nearest walls are met in the air.
func (v *laneView) addStretch(to rowLight, s *side, cells span, inAir int) {
	lumens, shares := v.weigh(inAir)
	if lumens == 0 {
		return
	}
	light := v.light[0]
	if s.sign < 0 {
		light = v.light[1]
	}
	w := s.nearM / v.stepM
	at := int(w)
	f := w - float64(at)
	at += cells.from * v.perCell
	i := s.cell + cells.from*s.step
	if len(shares) == 1 && v.covered == nil {
		share := shares[0][:len(light)]
		for range cells.to - cells.from {
			p, a := &light[at], share[at]
			weight := lumens * (a + float64(f*(share[at+1]-a)))
			to.lux[i] += float64(weight * (p.lux + float64(f*p.luxRise)))
			to.ppfd[i] += float64(weight * (p.ppfd + float64(f*p.ppfdRise)))
			i, at = i+s.step, at+v.perCell
		}
		return
	}
	for range cells.to - cells.from {
		weight := lumens
		for _, share := range shares {
			weight *= share[at] + float64(f*(share[at+1]-share[at]))
		}
		if v.covered != nil {
			weight *= 1 - v.covered[i]
		}
		p := &light[at]
		to.lux[i] += float64(weight * (p.lux + float64(f*p.luxRise)))
		to.ppfd[i] += float64(weight * (p.ppfd + float64(f*p.ppfdRise)))
		i, at = i+s.step, at+v.perCell
	}
}

// weigh finds what walls leave of the source's lumens, of which the nearest are met in the air: a constant, and shares
// by node.
func (v *laneView) weigh(inAir int) (lumens float64, shares [][]float64) {
	lumens, shares = v.lumens, v.row.shares[:0]
	low := v.row.sum.engine.pairX().low
	alike := v.row.sum.engine.alikeX()
	for i, w := range v.run.walls {
		if share, constant := w.Constant(); constant {
			lumens *= share
			continue
		}
		of := &v.returns[0]
		if w != low && !alike {
			of = &v.returns[1]
		}
		if i < inAir {
			shares = append(shares, of.air)
		} else {
			shares = append(shares, of.water)
		}
	}
	v.row.shares = shares
	return lumens, shares
}

// boxesTo is sum.boxesTo for one goroutine.
func (r *laneRow) boxesTo(at strip) []space.Box {
	if len(r.sum.boxes) == 0 {
		return nil
	}
	boxes, known := r.boxes[at]
	if !known {
		boxes = r.sum.boxesTo(at.mx, at.my)
		r.boxes[at] = boxes
	}
	return boxes
}

// cover works out what boxes hide of the row.
func (v *laneView) cover() {
	s, cells := v.row.sum, v.row.cells
	if len(v.boxes) == 0 {
		return
	}
	c := &v.shadow
	c.empty(cells.n)
	w := sweep{source: v.source.Position, heightM: s.engine.model.HeightM(v.source)}
	w.source.X = v.xM
	for _, side := range v.sides {
		if side.fromM < side.toM {
			w.low, w.high = min(w.low, side.sign*side.toM), max(w.high, side.sign*side.toM)
		}
	}
	c.across(s, cells, func(at int) {
		ray := v.row.line(v.lane, v.source, v.my, at)
		w.fixed = ray.fixed
		c.shades = s.shades(c.shades[:0], v.boxes, w)
		for k := range c.shades {
			b := &c.shades[k]
			shade := laneShade{shade: b, slope: ray, heightM: w.heightM, depthM: s.depthM, stepM: v.stepM}
			for _, side := range v.sides {
				if shade.low, shade.high = b.lowM, b.highM; side.sign < 0 {
					shade.low, shade.high = -b.highM, -b.lowM
				}
				if from, to, ok := shade.hidden(side.fromM, side.toM); ok {
					c.hide((side.sign*from-v.first)/v.step+0.5, (side.sign*to-v.first)/v.step+0.5)
				}
			}
		}
	})
	if c.some.from < c.some.to {
		v.covered = c.cells
	}
}
