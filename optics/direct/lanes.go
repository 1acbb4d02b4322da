package direct

import (
	"context"
	"fmt"
	"slices"

	"fathomlux/optics/model"
	"fathomlux/optics/parallel"
	"fathomlux/optics/result"
	"fathomlux/scene/space"
)

// Lit are sources whose light is asked for together, and the orders of their images.
type Lit struct {
	Sources []model.Source
	Orders  Orders
}

// emitter is sources of one kind in a line along x: their places, fluxes, and the walls on the way to each strip.
type emitter struct {
	kind   int // its number on the bench
	source model.Source
	xM     []float64
	lumens []float64
	runs   [][]crossings // by place, strips -X to X
}

// plan is a board made ready: its dies, and what stands for them in images that were mirrored twice or more.
type plan struct {
	near, far []emitter
	orders    Orders
	pieces    int
	inside    bool    // whether all dies hang over the tank
	form      int     // the number of its form: of boards alike but for their place along x
	middleM   float64 // that place
}

// numbers numbers what repeats: kinds of sources, and forms of boards.
type numbers struct {
	kinds map[model.Source]int
	forms map[string]int
}

// planOf readies a board.
func (s *sum) planOf(board []model.Source, o Orders, g result.Grid, n numbers) plan {
	p := plan{near: s.emitters(board, o, n.kinds), orders: o, pieces: s.pieces(g, board)}
	if p.far = p.near; len(board) > 1 {
		if one := s.joined(board); one != nil {
			p.far = s.emitters([]model.Source{*one}, o, n.kinds)
		}
	}
	p.middleM, p.inside = middle(board).Position.X, true
	form := fmt.Sprint(o.Y)
	for _, list := range [][]emitter{p.near, p.far} {
		for _, e := range list {
			form += fmt.Sprint(e.kind, ":")
			for k, x := range e.xM {
				p.inside = p.inside && x >= 0 && x <= s.engine.tank.LengthM
				form += fmt.Sprintf("%.10f %v,", x-p.middleM, e.lumens[k])
			}
		}
	}
	if _, ok := n.forms[form]; !ok {
		n.forms[form] = len(n.forms)
	}
	p.form = n.forms[form]
	return p
}

// emitters sorts dies into lines along x.
func (s *sum) emitters(board []model.Source, o Orders, kinds map[model.Source]int) (list []emitter) {
	for _, d := range board {
		source := kindOf(d)
		if _, ok := kinds[source]; !ok {
			kinds[source] = len(kinds)
		}
		i := slices.IndexFunc(list, func(e emitter) bool { return e.kind == kinds[source] })
		if i < 0 {
			i = len(list)
			list = append(list, emitter{kind: kinds[source], source: source})
		}
		e := &list[i]
		runs := make([]crossings, 2*o.X+1)
		for k := range runs {
			runs[k] = cross(d.Position.X, s.engine.tank.LengthM, k-o.X, s.engine.pairX())
		}
		e.xM, e.lumens, e.runs = append(e.xM, d.Position.X), append(e.lumens, d.LeavingLm), append(e.runs, runs)
	}
	return list
}

// reachM is how far along x images of sources are asked for: to the far end of the last strip.
func (s *sum) reachM(l Lit) float64 {
	lengthM, beyondM := s.engine.tank.LengthM, 0.0
	for _, d := range l.Sources {
		beyondM = max(beyondM, -d.Position.X, d.Position.X-lengthM)
	}
	return float64(l.Orders.X+1)*lengthM + beyondM
}

// mostNodes is about how many nodes of lanes a bench keeps for the next sources, of some 100 bytes.
const mostNodes = 400_000

// forget lets all lanes go; those to come reach some way along the rows.
func (b *Bench) forget(reachM float64) {
	b.known, b.reachM = numbers{map[model.Source]int{}, map[string]int{}}, reachM
	b.rows = make([]map[cellRow]*laneRow, b.grid.NY)
	for iy := range b.rows {
		b.rows[iy] = map[cellRow]*laneRow{}
	}
}

// nodes is how many all lanes have.
func (b *Bench) nodes() (n int) {
	for _, rows := range b.rows {
		for _, r := range rows {
			n += r.nodes
		}
	}
	return n
}

// Fields returns the light of each of some sets of sources and of their images, in the grid's cells, summed by some
// goroutines, which never change a result.
func (b *Bench) Fields(ctx context.Context, sets []Lit, workers int) ([]result.Field, error) {
	if b.sum.engine.fence != nil {
		return b.fieldsBySight(ctx, sets, workers)
	}
	reachM := 0.0
	for _, set := range sets {
		reachM = max(reachM, b.sum.reachM(set))
	}
	if reachM > b.reachM || b.nodes() > mostNodes {
		b.forget(max(reachM, b.reachM))
	}
	fields, plans := make([]result.Field, len(sets)), make([][]plan, len(sets))
	for i, set := range sets {
		fields[i] = newField(b.grid)
		for _, board := range boards(set.Sources) {
			p := b.sum.planOf(board, set.Orders, b.grid, b.known)
			plans[i] = append(plans[i], p)
			b.factors(p.pieces)
		}
	}
	err := parallel.ForEach(ctx, workers, b.grid.NY, func(iy int) {
		from, to := iy*b.grid.NX, (iy+1)*b.grid.NX
		for i := range plans {
			if ctx.Err() != nil { // one row of many sets takes long
				return
			}
			whole := rowLight{lux: fields[i].Illuminance[from:to], ppfd: fields[i].PPFD[from:to]}
			for k := range plans[i] {
				b.addPlan(whole, &plans[i][k], iy)
			}
		}
	})
	return fields, err
}

// row returns the lanes of a row of cells, or of pieces of them.
func (b *Bench) row(iy int, cells cellRow) *laneRow {
	r, ok := b.rows[iy][cells]
	if !ok {
		r = &laneRow{sum: b.sum, cells: cells, reachM: b.reachM, lanes: map[int][]*lane{},
			boxes: map[strip][]space.Box{}, boards: map[boardStrip]*through{}}
		b.rows[iy][cells] = r
	}
	return r
}

// addPlan adds the light of a board to a row of the grid.
func (b *Bench) addPlan(to rowLight, p *plan, iy int) {
	one, factors := to, b.factors(p.pieces)
	if factors != nil {
		one = newRow(len(to.lux))
	}
	finely(one, rowOf(b.grid, iy), [2]int{p.pieces, p.pieces}, func(to rowLight, cells cellRow) { b.row(iy, cells).add(to, p) })
	if factors == nil {
		return
	}
	for i, k := range factors[iy*b.grid.NX:][:b.grid.NX] {
		to.lux[i] += float64(k * one.lux[i])
		to.ppfd[i] += float64(k * one.ppfd[i])
	}
}

// add adds the light of a board to the row.
func (r *laneRow) add(to rowLight, p *plan) {
	for mx := -p.orders.X; mx <= p.orders.X; mx++ {
		if p.inside {
			r.addStrip(to, p, mx)
			continue
		}
		views := r.views(p, mx)
		for i := range views {
			views[i].ready(len(to.lux))
			views[i].paint(to, span{0, len(to.lux)})
		}
	}
}

// views lists the sources of a board in one strip along x and all across, until it is called again.
func (r *laneRow) views(p *plan, mx int) []laneView {
	n := 0
	for my := -p.orders.Y; my <= p.orders.Y; my++ {
		list := p.near
		if max(mx, -mx)+max(my, -my) > 1 {
			list = p.far
		}
		boxes := r.boxesTo(strip{mx, my})
		for i := range list {
			e := &list[i]
			l := r.lane(e, my)
			for k := 0; l != nil && k < len(e.xM); k++ {
				run := &e.runs[k][mx+p.orders.X]
				if !run.open {
					continue
				}
				if n++; n > len(r.list) {
					r.list = append(r.list, laneView{})
				}
				v := &r.list[n-1]
				v.lane, v.emitter, v.row, v.xM, v.lumens, v.run, v.mx, v.my = l, e, r, e.xM[k], e.lumens[k], run, mx, my
				v.boxes, v.covered = boxes, nil
			}
		}
	}
	return r.list[:n]
}
