package main

import (
	"fmt"
	"math"
	"slices"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/render"
	"fathomlux/render/answer"
	"fathomlux/scene"
)

// addFaces adds the faces that are asked for; that of the floor is the plane there.
func (o mapOptions) addFaces(sc *scene.Scene, request *optics.Options) error {
	for _, name := range o.faces {
		floor := scene.PlaneRef{Name: "floor", DepthM: sc.Tank.Water.DepthM}
		there := func(p scene.PlaneRef) bool { return math.Abs(p.DepthM-floor.DepthM) < 1e-9 }
		switch {
		case name != "floor":
			request.Walls = append(request.Walls, name)
		case len(request.Planes) > 0 && !slices.ContainsFunc(request.Planes, there):
			request.Planes = append(request.Planes, floor)
		}
		if slices.ContainsFunc(sc.Tank.Things, func(t scene.Thing) bool { return t.Name == name }) {
			return fmt.Errorf("--face: %.60q is a thing; the light on the faces of all things is in things.csv of every map",
				name)
		}
	}
	if err := request.CheckWalls(sc); err != nil {
		return fmt.Errorf("--face: %w", err)
	}
	return nil
}

// wallTable is the light on sides of the tank, with the names of their files.
func wallTable(m *result.Map, look render.Look) answer.Table {
	var records []answer.Answer
	for _, w := range m.Walls {
		name, g := render.FaceFileName(w.Name), w.Field.Grid
		record := append(answer.Answer{answer.Figure{Key: "name", Title: "face", Value: w.Name}},
			lightFigures(m.Goal.Shown, w.Illuminance, w.PPFD)...)
		records = append(records, append(record, fields("standard_error_lx", w.ErrorLx, "from", w.Ends[0], "to", w.Ends[1],
			"length_mm", millimetres(float64(g.NX)*g.StepXM), "height_mm", millimetres(float64(g.NY)*g.StepYM),
			"covered_share", w.Field.Solid.Share(), "csv", name+".csv", "png", name+"."+string(look.Format))...))
	}
	return answer.Rows("faces", "Light on faces of the tank", records...)
}
