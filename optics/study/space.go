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
	"fathomlux/scene/finding"
	"fathomlux/scene/photometry"
)

// How many places along each rail have a field of their own; between two of them light is interpolated.
const (
	fieldPlaces      = 320
	fieldPlacesBrief = 48
)

// searchSpace is the modules of one scene on their rails, ready to be moved: rails as lines of whole places, and the
// light of every module at a row of places along its rail.
type searchSpace struct {
	measure
	roundM float64 // between two places
	scene  *scene.Scene
	goal   scene.Goal // what the score counts
	lines  []search.Line
	folded []bool        // by rail: whether the tank's mirror image has each module at the place of another
	rows   [][]row       // by rail and module
	depths []float64     // of the goal's planes
	sets   []optics.Set  // one a place of each row and plane, planes innermost
	lit    []*optics.Lit // the light of those
	grid   result.Grid
	sums   [][]float64    // by plane, of the light that the goal counts
	within []result.Solid // by part of the goal, what does not count
}

// row is one module along its rail: a set every stride places from the first place on, and its flux.
type row struct {
	first, stride, from, count int
	lumens                     float64
}

// space takes the modules as bright as they are where they sit now; moved, they get a little warmer or cooler, which
// the search leaves out and the score of what it finds counts. Its light is not computed yet.
func (a *arranger) space(ctx context.Context, sc *scene.Scene, brief bool) (*searchSpace, error) {
	warm, _, err := a.light.Warm(ctx, sc)
	if err != nil {
		return nil, err
	}
	sc = warm[0]
	b := &searchSpace{measure: a.measure, roundM: a.options.RoundM, scene: sc, goal: sc.Goal, grid: a.light.Grid(),
		depths: []float64{optics.JudgedPlane(sc).DepthM}}
	if b.strict {
		b.goal.Uniformity *= evenMargin
	}
	if sc.Goal.Set() {
		b.depths = sc.Goal.Depths()
	}
	for range b.depths {
		b.sums = append(b.sums, make([]float64, b.grid.Cells()))
	}
	symmetric, places := optics.Symmetric(sc), fieldPlaces
	if brief {
		places = fieldPlacesBrief
	}
	for i := range sc.Rails {
		line, err := a.line(&sc.Rails[i], symmetric)
		if err != nil {
			return nil, err
		}
		r := &sc.Rails[i]
		b.folded = append(b.folded, line.Mirror != nil && sameM(2*r.LeftM+float64(*line.Mirror)*b.roundM, sc.Tank.LengthM))
		b.lines = append(b.lines, line)
		b.addRail(&sc.Rails[i], line, places)
	}
	return b, nil
}

// line makes a line of whole places, counted from the rail's left end, out of a rail.
func (a *arranger) line(r *scene.Rail, symmetric bool) (search.Line, error) {
	if len(r.Modules) == 0 {
		return search.Line{}, fmt.Errorf("%s has no modules", scene.RailWord(r.Name))
	}
	up := func(m float64) int { return int(math.Ceil(m/a.options.RoundM - 1e-6)) }
	down := func(m float64) int { return int(math.Floor(m/a.options.RoundM + 1e-6)) }
	l, widest := search.Line{}, 0.0
	for i, m := range r.Modules {
		half := m.Part.BoardLengthM / 2
		widest = math.Max(widest, m.Part.BoardLengthM)
		l.Low, l.High = append(l.Low, up(half)), append(l.High, down(r.LengthM-half))
		l.Start = append(l.Start, int(math.Round((m.XM-r.LeftM)/a.options.RoundM)))
		if i > 0 {
			l.Gap = append(l.Gap, up(half+r.Modules[i-1].Part.BoardLengthM/2+a.options.GapM))
		}
	}
	for _, k := range r.KeepOuts {
		l.Blocked = append(l.Blocked, [2]int{down(k.FromM-widest/2-r.LeftM) + 1, up(k.ToM+widest/2-r.LeftM) - 1})
	}
	if !a.options.NoMirror && symmetric && mirrored(r) {
		sum := down(r.LengthM)
		if len(r.Modules)%2 == 1 {
			sum &^= 1 // the middle one needs a whole place: half a unit off the rail's middle at most
		}
		l.Mirror = &sum
	}
	return l, nil
}

// mirrored tells whether modules and keep-outs are the same from either end of the rail, but for the modules' places.
func mirrored(r *scene.Rail) bool {
	for i, a := range r.Modules[:len(r.Modules)/2] {
		b := r.Modules[len(r.Modules)-1-i]
		if a.Part.Name != b.Part.Name || a.Optic.Name != b.Optic.Name || a.CurrentA != b.CurrentA || a.Optic.File != "" {
			return false
		}
	}
	sum := 2*r.LeftM + r.LengthM
	return !slices.ContainsFunc(r.KeepOuts, func(k scene.KeepOut) bool {
		return !slices.ContainsFunc(r.KeepOuts, func(o scene.KeepOut) bool {
			return sameM(k.FromM, sum-o.ToM) && sameM(k.ToM, sum-o.FromM)
		})
	})
}

// addRail notes the modules of one rail, and a row of places for each; the light of like ones is computed once.
func (b *searchSpace) addRail(r *scene.Rail, l search.Line, places int) {
	low, high := slices.Min(l.Low), slices.Max(l.High)
	stride := max(1, int(math.Ceil(float64(high-low)/float64(places))))
	var rows []row
	for _, m := range r.Modules {
		one := row{first: low, stride: stride, from: len(b.sets), lumens: m.FluxLm()}
		for p := low; p < high+stride; p += stride {
			moved := m
			moved.XM = b.x(r, p)
			for _, depthM := range b.depths {
				b.sets = append(b.sets, optics.Set{Scene: b.scene, Modules: []optics.Mounted{{Rail: r, Module: &moved}},
					DepthM: depthM})
			}
			one.count++
		}
		rows = append(rows, one)
	}
	b.rows = append(b.rows, rows)
}

func (b *searchSpace) x(r *scene.Rail, place int) float64 { return r.LeftM + float64(place)*b.roundM }

// score is the worth of the light of all modules at their places.
func (b *searchSpace) score(places [][]int) float64 { return b.worth(b.light(places)) }

// add adds the light of one module at a place to that on a plane, between two places of its row in proportion.
func (b *searchSpace) add(s *row, place, plane int) {
	at := float64(place-s.first) / float64(s.stride)
	n := min(int(at), s.count-1)
	f := at - float64(n)
	from, shown := s.from+n*len(b.depths)+plane, optics.Shown(b.goal)
	b.lit[from].Add(b.sums[plane], shown, 0, s.lumens*(1-f))
	if f > 0 {
		b.lit[from+len(b.depths)].Add(b.sums[plane], shown, 0, s.lumens*f)
	}
}

// sum adds up the light of all modules at their places on a plane: of folded rails that of one half, then its mirror
// image, then all else.
func (b *searchSpace) sum(places [][]int, plane int) {
	sum := b.sums[plane]
	clear(sum)
	for i, line := range places {
		for k := range len(line) / 2 {
			if b.folded[i] {
				b.add(&b.rows[i][k], line[k], plane)
			}
		}
	}
	for row := range slices.Chunk(sum, b.grid.NX) {
		for i, j := 0, len(row)-1; i <= j; i, j = i+1, j-1 {
			row[i] += row[j]
			row[j] = row[i]
		}
	}
	for i, line := range places {
		for k, p := range line {
			if !b.folded[i] || 2*k+1 == len(line) {
				b.add(&b.rows[i][k], p, plane)
			}
		}
	}
}

// light is the light of all modules at their places, held against the goal.
func (b *searchSpace) light(places [][]int) result.Candidate {
	shown := optics.Shown(b.goal)
	for plane := range b.sums {
		b.sum(places, plane)
	}
	var c result.Candidate
	var lights []result.PartLight
	for i, part := range b.goal.Parts() {
		plane := max(slices.Index(b.depths, part.Plane.DepthM), 0)
		if i == len(b.within) {
			b.within = append(b.within, b.grid.Within(part.Area, b.lit[plane].Solid()))
		}
		var l result.PartLight
		if s := b.grid.Extremes(b.sums[plane], b.within[i]); shown == result.PPFD {
			l.PPFD, l.DLI = s, photometry.DLI(s.Mean, optics.LightHours(b.scene))
		} else {
			l.Illuminance = s
		}
		lights = append(lights, l)
	}
	c.Goal = optics.Judge(b.goal, lights, optics.Maintained(b.scene), finding.Finding{})
	c.Illuminance, c.PPFD, c.DLI = lights[0].Illuminance, lights[0].PPFD, lights[0].DLI
	return c
}

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
