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
	lookCells   = 480
	placeShare  = 0.5
	leastPlaceM = 0.02
	mostPlaceM  = 0.06
	mostPlaces  = 33
	waterIndex  = 1.33    // for the size of a spot
	histories   = 1 << 10 // of the light that does not come straight
)

// shape is a light without its parts and current: how modules of a form stand and with which optic, and what comes of
// one lumen of each module on the plane.
type shape struct {
	optic, hung, form, count, spread int // count: on each bar
	mean, low                        float64
}

func (s shape) even() float64 { return s.low / s.mean }

// screen computes the light of all shapes at a first look.
type screen struct {
	*seeker
	quantity result.Quantity
	straight *optics.Light
	whole    *optics.Light
	shapes   []shape
}

func newScreen(s *seeker) (*screen, error) {
	t := s.scene.Tank
	stepM := math.Sqrt(t.LengthM * t.WidthM / lookCells)
	c := &screen{seeker: s, quantity: optics.Shown(s.scene.Goal)}
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

// optic finds the light of all shapes with one optic.
func (c *screen) optic(ctx context.Context, at int) error {
	type row struct{ yM, aboveM float64 }
	rows, index := []row{}, map[row]int{}
	for _, h := range c.hangs {
		for _, b := range h {
			if _, ok := index[row{b.yM, b.aboveM}]; !ok {
				index[row{b.yM, b.aboveM}] = len(rows)
				rows = append(rows, row{b.yM, b.aboveM})
			}
		}
	}
	middle := c.hangs[len(c.hangs)/2][0]
	o, t, depthM := c.optics[at], c.scene.Tank, optics.JudgedPlane(c.scene).DepthM
	stepM := min(max(placeShare*spotM(o, middle.aboveM, depthM), leastPlaceM), mostPlaceM)
	n := min(int(math.Ceil((t.LengthM-2*endM)/stepM))+1, mostPlaces)
	x := scene.Spaced(n, t.LengthM/2, (t.LengthM-2*endM)/float64(n-1))
	var sets []optics.Set
	for _, r := range rows {
		sets = append(sets, c.sets(o, r.yM, r.aboveM, x)...)
	}
	reference := c.sets(o, middle.yM, middle.aboveM, x)
	bare, err := c.straight.Compute(ctx, append(slices.Clone(sets), reference...)...)
	if err != nil {
		return err
	}
	full, err := c.whole.Compute(ctx, reference...)
	if err != nil {
		return err
	}
	lines := make([]line, len(rows))
	err = parallel.ForEach(ctx, c.options.Workers, len(rows), func(i int) {
		lines[i] = c.line(bare[i*n:(i+1)*n], bare[len(sets):], full, x)
	})
	if err != nil {
		return err
	}
	found := make([][]shape, len(c.hangs)*len(c.forms))
	err = parallel.ForEach(ctx, c.options.Workers, len(found), func(i int) {
		h, f := c.hangs[i/len(c.forms)], i%len(c.forms)
		var own []line
		for _, b := range h {
			own = append(own, lines[index[row{b.yM, b.aboveM}]].of(c.forms[f]))
		}
		found[i] = c.stand(own, shape{optic: at, hung: i / len(c.forms), form: f}, bare[0].Solid())
	})
	c.shapes = append(c.shapes, slices.Concat(found...)...)
	return err
}

// sets are single modules of one die in a row.
func (c *screen) sets(o parts.Optic, yM, aboveM float64, x []float64) (list []optics.Set) {
	r := &scene.Rail{YM: yM, AboveWaterM: aboveM}
	for _, xM := range x {
		m := &scene.Module{Part: c.die, Optic: o, XM: xM, CurrentA: c.dieA}
		list = append(list, optics.Set{Scene: c.empty, Modules: []optics.Mounted{{Rail: r, Module: m}},
			DepthM: optics.JudgedPlane(c.scene).DepthM})
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

// stand finds the light of all counts and spreads of modules of one form on bars.
func (c *screen) stand(bars []line, like shape, solid result.Solid) (list []shape) {
	h, f, grid := c.hangs[like.hung], c.forms[like.form], c.straight.Grid()
	sum := make([]float64, grid.Cells())
	for n := 1; n*len(h) <= c.options.MaxModules; n++ {
		for k, s := range spreads {
			clear(sum)
			fits := true
			for i, b := range h {
				x := s.places(b, f, n)
				if fits = fits && x != nil; !fits {
					break
				}
				for _, xM := range x {
					bars[i].add(sum, xM, 1)
				}
			}
			if fits {
				one, light := like, grid.Extremes(sum, solid)
				one.count, one.spread, one.mean, one.low = n, k, light.Mean, light.Min
				list = append(list, one)
			}
		}
	}
	return list
}

// spectra are how much the light of each spectrum counts for a lumen, against that of the first look.
func (c *screen) spectra(ctx context.Context) (map[string]float64, error) {
	h := c.hangs[len(c.hangs)/2][0]
	out := map[string]float64{}
	var own float64
	for _, m := range append([]parts.Module{c.die}, c.modules...) {
		if _, ok := out[m.Spectrum]; ok {
			continue
		}
		one := *c
		oneSearch := *c.seeker
		one.seeker, oneSearch.die = &oneSearch, c.die
		oneSearch.die.Spectrum = m.Spectrum
		lits, err := c.straight.Compute(ctx, one.sets(c.optics[0], h.yM, h.aboveM, []float64{c.scene.Tank.LengthM / 2})...)
		if err != nil {
			return nil, err
		}
		sum := make([]float64, c.straight.Grid().Cells())
		lits[0].Add(sum, c.quantity, 0, 1)
		v := c.straight.Grid().Extremes(sum, lits[0].Solid()).Mean
		if own == 0 {
			own = v
		}
		out[m.Spectrum] = v / own
	}
	return out, nil
}
