package trace

import (
	"testing"

	"fathomlux/optics/beam"
	"fathomlux/optics/model"
	"fathomlux/optics/walls"
	"fathomlux/optics/water"
	"fathomlux/scene/photometry"
	"fathomlux/scene/space"
)

// small is a tank of 20 mm with walls of one kind, in which water absorbs next to nothing.
func small(t *testing.T, wall walls.Wall, floor float64) *setup {
	s := &setup{Tank: model.Tank{LengthM: 0.02, WidthM: 0.02, Walls: [4]walls.Wall{wall, wall, wall, wall}, FloorReflectance: floor},
		Model: model.Model{DepthM: 0.01, Water: water.New(water.Constituents{}, 25, 0),
			Spectra: []photometry.Spectrum{whiteSpectrum(t)}, Beams: []*beam.Beam{shape(t, beam.Shape{BeamRad: 60 * deg})}}}
	hang(s, 0, space.Point{X: 0.01, Y: 0.01, Z: 0.1})
	return s
}

func TestRoomLight(t *testing.T) {
	// Noise is 0.2 to 0.5 % of the values; water takes some 0.1 % in these tanks, 0.5 % where light is trapped for long.
	s := small(t, mirror(1), 0)
	n := s.Water.Index()
	near(t, "between mirrors, what the surface lets through (Walsh 1926)", RoomLight(s.build(), 1), 1-walsh(n), 0.006)
	s = small(t, glass, 1)
	near(t, "a tank that loses nothing is in balance with the room: n squared", RoomLight(s.build(), 1), n*n, 0.02)
	s = small(t, diffuse(0), 0)
	s.Tank.LengthM, s.Tank.WidthM = 10, 10
	near(t, "a wide tank with dark walls", RoomLight(s.build(), 1), 1-walsh(n), 0.01)

	s = small(t, glass, 0.3)
	clear := RoomLight(s.build(), 1)
	s.outline = outlined(s.Tank)
	near(t, "the box as an outline", RoomLight(s.build(), 2), clear, 0.015)
	s = small(t, walls.Wall{Kind: walls.Film, Index: 1.52}, 0.3)
	if dark := RoomLight(s.build(), 1); !(dark > 0.5 && dark < clear-0.2) {
		t.Errorf("behind black film %g, behind clear glass %g", dark, clear)
	}
	s.Sources = nil
	near(t, "no lamp", RoomLight(s.build(), 1), 0, 0)
}

// TestRoomLightPassesThings: a box that fills the left half of a tank is a black wall before the other half.
func TestRoomLightPassesThings(t *testing.T) {
	filled, half := small(t, mirror(1), 0.3), small(t, mirror(1), 0.3)
	filled.Boxes = []space.Box{{Max: space.Point{X: 0.01, Y: 0.02, Z: 0.01}}}
	half.LengthM, half.Walls[model.Left] = 0.01, diffuse(0)
	near(t, "half a tank", RoomLight(filled.build(), 1), RoomLight(half.build(), 2), 0.015)
}
