// Package drilling tells where to drill a rail: the middles of the modules, their screw holes, holes for wires, and
// what stands in the way.
//
// Places are metres on the face that carries the modules, FromLeftM from the rail's left end and FromFrontM from its
// front edge, as the rail hangs. All are counted from the one end, so that errors do not add up. Whoever lays the rail
// on a bench with that face up, left end to the left, has the front edge on the far side. It draws nothing and does not
// choose screws, threads or depths.
// Next: package parts for boards and profiles, package render/drill for the template.
package drilling

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"fathomlux/scene"
	"fathomlux/scene/parts"
)

const (
	// defaultWireHoleM is the diameter of a wire hole: two insulated wires and a grommet. Common practice, no published
	// source.
	defaultWireHoleM = 0.006
	// MaxHoles is the most holes that one rail may have.
	MaxHoles = 20_000
	// slackM is how far one thing may reach over another by rounding.
	slackM = 1e-6
)

// wireGapsM are the distances from a board's edge to its wire hole, the first that has room. Common practice, no
// published source.
var wireGapsM = []float64{0.003, 0.0005}

// Options are what the maker wants. The zero value gives each module a wire hole of defaultWireHoleM.
type Options struct {
	NoWireHoles bool
	WireHoleM   float64 // diameter; 0 stands for defaultWireHoleM
}

// HoleKind tells what a hole is for.
type HoleKind int

// The kinds of hole.
const (
	Screw HoleKind = iota
	Wire
)

// String returns "screw" or "wire".
func (k HoleKind) String() string {
	if k == Wire {
		return "wire"
	}
	return "screw"
}

// Hole is one hole. Module is the number of its module, counted from 1 in the order of the scene.
type Hole struct {
	Kind                             HoleKind
	Module                           int
	FromLeftM, FromFrontM, DiameterM float64
}

// Board is one module's board; it is centred on the rail's middle line.
type Board struct {
	Module          int
	Part            string
	FromLeftM       float64 // of its middle
	LengthM, WidthM float64 // along and across the rail
	holes           bool    // whether the part names any
}

func (b Board) leftM() float64  { return b.FromLeftM - b.LengthM/2 }
func (b Board) rightM() float64 { return b.FromLeftM + b.LengthM/2 }

// Slot is a groove along the whole rail, its middle FromFrontM.
type Slot struct{ FromFrontM, WidthM float64 }

// Layout is all that is drawn and listed of one rail. Boards and holes stand from left to right.
type Layout struct {
	Name, Profile   string
	LengthM, WidthM float64
	Boards          []Board
	Holes           []Hole
	KeepOuts        []scene.KeepOut // what of them lies on the rail, from its left end
	Slots           []Slot
	Warnings        []string
}

// Make lays out one rail; dead modules are drilled too, for they hang there. What is wrong with it stands in the plan's
// warnings; only more than MaxHoles are an error.
func Make(r scene.Rail, o Options) (Layout, error) {
	count := 0
	p := Layout{Name: r.Name, Profile: r.Profile.Name, LengthM: r.LengthM, WidthM: r.Profile.WidthM}
	for _, s := range r.Profile.Slots {
		p.Slots = append(p.Slots, Slot{FromFrontM: p.WidthM/2 + s.AcrossM, WidthM: s.WidthM})
	}
	for _, k := range r.KeepOuts {
		k.FromM, k.ToM = max(k.FromM-r.LeftM, 0), min(k.ToM-r.LeftM, r.LengthM)
		if k.FromM < k.ToM {
			p.KeepOuts = append(p.KeepOuts, k)
		}
	}
	for i, m := range r.Modules {
		count += len(m.Part.Holes) + 1
		if count <= MaxHoles {
			p.place(m.Part, m.XM-r.LeftM, i+1)
		}
	}
	if count > MaxHoles {
		return Layout{}, fmt.Errorf("rail %.60q has %d holes; at most %d serve", r.Name, count, MaxHoles)
	}
	slices.SortStableFunc(p.KeepOuts, func(a, b scene.KeepOut) int { return cmp.Compare(a.FromM, b.FromM) })
	slices.SortStableFunc(p.Boards, func(a, b Board) int { return cmp.Compare(a.FromLeftM, b.FromLeftM) })
	var roomless []int
	if !o.NoWireHoles {
		roomless = p.addWireHoles(cmp.Or(max(o.WireHoleM, 0), defaultWireHoleM))
	}
	slices.SortStableFunc(p.Holes, func(a, b Hole) int {
		return cmp.Or(cmp.Compare(a.FromLeftM, b.FromLeftM), cmp.Compare(a.FromFrontM, b.FromFrontM))
	})
	p.warn(roomless)
	return p, nil
}

// place adds a module's board and screw holes.
func (p *Layout) place(part parts.Module, atM float64, number int) {
	p.Boards = append(p.Boards, Board{Module: number, Part: part.Name, FromLeftM: atM, LengthM: part.BoardLengthM,
		WidthM: part.BoardWidthM, holes: len(part.Holes) > 0})
	for _, h := range part.Holes {
		p.Holes = append(p.Holes, Hole{Kind: Screw, Module: number, FromLeftM: atM + h.AlongM,
			FromFrontM: p.WidthM/2 + h.AcrossM, DiameterM: h.DiameterM})
	}
}

// addWireHoles puts a hole on the middle line to the right of each board, or to its left where the right has no room.
// It returns the modules that have room on neither side.
func (p *Layout) addWireHoles(diameterM float64) (roomless []int) {
	var taken []float64
	for _, b := range p.Boards {
		atM, ok := p.wirePlace(b, diameterM, taken)
		if !ok {
			roomless = append(roomless, b.Module)
			continue
		}
		taken = append(taken, atM)
		p.Holes = append(p.Holes, Hole{Kind: Wire, Module: b.Module, FromLeftM: atM, FromFrontM: p.WidthM / 2,
			DiameterM: diameterM})
	}
	return roomless
}

// wirePlace looks for a place of a wire hole beside a board.
func (p *Layout) wirePlace(b Board, diameterM float64, taken []float64) (atM float64, ok bool) {
	for _, gapM := range wireGapsM {
		offM := b.LengthM/2 + gapM + diameterM/2
		for _, atM := range []float64{b.FromLeftM + offM, b.FromLeftM - offM} {
			if p.hasRoom(atM, diameterM, taken) {
				return atM, true
			}
		}
	}
	return 0, false
}

// hasRoom tells whether a wire hole can be at a place: a diameter from the rail's ends, on no board and no keep-out,
// and apart from the other wire holes.
func (p *Layout) hasRoom(atM, diameterM float64, taken []float64) bool {
	leftM, rightM := atM-diameterM/2+slackM, atM+diameterM/2-slackM
	if leftM < diameterM || rightM > p.LengthM-diameterM {
		return false
	}
	for _, b := range p.Boards {
		if rightM > b.leftM() && leftM < b.rightM() {
			return false
		}
	}
	for _, k := range p.KeepOuts {
		if rightM > k.FromM && leftM < k.ToM {
			return false
		}
	}
	for _, t := range taken {
		if math.Abs(t-atM) < diameterM+wireGapsM[0]-slackM {
			return false
		}
	}
	return true
}
