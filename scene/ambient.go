package scene

import (
	"fmt"
	"math"

	"fathomlux/scene/document"
	"fathomlux/scene/key"
)

// ambient reads the air of the room and the hood over the rails, which have been read before.
func (r *reader) ambient(f key.Fields) {
	r.scene.Ambient.AirC = f.Value("air", 24)
	if hood := f.Open("hood"); hood.At().Exists() {
		h := &Hood{At: hood.At().Place(), LengthM: hood.Value("length", 0), WidthM: hood.Value("width", 0), HeightM: hood.Value("height", 0)}
		r.scene.Ambient.Hood = h
	}
}

// HoodWarnings says where the rails do not find room under their hood.
func (s *Scene) HoodWarnings() (list []document.Fault) {
	h := s.Ambient.Hood
	if h == nil {
		return nil
	}
	left, right, front, back, tallest := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1), 0.0
	for _, r := range s.Rails {
		half := r.Profile.WidthM / 2
		left, right = math.Min(left, r.LeftM), math.Max(right, r.LeftM+r.LengthM)
		front, back = math.Min(front, r.YM-half), math.Max(back, r.YM+half)
		tallest = math.Max(tallest, r.Profile.HeightM)
	}
	for _, side := range []struct {
		name         string
		hoodM, needM float64
	}{{"long", h.LengthM, right - left}, {"wide", h.WidthM, back - front}, {"high", h.HeightM, tallest}} {
		if side.needM > side.hoodM+SlackM {
			at := h.At
			at.Message = fmt.Sprintf("the hood is %s %s, less than the %s that the rails take", say(side.hoodM), side.name,
				say(side.needM))
			list = append(list, at)
		}
	}
	return list
}
