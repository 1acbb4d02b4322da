package model

import (
	"testing"

	"fathomlux/optics/walls"
	"fathomlux/scene/space"
)

// TestMirrors: what stands aside, or two unlike walls that face each other, and the tank is not its own image.
func TestMirrors(t *testing.T) {
	t.Parallel()
	box := func(x, y float64) space.Box {
		return space.Box{Min: space.Point{X: x, Y: y}, Max: space.Point{X: x + 0.1, Y: y + 0.1, Z: 0.1}}
	}
	paint := walls.Wall{Kind: walls.Diffuse, Reflectance: 0.5}
	for name, c := range map[string]struct {
		change func(*Tank, *Model)
		x, y   bool
	}{
		"empty":     {func(*Tank, *Model) {}, true, true},
		"back":      {func(b *Tank, _ *Model) { b.Walls[Back] = paint }, true, false},
		"left":      {func(b *Tank, _ *Model) { b.Walls[Left] = paint }, false, true},
		"a pair":    {func(_ *Tank, m *Model) { m.Boxes = []space.Box{box(0.1, 0.2), box(0.8, 0.2)} }, true, true},
		"one aside": {func(_ *Tank, m *Model) { m.Boxes = []space.Box{box(0.1, 0.2)} }, false, true},
		"a hood":    {func(_ *Tank, m *Model) { m.Hood = &Hood{Box: space.Box{Max: space.Point{X: 1, Y: 0.6, Z: 1}}} }, true, false},
	} {
		b, m := Tank{LengthM: 1, WidthM: 0.5, RimM: 0.05}, Model{DepthM: 0.4}
		c.change(&b, &m)
		m.Faces = b.Faces(m.DepthM)
		if x, y := m.Mirrors(); x != c.x || y != c.y {
			t.Errorf("%s: %v, %v", name, x, y)
		}
	}
}
