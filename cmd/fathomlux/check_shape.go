package main

import (
	"fmt"
	"strings"

	"fathomlux/render/answer"
	"fathomlux/scene"
)

// shapeFigures are the outline of the tank, its ground and what stands in it, where these are not those of an empty box.
func shapeFigures(t scene.Tank, say func(title, words string), item func(bool, string, string, string, ...any)) answer.Answer {
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
