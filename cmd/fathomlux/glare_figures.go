package main

import (
	"cmp"
	"fmt"

	"fathomlux/optics/result"
	"fathomlux/render/answer"
	"fathomlux/scene"
	"fathomlux/scene/unit"
)

// glareParts are what dazzles the eye, what screens would hide it, and the light that comes to it.
func glareParts(sc *scene.Scene, g *result.Glare, u unit.System) answer.Answer {
	seats := sc.Seats()
	modules := answer.TableOf("modules_in_sight", []answer.Column{{Key: "module", Title: "module in sight"},
		{Key: "distance_mm"}, {Title: "distance"}, {Key: "luminance_cd_m2", Title: "luminance", Unit: "cd/m²", Say: figured(0)}},
		g.Modules, func(m result.SeenModule) []any {
			return []any{sc.SeatName(seats[m.Module]), millimetres(m.DistanceM), u.Length(m.DistanceM), m.LuminanceCd}
		})
	modules.Title = "Modules in sight"
	name := func(s result.Screen) string { return cmp.Or(sc.Rails[s.Rail].Name, fmt.Sprintf("rail %d", s.Rail+1)) }
	screens := answer.TableOf("screens", keys("rail", "below_emitting_face_mm"), g.Screens, func(s result.Screen) []any {
		return []any{name(s), optional(millimetres(s.HeightM), s.HeightM > 0)}
	})
	screens.In = answer.JSON
	list := answer.Answer{modules, screens, fields("modules", g.All, "eye_lx_of_dies", g.DiesLx, "eye_lx_of_tank", g.TankLx)}
	say := func(title, words string) { list = append(list, answer.Figure{Title: title, Value: words}) }
	say("modules in sight", fmt.Sprintf("%d of %d", len(g.Modules), g.All))
	for _, s := range g.Screens {
		words := "none hides them: the eye is under the rail"
		if s.HeightM > 0 {
			words = u.Length(s.HeightM) + " below the emitting face hides them from here and from higher up"
		}
		say("screen along the edge of "+name(s), words)
	}
	say("light at the eye", fmt.Sprintf("%s lx from the dies in sight, %s lx from all else that they light, on a face that "+
		"looks where the eye looks; dies that glass or water mirror are left out", figured(1)(g.DiesLx), figured(1)(g.TankLx)))
	return list
}
