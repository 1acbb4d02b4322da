package form

import (
	"math"

	"fathomlux/scene/space"
)

// Patch is a part of a solid's surface.
type Patch struct {
	Face       string
	Band       int     // of an upright face cut by height, from below; else 0
	LowM, TopM float64 // its heights
	AreaM2     float64 // of what light can reach
	WholeM2    float64
}

// surface is one face of the unit form: a map of (u, v), from 0 to 1 each, onto it that stretches all of it alike.
type surface struct {
	name   string
	area   float64
	at     func(u, v float64) (p, n space.Vector)
	of     func(p space.Vector) (u, v float64)
	nu, nv int // patches along u, and along v where the face has no height; there they follow from that
}

// flat is the face between -1 and 1 along two axes of a plane, u along the first and v along the second.
func flat(name string, n, along, up space.Vector) surface {
	return surface{name: name, area: 4, nu: 2, nv: 2,
		at: func(u, v float64) (space.Vector, space.Vector) {
			a, b := 2*u-1, 2*v-1
			return space.Vector{X: n.X + a*along.X + b*up.X, Y: n.Y + a*along.Y + b*up.Y, Z: n.Z + a*along.Z + b*up.Z}, n
		},
		of: func(p space.Vector) (float64, float64) { return (1 + p.Dot(along)) / 2, (1 + p.Dot(up)) / 2 }}
}

// disc is the round end of a cylinder: u is the turn, v the square of the distance from the middle.
func disc(name string, n, a, b space.Vector) surface {
	return surface{name: name, area: math.Pi, nu: 4, nv: 1,
		at: func(u, v float64) (space.Vector, space.Vector) {
			sin, cos := math.Sincos(2 * math.Pi * u)
			c, d := math.Sqrt(v)*cos, math.Sqrt(v)*sin
			return space.Vector{X: n.X + c*a.X + d*b.X, Y: n.Y + c*a.Y + d*b.Y, Z: n.Z + c*a.Z + d*b.Z}, n
		},
		of: func(p space.Vector) (float64, float64) {
			x, y := p.Dot(a), p.Dot(b)
			return turns(x, y), x*x + y*y
		}}
}

// turns is the angle of a direction, from 0 to 1.
func turns(x, y float64) float64 {
	t := math.Atan2(y, x) / (2 * math.Pi)
	return t - math.Floor(t)
}

// dome is one half of the unit sphere: v is the height of the upper one, the depth of the lower one.
func dome(name string, sign float64) surface {
	return surface{name: name, area: 2 * math.Pi, nu: 4, nv: 2,
		at: func(u, v float64) (space.Vector, space.Vector) {
			sin, cos := math.Sincos(2 * math.Pi * u)
			r := math.Sqrt(1 - v*v)
			p := space.Vector{X: r * cos, Y: r * sin, Z: sign * v}
			return p, p
		},
		of: func(p space.Vector) (float64, float64) { return turns(p.X, p.Y), math.Abs(p.Z) }}
}

// barrel is one half of a lying cylinder, u along it.
func barrel(name string, sign float64) surface {
	return surface{name: name, area: 2 * math.Pi, nu: 4, nv: 2,
		at: func(u, v float64) (space.Vector, space.Vector) {
			sin, cos := math.Sincos(math.Pi * v)
			n := space.Vector{Y: cos, Z: sign * sin}
			return space.Vector{X: 2*u - 1, Y: n.Y, Z: n.Z}, n
		},
		of: func(p space.Vector) (float64, float64) { return (1 + p.X) / 2, math.Atan2(sign*p.Z, p.Y) / math.Pi }}
}

// gable is a side of a wedge, at x = sign: u is the square of the way from the front, v the share of the height there.
func gable(name string, sign float64) surface {
	return surface{name: name, area: 2, nu: 2, nv: 1,
		at: func(u, v float64) (space.Vector, space.Vector) {
			y := 2 * math.Sqrt(u)
			return space.Vector{X: sign, Y: y - 1, Z: y*v - 1}, space.Vector{X: sign}
		},
		of: func(p space.Vector) (float64, float64) {
			y := (p.Y + 1) / 2
			return y * y, (p.Z + 1) / max(p.Y+1, 1e-12)
		}}
}

// mantle is the side of an upright cylinder: v is the height.
func mantle() surface {
	return surface{name: "side", area: 4 * math.Pi, nu: 8,
		at: func(u, v float64) (space.Vector, space.Vector) {
			sin, cos := math.Sincos(2 * math.Pi * u)
			return space.Vector{X: cos, Y: sin, Z: 2*v - 1}, space.Vector{X: cos, Y: sin}
		},
		of: func(p space.Vector) (float64, float64) { return turns(p.X, p.Y), (1 + p.Z) / 2 }}
}

// ramp is the slope of a wedge: v along it upwards.
func ramp() surface {
	return surface{name: "slope", area: 4 * math.Sqrt2, nu: 2, nv: 2,
		at: func(u, v float64) (space.Vector, space.Vector) {
			return space.Vector{X: 2*u - 1, Y: 2*v - 1, Z: 2*v - 1}, slope.n
		},
		of: func(p space.Vector) (float64, float64) { return (1 + p.X) / 2, (1 + p.Y) / 2 }}
}

// upright is a flat face with a height, cut into patches by that.
func upright(name string, n, along space.Vector) surface {
	f := flat(name, n, along, space.Vector{Z: 1})
	f.nv = 0
	return f
}

// surfaces are the faces by kind, in the order of their numbers.
var surfaces = func() [][]surface {
	x, y, z := space.Vector{X: 1}, space.Vector{Y: 1}, space.Vector{Z: 1}
	frontY, leftX, down := space.Vector{Y: -1}, space.Vector{X: -1}, space.Vector{Z: -1}
	under := flat("underside", down, x, y)
	return [][]surface{
		Box: {flat("top", z, x, y), upright("front", frontY, x), upright("back", y, x), upright("left", leftX, y),
			upright("right", x, y), under},
		Cylinder:  {disc("top", z, x, y), disc("underside", down, x, y), mantle()},
		Lying:     {disc("left", leftX, y, z), disc("right", x, y, z), barrel("top", 1), barrel("underside", -1)},
		Ellipsoid: {dome("top", 1), dome("underside", -1)},
		Wedge:     {ramp(), upright("back", y, x), gable("left", -1), gable("right", 1), under},
	}
}()

// bandM is about how high the bands are into which an upright face is cut; there are mostBands of them at most.
const (
	bandM     = 0.06
	mostBands = 8
)

// bands is into how many patches a face is cut along v.
func (s *Solid) bands(f *surface) int {
	if f.nv > 0 {
		return f.nv
	}
	return int(min(max(math.Round(2*s.Half.Z/bandM), 1), mostBands))
}

// PatchCount is how many patches there are.
func (s *Solid) PatchCount() (n int) {
	for i := range surfaces[s.Kind] {
		f := &surfaces[s.Kind][i]
		n += f.nu * s.bands(f)
	}
	return n
}

// PatchAt returns the number of the patch of a face, see First, that a place on it belongs to.
func (s *Solid) PatchAt(face int, at space.Point) int {
	list, before := surfaces[s.Kind], 0
	for i := range face {
		before += list[i].nu * s.bands(&list[i])
	}
	f := &list[face]
	u, v := f.of(s.place(at))
	iu := min(max(int(u*float64(f.nu)), 0), f.nu-1)
	n := s.bands(f)
	return before + min(max(int(v*float64(n)), 0), n-1)*f.nu + iu
}

// patchLines is at how many places along each side of a patch its area is measured.
const patchLines = 12

// Patches returns the parts into which the surface is cut, by number. open tells of a place just outside it whether
// light can be there.
func (s *Solid) Patches(open func(space.Point) bool) (list []Patch) {
	for i := range surfaces[s.Kind] {
		f := &surfaces[s.Kind][i]
		n := s.bands(f)
		for at := range f.nu * n {
			one := s.patch(f, [2]float64{float64(at % f.nu), float64(at / f.nu)}, float64(n), open)
			if f.nv == 0 {
				one.Band = at / f.nu
			}
			list = append(list, one)
		}
	}
	return list
}

// outsideM is how far outside the surface it is looked whether light can be there.
const outsideM = 1e-6

// patch measures the patch at some column and row of a face of n rows.
func (s *Solid) patch(f *surface, at [2]float64, n float64, open func(space.Point) bool) Patch {
	out := Patch{Face: f.name, LowM: math.Inf(1), TopM: math.Inf(-1)}
	for _, end := range [4][2]float64{{0, 0}, {1, 0}, {0, 1}, {1, 1}} {
		p, _ := f.at((at[0]+end[0])/float64(f.nu), (at[1]+end[1])/n)
		z := s.world(p).Z
		out.LowM, out.TopM = min(out.LowM, z), max(out.TopM, z)
	}
	each := f.area / (float64(f.nu) * n * patchLines * patchLines) * s.Half.X * s.Half.Y * s.Half.Z
	for k := range patchLines * patchLines {
		u := (at[0] + (float64(k%patchLines)+0.5)/patchLines) / float64(f.nu)
		v := (at[1] + (float64(k/patchLines)+0.5)/patchLines) / n
		p, normal := f.at(u, v)
		place, away := s.world(p), s.outward(normal)
		x, y, z := normal.X/s.Half.X, normal.Y/s.Half.Y, normal.Z/s.Half.Z
		area := each * math.Sqrt(x*x+y*y+z*z)
		if out.WholeM2 += area; open(space.Point{X: place.X + outsideM*away.X, Y: place.Y + outsideM*away.Y,
			Z: place.Z + outsideM*away.Z}) {
			out.AreaM2 += area
		}
	}
	return out
}
