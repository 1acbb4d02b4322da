package direct

import "math"

// through is the light of a form of board in one image strip, of all its dies and strips across at once, by the signed
// distance along the row from the board's middle.
type through struct {
	light   []pair
	first   int // node of the first, counted from the middle
	stepM   float64
	perCell int
}

// boardStrip tells apart what a row of cells gets of a board: by the number of its form, the strip along x, and how
// many of the walls on the way are met in the air.
type boardStrip struct{ form, mx, inAir int }

// addStrip adds the light of a board over the tank that comes by one strip along x: of all its dies at once where their
// rays meet the same walls in the air and no box hides some of them, else die by die.
func (r *laneRow) addStrip(to rowLight, p *plan, mx int) {
	n := len(to.lux)
	if t := r.boards[boardStrip{p.form, mx, 0}]; t != nil && mx == 0 && len(r.sum.boxes) == 0 {
		t.paint(to, r, p.middleM, mx, span{0, n})
		return
	}
	views, hidden := r.views(p, mx), span{n, 0}
	if len(views) == 0 {
		return
	}
	for i := range views {
		v := &views[i]
		if v.ready(n); v.covered != nil {
			hidden = span{min(hidden.from, v.shadow.some.from), max(hidden.to, v.shadow.some.to)}
		}
	}
	apart := func(s span) {
		for i := range views {
			if s.from < s.to {
				views[i].paint(to, s)
			}
		}
	}
	done := 0
	for _, s := range r.stretches(views, mx, n) {
		apart(span{done, s.from})
		done = s.to
		if s.from >= s.to {
			continue
		}
		t, first := r.through(views, p, mx, s.inAir), span{s.from, max(s.from, min(s.to, hidden.from))}
		t.paint(to, r, p.middleM, mx, first)
		dark := span{first.to, max(first.to, min(s.to, hidden.to))}
		apart(dark)
		t.paint(to, r, p.middleM, mx, span{dark.to, s.to})
	}
	apart(span{done, n})
}

// stretch is cells to which the rays of all dies meet so many walls in the air.
type stretch struct {
	span
	inAir int
}

// stretches lists those of a row of n cells, from the first on, in which all walls on the way are met under water or
// all in the air.
func (r *laneRow) stretches(views []laneView, mx, n int) []stretch {
	if mx == 0 {
		return []stretch{{span{0, n}, 0}}
	}
	wet, dry, last, step := n, 0, n, 0
	for i := range views {
		v := &views[i]
		s := &v.sides[0]
		if s.cells < n {
			s = &v.sides[1]
		}
		if s.cells < n || step != 0 && s.step != step { // the source hangs over the wall
			return nil
		}
		step = s.step
		cell := func(distanceM float64) int { return s.cellAt(distanceM, v.step, span{0, n}) }
		wet = min(wet, cell(min(s.toM, where(v.waterM, math.Abs(v.run.at[0]), v.stepM))))
		dry = max(dry, cell(where(v.waterM, math.Abs(v.run.at[len(v.run.at)-1]), v.stepM)))
		last = min(last, cell(s.toM))
	}
	dry, last = max(dry, wet), max(last, dry, wet)
	all := max(mx, -mx)
	if step < 0 {
		return []stretch{{span{n - last, n - dry}, all}, {span{n - wet, n}, 0}}
	}
	return []stretch{{span{0, wet}, 0}, {span{dry, last}, all}}
}

// through returns the light of a board's form, made when first asked for.
func (r *laneRow) through(views []laneView, p *plan, mx, inAir int) *through {
	key := boardStrip{p.form, mx, inAir}
	if t, ok := r.boards[key]; ok {
		return t
	}
	stepM, lengthM := views[0].lane.stepM, r.sum.engine.tank.LengthM
	t := &through{stepM: stepM, perCell: views[0].perCell, first: int(math.Floor(float64(mx-1)*lengthM/stepM)) - 1}
	nodes := make([]node, 2*int(math.Ceil(lengthM/stepM))+5) // the ends of a strip lie up to two lengths apart
	for i := range views {
		views[i].tabulate(nodes, t.first, p.middleM, inAir)
	}
	t.light = pairsOf(nodes)
	r.boards[key] = t
	return t
}

// tabulate adds the view's light to nodes, counted from the board's middle.
func (v *laneView) tabulate(nodes []node, first int, middleM float64, inAir int) {
	lumens, shares := v.weigh(inAir)
	for i := range nodes {
		d := float64(first+i)*v.lane.stepM - (v.xM - middleM)
		light := v.light[0]
		if d < 0 {
			light = v.light[1]
		}
		w := math.Abs(d) / v.lane.stepM
		at := int(w)
		if at >= len(light)-1 {
			continue
		}
		f, one, weight := w-float64(at), light[at], lumens
		for _, share := range shares {
			weight *= share[at] + float64(f*(share[at+1]-share[at]))
		}
		nodes[i].lux += float64(weight * (one.lux + float64(f*one.luxRise)))
		nodes[i].ppfd += float64(weight * (one.ppfd + float64(f*one.ppfdRise)))
	}
}

// paint adds the light of a board with its middle at some place to a span of a row's cells.
func (t *through) paint(to rowLight, r *laneRow, middleM float64, mx int, s span) {
	if s.from >= s.to {
		return
	}
	origin, sign := unfold(mx, r.sum.engine.tank.LengthM)
	w := (origin+sign*(r.cells.fromM+r.cells.stepM/2)-middleM)/t.stepM - float64(t.first)
	at, step := int(w), int(sign)*t.perCell
	f := w - float64(at)
	lux, ppfd := to.lux[s.from:s.to], to.ppfd[s.from:s.to]
	at += s.from * step
	for i := range lux {
		p := &t.light[at]
		lux[i] += p.lux + float64(f*p.luxRise)
		ppfd[i] += p.ppfd + float64(f*p.ppfdRise)
		at += step
	}
}
