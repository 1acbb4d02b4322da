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
