package propose

import (
	"context"
	"math"
	"slices"

	"fathomlux/optics"
	"fathomlux/optics/parallel"
	"fathomlux/optics/result"
	"fathomlux/scene"
	"fathomlux/scene/parts"
)

// The first look: cells of the plane, and how far apart the places are at which fields are computed, as a share of the
// spot of a lens and within limits; between them light is interpolated.
const (
	lookCells   = 420
	placeShare  = 0.5
	leastPlaceM = 0.02
	mostPlaceM  = 0.07
	mostPlaces  = 33
	waterIndex  = 1.33    // for the size of a spot
	histories   = 1 << 10 // of the light that does not come straight
)

// shape is a light without its parts and current: how modules of a form stand and with which optic. What comes of one
// lumen of each module stands in the tallies from tally on, one a part of the goal.
type shape struct {
	optic, hung, form, count, spread int // count: on each bar
	tally                            int
}

// screen computes the light of all shapes at a first look.
type screen struct {
	*seeker
	quantity result.Quantity
	goal     []scene.Goal // its parts
	depths   []float64
	straight *optics.Light
	whole    *optics.Light
	found    []shape
	sums     []tally
}

func newScreen(s *seeker) (*screen, error) {
	t := s.scene.Tank
	stepM := math.Sqrt(t.LengthM * t.WidthM / lookCells)
	c := &screen{seeker: s, quantity: optics.Shown(s.scene.Goal), goal: s.scene.Goal.Parts(),
		depths: s.scene.Goal.Depths()}
	var err error
	o := optics.LightOptions{StepM: stepM, Workers: s.options.Workers, Straight: true}
	if c.straight, err = optics.NewLight(s.scene, o); err != nil {
		return nil, err
	}
	o.Straight, o.Histories = false, histories
	c.whole, err = optics.NewLight(s.scene, o)
	return c, err
}

// line is the fields of one module of 1 lm at even places along the tank.
type line struct {
	fromM, stepM float64
	fields       [][]float64
}

// add adds the light of a module at x.
func (l line) add(sum []float64, xM, share float64) {
	at := (xM - l.fromM) / l.stepM
	i := min(max(int(at), 0), len(l.fields)-2)
	f := at - float64(i)
	a, b := l.fields[i], l.fields[i+1]
	a, b = a[:len(sum)], b[:len(sum)]
	fa, fb := share*(1-f), share*f
	for k := range sum {
		sum[k] += float64(fa*a[k]) + float64(fb*b[k])
	}
}

// spotM is about the radius of an optic's spot on a plane.
func spotM(o parts.Optic, aboveM, depthM float64) float64 {
	half := min(o.BeamRad, o.BeamAcrossRad) / 2
	s := math.Sin(min(half, math.Pi/2.2))
	return aboveM*s/math.Sqrt(1-s*s) + depthM*s/math.Sqrt(waterIndex*waterIndex-s*s)
}

// row is where and how a bar hangs, whatever its length.
type row struct{ yM, aboveM, tiltRad float64 }

func rowOf(b scene.Rail) row { return row{b.YM, b.AboveWaterM, b.TiltRad} }

// rows lists where bars hang, each once, with their numbers.
func (s *seeker) rows() (rows []row, index map[row]int) {
	index = map[row]int{}
	for _, h := range s.hangs {
		for _, b := range h {
			if _, ok := index[rowOf(b)]; !ok {
				index[rowOf(b)] = len(rows)
				rows = append(rows, rowOf(b))
			}
		}
	}
	return rows, index
}

// optic finds the light of all shapes with one optic.
func (c *screen) optic(ctx context.Context, at int) ([]shape, []tally, error) {
	rows, index := c.rows()
	x := c.places(c.optics[at])
	lines, solids := make([][]line, len(c.depths)), make([]result.Solid, len(c.depths))
	for d := range c.depths {
		var err error
		if lines[d], solids[d], err = c.lines(ctx, c.optics[at], d, rows, x); err != nil {
			return nil, nil, err
		}
	}
	type part struct {
		shapes []shape
		sums   []tally
	}
	found := make([]part, len(c.hangs)*len(c.forms))
	err := parallel.ForEach(ctx, c.options.Workers, len(found), func(i int) {
		h, f := c.hangs[i/len(c.forms)], i%len(c.forms)
		own := make([][]line, len(c.depths))
		for d := range own {
			for _, b := range h {
				own[d] = append(own[d], lines[d][index[rowOf(b)]].of(c.forms[f]))
			}
		}
		found[i].shapes, found[i].sums = c.stand(own, shape{optic: at, hung: i / len(c.forms), form: f}, solids)
	})
	var shapes []shape
	var sums []tally
	for _, p := range found {
		shapes, sums = joined(shapes, sums, p.shapes, p.sums)
	}
	return shapes, sums, err
}

// joined adds shapes with their tallies to others.
func joined(shapes []shape, sums []tally, more []shape, theirs []tally) ([]shape, []tally) {
	for _, one := range more {
		one.tally += len(sums)
		shapes = append(shapes, one)
	}
	return shapes, append(sums, theirs...)
}

// places are those along the tank at which fields of an optic are computed.
func (c *screen) places(o parts.Optic) []float64 {
	t, deepest := c.scene.Tank, slices.Max(c.depths)
	stepM := min(max(placeShare*spotM(o, c.middle().AboveWaterM, deepest), leastPlaceM), mostPlaceM)
	n := min(int(math.Ceil((t.LengthM-2*endM)/stepM))+1, mostPlaces)
	return scene.Spaced(max(n, 2), t.LengthM/2, (t.LengthM-2*endM)/float64(max(n, 2)-1))
}

// middle is a bar in the middle of the tank, as far as there is one.
func (s *seeker) middle() scene.Rail { return s.hangs[len(s.hangs)/2][0] }

// lines finds the fields of all rows on one plane, and which of its cells are solid.
func (c *screen) lines(ctx context.Context, o parts.Optic, depth int, rows []row, x []float64) ([]line, result.Solid,
	error) {
	var sets []optics.Set
	for _, r := range append(slices.Clone(rows), rowOf(c.middle())) {
		sets = append(sets, c.sets(c.die, o, r, x, c.depths[depth])...)
	}
	n := len(x)
	reference := sets[len(rows)*n:]
	bare, err := c.straight.Compute(ctx, sets...)
	if err != nil {
		return nil, nil, err
	}
	full, err := c.whole.Compute(ctx, reference...)
	if err != nil {
		return nil, nil, err
	}
	lines := make([]line, len(rows))
	err = parallel.ForEach(ctx, c.options.Workers, len(rows), func(i int) {
		lines[i] = c.line(bare[i*n:(i+1)*n], bare[len(rows)*n:], full, x)
	})
	return lines, bare[0].Solid(), err
}

// sets are single modules in a row.
func (c *screen) sets(part parts.Module, o parts.Optic, at row, x []float64, depthM float64) (list []optics.Set) {
	r := &scene.Rail{YM: at.yM, AboveWaterM: at.aboveM, TiltRad: at.tiltRad}
	for _, xM := range x {
		m := &scene.Module{Part: part, Optic: o, XM: xM, CurrentA: c.dieA}
		list = append(list, optics.Set{Scene: c.empty, Modules: []optics.Mounted{{Rail: r, Module: m}}, DepthM: depthM})
	}
	return list
}

// line makes the fields of one row out of its straight light and, in proportion to that, of the light that does not
// come straight from modules in the middle of the tank.
func (c *screen) line(bare, reference, full []*optics.Lit, x []float64) line {
	l := line{fromM: x[0], stepM: x[1] - x[0]}
	n := c.straight.Grid().Cells()
	mean := func(v []float64) (sum float64) {
		for _, one := range v {
			sum += one
		}
		return sum
	}
	for i := range x {
		field, straight, all := make([]float64, n), make([]float64, n), make([]float64, n)
		bare[i].Add(field, c.quantity, 0, 1)
		reference[i].Add(straight, c.quantity, 0, 1)
		full[i].Add(all, c.quantity, 0, 1)
		k := 0.0
		if m := mean(straight); m > 0 {
			k = mean(field) / m
		}
		for j := range field {
			field[j] += float64(k * (all[j] - straight[j]))
		}
		l.fields = append(l.fields, field)
	}
	return l
}

// of returns the line of modules of a form: its dies side by side.
func (l line) of(f form) line {
	if f.along == 1 {
		return l
	}
	out := line{fromM: l.fromM, stepM: l.stepM}
	for i := range l.fields {
		sum := make([]float64, len(l.fields[i]))
		for _, xM := range scene.Spaced(f.along, l.fromM+float64(i)*l.stepM, f.pitchM) {
			l.add(sum, min(max(xM, l.fromM), l.fromM+float64(len(l.fields)-1)*l.stepM), 1/float64(f.along))
		}
		out.fields = append(out.fields, sum)
	}
	return out
}

// stand finds the light of all counts and spreads of modules of one form on bars, by plane and bar.
func (c *screen) stand(bars [][]line, like shape, solids []result.Solid) (list []shape, sums []tally) {
	h, f, grid := c.hangs[like.hung], c.forms[like.form], c.straight.Grid()
	plane, closed := make([]int, len(c.goal)), make([]result.Solid, len(c.goal))
	for i, part := range c.goal {
		plane[i] = slices.Index(c.depths, part.Plane.DepthM)
		closed[i] = grid.Within(part.Area, solids[plane[i]])
	}
	sum := make([][]float64, len(c.depths))
	for d := range sum {
		sum[d] = make([]float64, grid.Cells())
	}
	for n := 1; n*len(h) <= c.options.MaxModules; n++ {
		for k, s := range spreads {
			places := s.on(h, f, n)
			if places == nil {
				continue
			}
			for d := range sum {
				clear(sum[d])
				for i := range h {
					for _, xM := range places[i] {
						bars[d][i].add(sum[d], xM, 1)
					}
				}
			}
			one := like
			one.count, one.spread, one.tally = n, k, len(sums)
			for i := range c.goal {
				light := grid.Extremes(sum[plane[i]], closed[i])
				sums = append(sums, tally{light.Mean, light.Min, light.Max})
			}
			list = append(list, one)
		}
	}
	return list, sums
}

// spectra are how much the light of each spectrum counts for a lumen on each part of the goal, against that of the
// first look.
func (c *screen) spectra(ctx context.Context) (map[string][]float64, error) {
	at := rowOf(c.middle())
	means := func(spectrum string) (list []float64, err error) {
		die := c.die
		die.Spectrum = spectrum
		for _, part := range c.goal {
			lits, err := c.straight.Compute(ctx, c.sets(die, c.optics[0], at, []float64{c.scene.Tank.LengthM / 2},
				part.Plane.DepthM)...)
			if err != nil {
				return nil, err
			}
			sum := make([]float64, c.straight.Grid().Cells())
			lits[0].Add(sum, c.quantity, 0, 1)
			list = append(list, c.straight.Grid().Extremes(sum, lits[0].Solid()).Mean)
		}
		return list, nil
	}
	own, err := means(c.die.Spectrum)
	if err != nil {
		return nil, err
	}
	out := map[string][]float64{}
	for _, m := range c.modules {
		if out[m.Spectrum] == nil {
			if out[m.Spectrum], err = means(m.Spectrum); err != nil {
				return nil, err
			}
			for i := range own {
				out[m.Spectrum][i] /= own[i]
			}
		}
	}
	return out, nil
}
