package main

import (
	"cmp"
	"fmt"
	"strings"

	"fathomlux/render/answer"
	"fathomlux/scene"
	"fathomlux/scene/space"
)

// leafFigures are what grows in the water and on it, how its surface moves, and what is left before anything is
// renewed.
func leafFigures(sc *scene.Scene, say func(title, words string),
	item func(bool, string, string, string, ...any)) answer.Answer {
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

// shapeFigures are the outline of the tank, its ground and what stands in it, where these are not those of an empty
// box.
func shapeFigures(t scene.Tank, say func(title, words string),
	item func(bool, string, string, string, ...any)) answer.Answer {
	edges := map[int]bool{}
	for _, e := range t.Outline.Edges {
		edges[e] = true
	}
	item(!t.Outline.Empty(), "outline", "outline", "%[1]s edges, %[2]s m² inside", "edges", len(edges),
		"area_m2", roundTo(t.Outline.AreaM2(), 1e-4))
	item(!t.Ground.Level(), "ground", "ground", "rises to %[1]s mm over its lowest place", "highest_mm",
		millimetres(t.Ground.HighestM()))
	things, words := []answer.Answer{}, []string{}
	for _, one := range t.Things {
		things = append(things, fields("name", one.Name, "solids", len(one.Solids), "reflectance", one.Reflectance))
		if len(one.Solids) > 1 {
			words = append(words, fmt.Sprintf("%s (%d stones)", one.Name, len(one.Solids)))
		} else {
			words = append(words, one.Name)
		}
	}
	if len(words) > 0 {
		say("things", strings.Join(words, ", "))
	}
	return fields("things", things)
}
