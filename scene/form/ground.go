package form

import (
	"math"
	"slices"

	"fathomlux/scene/space"
)

// MostHeights is how many heights of ground may stand along each side of a tank.
const MostHeights = 32

// Ground is the surface of the substrate: heights above z = 0 at evenly spaced places, the outermost of them at the
// ends of the tank's length and width, and bilinear between four of them. The zero Ground is level at z = 0.
type Ground struct {
	LengthM, WidthM float64
	NX, NY          int       // places along x and y, 2 to MostHeights
	HeightsM        []float64 // index iy*NX + ix, from the front left corner on
}

// Slope is the ground between heights of the four corners: front left, front right, back left, back right.
func Slope(lengthM, widthM float64, cornersM [4]float64) Ground {
	return Ground{LengthM: lengthM, WidthM: widthM, NX: 2, NY: 2, HeightsM: cornersM[:]}
}

// Level tells whether all heights are the same.
func (g *Ground) Level() bool {
	return len(g.HeightsM) == 0 || slices.Min(g.HeightsM) == slices.Max(g.HeightsM)
}

// HighestM is the greatest height.
func (g *Ground) HighestM() float64 {
	if len(g.HeightsM) == 0 {
		return 0
	}
	return slices.Max(g.HeightsM)
}

// patch is the ground between four heights: base + alongX p + alongY q + twist p q, where p and q go from 0 to 1, and
// perX and perY are how much of them a metre is.
type patch struct{ base, alongX, alongY, twist, perX, perY float64 }

// height is that at a place of the patch.
func (of *patch) height(p, q float64) float64 {
	return of.base + of.alongX*p + of.alongY*q + of.twist*p*q
}

// normal is the upward normal at a place of the patch.
func (of *patch) normal(p, q float64) space.Vector {
	sx, sy := (of.alongX+of.twist*q)*of.perX, (of.alongY+of.twist*p)*of.perY
	k := 1 / math.Sqrt(1+sx*sx+sy*sy)
	return space.Vector{X: -sx * k, Y: -sy * k, Z: k}
}

// patch returns that between the places i and i+1 along x, and j and j+1 along y.
func (g *Ground) patch(i, j int) patch {
	at := j*g.NX + i
	a, b, c, d := g.HeightsM[at], g.HeightsM[at+1], g.HeightsM[at+g.NX], g.HeightsM[at+g.NX+1]
	return patch{a, b - a, c - a, a - b - c + d, float64(g.NX-1) / g.LengthM, float64(g.NY-1) / g.WidthM}
}

// under returns the patch under a place, and where in it the place is. Places beside the plan count to its edge.
func (g *Ground) under(x, y float64) (of patch, p, q float64) {
	p, q = x/g.LengthM*float64(g.NX-1), y/g.WidthM*float64(g.NY-1)
	i, j := min(max(int(p), 0), g.NX-2), min(max(int(q), 0), g.NY-2)
	return g.patch(i, j), min(max(p-float64(i), 0), 1), min(max(q-float64(j), 0), 1)
}

// HeightM is the height at a place of the plan.
func (g *Ground) HeightM(x, y float64) float64 {
	if len(g.HeightsM) == 0 {
		return 0
	}
	of, p, q := g.under(x, y)
	return of.height(p, q)
}

// Normal is the upward normal at a place of the plan, of unit length.
func (g *Ground) Normal(x, y float64) space.Vector {
	if len(g.HeightsM) == 0 {
		return space.Vector{Z: 1}
	}
	of, p, q := g.under(x, y)
	return of.normal(p, q)
}

// stretchLines is at how many places along each side of an area the slope is taken.
const stretchLines = 4

// Stretch is how large the surface over an area of the plan is, as a multiple of the area.
func (g *Ground) Stretch(a space.Area) float64 {
	sum := 0.0
	for i := range stretchLines * stretchLines {
		x := a.FromXM + (a.ToXM-a.FromXM)*(float64(i%stretchLines)+0.5)/stretchLines
		y := a.FromYM + (a.ToYM-a.FromYM)*(float64(i/stretchLines)+0.5)/stretchLines
		sum += 1 / g.Normal(x, y).Z
	}
	return sum / (stretchLines * stretchLines)
}

// First returns how far on a straight way, from a place above the ground in a direction of unit length, the ground is
// met from above, and its normal there; math.MaxFloat64 where it is not met within a way of withinM. A way that starts
// on the ground, but for rounding, meets it at once if it goes down into it, and not if it leaves it.
func (g *Ground) First(from space.Point, d space.Vector, withinM float64) (way float64, normal space.Vector) {
	if len(g.HeightsM) == 0 {
		if d.Z < 0 && from.Z <= -d.Z*withinM {
			return max(0, -from.Z/d.Z), space.Vector{Z: 1}
		}
		return math.MaxFloat64, normal
	}
	perX, perY := float64(g.NX-1)/g.LengthM, float64(g.NY-1)/g.WidthM
	x, dx := from.X*perX, d.X*perX
	y, dy := from.Y*perY, d.Y*perY
	i, j := cellFrom(x, dx, g.NX), cellFrom(y, dy, g.NY)
	for s := 0.0; ; {
		endX, endY := nextLine(x, dx, i, g.NX), nextLine(y, dy, j, g.NY)
		end := min(endX, endY, withinM)
		of := g.patch(i, j)
		p, q := x-float64(i), y-float64(j)
		f := fall{from.Z - of.height(p, q), d.Z - (of.alongX*dx + of.alongY*dy + of.twist*(p*dy+q*dx)), -of.twist * dx * dy}
		if hit := f.first(s, end); hit <= end {
			return hit, of.normal(p+dx*hit, q+dy*hit)
		}
		switch {
		case end >= withinM:
			return math.MaxFloat64, normal
		case endX <= endY:
			i += int(math.Copysign(1, dx))
		default:
			j += int(math.Copysign(1, dy))
		}
		s = end
	}
}

// cellFrom is the cell of an axis with n lines in which a way at v begins; on a line it is the one ahead.
func cellFrom(v, dv float64, n int) int {
	i := int(v)
	if dv < 0 && float64(i) == v {
		i--
	}
	return min(max(i, 0), n-2)
}

// nextLine is how far the line is at which a way leaves a cell for another one; math.MaxFloat64 where there is none.
func nextLine(v, dv float64, cell, n int) float64 {
	switch {
	case dv > 0 && cell < n-2:
		return (float64(cell+1) - v) / dv
	case dv < 0 && cell > 0:
		return (float64(cell) - v) / dv
	}
	return math.MaxFloat64
}

// fall is the height of a way over a patch: at + speed s + bend s^2.
type fall struct{ at, speed, bend float64 }

// first returns where between two places of the way the height falls to 0, math.MaxFloat64 where it does not.
func (f *fall) first(from, to float64) float64 {
	if f.at+from*(f.speed+from*f.bend) <= 0 && f.speed+2*f.bend*from < 0 {
		return from
	}
	root2 := f.speed*f.speed - 4*f.at*f.bend
	if root2 < 0 {
		return math.MaxFloat64
	}
	s, root := math.MaxFloat64, math.Sqrt(root2)
	switch {
	case f.speed < 0:
		s = 2 * f.at / (root - f.speed)
	case f.bend < 0:
		s = -(f.speed + root) / (2 * f.bend)
	}
	if s < from || s > to {
		return math.MaxFloat64
	}
	return s
}
