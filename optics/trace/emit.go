package trace

import (
	"math"
	"math/bits"

	"fathomlux/optics/beam"
	"fathomlux/optics/model"
	"fathomlux/scene/space"
)

// Cells of a lens: rings between the angles of equal flux and those of equal steps, cut into sectors where a beam is
// not round. A margin on the highest of the intensities that were looked at in a cell keeps what lies between them
// below.
const (
	evenRings  = 64
	fluxRings  = 192
	sectors    = 32
	lensMargin = 1.03
	fineRings  = 4096
	meanOf     = 8 // azimuths whose mean stands for a ring's
)

// lens draws directions from a beam, exactly in proportion to its intensity: a cell by its highest intensity times its
// solid angle, a direction in the cell, kept with the share that its intensity is of the cell's highest.
type lens struct {
	beam  *beam.Beam
	cells []lensCell
}

// lensCell is a piece of the hemisphere, and what makes the draw one of an alias table (A. J. Walker 1977, ACM
// Transactions on Mathematical Software 3, 253-256): below cut the cell itself counts, above it the other.
type lensCell struct {
	cos, rise   float64 // cosine at the outer rim, and its rise to the inner
	turn, sweep float64 // shares of the full circle
	highest     float64
	sure        float64 // below this draws are kept without a look at the intensity there
	cut         uint64
	other       int
}

func newLens(b *beam.Beam) *lens {
	l := &lens{beam: b}
	n := sectors
	if b.Round() {
		n = 1
	}
	edges := ringEdges(b, min(n, meanOf))
	for i := 1; i < len(edges); i++ {
		for k := range n {
			c := lensCell{cos: math.Cos(edges[i]), turn: float64(k) / float64(n), sweep: 1 / float64(n)}
			c.rise = math.Cos(edges[i-1]) - c.cos
			lowest, highest := rangeIn(b, c)
			c.highest = lensMargin * highest
			if b.Round() && b.Smooth() { // elsewhere there may be dips between the directions that were looked at
				c.sure = lowest / lensMargin
			}
			l.cells = append(l.cells, c)
		}
	}
	l.alias()
	return l
}

// ringEdges returns rising angles from 0 to pi/2.
func ringEdges(b *beam.Beam, turns int) []float64 {
	var sum [fineRings + 1]float64
	for i := range fineRings {
		theta := (float64(i) + 0.5) * math.Pi / 2 / fineRings
		s, c := math.Sincos(theta)
		for k := range turns {
			sp, cp := around((float64(k) + 0.5) / float64(turns))
			sum[i+1] += b.Fast(space.Vector{X: s * cp, Y: s * sp, Z: c}) * s
		}
		sum[i+1] += sum[i]
	}
	edges := []float64{0}
	next := 1
	for i := 1; i <= fineRings; i++ {
		due := i%(fineRings/evenRings) == 0
		for next < fluxRings && sum[i] >= float64(next)/fluxRings*sum[fineRings] {
			due = true
			next++
		}
		if due {
			edges = append(edges, float64(i)*math.Pi/2/fineRings)
		}
	}
	return edges
}

// rangeIn looks at a raster of directions in a cell, its rim included.
func rangeIn(b *beam.Beam, c lensCell) (lowest, highest float64) {
	rows, columns := 4, 2
	if b.Round() {
		columns = 0
	}
	lowest = math.MaxFloat64
	for i := range rows + 1 {
		cos := c.cos + c.rise*float64(i)/float64(rows)
		sin := math.Sqrt(max(0, 1-cos*cos))
		for k := range columns + 1 {
			s, t := around(c.turn + c.sweep*float64(k)/math.Max(1, float64(columns)))
			here := b.Fast(space.Vector{X: sin * t, Y: sin * s, Z: math.Max(cos, 1e-12)})
			lowest, highest = math.Min(lowest, here), math.Max(highest, here)
		}
	}
	return lowest, highest
}

// alias fills cut and other of all cells.
func (l *lens) alias() {
	total := 0.0
	for i := range l.cells {
		total += l.cells[i].weight()
	}
	share := make([]float64, len(l.cells))
	var poor, rich []int
	for i := range l.cells {
		share[i] = l.cells[i].weight() / total * float64(len(l.cells))
		l.cells[i].cut, l.cells[i].other = math.MaxUint64, i
		if share[i] < 1 {
			poor = append(poor, i)
		} else {
			rich = append(rich, i)
		}
	}
	for len(poor) > 0 && len(rich) > 0 {
		p, r := poor[len(poor)-1], rich[len(rich)-1]
		poor = poor[:len(poor)-1]
		l.cells[p].cut, l.cells[p].other = uint64(share[p]*(1<<53))<<11, r
		if share[r] -= 1 - share[p]; share[r] < 1 {
			rich = rich[:len(rich)-1]
			poor = append(poor, r)
		}
	}
}

func (c *lensCell) weight() float64 { return c.highest * c.rise * c.sweep }

// draw returns a direction in the module's frame.
func (l *lens) draw(r *random) space.Vector {
	for {
		if v, ok := l.drawn(r.bits(), r.unit(), r.unit(), r.unit()); ok {
			return v
		}
	}
}

// drawn is the direction that some draws give: of a cell, of two places in it, and of whether the direction counts.
func (l *lens) drawn(cell uint64, u, v, keep float64) (space.Vector, bool) {
	at, rest := bits.Mul64(cell, uint64(len(l.cells)))
	i := int(at)
	if c := &l.cells[i]; rest > c.cut {
		i = c.other
	}
	c := &l.cells[i]
	cos := c.cos + c.rise*u
	sin := math.Sqrt(math.Abs(1 - cos*cos)) // rounding may put cos a hair above 1
	sp, cp := around(c.turn + c.sweep*v)
	d := space.Vector{X: sin * cp, Y: sin * sp, Z: cos}
	level := keep * c.highest
	return d, level < c.sure || level < l.beam.Fast(d)
}

// roomHistories tell the share of RoomLight to some 0.5 % of itself.
const roomHistories = 1 << 16

// RoomLight returns how much light a room that is equally bright on all sides of the tank gives the ground, in its mean
// over the level area and counting what is bounced: in parts of the illuminance that the room gives any face in the air.
// The rays are followed backwards, from the ground out through surface, cover and clear walls; of light that the ground
// would send out after Lambert, the share that gets out is this value over the square of the water's index, since
// radiance over that square stays the same along a ray. Source: the theorem of reciprocity, Helmholtz 1856; basic
// radiance, Nicodemus 1963 (from memory). Left out are what the panes of the walls absorb, dirt on them, and what the
// rails hide of the room. Absorption is that of the first source's light; the result is 0 where there is none.
func RoomLight(m *model.Model, seed uint64) float64 {
	w := newWorld(m, nil)
	if len(w.lamps) == 0 {
		return 0
	}
	var out light
	t := &tracer{world: w, usual: 1, tally: &planes{}, through: &out}
	for i, n := 0, uint64(0); i < roomHistories; n++ {
		t.random = stream(seed, int64(n))
		p, ok := t.fromGround()
		if !ok {
			continue
		}
		i++
		t.finish(&p)
	}
	return w.index * w.index * (out.lux + t.balance.Returned.lux) / roomHistories
}

// fromGround starts a history at a place of the ground, upwards after Lambert; ok is false for a place beside the tank
// or in something that stands there.
func (t *tracer) fromGround() (p photon, ok bool) {
	colour := &t.lamps[0].palette[t.random.bits()%colours]
	p = photon{w: 1, in: wet, rest: 1, met: true, entered: true, colour: colour, thinM: math.MaxFloat64}
	p.at = space.Point{X: t.random.unit() * t.LengthM, Y: t.random.unit() * t.WidthM, Z: onFaceM}
	if s := t.shaped; s != nil && s.ground != nil {
		p.at.Z += s.ground.HeightM(p.at.X, p.at.Y)
	}
	u := t.random.unit()
	sin, cos := around(t.random.unit())
	p.d = space.Vector{X: math.Sqrt(u) * cos, Y: math.Sqrt(u) * sin, Z: math.Sqrt(1 - u)}
	t.free(&p)
	return p, !t.beside(p.at, p.d) && !t.stands(p.at)
}

// stands tells whether something stands at a place under water.
func (t *tracer) stands(at space.Point) bool {
	if t.wet != nil && t.wet.Hold(at) {
		return true
	}
	if t.shaped != nil {
		for i := range t.shaped.solids {
			if t.shaped.solids[i].Holds(at) {
				return true
			}
		}
	}
	return false
}
