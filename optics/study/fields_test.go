package study

import (
	"context"
	"fmt"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/optics/scenetest"
	"fathomlux/scene"
	"fathomlux/scene/edit"
	"fathomlux/scene/longtest"
)

// lights are scenes whose faint wide light reaches places that nothing else does: a tilted rail, several lenses, and some tanks drawn
// by chance with a fixed seed. Nothing in them is matt, so that all light is that of images, and what the water scatters.
func lights(t *testing.T) map[string]*scene.Scene {
	const text = `
tank:
  length: %d mm
  width: %d mm
  height: %d mm
  water: {depth: %d mm, kind: clear}
  walls: {front: %s, left: %s, right: %s, back: {paint: 0}}
  floor: {diffuse: 0}
  cover: {material: glass, thickness: 4 mm, above_water: 30 mm}
rails:
  - {length: %d mm, above_water: %d mm, tilt: %d deg, modules: {part: quad-neutral, optic: %s, count: %d, spacing: 100 mm, current: 350 mA}}
goal: {plane: floor, illuminance: 2000 lx, uniformity: 0.15}
`
	r := rand.New(rand.NewPCG(11, 4))
	optics := []string{"round-25", "round-40", "bare-120", "round-90", "oval-60x25"}
	sides := []string{"glass", "glass", "acrylic", "{mirror: 0.9}"}
	list := map[string]*scene.Scene{}
	for i := range 10 {
		length, width, height, tilt, wall := 500+r.IntN(700), 250+r.IntN(400), 250+r.IntN(300), 0, "glass"
		optic, end := optics[i%len(optics)], sides[r.IntN(len(sides))]
		if i < len(optics) {
			tilt, length, width, height, end = 35, 1180, 430, 480, "glass"
		}
		name := fmt.Sprintf("%d: %s, tilted %d deg", i, optic, tilt)
		list[name] = scenetest.Read(t, fmt.Sprintf(text, length, width, height, height-60, wall, end, end, length-20, 120+r.IntN(80), tilt, optic, 2+r.IntN(3)))
	}
	return list
}

// TestUnitFieldsGiveTheLightOfMaps: sweep, arrange and live count the images that maps count, so that they give their mean
// and their lowest value.
func TestUnitFieldsGiveTheLightOfMaps(t *testing.T) {
	t.Parallel()
	const stepM = 0.03
	all := lights(t)
	for _, name := range longtest.Pick([]string{"2: bare-120, tilted 35 deg", "6: round-40, tilted 0 deg"}, slices.Collect(maps.Keys(all))) {
		sc := all[name]
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			mapped := func(sc *scene.Scene) result.Statistics {
				m := compute(t, sc, optics.Options{StepM: stepM, Cold: true, Planes: []scene.PlaneRef{optics.JudgedPlane(sc)}})
				return m.Planes[0].Illuminance
			}
			same := func(who string, got, want result.Statistics) {
				t.Helper()
				if math.Abs(got.Mean/want.Mean-1) > 0.001 || math.Abs(got.Min-want.Min) > 0.001*want.Min {
					t.Errorf("%s: mean %.6g lx, lowest %.6g lx; a map gives %.6g and %.6g", who, got.Mean, got.Min, want.Mean, want.Min)
				}
			}
			own, whole := &sc.Rails[0], mapped(sc)
			swept, err := Sweep(context.Background(), sc, SweepOptions{StepM: stepM, Cold: true, Axes: []edit.Range{scenetest.Axis(t, "spacing", longtest.Pick([]float64{0.15}, []float64{0.1, 0.15})...), scenetest.Axis(t, "height", own.AboveWaterM+0.05)}})
			if err != nil {
				t.Fatal(err)
			}
			same("the scene of a sweep", swept.Own.Illuminance, whole)
			for i, c := range swept.Candidates {
				var changes []edit.Change
				for k, name := range []string{"spacing", "height"} {
					v, _ := edit.VariableNamed(name)
					changes = append(changes, edit.Change{Variable: v, Value: c.Values[k]})
				}
				other, err := edit.With(sc, changes...)
				if err != nil {
					t.Fatal(err)
				}
				same(fmt.Sprintf("candidate %d of a sweep", i), c.Illuminance, mapped(other))
			}
			s, err := optics.NewSession(sc, optics.LightOptions{StepM: stepM, Cold: true})
			if err != nil {
				t.Fatal(err)
			}
			same("live", glance(t, s, sc).Plane.Illuminance, whole)
			a, err := newArranger(sc, ArrangeOptions{SweepOptions: SweepOptions{StepM: stepM, Cold: true}})
			if err != nil {
				t.Fatal(err)
			}
			if a.light, err = a.options.light(sc, stepM, 0); err != nil { // by which an arrangement is judged in the end
				t.Fatal(err)
			}
			told, err := a.exact(context.Background(), sc)
			if err != nil {
				t.Fatal(err)
			}
			same("arrange", told.Illuminance, whole)
		})
	}
}
