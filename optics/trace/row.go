package trace

import (
	"cmp"
	"slices"

	"fathomlux/optics/model"
	"fathomlux/optics/result"
	"fathomlux/scene/space"
)

// row is one lamp at several places along a tank. Its histories draw the same at all of them, so that each is followed
// once, in a tank that is so long that no end of it is met, until a place is told apart by an end of its own tank or by
// an obstacle: from there on its history goes on alone. What a place gets does not depend on the others.
type row struct {
	world  *world  // of the tank as it is
	lead   *tracer // follows what all that are together do, in the world of a long tank
	places []*tracer
	alongM []float64 // of each, beyond the lead
	all    []int     // the places, by alongM
	same   []int     // those that are together, by alongM
}

// longTanks is how many tanks the long one of a row has the length of; leadTanks is as far the lead is moved in it, so
// that a history which is inside the tank from any place is inside the long one.
const (
	longTanks = 4
	leadTanks = 2
)

// long returns a world that is longTanks times as long, without obstacles.
func (w *world) long() *world {
	l := *w
	l.LengthM *= longTanks
	l.acrossX[0] = l.LengthM
	l.wet, l.dry, l.over = nil, nil, nil
	return &l
}

// together tells whether lamps at several places along a tank can be followed in a row.
func (w *world) together() bool { return w.shaped == nil && w.hood == nil }

// newRow returns the lead of a row of tracers, one for each of some places along a tank.
func (t *Transfer) newRow(w, long *world, places []*tracer, alongM []float64) *tracer {
	r := &row{world: w, places: places}
	r.lead = &tracer{world: long, usual: 1, tally: r, lands: &arrivals{patches: t.patches}, row: r}
	for i, x := range alongM {
		r.alongM, r.all = append(r.alongM, x-leadTanks*w.LengthM), append(r.all, i)
	}
	slices.SortStableFunc(r.all, func(a, b int) int { return cmp.Compare(alongM[a], alongM[b]) })
	return r.lead
}

// finishRow is finish for the lead of a row.
func (t *tracer) finishRow(p *photon) {
	r := t.row
	r.same = append(r.same[:0], r.all...)
	if p.in != ended {
		if r.keep(func(place int) bool { return r.falls(p, place) }, p); p.in == above {
			t.flyAbove(p)
		}
		if len(r.same) > 0 {
			t.flyUnder(p)
		}
	}
	for len(r.same) > 0 {
		if p.in == wet {
			t.swim(p)
		}
		if p.in != ended { // in the air, where ends of the tank are near
			r.keep(func(int) bool { return false }, p)
		}
		n := len(t.stack)
		if n == 0 {
			break
		}
		t.now, t.stack = t.stack[n-1], t.stack[:n-1]
		p = &t.now
	}
	for _, i := range r.same {
		addEnds(&r.places[i].balance, &t.balance)
	}
	t.stack, t.balance = t.stack[:0], result.Ends[light]{}
}

// falls tells whether the straight light of a place comes into the water without meeting anything but a cover.
func (r *row) falls(p *photon, place int) bool {
	w, at := r.world, p.at
	at.X += r.alongM[place]
	from := at
	if p.in == above {
		way := (w.cover.topM - at.Z) / p.d.Z
		if w.over != nil && w.over.First(at, p.d, way) < way {
			return false
		}
		way += w.cover.shift(1 / w.cover.boundary.beyond(-p.d.Z))
		at = space.Point{X: at.X + p.d.X*way, Y: at.Y + p.d.Y*way, Z: w.cover.bottomM}
	}
	way := (w.depthM - at.Z) / p.d.Z
	if w.dry != nil && w.dry.First(at, p.d, way) < way {
		return false
	}
	at = space.Point{X: at.X + p.d.X*way, Y: at.Y + p.d.Y*way, Z: w.depthM}
	return !w.Outside(from) && !w.Outside(at)
}

// keep leaves those places together that are to stay so; the others' histories go on alone from a photon on.
func (r *row) keep(stays func(place int) bool, p *photon) {
	n := 0
	for _, i := range r.same {
		if stays(i) {
			r.same[n] = i
			n++
		} else {
			r.part(i, p)
		}
	}
	if r.same = r.same[:n]; n == 0 {
		p.in = ended
	}
}

// reach leaves those places together from which a photon flies s metres under water without meeting an end of the
// tank or an obstacle.
func (r *row) reach(p *photon, s float64) {
	w := r.world
	for n := len(r.same); n > 0; n-- {
		k := 0
		if p.d.X > 0 {
			k = n - 1
		}
		i := r.same[k]
		if sx, _ := model.Gap(p.at.X+r.alongM[i], p.d.X, &w.acrossX); !(sx < s) {
			break
		}
		r.part(i, p)
		r.same = slices.Delete(r.same, k, k+1)
	}
	if w.wet != nil {
		r.keep(func(i int) bool {
			return w.wet.First(space.Point{X: p.at.X + r.alongM[i], Y: p.at.Y, Z: p.at.Z}, p.d, s) >= s
		}, p)
	}
	if len(r.same) == 0 {
		p.in = ended
	}
}

// part lets the history of a place go on alone: with a photon, the parts that wait, and the draws to come.
func (r *row) part(place int, p *photon) {
	t, alongM := r.places[place], r.alongM[place]
	t.random, t.aside = r.lead.random, r.lead.aside
	addEnds(&t.balance, &r.lead.balance)
	t.stack = append(t.stack[:0], r.lead.stack...)
	for i := range t.stack {
		t.stack[i].at.X += alongM
	}
	own := &t.group[0].photon
	*own = *p
	own.at.X += alongM
	t.finish(own)
}

// addEnds adds the entries that a history may have. All of them, one by one, would take as long as what they count.
func addEnds(to, from *result.Ends[light]) {
	to.Cover.add(from.Cover)
	to.Spill.add(from.Spill)
	to.Surface.add(from.Surface)
	to.Water.add(from.Water)
	to.Walls.add(from.Walls)
	to.Floor.add(from.Floor)
	to.Entered.add(from.Entered)
}

// fly is crossings.fly for all places that are together.
func (r *row) fly(p *photon, s float64, _ model.Side) {
	c := r.places[0].tally.(*crossings)
	if !(p.d.Z < 0 && c.count[p.rest]) {
		return
	}
	low, perM := p.at.Z+p.d.Z*s, 1/p.d.Z
	for i := range c.list {
		h := &c.list[i]
		if h.heightM > p.at.Z {
			continue
		}
		if h.heightM <= low {
			return
		}
		way := (h.heightM - p.at.Z) * perM
		x, l := p.at.X+p.d.X*way, p.carries(p.pathM+way)
		from := h.from + h.mesh.y.at(p.at.Y+p.d.Y*way)*h.mesh.x.cells()
		for _, k := range r.same {
			r.places[k].cells()[from+h.mesh.x.at(x+r.alongM[k])].add(l)
		}
	}
}

// land is told of nothing: in a tank of a row there are no solids, and the ground is level.
func (r *row) land(*photon, Place, int) {}

// landOn notes what lands on a matt face for all places that are together.
func (r *row) landOn(p *photon, side model.Side, kept light) {
	for _, i := range r.same {
		at := p.at
		at.X += r.alongM[i]
		lands := r.places[i].lands
		lands.patches.land(lands.light, side, p.in, at, kept)
	}
}
