package form

import (
	"math"

	"fathomlux/scene/space"
)

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
		s := space.Vector{X: half, Y: half * (0.65 + 0.35*draws.next()), Z: half * (flattest + (roundest-flattest)*draws.next())}
		reach := 1 - (1-towardsMiddle*draws.next())*share // later stones lie nearer to the middle
		turn, away := 2*math.Pi*draws.next(), reach*math.Sqrt(draws.next())
		sin, cos := math.Sincos(turn)
		at := space.Point{X: h.Area.FromXM + long/2 + (long/2-half)*away*cos, Y: h.Area.FromYM + wide/2 + (wide/2-half)*away*sin}
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
