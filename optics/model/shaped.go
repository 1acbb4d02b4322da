package model

import (
	"slices"

	"fathomlux/optics/walls"
	"fathomlux/scene/form"
	"fathomlux/scene/space"
)

// Surface is what straight ways end at, of any form: a ground that is not level, the outside of a solid.
type Surface interface {
	// First returns how far on a straight way of at most withinM, in a direction of unit length, the surface is met
	// from outside, and its unit normal to the outside there; math.MaxFloat64 where it is not.
	First(from space.Point, direction space.Vector, withinM float64) (wayM float64, normal space.Vector)
}

// Solid is an opaque, matt thing below rim and cover, in one piece or several; Reflectance is diffuse, 0 to 1.
type Solid struct {
	*form.Pile
	Reflectance float64
}

// Shaped tells whether the tank is another one than a Tank of still water without leaves, for which engines follow the
// true faces.
func (m *Model) Shaped() bool {
	_, err := m.Tank()
	return err != nil
}

// Upright returns the faces of a tank of any outline up to a height: a wall for each edge, made of what wall says of
// the edge's number, and last the ground, which reflects diffusely.
func Upright(o form.Outline, topM, groundReflectance float64, wall func(edge int) walls.Wall) (faces []Face) {
	ground := Face{Normal: space.Vector{Z: 1},
		Material: walls.Wall{Kind: walls.Diffuse, Reflectance: groundReflectance}}
	for i, a := range o.Corners {
		b := o.Corners[(i+1)%len(o.Corners)]
		faces = append(faces, Face{Normal: o.Normal(i), Material: wall(o.Edges[i]), Outline: []space.Point{
			{X: a.XM, Y: a.YM}, {X: b.XM, Y: b.YM}, {X: b.XM, Y: b.YM, Z: topM}, {X: a.XM, Y: a.YM, Z: topM}}})
		ground.Outline = append(ground.Outline, faces[i].Outline[0])
	}
	return append(faces, ground)
}

// Upright returns the tank's faces over water of some depth as those of its outline.
func (t Tank) Upright(depthM float64) []Face {
	o := form.Outline{Corners: []form.Corner{{}, {XM: t.LengthM}, {XM: t.LengthM, YM: t.WidthM}, {YM: t.WidthM}},
		Edges: []int{int(Front), int(Right), int(Back), int(Left)}}
	return Upright(o, depthM+t.RimM, t.FloorReflectance, func(edge int) walls.Wall { return t.Walls[edge] })
}

// WallFaces returns the faces of the walls, one after the other round the tank, and which of the model's own each is:
// those of a rectangular tank have another order, and some run the other way.
func (m *Model) WallFaces() (faces []Face, numbers []Side) {
	if t, err := m.box(); err == nil {
		return t.Upright(m.DepthM)[:Ground], []Side{Front, Right, Back, Left}
	}
	faces = m.Faces[:len(m.Faces)-1]
	for i := range faces {
		numbers = append(numbers, Side(i))
	}
	return faces, numbers
}

// Outline returns the outline of the walls.
func (m *Model) Outline() (o form.Outline) {
	faces, _ := m.WallFaces()
	for _, f := range faces {
		o.Corners = append(o.Corners, form.Corner{XM: f.Outline[0].X, YM: f.Outline[0].Y})
	}
	return o
}

// OnGround tells whether the plane at a depth is the surface of a ground that is not level: that at the water's depth.
func (m *Model) OnGround(depthM float64) bool { return m.Ground != nil && depthM >= m.DepthM-touchM }

// Place returns the place of a plane at some depth below the surface at x and y.
func (m *Model) Place(depthM, x, y float64) space.Point {
	if m.OnGround(depthM) {
		return space.Point{X: x, Y: y, Z: m.Ground.HeightM(x, y)}
	}
	return space.Point{X: x, Y: y, Z: m.DepthM - depthM}
}

// Filled tells whether a place lies in the ground or in a solid. What lies on either does not.
func (m *Model) Filled(at space.Point) bool {
	if m.Ground != nil && at.Z < m.Ground.HeightM(at.X, at.Y)-touchM {
		return true
	}
	at.Z += touchM
	return slices.ContainsFunc(m.Solids, func(s Solid) bool { return s.Holds(at) })
}

// Patches is how many patches the solids have, see form.Solid.Patches.
func (m *Model) Patches() (n int) {
	for _, one := range m.Solids {
		for i := range one.Solids {
			n += one.Solids[i].PatchCount()
		}
	}
	return n
}

// Around returns the upright box about the tank, with walls and a ground that reflect nothing.
func (m *Model) Around() Tank {
	t := Tank{RimM: m.Faces[0].Outline[2].Z - m.DepthM}
	for i := range t.Walls {
		t.Walls[i].Kind = walls.Diffuse
	}
	t.LengthM, t.WidthM = m.Outline().Size()
	return t
}
