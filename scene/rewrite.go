package scene

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"fathomlux/scene/document"
)

// Rewrite returns the text of the scene's file with the rails of the scene put in: height, y and tilt of each rail, its
// modules as a list with one line each, and the depth of the water. Comments of the file stay where they can.
func (s *Scene) Rewrite() ([]byte, error) {
	edits := []document.Edit{}
	was, err := Parse(s.File, s.source, s.open)
	if err != nil {
		return nil, err
	}
	if len(was.Rails) != len(s.Rails) {
		return nil, fmt.Errorf("%s has %d rails, not %d", s.File, len(was.Rails), len(s.Rails))
	}
	for i, r := range s.Rails {
		set := func(key, value string) {
			edits = append(edits, document.Edit{Path: []any{"rails", i, key}, Value: value})
		}
		if r.AboveWaterM != was.Rails[i].AboveWaterM {
			set("above_water", mmText(r.AboveWaterM))
		}
		if r.YM != was.Rails[i].YM {
			set("y", mmText(r.YM))
		}
		if r.TiltRad != was.Rails[i].TiltRad {
			set("tilt", short(r.TiltRad*degreesPerRad)+" deg")
		}
		set("modules", modulesText(r.Modules))
	}
	if d := s.Tank.Water.DepthM; d != was.Tank.Water.DepthM {
		edits = append(edits, document.Edit{Path: []any{"tank", "water", "depth"}, Value: mmText(d)})
	}
	return document.Apply(s.source, edits)
}

// modulesText writes modules as a YAML list.
func modulesText(modules []Module) string {
	var b strings.Builder
	for _, m := range modules {
		fmt.Fprintf(&b, "- {part: %s, optic: %s, x: %s, current: %s mA}\n",
			document.Quote(m.Part.Name), document.Quote(m.Optic.Name), mmText(m.XM), short(m.CurrentA*1000))
	}
	return b.String()
}

func mmText(m float64) string { return short(m*1000) + " mm" }

// short writes a number to a millionth without trailing zeros.
func short(v float64) string {
	text := strconv.FormatFloat(v, 'f', 6, 64)
	text = strings.TrimRight(strings.TrimRight(text, "0"), ".")
	if text == "-0" {
		return "0"
	}
	return text
}

const degreesPerRad = 180 / math.Pi
