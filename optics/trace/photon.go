package trace

import (
	"math"

	"fathomlux/optics/model"
	"fathomlux/optics/result"
	"fathomlux/scene/space"
)

// Where a photon is.
const (
	above = iota // in the air over the cover
	under        // in the air between cover and water, or over the water where there is no cover
	wet
	ended
)

// photon is one history, or a part of it that goes on alone.
type photon struct {
	at       space.Point
	d        space.Vector // unit length
	w        float64      // weight in histories' lumens, without what the water has absorbed along path
	micro    float64      // its photons over its lumens, but for the water
	pathM    float64      // in the water so far
	freeM    float64      // way to the next scattering
	thinM    float64      // path at which it is thinned out
	colour   *colour
	module   int32
	flights  int32
	in       uint8
	rest     uint8 // 1 once anything has happened that the direct sum does not count
	parallel uint8 // 1 where polarised in the plane of incidence of level faces, in the air
	met      bool  // the water surface, from above
	entered  bool  // the water
}

// thinAt is the absorbed optical depth at which a history is thinned out, and after each halving of their number again.
const thinAt = 2.3

// mostFlights ends a history that is caught between loss-free mirrors; what it carries counts as absorbed by the water.
const mostFlights = 20000

// together is how many histories are traced at once, step by step: while the processor waits for one it works at the
// next.
const together = 32

// history is one of a group, with its own stream of random numbers.
type history struct {
	photon photon
	random random
}

// tracer follows histories in one world and notes what they do. It belongs to one goroutine.
type tracer struct {
	*world
	random  random
	usual   float64  // weight that photons of the rest should have
	stack   []photon // parts that wait for their turn
	tally   tally
	aside   []float64 // even draws for what a history scatters aside first
	lands   *arrivals // where photons end on matt faces, and straight light is cut by shares, not by dice; else nil
	balance result.Ends[light]
	group   [together]history
	now     photon // the part that is followed
	leaf    int    // the leaves' box that it has come to
	hit     face   // that it is on, where it is one of the ground or of a solid in a shaped tank

	on    spot    // where that is on a solid
	row   *row    // whose lead it is; else nil
	walls *planes // that count what lands on walls; nil where none do

	straightOnly bool   // what a hood reflects is not followed
	through      *light // what clear walls let out; nil where it counts as theirs
}

// tally takes note of what histories do; weights are those of a history.
type tally interface {
	// fly is told of a straight way of s metres under water from where the photon is, and of what it meets at its end.
	fly(p *photon, s float64, end model.Side)
	// land is told of a photon that has come to a ground that is not level, or to a patch of a solid by its number.
	land(p *photon, on Place, patch int)
}

// finish follows a photon and all parts that it falls into to their ends.
func (t *tracer) finish(p *photon) {
	t.follow(p)
	for n := len(t.stack); n > 0; n = len(t.stack) {
		t.now = t.stack[n-1]
		t.stack = t.stack[:n-1]
		t.follow(&t.now)
	}
}

// follow takes one part to its end.
func (t *tracer) follow(p *photon) {
	for p.in != ended {
		switch p.in {
		case above:
			t.flyAbove(p)
		case under:
			t.flyUnder(p)
		default:
			t.swim(p)
		}
	}
}

// end flux balance what a photon carries: entry gets what has arrived, the water the lumens that it took on the way. What
// it took of the photons is the rest of the balance: scattering changes their weight.
func (t *tracer) end(p *photon, entry *light) {
	t.lose(p, p.w, entry)
	p.in = ended
}

// lose counts a part of a photon's weight.
func (t *tracer) lose(p *photon, weight float64, entry *light) {
	kept := light{weight, weight * p.micro}
	if p.pathM > 0 {
		kept = light{weight * fade(p.colour.absorb*p.pathM), kept.ppfd * fade(p.colour.photons*p.pathM)}
		t.balance.Water.lux += weight - kept.lux
	}
	entry.add(kept)
}

// tint changes the photons of a lumen, as the cover does: it takes more of them, or fewer, than of the lumens.
func (t *tracer) tint(p *photon, by float64) {
	t.balance.Cover.ppfd += p.w * p.micro * (1 - by) * fade(p.colour.photons*p.pathM)
	p.micro *= by
}

// gone ends a photon that leaves to where nothing sends it back.
func (t *tracer) gone(p *photon) { t.end(p, t.outside(p)) }

// outside is the entry of a photon that is lost outside the tank.
func (t *tracer) outside(p *photon) *light {
	switch {
	case p.entered:
		return &t.balance.Returned
	case p.met:
		return &t.balance.Surface
	}
	return &t.balance.Spill
}

// fork tells into how many photons of which weight one turns that goes on with a share of its own: several of about the
// usual weight where there is more, one or none by chance where there is less.
func (t *tracer) fork(p *photon, share float64) (copies int, weight float64) {
	keep := p.w * share
	if keep >= t.usual {
		n := math.Round(keep / t.usual)
		return int(n), keep / n
	}
	weight = min(t.usual, p.w)
	if t.random.unit()*weight < keep {
		return 1, weight
	}
	return 0, 0
}

// thin halves the number of photons that have lost much to the water. The flux balance stays whole: what one loses by
// chance the water gets, and what another gains is taken from there.
func (t *tracer) thin(p *photon) {
	if t.random.bits()&1 == 0 {
		t.end(p, &t.balance.Water)
		return
	}
	t.balance.Water.lux -= p.w
	p.w *= 2
	p.thinM += math.Ln2 / max(p.colour.absorb, 1e-9)
}

// sure tells whether a photon is straight light whose weight is cut by what it loses, with nothing left to chance.
func (t *tracer) sure(p *photon) bool { return t.lands != nil && p.rest == 0 }

// free draws the way to the next scattering.
func (t *tracer) free(p *photon) {
	if p.colour.scatter > 0 && !t.sure(p) {
		p.freeM = wait(1-t.random.unit()) * p.colour.meanFreeM
	} else {
		p.freeM = math.MaxFloat64
	}
}

// meet turns a photon back at a face, like a mirror or from what is matt there, or ends it: kept and past are the shares
// for which each stands. The photon is on the face, with the direction that a mirror would give it. What is mirrored is
// true of the answer.
func (t *tracer) meet(p *photon, side model.Side, kept, past float64) (mirrored bool) {
	entry := t.entry(side)
	switch {
	case kept == 0 && past == 1: // the usual one of matt faces
	case t.sure(p):
		if t.lose(p, p.w*(1-kept-past), entry); past > 0 {
			c := *p
			c.w *= past
			t.lands.land(t, &c, side)
		}
		if p.w *= kept; kept == 0 {
			p.in = ended
		}
		return kept > 0
	case kept == 1:
		return t.mirrored(p)
	default:
		switch u := t.random.unit(); {
		case u < kept:
			return t.mirrored(p)
		case u >= kept+past:
			t.end(p, entry)
			return false
		}
	}
	if t.lands != nil {
		t.lands.land(t, p, side)
	} else {
		t.bounce(p, t.face(side).matt[p.in].Share, side, entry)
	}
	return false
}

// mirrored lets a photon go on that a wall has mirrored: as one of the rest where no sum has an image for it.
func (t *tracer) mirrored(p *photon) bool {
	if t.shaped != nil {
		p.rest = 1
	}
	return true
}

// bounce sends a photon back from a diffuse face, or ends it there.
func (t *tracer) bounce(p *photon, share float64, side model.Side, entry *light) {
	copies := t.keep(p, share, entry)
	if copies == 0 {
		return
	}
	for range copies - 1 {
		c := *p
		t.lambert(&c, side)
		t.stack = append(t.stack, c)
	}
	t.lambert(p, side)
}

// keep leaves a share of a photon, which then is of the rest, to so many copies of it; entry gets what is not kept. It
// ends where there are none.
func (t *tracer) keep(p *photon, share float64, entry *light) (copies int) {
	copies, weight := t.fork(p, share)
	if rest := p.w - float64(copies)*weight; rest != 0 {
		t.lose(p, rest, entry)
	}
	if copies == 0 {
		p.in = ended
		return 0
	}
	p.w, p.rest = weight, 1
	return copies
}

// lambert gives a photon a direction away from a matt face: cosine-distributed, or as a plate before it lets it out.
func (t *tracer) lambert(p *photon, side model.Side) {
	u := t.random.unit()
	t.lambertAt(p, side, u, t.random.unit())
}

// lambertAt is lambert for given draws: of the square of the sine of its angle, and of its turn.
func (t *tracer) lambertAt(p *photon, side model.Side, u, turn float64) {
	f := t.face(side)
	sp, cp := around(turn)
	u = f.matt[p.in].Sin2(u)
	sin, cos := math.Sqrt(u), math.Sqrt(1-u)
	a, b := sin*cp, sin*sp
	p.d = space.Vector{X: cos*f.Normal.X + a*f.right.X + b*f.up.X, Y: cos*f.Normal.Y + a*f.right.Y + b*f.up.Y,
		Z: cos*f.Normal.Z + a*f.right.Z + b*f.up.Z}
	if p.in == wet {
		t.free(p)
	} else {
		t.polarise(p)
	}
}

// polarise draws one of the two polarisations. It lasts from one level face to the next in the air, and through all
// of them.
func (t *tracer) polarise(p *photon) { p.parallel = uint8(^t.random.bits() & 1) }

// join marks a photon as one of the rest, and splits it to the usual weight.
func (t *tracer) join(p *photon) {
	if p.rest == 1 {
		return
	}
	p.rest = 1
	copies, weight := t.fork(p, 1)
	p.w = weight
	for range copies - 1 {
		t.stack = append(t.stack, *p)
	}
}
