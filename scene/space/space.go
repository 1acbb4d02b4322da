// Package space holds points, directions and boxes in the tank's own axes:
// x from left to right, y from front to back, z up; the origin is the inside
// front left corner at the floor. Lengths are metres.
// Next: package scene for the things that stand in this space.
package space

import "math"

// Point is a place in the tank's axes, in metres.
type Point struct{ X, Y, Z float64 }

// Vector is a displacement in metres, or a direction where its length is 1.
type Vector struct{ X, Y, Z float64 }

// Dot returns the scalar product of v and w.
func (v Vector) Dot(w Vector) float64 { return v.X*w.X + v.Y*w.Y + v.Z*w.Z }

// Length returns the Euclidean length of v.
func (v Vector) Length() float64 { return math.Sqrt(v.Dot(v)) }

// Frame is a right-angled set of unit directions that a module carries: Along the
// rail, Across it, and Aim, where the middle of the beam points.
type Frame struct{ Along, Across, Aim Vector }

// Down is the frame of a module that looks straight down with the rail along x.
var Down = Frame{Along: Vector{X: 1}, Across: Vector{Y: 1}, Aim: Vector{Z: -1}}

// Tilted returns the Down frame turned by tiltRad about the rail's own axis (x).
// A positive tilt turns the aim towards the back of the tank (+y).
func Tilted(tiltRad float64) Frame {
	s, c := math.Sincos(tiltRad)
	return Frame{Along: Vector{X: 1}, Across: Vector{Y: c, Z: s}, Aim: Vector{Y: s, Z: -c}}
}

// Turned returns the frame turned about the vertical, from along x towards the back.
func (f Frame) Turned(rad float64) Frame {
	if rad == 0 {
		return f
	}
	s, c := math.Sincos(rad)
	turn := func(v Vector) Vector { return Vector{X: c*v.X - s*v.Y, Y: s*v.X + c*v.Y, Z: v.Z} }
	return Frame{Along: turn(f.Along), Across: turn(f.Across), Aim: turn(f.Aim)}
}

// Spun returns the frame turned about its aim, from Along towards Across.
func (f Frame) Spun(rad float64) Frame {
	if rad == 0 {
		return f
	}
	s, c := math.Sincos(rad)
	mix := func(a, b float64) Vector {
		return Vector{X: a*f.Along.X + b*f.Across.X, Y: a*f.Along.Y + b*f.Across.Y, Z: a*f.Along.Z + b*f.Across.Z}
	}
	return Frame{Along: mix(c, s), Across: mix(-s, c), Aim: f.Aim}
}

// Local returns the components of direction d in the frame: along, across and aim.
func (f Frame) Local(d Vector) Vector {
	return Vector{X: f.Along.Dot(d), Y: f.Across.Dot(d), Z: f.Aim.Dot(d)}
}

// Box is an axis-aligned box between two opposite corners, Min below Max in each axis.
type Box struct{ Min, Max Point }

// Empty tells whether the box has no volume.
func (b Box) Empty() bool { return b.Max.X <= b.Min.X || b.Max.Y <= b.Min.Y || b.Max.Z <= b.Min.Z }

// ClipZ returns the part of b between the heights low and high, in metres.
func (b Box) ClipZ(low, high float64) Box {
	b.Min.Z = math.Max(b.Min.Z, low)
	b.Max.Z = math.Min(b.Max.Z, high)
	return b
}

// Area is a rectangle on a horizontal plane. The zero Area stands for all of the plane.
type Area struct{ FromXM, ToXM, FromYM, ToYM float64 }

// World returns the direction in the tank's axes of components along, across and aim: the inverse of Local.
func (f Frame) World(local Vector) Vector {
	return Vector{
		X: f.Along.X*local.X + f.Across.X*local.Y + f.Aim.X*local.Z,
		Y: f.Along.Y*local.X + f.Across.Y*local.Y + f.Aim.Y*local.Z,
		Z: f.Along.Z*local.X + f.Across.Z*local.Y + f.Aim.Z*local.Z,
	}
}
