package scene

import (
	"fmt"
	"math"
	"slices"

	"fathomlux/scene/document"
	"fathomlux/scene/key"
)

// ambient reads the air of the room and the hood over the rails, which have been read before.
func (r *reader) ambient(f key.Fields) {
	r.scene.Ambient.AirC = f.Value("air", 24)
	if hood := f.Open("hood"); hood.At().Exists() {
		h := &Hood{LengthM: hood.Value("length", 0), WidthM: hood.Value("width", 0), HeightM: hood.Value("height", 0)}
		r.scene.Ambient.Hood = h
		if h.LengthM > 0 && h.WidthM > 0 && h.HeightM > 0 {
			for _, why := range r.scene.hoodMisfits() {
				hood.At().Warnf("%s", why)
			}
		}
	}
}

// hoodMisfits says where the rails do not find room under their hood.
func (s *Scene) hoodMisfits() (lines []string) {
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
		if side.needM > side.hoodM+slackM {
			lines = append(lines, fmt.Sprintf("the hood is %s %s, less than the %s that the rails take", say(side.hoodM),
				side.name, say(side.needM)))
		}
	}
	return lines
}

// Under returns a copy of the scene under another hood, nil for none, with the warnings that this hood deserves in
// place of those about the scene's own. where names who asked for it, as a warning names a file.
func (s *Scene) Under(h *Hood, where string) (*Scene, error) {
	out, err := s.With()
	if err != nil {
		return nil, err
	}
	old := s.hoodMisfits()
	about := func(f document.Fault) bool { return slices.Contains(old, f.Message) }
	out.Warnings = slices.DeleteFunc(slices.Clone(s.Warnings), about)
	out.Ambient.Hood = h
	for _, why := range out.hoodMisfits() {
		out.Warnings = append(out.Warnings, document.Fault{File: where, Message: why})
	}
	return out, nil
}
