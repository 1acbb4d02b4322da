package study

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/optics/scenetest"
	"fathomlux/optics/tolerance"
	"fathomlux/scene"
	"fathomlux/scene/edit"
)

// rocky is an evenly lit tank, of which nothing is matt, with a flat stone in its middle.
const rocky = `
tank:
  length: 600 mm
  width: 400 mm
  height: 350 mm
  water: {depth: 300 mm}
  floor: {diffuse: 0}
  obstacles: [{name: stone, from: [250 mm, 150 mm, 0 mm], to: [350 mm, 250 mm, 30 mm], opaque: true}]
rails:
  - name: main
    length: 500 mm
    above_water: 300 mm
    modules: {part: quad-neutral, optic: bare-120, count: 3, spacing: 180 mm, current: 350 mA}
goal: {plane: floor, uniformity: 0.2}
`

func TestNoStatisticCountsWhatIsInsideAStone(t *testing.T) {
	t.Parallel()
	sc := scenetest.Read(t, rocky)
	m := compute(t, sc, optics.Options{StepM: 0.02, Planes: []scene.PlaneRef{optics.JudgedPlane(sc)}})
	p := m.Planes[0]
	if got, want := p.Field.Solid.Share(), 0.1*0.1/(0.6*0.4); math.Abs(got-want) > 0.02 {
		t.Fatalf("%g of the cells are marked, the stone covers %g", got, want)
	}
	if p.Illuminance.MinOverMean < 0.05 {
		t.Errorf("min/mean %g: the stone's own footprint is counted", p.Illuminance.MinOverMean)
	}
	if !strings.Contains(fmt.Sprint(m.Warnings), "obstacles fill") {
		t.Errorf("warnings %q", m.Warnings)
	}
	s, err := optics.NewSession(sc, optics.LightOptions{StepM: 0.02, Workers: 2})
	if err != nil {
		t.Fatal(err)
	}
	live, err := s.Glance(context.Background(), sc, result.View{})
	if err != nil {
		t.Fatal(err)
	}
	swept, err := Sweep(context.Background(), sc, SweepOptions{StepM: 0.02, Workers: 2, Axes: []edit.Range{scenetest.Axis(t, "current", 0.35)}})
	if err != nil {
		t.Fatal(err)
	}
	spread, err := tolerance.Compute(context.Background(), sc, m, optics.Options{Workers: 2})
	if err != nil {
		t.Fatal(err)
	}
	for what, got := range map[string]float64{"live": live.Plane.Illuminance.MinOverMean, "sweep": swept.Candidates[0].Illuminance.MinOverMean, "tolerance, high": spread.MinOverMean.High} {
		if math.Abs(got/p.Illuminance.MinOverMean-1) > 0.3 {
			t.Errorf("%s: min/mean %.3f, the map's is %.3f", what, got, p.Illuminance.MinOverMean)
		}
	}
}

func TestTopOfAStoneIsNoInside(t *testing.T) {
	t.Parallel()
	for depth, inside := range map[string]bool{"floor": true, "280 mm": true, "270 mm": false, "269 mm": false} {
		sc := scenetest.Read(t, rocky, "plane: floor", "plane: "+depth)
		m := compute(t, sc, optics.Options{StepM: 0.02, Planes: []scene.PlaneRef{optics.JudgedPlane(sc)}})
		if got := m.Planes[0].Field.Solid.Share() > 0; got != inside {
			t.Errorf("plane %s: cells inside the stone: %v, want %v", depth, got, inside)
		}
	}
}
