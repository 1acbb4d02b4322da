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
	"fathomlux/scene/parts"
	"fathomlux/scene/photometry"
)

// How many places along each rail have a field of their own; between two of them light is interpolated.
const (
	fieldPlaces      = 320
	fieldPlacesBrief = 48
)

// searchSpace is the modules of one scene on their rails, ready to be moved: rails as lines of whole places, and the
// light of every kind of module at a row of places along each rail.
type searchSpace struct {
	arranger *arranger
	scene    *scene.Scene
	goal     scene.Goal // what the score counts
	lines    []search.Line
	kinds    [][]int // by rail and module: which row
	rows     []row   // one a rail and kind of module
	lumens   [][]float64
	sets     []optics.Set  // one a place of each row
	lit      []*optics.Lit // the light of those
	sum      []float64     // of the light that the goal counts
	shown    result.Quantity
}

// row is one kind of module along one rail: a set every stride places from the first place on.
type row struct{ first, stride, from, count int }

// space takes the modules as bright as they are where they sit now; moved, they get a little warmer or cooler, which
// the search leaves out and the score of what it finds counts. Its light is not computed yet.
func (a *arranger) space(ctx context.Context, sc *scene.Scene, brief bool) (*searchSpace, error) {
	warm, _, err := a.light.Warm(ctx, sc)
	if err != nil {
		return nil, err
	}
	sc = warm[0]
	b := &searchSpace{arranger: a, scene: sc, goal: sc.Goal, sum: make([]float64, a.light.Grid().Cells()),
		shown: optics.Shown(sc.Goal)}
	symmetric, places := optics.Symmetric(sc), fieldPlaces
	if brief {
		places = fieldPlacesBrief
	}
	for i := range sc.Rails {
		line, err := a.line(&sc.Rails[i], symmetric)
		if err != nil {
			return nil, err
		}
		b.lines = append(b.lines, line)
		b.addRail(&sc.Rails[i], line, places)
	}
	return b, nil
}

// lit is space with its light.
func (a *arranger) lit(ctx context.Context, sc *scene.Scene, brief bool) (*searchSpace, error) {
	b, err := a.space(ctx, sc, brief)
	if err == nil {
		b.lit, err = a.light.Compute(ctx, b.sets...)
	}
	return b, err
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
		l.Blocked = append(l.Blocked, [2]int{int(math.Floor(whole(k.FromM-widest/2-r.LeftM)+1e-6)) + 1,
			int(math.Ceil(whole(k.ToM+widest/2-r.LeftM)-1e-6)) - 1})
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
			return sameM(k.FromM, sum-o.ToM) && sameM(k.ToM, sum-o.FromM)
		})
	})
}

// addRail notes the places of the kinds of module on one rail.
func (b *searchSpace) addRail(r *scene.Rail, l search.Line, places int) {
	low, high := slices.Min(l.Low), slices.Max(l.High)
	stride := max(1, int(math.Ceil(float64(high-low)/float64(places))))
	type kind struct {
		part  string
		optic parts.Optic
	}
	known := map[kind]int{}
	var kinds []int
	var lumens []float64
	for _, m := range r.Modules {
		key := kind{m.Part.Name, m.Optic}
		at, ok := known[key]
		if !ok {
			at = len(b.rows)
			known[key] = at
			one := row{first: low, stride: stride, from: len(b.sets)}
			for p := low; p < high+stride; p += stride {
				moved := m
				moved.XM = b.x(r, p)
				b.sets = append(b.sets, optics.Set{Scene: b.scene, Modules: []optics.Mounted{{Rail: r, Module: &moved}},
					DepthM: optics.JudgedPlane(b.scene).DepthM})
			}
			one.count = len(b.sets) - one.from
			b.rows = append(b.rows, one)
		}
		kinds, lumens = append(kinds, at), append(lumens, m.FluxLm())
	}
	b.kinds, b.lumens = append(b.kinds, kinds), append(b.lumens, lumens)
}

// x is a place in the tank's axes.
func (b *searchSpace) x(r *scene.Rail, place int) float64 {
	return r.LeftM + float64(place)*b.arranger.options.RoundM
}

// score is the worth of the light of all modules at their places.
func (b *searchSpace) score(places [][]int) float64 { return worth(b.goal, b.light(places)) }

// present returns the light of all modules where they sit now, to the whole place; ok is false where that is off their
// lines.
func (b *searchSpace) present() (c result.Candidate, ok bool) {
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

// light adds up the light of all modules at their places, between two places of a row in proportion.
func (b *searchSpace) light(places [][]int) result.Candidate {
	clear(b.sum)
	for i, line := range places {
		for k, p := range line {
			r := b.rows[b.kinds[i][k]]
			at := float64(p-r.first) / float64(r.stride)
			n := min(int(at), r.count-1)
			f := at - float64(n)
			b.lit[r.from+n].Add(b.sum, b.shown, 0, b.lumens[i][k]*(1-f))
			if f > 0 {
				b.lit[r.from+n+1].Add(b.sum, b.shown, 0, b.lumens[i][k]*f)
			}
		}
	}
	s := result.Extremes(b.lit[0].Solid().Open(b.sum))
	if b.shown == result.PPFD {
		return result.Candidate{PPFD: s, DLI: photometry.DLI(s.Mean, b.scene.Wiring.HoursPerDay)}
	}
	return result.Candidate{Illuminance: s}
}

// placed returns the scene with its modules at the places.
func (b *searchSpace) placed(places [][]int) *scene.Scene {
	sc := b.scene.Copy()
	for i, line := range places {
		for k, p := range line {
			sc.Rails[i].Modules[k].XM = b.x(&sc.Rails[i], p)
		}
	}
	return sc
}

func sameM(a, b float64) bool { return math.Abs(a-b) < 1e-9 }
