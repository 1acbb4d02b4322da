package main

import (
	"cmp"

	"fathomlux/render/answer"
	"fathomlux/scene"
	"fathomlux/scene/space"
)

// leafFigures are what grows in the water and on it, how its surface moves, and what is left before anything is renewed.
func leafFigures(sc *scene.Scene, say func(title, words string), item func(bool, string, string, string, ...any)) answer.Answer {
	t := sc.Tank
	floating, w := cmp.Or(t.Floating, &scene.Floating{}), t.Water.Ripple
	item(w.Slope > 0, "ripple", "surface", "moving, slopes of %[1]s (standard deviation), waves of %[2]s mm",
		"slope", w.Slope, "length_mm", millimetres(w.LengthM))
	plants := []answer.Answer{}
	for _, p := range t.Plants {
		index := roundTo(p.DensityPerM*(p.Box.Max.Z-p.Box.Min.Z), 1e-6)
		plants = append(plants, fields("name", p.Name, "lai", index))
		say("leaves", p.Name+": leaf area index "+number(index)+" over "+
			millimetresText(p.Box))
	}
	item(t.Floating != nil, "floating", "leaves", "floating over %[1]s %% of the surface", "cover_percent",
		roundTo(100*floating.CoverShare, 1e-6))
	if floating.Area != (space.Area{}) {
		say("leaves", "between x = "+tenth(1000*floating.Area.FromXM)+" and "+tenth(1000*floating.Area.ToXM)+" mm, y = "+
			tenth(1000*floating.Area.FromYM)+" and "+tenth(1000*floating.Area.ToYM)+" mm")
	}
	if t.LeafShare < 1 {
		say("leaves", number(roundTo(100*t.LeafShare, 1e-6))+" % of their leaf area is there now")
	}
	m := sc.Maintenance
	item(m != scene.Maintenance{Lamp: 1, Lid: 1}, "maintenance", "maintenance",
		"lamps %[1]s, lid %[2]s, water with %[3]s 1/m more at 440 nm", "lamp", m.Lamp, "lid", m.Lid, "yellowing_per_m",
		m.YellowingPerM)
	return fields("plants", plants)
}

// millimetresText is a box seen from above with its height.
func millimetresText(b space.Box) string {
	return tenth(1000*(b.Max.X-b.Min.X)) + " x " + tenth(1000*(b.Max.Y-b.Min.Y)) + " mm, " +
		tenth(1000*(b.Max.Z-b.Min.Z)) + " mm high"
}
