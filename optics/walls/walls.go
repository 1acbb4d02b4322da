// Package walls tells what a wall of the tank returns, like a mirror, of a ray that meets it above or below the water.
// It answers with shares 0 to 1 of unpolarised light. What a wall sends back diffusely belongs to the photon tracer.
// Directions are given by cosAir: the cosine, against the wall's horizontal normal, that the ray has in air, or
// had there before it came through the flat surface. Under water the cosine is cosAir/n, by Snell's law.
// Next: package stack for the way down, package direct for the images that walls make.
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
	Diffuse             // returns nothing like a mirror
	Mirror              // returns the same share at any angle
)

// Wall is one side of the tank.
type Wall struct {
	Kind        Kind
	Index       float64 // Glass: refractive index of the plate relative to air
	Reflectance float64 // Diffuse or Mirror, 0 to 1
}

// InAir is the share that the wall returns above the water: for glass the two faces of a clear plate,
// all reflections summed without interference, 2r/(1+r) for each polarisation.
func (w Wall) InAir(cosAir float64) float64 {
	if w.Kind != Glass {
		return w.constant()
	}
	s, p := stack.Fresnel(1, w.Index, math.Min(cosAir, 1))
	return s/(1+s) + p/(1+p)
}

// InWater is the share that the wall returns below the surface of water of waterIndex: for glass the faces
// water-glass and glass-air, r1 + (1-r1)^2 r2/(1 - r1 r2) for each polarisation. It is exactly 1 where the
// ray could not leave into the air behind, which is where waterIndex^2 - cosAir^2 >= 1, whatever the glass. Light that
// has turned under water can have a cosAir, waterIndex times its cosine there, from 1 to waterIndex.
func (w Wall) InWater(cosAir, waterIndex float64) float64 {
	if w.Kind != Glass {
		return w.constant()
	}
	cosAir = math.Min(cosAir, waterIndex)
	out2 := 1 - waterIndex*waterIndex + cosAir*cosAir // cosine in the air behind the wall, squared
	if out2 <= 0 {
		return 1
	}
	return w.belowWater(math.Sqrt(out2), cosAir/waterIndex, waterIndex)
}

// belowWater is InWater for a ray that has the cosine cosWater in the water and cosOut > 0 behind the wall.
// A face returns the same share from either side, so the outer one is taken from its air side.
func (w Wall) belowWater(cosOut, cosWater, waterIndex float64) float64 {
	s1, p1 := stack.Fresnel(waterIndex, w.Index, cosWater)
	s2, p2 := stack.Fresnel(1, w.Index, cosOut)
	return (twoFaces(s1, s2) + twoFaces(p1, p2)) / 2
}

func twoFaces(r1, r2 float64) float64 {
	if r1 >= 1 || r2 >= 1 {
		return 1
	}
	return r1 + (1-r1)*(1-r1)*r2/(1-r1*r2)
}

// constant is what walls other than glass return at any angle.
func (w Wall) constant() float64 {
	if w.Kind == Mirror {
		return w.Reflectance
	}
	return 0
}

// nodes is the number of cells of either lookup; a power of two, so that a mask keeps every index inside.
const nodes = 512

// perUnit is the number of cells for a variable from 0 to 1. It is a little below nodes, so that a cosine
// which rounding has put above 1 still falls into the last cell.
const perUnit = nodes - 1.0/64

// cell is a parabola over one cell: a + u*(b + u*c), with u from 0 to 1.
type cell struct{ a, b, c float64 }

type cells [nodes]cell

// Table is a fast form of one wall's InAir and InWater for one water: piecewise parabolas over the cosine in air,
// and over the cosine behind the wall, in which the kink at total reflection vanishes. Its error is below 2e-7
// for plates of index 1.3 to 1.9; what InWater returns totally is exact.
type Table struct {
	air, water cells
	kink       float64 // square of the cosine in air up to which the wall returns totally
	total      float64 // what is returned up to the kink
}

// NewTable tabulates the wall for water of waterIndex >= 1 relative to air.
func NewTable(w Wall, waterIndex float64) *Table {
	t := &Table{kink: waterIndex*waterIndex - 1, total: 1}
	if w.Kind != Glass {
		t.total = w.constant()
		t.kink = math.Inf(1) // no cosine gets past it
	}
	t.air.fill(w.InAir)
	t.water.fill(func(out float64) float64 {
		return w.belowWater(math.Min(out, 1), math.Min(math.Sqrt(out*out+t.kink)/waterIndex, 1), waterIndex)
	})
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
	if q <= 0 {
		return t.total
	}
	return t.water.at(math.Sqrt(q))
}

// Total returns what the wall returns below the water of a ray with cosAir from 0 to 1, where that share does not
// depend on the ray: total reflection of glass, any reflection of a mirror. ok is false beyond the critical angle.
func (t *Table) Total(cosAir float64) (share float64, ok bool) {
	return t.total, cosAir*cosAir <= t.kink
}

// Critical returns the cosine in air up to which the wall returns all light below the water; infinite for those that
// return the same of any ray.
func (t *Table) Critical() float64 { return math.Sqrt(t.kink) }

// Constant returns the share of a wall that returns the same of any ray, in air and below the water; ok is false for
// others.
func (t *Table) Constant() (share float64, ok bool) { return t.total, math.IsInf(t.kink, 1) }
