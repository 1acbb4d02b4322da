package model

import (
	"math"

	"fathomlux/scene/space"
)

// Mirrors tells whether the tank is its own mirror image from left to right, and from front to back, with its walls,
// its boxes and its hood.
func (m *Model) Mirrors() (x, y bool) {
	t, err := m.Tank()
	if err != nil || m.Shaped() {
		return false, false
	}
	flipX := func(b space.Box) space.Box {
		b.Min.X, b.Max.X = t.LengthM-b.Max.X, t.LengthM-b.Min.X
		return b
	}
	flipY := func(b space.Box) space.Box {
		b.Min.Y, b.Max.Y = t.WidthM-b.Max.Y, t.WidthM-b.Min.Y
		return b
	}
	return t.Walls[Left] == t.Walls[Right] && m.mirrored(flipX), t.Walls[Front] == t.Walls[Back] && m.mirrored(flipY)
}

// mirrored tells whether what stands in the tank and over it is its own image.
func (m *Model) mirrored(image func(space.Box) space.Box) bool {
	if m.Hood != nil && !alike(m.Hood.Box, image(m.Hood.Box)) {
		return false
	}
	for _, b := range m.Boxes {
		found := false
		for _, o := range m.Boxes {
			found = found || alike(image(b), o)
		}
		if !found {
			return false
		}
	}
	return true
}

// alike tells whether two boxes are the same but for rounding.
func alike(a, b space.Box) bool {
	near := func(a, b space.Point) bool {
		return math.Abs(a.X-b.X) < 1e-9 && math.Abs(a.Y-b.Y) < 1e-9 && math.Abs(a.Z-b.Z) < 1e-9
	}
	return near(a.Min, b.Min) && near(a.Max, b.Max)
}
