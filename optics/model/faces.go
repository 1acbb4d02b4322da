package model

import (
	"errors"
	"math"

	"fathomlux/optics/walls"
	"fathomlux/scene/space"
)

// Face is one flat face of the tank's inside: its corners in order, the unit normal to the inside, and what it is
// made of.
type Face struct {
	Outline  []space.Point
	Normal   space.Vector
	Material walls.Wall
}

// Along returns the unit direction from the first corner to the second; 0 for a face of one corner.
func (f *Face) Along() (d space.Vector) {
	if len(f.Outline) > 1 {
		a, b := f.Outline[0], f.Outline[1]
		d = space.Vector{X: b.X - a.X, Y: b.Y - a.Y, Z: b.Z - a.Z}
		k := 1 / d.Length()
		d = space.Vector{X: k * d.X, Y: k * d.Y, Z: k * d.Z}
	}
	return d
}

// Side numbers the faces of an upright box.
type Side int

// The four walls and the ground, in the order of Tank.Faces.
const (
	Left Side = iota
	Right
	Front
	Back
	Ground
)

// Tank is an upright box with its corner at the origin, the form of tank for which the engines have their fast ways.
type Tank struct {
	LengthM, WidthM  float64       // inside, along x and y
	RimM             float64       // height of the rim above the water surface
	Walls            [4]walls.Wall // by Side
	FloorReflectance float64       // of the ground, diffuse, 0 to 1
}

// normals of the sides of a Tank.
var normals = [Ground + 1]space.Vector{{X: 1}, {X: -1}, {Y: 1}, {Y: -1}, {Z: 1}}

// Faces returns the tank's faces over water of some depth, by Side.
func (t Tank) Faces(depthM float64) []Face {
	x, y, z := t.LengthM, t.WidthM, depthM+t.RimM
	faces := []Face{
		{Outline: []space.Point{{}, {Y: y}, {Y: y, Z: z}, {Z: z}}},
		{Outline: []space.Point{{X: x}, {X: x, Y: y}, {X: x, Y: y, Z: z}, {X: x, Z: z}}},
		{Outline: []space.Point{{}, {X: x}, {X: x, Z: z}, {Z: z}}},
		{Outline: []space.Point{{Y: y}, {X: x, Y: y}, {X: x, Y: y, Z: z}, {Y: y, Z: z}}},
		{Outline: []space.Point{{}, {X: x}, {X: x, Y: y}, {Y: y}}},
	}
	for i := range faces {
		faces[i].Normal = normals[i]
	}
	for i, w := range t.Walls {
		faces[i].Material = w
	}
	faces[Ground].Material = walls.Wall{Kind: walls.Diffuse, Reflectance: t.FloorReflectance}
	return faces
}

// Tank returns the upright box that the tank is; the error says that it is none, or holds what the engines' fast ways
// do not know.
func (m *Model) Tank() (Tank, error) {
	if m.Ground != nil || len(m.Solids) > 0 || len(m.Leaves) > 0 || m.Floating.Share > 0 || m.Slope > 0 {
		return Tank{}, errNoBox
	}
	return m.box()
}

// box returns the upright box that the faces are; the error says that they are none.
func (m *Model) box() (t Tank, err error) {
	if len(m.Faces) != len(normals) || m.Faces[Ground].Material.Kind != walls.Diffuse {
		return t, errNoBox
	}
	top := math.Inf(-1)
	for _, f := range m.Faces {
		for _, c := range f.Outline {
			t.LengthM, t.WidthM, top = max(t.LengthM, c.X), max(t.WidthM, c.Y), max(top, c.Z)
		}
	}
	t.RimM, t.FloorReflectance = top-m.DepthM, m.Faces[Ground].Material.Reflectance
	for i := range t.Walls {
		t.Walls[i] = m.Faces[i].Material
	}
	for i, f := range t.Faces(m.DepthM) {
		if f.Normal != m.Faces[i].Normal || !close(f.Outline, m.Faces[i].Outline) {
			return t, errNoBox
		}
	}
	return t, nil
}

var errNoBox = errors.New("the tank is no upright box with a level ground and boxes in it")

// close tells whether corners lie within touchM of each other, in their order.
func close(a, b []space.Point) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if math.Abs(a[i].X-b[i].X)+math.Abs(a[i].Y-b[i].Y)+math.Abs(a[i].Z-b[i].Z) > touchM {
			return false
		}
	}
	return true
}

// Outside tells whether a place is beside the tank.
func (t *Tank) Outside(at space.Point) bool {
	return at.X < 0 || at.X > t.LengthM || at.Y < 0 || at.Y > t.WidthM
}

// Gap returns the length of way to the far one of two planes across an axis, the high and the low one, between which
// a place is, and whether that is the low (0) or the high one (1). Where d is 0 it is infinite or not a number, and
// so not below any other. The plane is looked up by the sign of d, as half of all branches on it would be foreseen
// wrongly.
func Gap(at, d float64, across *[2]float64) (s float64, face Side) {
	down := math.Float64bits(d) >> 63
	return (across[down] - at) / d, Side(1 - down)
}

// gapFromAnywhere is Gap for places beside the planes too, which have the plane ahead that faces them.
func gapFromAnywhere(at, d float64, across *[2]float64) (s float64, face Side) {
	high := across[0]
	switch {
	case d != 0 && at >= 0 && at <= high:
		return Gap(at, d, across)
	case d > 0 && at < 0:
		return -at / d, 0
	case d < 0 && at > high:
		return (high - at) / d, 1
	}
	return math.MaxFloat64, 0
}

// NextWall returns how far on a way of at most within the next plane of a wall is, from a place in the tank or beside
// it, and the wall; within and -1 where the way ends before.
func (t *Tank) NextWall(at space.Point, d space.Vector, within float64) (s float64, side Side) {
	s, side = within, -1
	if x, face := gapFromAnywhere(at.X, d.X, &[2]float64{t.LengthM}); x < s {
		s, side = x, Left+face
	}
	if y, face := gapFromAnywhere(at.Y, d.Y, &[2]float64{t.WidthM}); y < s {
		s, side = y, Front+face
	}
	return s, side
}

// AtWall tells what becomes of a ray in the air that has come to the plane of a wall whose upper end is at rimM: it
// enters the tank over the rim, or it is lost out over the rim, at the outside of a wall or past it; else it meets
// the wall from within.
func (t *Tank) AtWall(at space.Point, d space.Vector, side Side, rimM float64) (enters, lost bool) {
	n := normals[side]
	enters = d.X*n.X+d.Y*n.Y > 0
	beside := at.Y < 0 || at.Y > t.WidthM
	if side >= Front {
		beside = at.X < 0 || at.X > t.LengthM
	}
	return enters, enters != (at.Z >= rimM) || !enters && beside
}

// Plane is the plane of a face.
type Plane struct {
	Normal  space.Vector
	OffsetM float64 // from the origin along the normal
}

// Plane returns the plane of the face.
func (f *Face) Plane() Plane {
	return Plane{Normal: f.Normal, OffsetM: f.Normal.Dot(space.Vector(f.Outline[0]))}
}

// Turn puts a ray exactly on the plane and mirrors its direction there if it comes from within; cos is that against
// the normal.
func (p *Plane) Turn(at *space.Point, d *space.Vector) (cos float64) {
	n := &p.Normal
	off := p.OffsetM - (at.X*n.X + at.Y*n.Y + at.Z*n.Z)
	at.X, at.Y, at.Z = at.X+off*n.X, at.Y+off*n.Y, at.Z+off*n.Z
	cos = d.X*n.X + d.Y*n.Y + d.Z*n.Z
	if cos > 0 {
		return cos
	}
	d.X, d.Y, d.Z = d.X-2*cos*n.X, d.Y-2*cos*n.Y, d.Z-2*cos*n.Z
	return -cos
}
