// Package walls tells what a wall of the tank returns of a ray that meets it above or below the water: like a mirror,
// and what gets past that to something matt, which sends it back diffusely. It answers with shares 0 to 1 of
// unpolarised light. Directions are given by cosAir: the cosine, against the wall's horizontal normal, that the ray has
// in air, or had there before it came through the flat surface. Under water the cosine is cosAir/n, by Snell's law.
// Left out: the way to the side that light takes inside a pane. Next: package stack for the way down, package direct
// for the images that walls make, package trace for the matt part.
package walls

import (
	"math"

	"fathomlux/optics/stack"
)

// Kind tells what a wall does with light.
type Kind int

// The kinds of wall.
const (
	Glass   Kind = iota // clear plate of an index, air behind it
	Diffuse             // matt: returns nothing like a mirror, unless it has the smooth face of a plate with an Index
	Mirror              // returns the same share at any angle
	Film                // clear plate of an index, behind it a thin gap of air, and then something matt
)

// Wall is one side of the tank.
type Wall struct {
	Kind        Kind
	Index       float64 // of the plate relative to air; 0 for Diffuse without a smooth face
	Reflectance float64 // Diffuse, Mirror or Film, 0 to 1
	Lost        float64 // share that dirt on the inside takes of all that the wall would return, 0 to 1
	Depth       float64 // optical depth of the plate of Glass or Film, straight through, base e
}

// Matt tells whether there is something matt, which sends light back diffusely.
func (w Wall) Matt() bool { return w.Kind == Diffuse || w.Kind == Film }

// Mirrors tells whether the wall returns any light like a mirror.
func (w Wall) Mirrors() bool {
	return w.Lost < 1 && (w.Index > 0 || w.Kind == Mirror && w.Reflectance > 0)
}

// InAir is the share that the wall returns like a mirror above the water.
func (w Wall) InAir(cosAir float64) float64 { return w.InWater(cosAir, 1) }

// InWater is the share that the wall returns like a mirror below the surface of water of waterIndex: for a plate with
// air behind it the faces water-glass and glass-air, all reflections summed without interference. But for what plate
// and dirt absorb it is exactly 1 where the ray could not leave into the air behind, which is where
// waterIndex^2 - cosAir^2 >= 1, whatever the glass. Light that has turned under water can have a cosAir, waterIndex
// times its cosine there, from 1 to waterIndex.
func (w Wall) InWater(cosAir, waterIndex float64) float64 { return w.inWater(cosAir, waterIndex).back }

// shares are what becomes of light that meets a plate: what turns back into the tank, what gets to the far side, and
// what turns back there of light that comes from the far side.
type shares struct{ back, through, behind float64 }

func (w Wall) inWater(cosAir, waterIndex float64) shares {
	cosAir = math.Min(cosAir, waterIndex)
	out2 := 1 - waterIndex*waterIndex + cosAir*cosAir // cosine in the air behind the wall, squared
	return w.belowWater(math.Sqrt(math.Max(out2, 0)), cosAir/waterIndex, waterIndex)
}

// belowWater is inWater for a ray that has the cosine cosWater in the water and cosOut behind the wall, 0 for one that
// is returned totally. A face returns the same share from either side, so the outer one is taken from its air side.
func (w Wall) belowWater(cosOut, cosWater, waterIndex float64) (of shares) {
	clean := 1 - w.Lost
	switch {
	case w.Kind == Mirror:
		return shares{back: clean * w.Reflectance}
	case w.Index == 0:
		return shares{through: clean}
	}
	s, p := stack.Fresnel(waterIndex, w.Index, cosWater)
	if w.Kind == Diffuse {
		back := (s + p) / 2
		return shares{clean * back, clean * (1 - back), 0}
	}
	passage := 1.0
	if w.Depth > 0 {
		sin2 := waterIndex * waterIndex * (1 - cosWater*cosWater) / (w.Index * w.Index)
		passage = math.Exp(-w.Depth / math.Sqrt(math.Max(1-sin2, 0)))
	}
	s2, p2 := 1.0, 1.0
	if cosOut > 0 {
		s2, p2 = stack.Fresnel(1, w.Index, cosOut)
	}
	bs, ts, fs := twoFaces(s, s2, passage)
	bp, tp, fp := twoFaces(p, p2, passage)
	return shares{clean * (bs + bp) / 2, clean * (ts + tp) / 2, (fs + fp) / 2}
}

// twoFaces sums the reflections between faces of a plate that return r1 and r2, with the share passage left by one way
// through it: what comes back from the first face, goes through, and comes back from the second.
func twoFaces(r1, r2, passage float64) (back, through, behind float64) {
	switch {
	case r1 >= 1:
		return 1, 0, r2
	case r2 >= 1 && passage == 1:
		return 1, 0, 1
	}
	k := passage / (1 - r1*r2*passage*passage)
	return r1 + (1-r1)*(1-r1)*r2*passage*k, (1 - r1) * (1 - r2) * k, r2 + (1-r2)*(1-r2)*r1*passage*k
}

// nodes is the number of cells of either lookup; a power of two, so that a mask keeps every index inside.
const nodes = 512

// perUnit is the number of cells for a variable from 0 to 1. It is a little below nodes, so that a cosine
// which rounding has put above 1 still falls into the last cell.
const perUnit = nodes - 1.0/64

// cell is a parabola over one cell: a + u*(b + u*c), with u from 0 to 1.
type cell struct{ a, b, c float64 }

type cells [nodes]cell

// Table is a fast form of what a wall does in air and below one water: piecewise parabolas over the cosine in air, and
// over the cosine behind the wall, in which the kink at total reflection vanishes. Its error is below 2e-7
// for plates of index 1.3 to 1.9; what InWater returns totally is exact.
type Table struct {
	air, water cells
	inner      *cells    // where light up to the kink is not returned alike: over the cosine in parts of that at the kink
	past       *[2]cells // where the plate absorbs: what gets through to something matt in air, and in water
	kink       float64   // square of the cosine in air up to which the wall returns totally
	total      float64   // what is returned up to the kink
	clean      float64   // what dirt leaves
}

// NewTable tabulates the wall for water of waterIndex >= 1 relative to air.
func NewTable(w Wall, waterIndex float64) *Table {
	t := &Table{kink: waterIndex*waterIndex - 1, clean: 1 - w.Lost}
	t.total = t.clean
	inWater := func(out float64) shares {
		return w.belowWater(math.Min(out, 1), math.Min(math.Sqrt(out*out+t.kink)/waterIndex, 1), waterIndex)
	}
	if w.Index == 0 {
		t.total = w.InAir(1)
		t.kink = math.Inf(1) // no cosine gets past it
		inWater = func(float64) shares { return shares{back: t.total} }
	}
	t.air.fill(w.InAir)
	t.water.fill(func(out float64) float64 { return inWater(out).back })
	if w.Kind == Diffuse && w.Index > 0 || w.Depth > 0 {
		t.inner = new(cells)
		t.inner.fill(func(part float64) float64 { return w.InWater(part*math.Sqrt(t.kink), waterIndex) })
	}
	if w.Kind == Film && w.Depth > 0 {
		t.past = new([2]cells)
		t.past[0].fill(func(cos float64) float64 { return w.inWater(cos, 1).through })
		t.past[1].fill(func(out float64) float64 { return inWater(out).through })
	}
	return t
}

// fill puts parabolas through both ends and the middle of each cell of a cosine.
func (c *cells) fill(f func(cos float64) float64) {
	for i := range c {
		x := float64(i)
		left, middle, right := f(x/perUnit), f((x+0.5)/perUnit), f((x+1)/perUnit)
		c[i] = cell{a: left, b: 4*middle - 3*left - right, c: 2 * (left + right - 2*middle)}
	}
}

func (c *cells) at(cos float64) float64 {
	x := cos * perUnit
	i := int(x)
	k, u := &c[i&(nodes-1)], x-float64(i)
	return k.a + u*(k.b+u*k.c)
}

// Air is InAir of a cosine from 0 to 1.
func (t *Table) Air(cosAir float64) float64 { return t.air.at(cosAir) }

// Water is InWater of a cosine in air from 0 to 1, and on to the index of the water.
func (t *Table) Water(cosAir float64) float64 {
	q := cosAir*cosAir - t.kink
	switch {
	case q >= 0:
		return t.water.at(math.Sqrt(q))
	case t.inner != nil:
		return t.inner.at(cosAir / math.Sqrt(t.kink))
	}
	return t.total
}

// PastAir is the share of a ray in the air that gets to what is matt, for a cosine of which Air has returned back.
func (t *Table) PastAir(cosAir, back float64) float64 {
	if t.past == nil {
		return t.clean - back
	}
	return t.past[0].at(cosAir)
}

// PastWater is PastAir below the water.
func (t *Table) PastWater(cosAir, back float64) float64 {
	if t.past == nil {
		return t.clean - back
	}
	if q := cosAir*cosAir - t.kink; q >= 0 {
		return t.past[1].at(math.Sqrt(q))
	}
	return 0
}

// Total returns what the wall returns below the water of a ray with cosAir from 0 to 1, where that share does not
// depend on the ray: total reflection of glass, any reflection of a mirror. ok is false beyond the critical angle, and
// where the plate absorbs.
func (t *Table) Total(cosAir float64) (share float64, ok bool) {
	return t.total, cosAir*cosAir <= t.kink && t.inner == nil
}

// Critical returns the cosine in air up to which the wall returns all light below the water; infinite for those that
// return the same of any ray.
func (t *Table) Critical() float64 { return math.Sqrt(t.kink) }

// Constant returns the share of a wall that returns the same of any ray, in air and below the water; ok is false for
// others.
func (t *Table) Constant() (share float64, ok bool) { return t.total, math.IsInf(t.kink, 1) }

// Matt is what is matt of a wall, as seen from one medium in the tank: the share that it sends back into the tank of
// all light that gets to it, and in which directions. Nil where nothing is matt.
type Matt struct {
	Share   float64
	inverse []float64 // for a film: squares of the sine in the gap, by even shares of what leaves it
	index2  float64   // of the medium, squared
}

// steps are those of the integrals over a film's directions, draws the number of even shares.
const (
	steps = 4096
	draws = 1024
)

// NewMatt readies the matt part of a wall seen from a medium of some index, 1 for air. Paint sends light back after
// Lambert. So does film into its gap of air: what the plate turns back there, film reflects again and again, and what
// the plate lets through is bent towards the wall's normal, into the critical cone. Source: the sum of the reflections
// between two parallel faces, rho (1-R)/(1 - rho R) with the plate's reflectance R of diffuse light from behind.
func (w Wall) NewMatt(index float64) *Matt {
	switch w.Kind {
	case Diffuse:
		return &Matt{Share: w.Reflectance}
	case Film:
	default:
		return nil
	}
	m := &Matt{index2: index * index, inverse: make([]float64, draws+1)}
	w.Lost = 0
	var passed [steps + 1]float64 // what the plate lets through up to some sine
	back := 0.0
	for i := range steps {
		cos := 1 - (float64(i)+0.5)/steps
		of := w.belowWater(cos, math.Sqrt(1-(1-cos*cos)/m.index2), index)
		part := 2 * cos / steps
		back += part * of.behind
		passed[i+1] = passed[i] + part*of.through
	}
	through := passed[steps]
	m.Share = w.Reflectance * through / (1 - w.Reflectance*back)
	for k, i := 1, 0; k <= draws; k++ {
		for i < steps-1 && passed[i+1] < float64(k)/draws*through {
			i++
		}
		cos := 1 - (float64(i)+min(1, (float64(k)/draws*through-passed[i])/(passed[i+1]-passed[i])))/steps
		m.inverse[k] = 1 - cos*cos
	}
	return m
}

// Even tells whether light leaves after Lambert, to all sides.
func (m *Matt) Even() bool { return m.inverse == nil }

// Sin2 returns the square of the sine, against the wall's normal, of a direction in which light leaves, for an even
// draw from 0 to 1.
func (m *Matt) Sin2(u float64) float64 {
	if m.inverse == nil {
		return u
	}
	x := u * draws
	i := min(int(x), draws-1)
	return (m.inverse[i] + (x-float64(i))*(m.inverse[i+1]-m.inverse[i])) / m.index2
}
