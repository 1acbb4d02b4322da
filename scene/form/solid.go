package form

import (
	"math"

	"fathomlux/scene/space"
)

// Kind is the form of a solid.
type Kind int

// The kinds of solids.
const (
	Box       Kind = iota
	Cylinder       // upright
	Lying          // a cylinder along its length
	Ellipsoid      //
	Wedge          // as high as it is at its back, falling to nothing at its front
)

// Kinds are the names of the kinds, in their order.
var Kinds = []string{"box", "cylinder", "lying cylinder", "ellipsoid", "wedge"}

// Solid is a convex thing. Its own axes are those of the tank, turned about the vertical. See NewSolid.
type Solid struct {
	Kind    Kind
	Middle  space.Point  // of the box around it
	Half    space.Vector // half its length, width and height
	TurnRad float64      // from x to y: against the clock, seen from above
	sin     float64
	cos     float64
}

// NewSolid makes a solid of some half length, width and height above 0.
func NewSolid(kind Kind, middle space.Point, half space.Vector, turnRad float64) Solid {
	s := Solid{Kind: kind, Middle: middle, Half: half, TurnRad: turnRad}
	s.sin, s.cos = math.Sincos(turnRad)
	return s
}

// plane holds what has n p <= offset, of the unit form.
type plane struct {
	n      space.Vector
	offset float64
}

// unit is a solid between -1 and 1 in all its own axes: what is inside all planes, and where round is not 0 also has
// round.X x^2 + round.Y y^2 + round.Z z^2 <= 1.
type unit struct {
	planes []plane
	round  space.Vector
}

var (
	left, right = plane{space.Vector{X: -1}, 1}, plane{space.Vector{X: 1}, 1}
	front, back = plane{space.Vector{Y: -1}, 1}, plane{space.Vector{Y: 1}, 1}
	bottom, top = plane{space.Vector{Z: -1}, 1}, plane{space.Vector{Z: 1}, 1}
	slope       = plane{space.Vector{Y: -math.Sqrt2 / 2, Z: math.Sqrt2 / 2}, 0}
)

// units are the solids by kind; their planes are in the order of their faces.
var units = []unit{
	Box:       {planes: []plane{top, front, back, left, right, bottom}},
	Cylinder:  {planes: []plane{top, bottom}, round: space.Vector{X: 1, Y: 1}},
	Lying:     {planes: []plane{left, right}, round: space.Vector{Y: 1, Z: 1}},
	Ellipsoid: {round: space.Vector{X: 1, Y: 1, Z: 1}},
	Wedge:     {planes: []plane{slope, back, left, right, bottom}},
}

// own returns a displacement along the solid's own axes, in halves.
func (s *Solid) own(v space.Vector) space.Vector {
	return space.Vector{X: (v.X*s.cos + v.Y*s.sin) / s.Half.X, Y: (v.Y*s.cos - v.X*s.sin) / s.Half.Y, Z: v.Z / s.Half.Z}
}

// place returns a place in the solid's own axes.
func (s *Solid) place(at space.Point) space.Vector {
	return s.own(space.Vector{X: at.X - s.Middle.X, Y: at.Y - s.Middle.Y, Z: at.Z - s.Middle.Z})
}

// world returns the place in the tank of one in the solid's own axes.
func (s *Solid) world(p space.Vector) space.Point {
	x, y := p.X*s.Half.X, p.Y*s.Half.Y
	return space.Point{X: s.Middle.X + x*s.cos - y*s.sin, Y: s.Middle.Y + x*s.sin + y*s.cos, Z: s.Middle.Z + p.Z*s.Half.Z}
}

// weighed is the scalar product with round.
func (u *unit) weighed(a, b space.Vector) float64 {
	return u.round.X*a.X*b.X + u.round.Y*a.Y*b.Y + u.round.Z*a.Z*b.Z
}

// Holds tells whether a place lies in the solid.
func (s *Solid) Holds(at space.Point) bool {
	u, p := &units[s.Kind], s.place(at)
	for i := range u.planes {
		if u.planes[i].n.Dot(p) > u.planes[i].offset {
			return false
		}
	}
	return u.weighed(p, p) <= 1
}

// First returns how far on a straight way the solid begins, and the number of the face that is met there;
// math.MaxFloat64 where it is not met. A way that starts in it, or on it but for rounding, does not meet it.
func (s *Solid) First(from space.Point, d space.Vector) (way float64, face int) {
	u, p, v := &units[s.Kind], s.place(from), s.own(d)
	in, out, n := math.Inf(-1), math.Inf(1), len(u.planes)
	if u.round != (space.Vector{}) {
		a, b, c := u.weighed(v, v), u.weighed(p, v), u.weighed(p, p)-1
		root2 := b*b - a*c
		switch {
		case a == 0 && c > 0, a > 0 && root2 <= 0:
			return math.MaxFloat64, 0
		case a > 0:
			root := math.Sqrt(root2)
			in, out, face = (-b-root)/a, (-b+root)/a, n
		}
	}
	for i := range u.planes {
		speed, left := u.planes[i].n.Dot(v), u.planes[i].offset-u.planes[i].n.Dot(p)
		switch {
		case speed < 0 && left/speed > in:
			in, face = left/speed, i
		case speed > 0:
			out = min(out, left/speed)
		case speed == 0 && left < 0:
			return math.MaxFloat64, 0
		}
	}
	if in >= out || in < 0 {
		return math.MaxFloat64, 0
	}
	if face == n && u.halves() && p.Z+in*v.Z < 0 {
		face++
	}
	return in, face
}

// halves tells whether what is round is two faces, an upper and a lower one.
func (u *unit) halves() bool { return u.round.Z > 0 }

// Normal returns the outward normal of a face at a place on it, of unit length.
func (s *Solid) Normal(face int, at space.Point) space.Vector {
	u := &units[s.Kind]
	if face < len(u.planes) {
		return s.outward(u.planes[face].n)
	}
	p := s.place(at)
	return s.outward(space.Vector{X: u.round.X * p.X, Y: u.round.Y * p.Y, Z: u.round.Z * p.Z})
}

// outward turns a normal of the unit form into one in the tank, of unit length.
func (s *Solid) outward(n space.Vector) space.Vector {
	x, y, z := n.X/s.Half.X, n.Y/s.Half.Y, n.Z/s.Half.Z
	k := 1 / math.Sqrt(x*x+y*y+z*z)
	x, y, z = x*k, y*k, z*k
	return space.Vector{X: x*s.cos - y*s.sin, Y: x*s.sin + y*s.cos, Z: z}
}

// girthPlaces is at how many places the girth of a solid is taken.
const girthPlaces = 64

// Girth returns places round the solid where it is widest, seen from above.
func (s *Solid) Girth() (list []space.Point) {
	r := units[s.Kind].round
	for i := range girthPlaces {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / girthPlaces)
		if !(r.X > 0 && r.Y > 0) { // with corners
			k := 1 / max(math.Abs(sin), math.Abs(cos))
			sin, cos = sin*k, cos*k
		}
		list = append(list, s.world(space.Vector{X: cos, Y: sin}))
	}
	return list
}

// Bounds returns the box around the solid.
func (s *Solid) Bounds() space.Box {
	a, b := math.Abs(s.Half.X*s.cos), math.Abs(s.Half.Y*s.sin)
	c, d := math.Abs(s.Half.X*s.sin), math.Abs(s.Half.Y*s.cos)
	x, y, m := a+b, c+d, s.Middle
	if r := units[s.Kind].round; r.X > 0 && r.Y > 0 {
		x, y = math.Hypot(a, b), math.Hypot(c, d)
	}
	return space.Box{Min: space.Point{X: m.X - x, Y: m.Y - y, Z: m.Z - s.Half.Z},
		Max: space.Point{X: m.X + x, Y: m.Y + y, Z: m.Z + s.Half.Z}}
}

// Heap is a pile of stones on a ground: it fills an area of the plan and is HeightM high over the lowest stone's foot.
type Heap struct {
	Area    space.Area
	HeightM float64
	Seed    uint64
}

// Stones of a heap: how many there are, and the least and greatest half length of one in parts of the shorter side.
const (
	heapStones             = 24
	leastStone, mostStone  = 0.14, 0.3
	flattest, roundest     = 0.55, 0.9 // half height over half length
	sunkShare              = 0.4       // of its half height that a stone lies below what is under its middle
	towardsMiddle, footing = 0.75, 0.6
)

// Stones makes the heap: an invented pile of ellipsoids, the same for the same seed. The stones lie from the largest to
// the smallest, each on the ground or on those before it, within the area, and then all are lifted or lowered so that
// the highest of them ends at the heap's height.
func (h Heap) Stones(on *Ground) []Solid {
	long, wide := h.Area.ToXM-h.Area.FromXM, h.Area.ToYM-h.Area.FromYM
	draws := sequence(h.Seed)
	var list []Solid
	for i := range heapStones {
		share := float64(i) / (heapStones - 1)
		half := min(long, wide) * (mostStone + (leastStone-mostStone)*share) * (0.9 + 0.1*draws.next())
		s := space.Vector{X: half, Y: half * (0.65 + 0.35*draws.next()),
			Z: half * (flattest + (roundest-flattest)*draws.next())}
		reach := 1 - (1-towardsMiddle*draws.next())*share // later stones lie nearer to the middle
		turn, away := 2*math.Pi*draws.next(), reach*math.Sqrt(draws.next())
		sin, cos := math.Sincos(turn)
		at := space.Point{X: h.Area.FromXM + long/2 + (long/2-half)*away*cos,
			Y: h.Area.FromYM + wide/2 + (wide/2-half)*away*sin}
		at.Z = on.HeightM(at.X, at.Y) + (footing-sunkShare)*s.Z
		for k := range list {
			at.Z = max(at.Z, list[k].topM(at)+(footing-sunkShare)*s.Z)
		}
		list = append(list, NewSolid(Ellipsoid, at, s, math.Pi*draws.next()))
	}
	return h.raised(list, on)
}

// raised stretches the heap over its foot, so that it ends at its height.
func (h Heap) raised(list []Solid, on *Ground) []Solid {
	foot, top := math.Inf(1), math.Inf(-1)
	for _, s := range list {
		foot, top = min(foot, on.HeightM(s.Middle.X, s.Middle.Y)), max(top, s.Middle.Z+s.Half.Z)
	}
	k := h.HeightM / (top - foot)
	for i := range list {
		s := &list[i]
		s.Middle.Z, s.Half.Z = foot+k*(s.Middle.Z-foot), k*s.Half.Z
	}
	return list
}

// topM is the height of the solid's upper end over a place, minus infinity beside it. It serves ellipsoids.
func (s *Solid) topM(at space.Point) float64 {
	p := s.place(at)
	if p.X*p.X+p.Y*p.Y >= 1 {
		return math.Inf(-1)
	}
	return s.Middle.Z + s.Half.Z*math.Sqrt(1-p.X*p.X-p.Y*p.Y)
}

// sequence is a stream of numbers from 0 to 1: SplitMix64 (Steele, Lea and Flood 2014).
type sequence uint64

func (s *sequence) next() float64 {
	*s += 0x9e3779b97f4a7c15
	v := uint64(*s)
	v = (v ^ v>>30) * 0xbf58476d1ce4e5b9
	v = (v ^ v>>27) * 0x94d049bb133111eb
	return float64((v^v>>31)>>11) / (1 << 53)
}

// Pile is some solids made ready for flights. It is not changed once it is made.
type Pile struct {
	Solids []Solid
	groups []group
	reach2 []float64 // square of the distance from the middle that holds a solid
}

// group is some solids that follow on each other, and the box around them.
type group struct {
	space.Box
	from, to int
}

const groupOf = 6 // solids

// NewPile readies solids; nil for none.
func NewPile(list []Solid) *Pile {
	if len(list) == 0 {
		return nil
	}
	p := &Pile{Solids: list}
	for i := range list {
		b := list[i].Bounds()
		if i%groupOf == 0 {
			p.groups = append(p.groups, group{b, i, i})
		}
		g := &p.groups[len(p.groups)-1]
		g.Min = space.Point{X: min(g.Min.X, b.Min.X), Y: min(g.Min.Y, b.Min.Y), Z: min(g.Min.Z, b.Min.Z)}
		g.Max = space.Point{X: max(g.Max.X, b.Max.X), Y: max(g.Max.Y, b.Max.Y), Z: max(g.Max.Z, b.Max.Z)}
		g.to = i + 1
		h := list[i].Half
		reach2 := h.Dot(h)
		if list[i].Kind == Ellipsoid {
			long := max(h.X, h.Y, h.Z)
			reach2 = long * long
		}
		p.reach2 = append(p.reach2, reach2*(1+1e-9))
	}
	return p
}

// First returns how far on a straight way in a direction of unit length the first of the solids begins, and its outward
// normal there; math.MaxFloat64 where none does within withinM. See Solid.First.
func (p *Pile) First(from space.Point, d space.Vector, withinM float64) (way float64, normal space.Vector) {
	way, solid, face := p.Find(from, d, withinM)
	if way == math.MaxFloat64 {
		return way, normal
	}
	at := space.Point{X: from.X + way*d.X, Y: from.Y + way*d.Y, Z: from.Z + way*d.Z}
	return way, p.Solids[solid].Normal(face, at)
}

// Find is First that tells which solid it is, and which of its faces.
func (p *Pile) Find(from space.Point, d space.Vector, withinM float64) (way float64, solid, face int) {
	way = math.MaxFloat64
	low := space.Point{X: from.X + min(d.X, 0)*withinM, Y: from.Y + min(d.Y, 0)*withinM, Z: from.Z + min(d.Z, 0)*withinM}
	high := space.Point{X: from.X + max(d.X, 0)*withinM, Y: from.Y + max(d.Y, 0)*withinM, Z: from.Z + max(d.Z, 0)*withinM}
	for i := range p.groups {
		g := &p.groups[i]
		if g.Max.X < low.X || g.Min.X > high.X || g.Max.Y < low.Y || g.Min.Y > high.Y || g.Max.Z < low.Z || g.Min.Z > high.Z {
			continue
		}
		for k := g.from; k < g.to; k++ {
			s := &p.Solids[k]
			v := space.Vector{X: s.Middle.X - from.X, Y: s.Middle.Y - from.Y, Z: s.Middle.Z - from.Z}
			along := v.Dot(d)
			if v.Dot(v)-along*along > p.reach2[k] {
				continue
			}
			if w, f := s.First(from, d); w < way && w < withinM {
				way, solid, face = w, k, f
			}
		}
	}
	return way, solid, face
}

// Holds tells whether a place lies in one of the solids.
func (p *Pile) Holds(at space.Point) bool {
	for i := range p.Solids {
		if p.Solids[i].Holds(at) {
			return true
		}
	}
	return false
}
