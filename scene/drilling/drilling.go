// Package drilling tells where to drill a rail: the middles of the modules, their screw holes and what holds the
// screws, holes for wires and hangers, and what stands in the way.
//
// Places are metres on the face that carries the modules, FromLeftM from the rail's left end and FromFrontM from its
// front edge, as the rail hangs. All are counted from the one end, so that errors do not add up. Whoever lays the rail
// on a bench with that face up, left end to the left, has the front edge on the far side. It draws nothing and does not
// choose the length of screws or the depth of holes.
// Next: package parts for boards and profiles, package hanging for what hangers bear, package render/drill for the
// template.
package drilling

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"

	"fathomlux/scene"
	"fathomlux/scene/finding"
	"fathomlux/scene/hanging"
)

const (
	// wireHoleM is the diameter of a wire hole: two insulated wires and a grommet. Common practice, no published source.
	wireHoleM = 0.006
	// MaxHoles is the most holes that one rail may have.
	MaxHoles = 20_000
	// slackM is how far one thing may reach over another by rounding.
	slackM = 1e-6
)

// wireGapsM are the distances from a board's edge to its wire hole, the first that has room. Common practice, no
// published source.
var wireGapsM = []float64{0.003, 0.0005}

// Kind tells what is at a place of the rail.
type Kind string

// The kinds of place.
const (
	Screw         Kind = "screw hole"
	Wire          Kind = "wire hole"
	Hanger        Kind = "hanger hole"
	ModuleMiddle  Kind = "module centre"
	KeepOutBegins Kind = "keep-out begins"
	KeepOutEnds   Kind = "keep-out ends"
	RailEnd       Kind = "right end of the rail"
)

// Place is a hole, or another place of the table. Module is its number, counted from 1 in the order of the scene, 0
// where it belongs to none; FromFrontM and DiameterM are 0 where they mean nothing, the latter also where a slot nut
// takes the screw. Thread, such as M3, and Hold are those of a screw.
type Place struct {
	Kind                             Kind
	Module                           int
	FromLeftM, FromFrontM, DiameterM float64
	Thread                           string
	Hold                             Hold
	Note                             string // the module's part, or why there is a keep-out
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
	Holes           []Place
	KeepOuts        []scene.KeepOut // what of them lies on the rail, from its left end
	Slots           []Slot
	Hang            hanging.Hang
	Warnings        []finding.Finding // of what is drilled; where modules cannot be, the scene's own say

	fins  []Slot // on the back
	wallM float64
}

// Make lays out one rail, with a hole for wires beside each module or without; dead modules are drilled too, for they
// hang there. What is wrong with it stands in the warnings; only more than MaxHoles are an error.
func Make(r scene.Rail, wireHoles bool) (Layout, error) {
	p := Layout{Name: r.Name, Profile: r.Profile.Name, LengthM: r.LengthM, WidthM: r.Profile.WidthM, fins: finsOf(r),
		wallM: r.Profile.WallM}
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
		part, atM := m.Part, m.XM-r.LeftM
		if len(p.Holes)+len(part.Holes)+i >= MaxHoles {
			return Layout{}, fmt.Errorf("rail %.60q has more than %d holes, the most that are allowed", r.Name, MaxHoles)
		}
		p.Boards = append(p.Boards, Board{Module: i + 1, Part: part.Name, FromLeftM: atM, LengthM: part.BoardLengthM,
			WidthM: part.BoardWidthM, holes: len(part.Holes) > 0})
		for _, h := range part.Holes {
			p.Holes = append(p.Holes, p.fixed(Place{Kind: Screw, Module: i + 1, FromLeftM: atM + h.AlongM,
				FromFrontM: p.WidthM/2 + h.AcrossM, DiameterM: h.DiameterM}))
		}
	}
	slices.SortStableFunc(p.KeepOuts, func(a, b scene.KeepOut) int { return cmp.Compare(a.FromM, b.FromM) })
	slices.SortStableFunc(p.Boards, func(a, b Board) int { return cmp.Compare(a.FromLeftM, b.FromLeftM) })
	given := slices.Clone(r.HangersM)
	for i := range given {
		given[i] -= r.LeftM
	}
	unhung := p.addHangers(given)
	var roomless []int
	if wireHoles {
		roomless = p.addWireHoles()
	}
	if len(given) == 0 { // they have more room to move than wires
		given = p.leastSag()
		unhung = p.addHangers(given)
	}
	p.Hang = hanging.Of(r, given)
	slices.SortStableFunc(p.Holes, func(a, b Place) int {
		return cmp.Or(cmp.Compare(a.FromLeftM, b.FromLeftM), cmp.Compare(a.FromFrontM, b.FromFrontM))
	})
	p.warn(roomless, unhung)
	return p, nil
}

// addWireHoles puts a hole on the middle line to the right of each board, or to its left where the right has no room.
// It returns the modules that have room on neither side.
func (p *Layout) addWireHoles() (roomless []int) {
	for _, b := range p.Boards {
		var places []float64
		for _, gapM := range wireGapsM {
			offM := b.LengthM/2 + gapM + wireHoleM/2
			places = append(places, b.FromLeftM+offM, b.FromLeftM-offM)
		}
		first := slices.IndexFunc(places, func(atM float64) bool { return p.hasRoom(atM, wireHoleM) })
		if first < 0 {
			roomless = append(roomless, b.Module)
			continue
		}
		p.Holes = append(p.Holes, p.across(Place{Kind: Wire, Module: b.Module, FromLeftM: places[first],
			DiameterM: wireHoleM}))
	}
	return roomless
}

// hasRoom tells whether a hole for a wire or a hanger can be at a place: a diameter from the rail's ends, on no board
// and no keep-out, and apart from the other holes of these kinds.
func (p *Layout) hasRoom(atM, diameterM float64) bool {
	leftM, rightM := atM-diameterM/2+slackM, atM+diameterM/2-slackM
	return leftM >= diameterM && rightM <= p.LengthM-diameterM &&
		!slices.ContainsFunc(p.Boards, func(b Board) bool { return rightM > b.leftM() && leftM < b.rightM() }) &&
		!slices.ContainsFunc(p.KeepOuts, func(k scene.KeepOut) bool { return rightM > k.FromM && leftM < k.ToM }) &&
		!slices.ContainsFunc(p.Holes, func(h Place) bool {
			return h.Kind != Screw && math.Abs(h.FromLeftM-atM) < (h.DiameterM+diameterM)/2+wireGapsM[0]-slackM
		})
}

// Rows returns the table: all that is marked, by its distance from the left end.
func (p Layout) Rows() (rows []Place) {
	for _, b := range p.Boards {
		rows = append(rows, Place{Kind: ModuleMiddle, Module: b.Module, FromLeftM: b.FromLeftM, FromFrontM: p.WidthM / 2,
			Note: b.Part})
	}
	rows = append(rows, p.Holes...)
	for _, k := range p.KeepOuts {
		rows = append(rows, Place{Kind: KeepOutBegins, FromLeftM: k.FromM, Note: k.Why},
			Place{Kind: KeepOutEnds, FromLeftM: k.ToM, Note: k.Why})
	}
	rows = append(rows, Place{Kind: RailEnd, FromLeftM: p.LengthM, Note: p.Profile})
	sort.SliceStable(rows, func(a, b int) bool { return rows[a].FromLeftM < rows[b].FromLeftM-1e-9 })
	return rows
}

const (
	inchM = 0.0254 // exact: international yard and pound agreement of 1959
	ruled = 32     // parts of an inch on a common rule: 0.79375 mm each
)

// Inches writes a length in metres as a common inch rule reads it, to the nearest 1/32 in: "16 7/32", "7/32" or "16".
// errorM is the reading less the true length, at most 1/64 in either way.
func Inches(m float64) (text string, errorM float64) {
	n := int(math.Round(m / inchM * ruled))
	errorM = float64(n)*inchM/ruled - m
	if n < 0 {
		text, n = "-", -n
	}
	whole, over, of := n/ruled, n%ruled, ruled
	for ; over%2 == 0 && of > 1; of /= 2 {
		over /= 2
	}
	if whole > 0 || over == 0 {
		text += fmt.Sprintf("%d ", whole)
	}
	if over > 0 {
		text += fmt.Sprintf("%d/%d", over, of)
	}
	return strings.TrimSpace(text), errorM
}

// Millimetres returns a length in metres as mm to 0.1, rounded half away from zero after noise of binary fractions is
// off; it knows no minus zero.
func Millimetres(m float64) string {
	return fmt.Sprintf("%.1f", math.Round(math.Round(m*1e9)/1e5)/10+0)
}
