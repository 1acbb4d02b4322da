package scene

import (
	"math"

	"fathomlux/scene/document"
	"fathomlux/scene/unit"
)

// ambient reads the air of the room and the hood over the rails, which have been read before.
func (r *reader) ambient(n document.Node) {
	f := n.Fields("air", "hood")
	if air := f.Get("air"); air.Exists() {
		r.scene.Ambient.AirC = air.Quantity(unit.Temperature, document.Range{Low: -20, High: 60})
	}
	if hood := f.Get("hood"); hood.Exists() {
		h := readHood(hood)
		r.scene.Ambient.Hood = &h
		if h.LengthM > 0 && h.WidthM > 0 && h.HeightM > 0 {
			warnHood(hood, h, r.scene.Rails)
		}
	}
}

func readHood(n document.Node) Hood {
	f := n.Fields("length", "width", "height").WithHint("an outer measure of the closed box over the rails such as 1200 mm")
	return Hood{
		LengthM: f.Require("length").Quantity(unit.Length, side),
		WidthM:  f.Require("width").Quantity(unit.Length, side),
		HeightM: f.Require("height").Quantity(unit.Length, side),
	}
}

// warnHood warns where the rails do not find room under their hood.
func warnHood(n document.Node, h Hood, rails []Rail) {
	left, right, front, back, tallest := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1), 0.0
	for _, r := range rails {
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
			n.Warnf("the hood is %s %s, less than the %s that the rails take", say(side.hoodM), side.name, say(side.needM))
		}
	}
}
