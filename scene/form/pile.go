package form

import (
	"math"

	"fathomlux/scene/space"
)

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
