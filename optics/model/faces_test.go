package model_test

import (
	"math"
	"testing"

	"fathomlux/optics/model"
	"fathomlux/optics/walls"
	"fathomlux/scene/space"
)

// box is a tank of 1.2 m x 0.4 m with walls that can be told apart.
var box = model.Tank{LengthM: 1.2, WidthM: 0.4, RimM: 0.06, FloorReflectance: 0.25,
	Walls: [4]walls.Wall{{Kind: walls.Mirror, Reflectance: 0.1}, {Kind: walls.Glass, Index: 1.52}, {Kind: walls.Diffuse, Reflectance: 0.3}, {Kind: walls.Mirror, Reflectance: 0.4}}}

func TestFacesOfATank(t *testing.T) {
	m := &model.Model{Faces: box.Faces(0.42), DepthM: 0.42}
	got, err := m.Tank()
	if got.RimM = math.Round(got.RimM*1e12) / 1e12; err != nil || got != box { // a difference of heights
		t.Fatalf("%+v, %v, not %+v", got, err, box)
	}
	for i, f := range m.Faces {
		var middle space.Point
		for _, c := range f.Outline {
			middle.X, middle.Y, middle.Z = middle.X+c.X/4, middle.Y+c.Y/4, middle.Z+c.Z/4
		}
		inside := space.Vector{X: 0.6 - middle.X, Y: 0.2 - middle.Y, Z: 0.24 - middle.Z}
		if level := inside.Length(); len(f.Outline) != 4 || math.Abs(inside.Dot(f.Normal)/level-1) > 1e-12 {
			t.Errorf("face %d: normal %v from its middle %v", i, f.Normal, middle)
		}
	}
	for name, change := range map[string]func(m *model.Model){
		"four faces": func(m *model.Model) { m.Faces = m.Faces[:4] },
		"a leaning wall": func(m *model.Model) {
			m.Faces[model.Back].Outline[2].Y += 0.01
		},
		"a wall with five corners": func(m *model.Model) { m.Faces[0].Outline = append(m.Faces[0].Outline, space.Point{}) },
		"a ground of glass":        func(m *model.Model) { m.Faces[model.Ground].Material.Kind = walls.Glass },
		"a normal to the outside":  func(m *model.Model) { m.Faces[0].Normal.X = -1 },
	} {
		other := &model.Model{Faces: box.Faces(0.42), DepthM: 0.42}
		change(other)
		if _, err := other.Tank(); err == nil {
			t.Errorf("%s is an upright box", name)
		}
	}
}

// TestPlanesTurnRays: a ray that leaves by a face of any slope comes back with the angle that it had, and one that comes in goes on.
func TestPlanesTurnRays(t *testing.T) {
	leaning := model.Face{Normal: space.Vector{X: 0.6, Z: 0.8}, Outline: []space.Point{{X: 1}}}
	for _, f := range append(box.Faces(0.42), leaning) {
		p := f.Plane()
		in := space.Vector{X: 0.48, Y: -0.6, Z: -0.64}
		if in.Dot(f.Normal) > 0 {
			in = space.Vector{X: -in.X, Y: -in.Y, Z: -in.Z}
		}
		at, d := space.Point{X: 0.3, Y: 0.1, Z: 0.2}, in
		cos := p.Turn(&at, &d)
		off := f.Normal.Dot(space.Vector(at)) - f.Normal.Dot(space.Vector(f.Outline[0]))
		if math.Abs(cos+in.Dot(f.Normal))+math.Abs(d.Dot(f.Normal)-cos)+math.Abs(d.Length()-1)+math.Abs(off) > 1e-12 {
			t.Errorf("%v: %v becomes %v, cosine %g, %g off the face", f.Normal, in, d, cos, off)
		}
		if again := d; p.Turn(&at, &again) != cos || again != d {
			t.Errorf("%v: a ray to the inside is turned", f.Normal)
		}
	}
}

func TestNextWall(t *testing.T) {
	for _, c := range []struct {
		at   space.Point
		d    space.Vector
		want float64
		side model.Side
	}{
		{space.Point{X: 0.2, Y: 0.1}, space.Vector{X: -0.5, Y: 0.1}, 0.4, model.Left},
		{space.Point{X: 0.2, Y: 0.1}, space.Vector{X: 0.5, Y: 0.5}, 0.6, model.Back},
		{space.Point{X: 0.2, Y: 0.1}, space.Vector{Y: -0.01}, 9, -1},
		{space.Point{X: -0.2, Y: 0.1}, space.Vector{X: 0.5, Y: 0.1}, 0.4, model.Left},
		{space.Point{X: 1.3, Y: 0.5}, space.Vector{X: -0.1, Y: -0.2}, 0.5, model.Back},
		{space.Point{X: 1.3, Y: 0.2}, space.Vector{X: 1}, 9, -1},
	} {
		if s, side := box.NextWall(c.at, c.d, 9); math.Abs(s-c.want) > 1e-12 || side != c.side {
			t.Errorf("%v along %v: wall %d at %g, not %d at %g", c.at, c.d, side, s, c.side, c.want)
		}
	}
}

// TestObstaclesAgainstSteps: where a way meets the first of many boxes, against small steps.
func TestObstaclesAgainstSteps(t *testing.T) {
	var list []space.Box
	for i := range 12 {
		x, y := 0.1*float64(i), 0.02*float64(i%5)
		list = append(list, space.Box{Min: space.Point{X: x, Y: y, Z: 0.05 * float64(i%3)}, Max: space.Point{X: x + 0.03, Y: y + 0.05, Z: 0.2}})
	}
	things := model.NewObstacles(list)
	for k := range 200 {
		s, c := math.Sincos(float64(k) * 0.7)
		d := space.Vector{X: 0.9 * c, Y: 0.9 * s, Z: math.Sqrt(0.19) * math.Pow(-1, float64(k%2))}
		from := space.Point{X: 0.0001 + 0.006*float64(k), Y: 0.0713, Z: 0.1007}
		want := math.MaxFloat64
		for i := range 5000 {
			way := 0.0001 * float64(i)
			if things.Hold(space.Point{X: from.X + way*d.X, Y: from.Y + way*d.Y, Z: from.Z + way*d.Z}) {
				want = way
				break
			}
		}
		got := things.First(from, d, 0.5)
		if got > 0.5 {
			got = math.MaxFloat64
		}
		if math.Abs(got-want) > 0.0002 {
			t.Errorf("from %v along %v: first at %g, stepwise %g", from, d, got, want)
		}
	}
	if model.NewObstacles(nil) != nil {
		t.Error("no box is an obstacle")
	}
}
