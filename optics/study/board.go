package study

import (
	"context"
	"fmt"
	"math"
	"slices"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/optics/search"
	"fathomlux/scene"
)

// How many places along each rail have a field of their own; between two of them light is interpolated.
const (
	fieldPlaces      = 320
	fieldPlacesBrief = 48
)

// board is the modules of one scene on their rails, ready to be moved: rails as lines of whole places, and the light of
// every kind of module at a row of places along each rail.
type board struct {
	arranger *arranger
	scene    *scene.Scene
	goal     scene.Goal // what the score counts
	lines    []search.Line
	kinds    [][]int // by rail and module: which row
	rows     []row   // one a rail and kind of module
	lumens   [][]float64
	fields   *optics.ModuleFields
	lux      []float64
	shown    result.Quantity
}

// row is one kind of module along one rail: fields every stride places from the first place on.
type row struct {
	first, stride int
	lit           []optics.Contribution
}

// board takes the modules as bright as they are where they sit now; moved, they get a little warmer or cooler, which the
// search leaves out and the score of what it finds counts.
func (a *arranger) board(ctx context.Context, sc *scene.Scene, brief bool) (*board, error) {
	b, err := a.emptyBoard(sc, brief)
	if err != nil {
		return nil, err
	}
	return b, b.fields.Compute(ctx, a.options.Workers, func() {})
}

// check predicts the memory of the fields of a board. What else is wrong with the board is told in its place.
func (a *arranger) check() error {
	b, err := a.emptyBoard(a.scene, false)
	if err != nil {
		return nil
	}
	return optics.CheckFields(b.fields.Count(), a.options.Workers, a.grid)
}

// emptyBoard is a board whose fields are noted and not yet computed.
func (a *arranger) emptyBoard(sc *scene.Scene, brief bool) (*board, error) {
	sc, _ = optics.Warmed(sc, a.options.Cold)
	b := &board{arranger: a, scene: sc, goal: sc.Goal, fields: optics.NewModuleFields(sc, optics.JudgedPlane(sc).DepthM, a.grid), lux: make([]float64, a.grid.Cells())}
	b.shown = optics.Shown(sc.Goal)
	places := fieldPlaces
	if brief {
		places = fieldPlacesBrief
	}
	for i := range sc.Rails {
		r := &sc.Rails[i]
		line, err := a.line(r, b.fields.Symmetric)
		if err != nil {
			return nil, err
		}
		b.lines = append(b.lines, line)
		if err := b.addRail(r, line, places); err != nil {
			return nil, err
		}
	}
	return b, nil
}

// line makes a line of whole places, counted from the rail's left end, out of a rail.
func (a *arranger) line(r *scene.Rail, symmetric bool) (search.Line, error) {
	if len(r.Modules) == 0 {
		return search.Line{}, fmt.Errorf("%s has no modules", scene.RailWord(r.Name))
	}
	unit := a.options.RoundM
	whole := func(m float64) float64 { return m / unit }
	l := search.Line{Count: len(r.Modules)}
	for i, m := range r.Modules {
		half := m.Part.BoardLengthM / 2
		l.Low = append(l.Low, int(math.Ceil(whole(half)-1e-6)))
		l.High = append(l.High, int(math.Floor(whole(r.LengthM-half)+1e-6)))
		l.Start = append(l.Start, int(math.Round(whole(m.XM-r.LeftM))))
		if i > 0 {
			l.Gap = append(l.Gap, int(math.Ceil(whole(half+r.Modules[i-1].Part.BoardLengthM/2+a.options.GapM)-1e-6)))
		}
	}
	widest := 0.0
	for _, m := range r.Modules {
		widest = math.Max(widest, m.Part.BoardLengthM)
	}
	for _, k := range r.KeepOuts {
		l.Blocked = append(l.Blocked, [2]int{int(math.Floor(whole(k.FromM-widest/2-r.LeftM)+1e-6)) + 1, int(math.Ceil(whole(k.ToM+widest/2-r.LeftM)-1e-6)) - 1})
	}
	if !a.options.NoMirror && symmetric && palindrome(r.Modules) && mirroredKeepOuts(r) {
		sum := int(math.Floor(whole(r.LengthM) + 1e-6))
		if l.Count%2 == 1 {
			sum &^= 1 // the middle one needs a whole place: half a unit off the rail's middle at most
		}
		l.Mirror = &sum
	}
	return l, nil
}

// palindrome tells whether the modules are the same from either end.
func palindrome(m []scene.Module) bool {
	for i := range len(m) / 2 {
		a, b := m[i], m[len(m)-1-i]
		if a.Part.Name != b.Part.Name || a.Optic.Name != b.Optic.Name || a.CurrentA != b.CurrentA || a.Optic.File != "" {
			return false
		}
	}
	return true
}

func mirroredKeepOuts(r *scene.Rail) bool {
	sum := 2*r.LeftM + r.LengthM
	return !slices.ContainsFunc(r.KeepOuts, func(k scene.KeepOut) bool {
		return !slices.ContainsFunc(r.KeepOuts, func(o scene.KeepOut) bool {
			return optics.SameM(k.FromM, sum-o.ToM) && optics.SameM(k.ToM, sum-o.FromM)
		})
	})
}

// addRail notes the fields of the kinds of module on one rail.
func (b *board) addRail(r *scene.Rail, l search.Line, places int) error {
	low, high := slices.Min(l.Low), slices.Max(l.High)
	stride := max(1, int(math.Ceil(float64(high-low)/float64(places))))
	known := map[string]int{}
	var kinds []int
	var lumens []float64
	for i := range r.Modules {
		m := r.Modules[i]
		key := m.Part.Name + "\x00" + m.Optic.Name
		at, ok := known[key]
		if !ok {
			at = len(b.rows)
			known[key] = at
			one := row{first: low, stride: stride}
			for p := low; p < high+stride; p += stride {
				m.XM = b.x(r, p)
				light, err := b.fields.Module(optics.Mounted{Rail: r, Module: &m})
				if err != nil {
					return err
				}
				one.lit = append(one.lit, light)
			}
			b.rows = append(b.rows, one)
		}
		kinds, lumens = append(kinds, at), append(lumens, m.FluxLm())
	}
	b.kinds, b.lumens = append(b.kinds, kinds), append(b.lumens, lumens)
	return nil
}

// x is a place in the tank's axes.
func (b *board) x(r *scene.Rail, place int) float64 {
	return r.LeftM + float64(place)*b.arranger.options.RoundM
}

// score is the worth of the light of all modules at their places.
func (b *board) score(places [][]int) float64 { return worth(b.goal, b.light(places)) }

// present returns the light of all modules where they sit now, to the whole place; ok is false where that is off their lines.
func (b *board) present() (c result.Candidate, ok bool) {
	var places [][]int
	for _, l := range b.lines {
		for k, p := range l.Start {
			if p < l.Low[k] || p > l.High[k] {
				return c, false
			}
		}
		places = append(places, l.Start)
	}
	return b.light(places), true
}

// light adds up the light of all modules at their places.
func (b *board) light(places [][]int) result.Candidate {
	clear(b.lux)
	for i, line := range places {
		for k, p := range line {
			r := b.rows[b.kinds[i][k]]
			at := float64(p-r.first) / float64(r.stride)
			n := min(int(at), len(r.lit)-1)
			f := at - float64(n)
			b.add(r.lit[n], b.lumens[i][k]*(1-f))
			if f > 0 {
				b.add(r.lit[n+1], b.lumens[i][k]*f)
			}
		}
	}
	s := result.Extremes(b.fields.Solid.Open(b.lux))
	if b.shown == result.PPFD {
		return result.Candidate{PPFD: s, DLI: s.Mean * b.scene.Wiring.HoursPerDay * 3600 / 1e6}
	}
	return result.Candidate{Illuminance: s}
}

// add adds one field to the light that the goal counts.
func (b *board) add(m optics.Contribution, lumens float64) {
	field := b.fields.Field(m)
	f := result.Of(b.shown, field.Illuminance, field.PPFD)
	nx := b.fields.Grid.NX
	for from := 0; from < len(f); from += nx {
		if m.Mirrored {
			optics.AddMirrored(b.lux[from:from+nx], f[from:from+nx], lumens)
		} else {
			optics.AddRow(b.lux[from:from+nx], f[from:from+nx], lumens)
		}
	}
}

// placed returns the scene with its modules at the places.
func (b *board) placed(places [][]int) *scene.Scene {
	sc := b.scene.Copy()
	for i, line := range places {
		for k, p := range line {
			sc.Rails[i].Modules[k].XM = b.x(&sc.Rails[i], p)
		}
	}
	return sc
}
