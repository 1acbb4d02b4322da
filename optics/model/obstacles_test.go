package model_test

import (
	"math"
	"slices"
	"testing"

	"fathomlux/optics/model"
	"fathomlux/scene/space"
)

// brick is a box of 0.1 m x 0.1 m between two heights.
func brick(low, high float64) space.Box {
	return space.Box{Min: space.Point{Z: low}, Max: space.Point{X: 0.1, Y: 0.1, Z: high}}
}

func heights(boxes []space.Box) (list [][2]float64) {
	for _, b := range boxes {
		list = append(list, [2]float64{b.Min.Z, b.Max.Z})
	}
	return list
}

func TestBoxesFrom(t *testing.T) {
	pane := &model.Cover{UndersideM: 0.03, ThicknessM: 0.006}
	tests := []struct {
		name   string
		cover  *model.Cover
		box    space.Box
		depths []float64
		want   [][2]float64 // heights of the pieces
	}{
		{"whole in the water", nil, brick(0, 0.2), []float64{0.1, 0.4}, [][2]float64{{0, 0.2}}},
		{"below the floor", nil, brick(-0.1, 0.2), nil, [][2]float64{{0, 0.2}}},
		{"through the surface", nil, brick(0.3, 0.5), nil, [][2]float64{{0.3, 0.4}, {0.4, 0.5}}},
		{"top on a plane", nil, brick(0, 0.2), []float64{0.2}, [][2]float64{{0, 0.2 - 1e-6}}},
		{"top a hair over a plane", nil, brick(0, 0.2+1e-9), []float64{0.3, 0.2}, [][2]float64{{0, 0.2 - 1e-6}}},
		{"top half a micrometre under a plane", nil, brick(0, 0.2-5e-7), []float64{0.2}, [][2]float64{{0, 0.2 - 1e-6}}},
		{"plane well below the top", nil, brick(0, 0.2), []float64{0.2 + 5e-6}, [][2]float64{{0, 0.2}}},
		{"plane at the lower face", nil, brick(0.1, 0.2), []float64{0.3}, [][2]float64{{0.1, 0.2}}},
		{"top at the surface, a hair over it", nil, brick(0.1, 0.4+1e-9), []float64{0}, [][2]float64{{0.1, 0.4 - 1e-6}}},
		{"a skin on a plane", nil, brick(0.2, 0.2+5e-7), []float64{0.2}, nil},
		{"through the cover", pane, brick(0.3, 0.5), nil, [][2]float64{{0.3, 0.4}, {0.4, 0.43}, {0.436, 0.5}}},
		{"within the pane", pane, brick(0.431, 0.435), nil, [][2]float64{{0.43 - 1e-6, 0.43}, {0.436, 0.436 + 1e-6}}},
		{"level with the pane", pane, brick(0.43, 0.436), nil, [][2]float64{{0.43 - 1e-6, 0.43}, {0.436, 0.436 + 1e-6}}},
		{"up into the pane", pane, brick(0.41, 0.433), nil, [][2]float64{{0.41, 0.43}, {0.436, 0.436 + 1e-6}}},
		{"down into the pane", pane, brick(0.433, 0.45), nil, [][2]float64{{0.43 - 1e-6, 0.43}, {0.436, 0.45}}},
		{"carries the pane, a hair into it", pane, brick(0.41, 0.43+1e-9), nil, [][2]float64{{0.41, 0.43}}},
		{"lies on the pane, a hair into it", pane, brick(0.436-1e-9, 0.45), nil, [][2]float64{{0.436, 0.45}}},
	}
	for _, test := range tests {
		s := &model.Model{Faces: model.Tank{LengthM: 1, WidthM: 1, RimM: 0.05}.Faces(0.4), DepthM: 0.4, Cover: test.cover, Boxes: []space.Box{test.box}}
		got := heights(s.BoxesFrom(test.depths...))
		if len(got) != len(test.want) {
			t.Errorf("%s: pieces %v, not %v", test.name, got, test.want)
			continue
		}
		for i := range got {
			if math.Abs(got[i][0]-test.want[i][0])+math.Abs(got[i][1]-test.want[i][1]) > 1e-15 { // rounding
				t.Errorf("%s: pieces %v, not %v", test.name, got, test.want)
			}
		}
		if s.Boxes[0] != test.box {
			t.Errorf("%s: the model has changed", test.name)
		}
	}
}

func TestBoxesEndAtTheWalls(t *testing.T) {
	// Below the rim, at 0.45 m; what lies on it reaches out.
	s := &model.Model{Faces: model.Tank{LengthM: 1, WidthM: 0.5, RimM: 0.05}.Faces(0.4), DepthM: 0.4, Boxes: []space.Box{{Min: space.Point{X: -0.1, Y: 0.2, Z: 0.41}, Max: space.Point{X: 1.1, Y: 0.6, Z: 0.47}}}}
	want := []space.Box{{Min: space.Point{Y: 0.2, Z: 0.41}, Max: space.Point{X: 1, Y: 0.5, Z: 0.4 + 0.05}}, {Min: space.Point{X: -0.1, Y: 0.2, Z: 0.4 + 0.05}, Max: space.Point{X: 1.1, Y: 0.6, Z: 0.47}}}
	if got := s.BoxesFrom(); !slices.Equal(got, want) {
		t.Errorf("pieces %v, not %v", got, want)
	}
}

func TestWallsEndM(t *testing.T) {
	pane := &model.Cover{UndersideM: 0.04, ThicknessM: 0.006}
	tests := []struct {
		name      string
		cover     *model.Cover
		rim, want float64
	}{
		{"open", nil, 0.05, 0.05},
		{"pane well over the rim", pane, 0.03, 0.03},
		{"pane on the rim", pane, 0.04, 0.04},
		{"pane on the rim, by rounding", pane, 0.4 - 0.36, 0.04},
		{"a micrometre off", pane, 0.04 - 9e-7, 0.04},
		{"rim within the pane", pane, 0.043, 0.04},
		{"pane flush with the rim", pane, 0.046, 0.046},
		{"flush by rounding", pane, 0.046 - 1e-9, 0.046},
		{"pane below the rim", pane, 0.06, 0.06},
	}
	for _, test := range tests {
		if got := (&model.Tank{RimM: test.rim}).WallsEndM(test.cover); got != test.want { // chosen, not computed
			t.Errorf("%s: walls end at %v, not %v", test.name, got, test.want)
		}
	}
}
