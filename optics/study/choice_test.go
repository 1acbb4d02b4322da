package study

import (
	"context"
	"flag"
	"fmt"
	"math"
	"testing"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/optics/scenetest"
	"fathomlux/scene"
	"fathomlux/scene/edit"
	"fathomlux/scene/longtest"
)

// brute holds all choices of six tanks against a map of each candidate, which takes minutes.
var brute = flag.Bool("brute", false, "hold the choices of sweep and arrange against maps of all candidates of six tanks")

// TestChoicesAreThoseOfMaps: what sweep and arrange choose in pale and turbid tanks is within 0.5 % of the best that maps of
// all candidates, each on its own, find: the least power that meets the goal, and the highest uniformity.
func TestChoicesAreThoseOfMaps(t *testing.T) {
	t.Parallel()
	names, heights, beams, currents := []string{"cube", "pale"}[:longtest.Pick(1, 2)], longtest.Pick(2, 3), longtest.Pick(1, 2), 2
	if *brute {
		names, heights, beams, currents = []string{"sand", "pale", "white", "cloudy", "cube", "drawn"}, 5, 4, 3
	}
	for _, name := range names {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			sc := drawnTank(t, 9)
			if name != "drawn" {
				sc = paleTank(t, name)
			}
			axes := []edit.Range{scenetest.Axis(t, "height", scenetest.Steps(0.1, 0.04, heights)...),
				scenetest.Axis(t, "beam", scenetest.Steps(50*math.Pi/180, 20*math.Pi/180, beams)...),
				scenetest.Axis(t, "current", scenetest.Steps(0.2, 0.1, currents)...)}
			choiceOfSweep(t, sc, SweepOptions{Axes: axes, StepM: 0.02, Workers: 2})
		})
	}
	if *brute || longtest.Pick(false, true) {
		t.Run("places", func(t *testing.T) { choiceOfPlaces(t, paleTank(t, "pale")) })
	}
}

// mapped is the plane of the goal by a map of one scene.
func mapped(t *testing.T, sc *scene.Scene) (*result.Plane, *result.Map) {
	t.Helper()
	m, err := optics.Map(context.Background(), sc, optics.Options{StepM: 0.02, Workers: 2, Planes: []scene.PlaneRef{optics.JudgedPlane(sc)}})
	if err != nil {
		t.Fatal(err)
	}
	return &m.Planes[0], m
}

func choiceOfSweep(t *testing.T, sc *scene.Scene, o SweepOptions) {
	s, err := Sweep(context.Background(), sc, o)
	if err != nil {
		t.Fatal(err)
	}
	// a goal that a third of the candidates meet
	best := 0.0
	for _, c := range s.Candidates {
		best = max(best, c.Illuminance.MinOverMean)
	}
	mean := s.Candidates[len(s.Candidates)/2].Illuminance.Mean
	sc.Goal.IlluminanceLx, sc.Goal.Uniformity = math.Round(0.9*mean), math.Floor(90*best)/100
	if s, err = Sweep(context.Background(), sc, o); err != nil {
		t.Fatal(err)
	}
	type light struct{ worth, power float64 } // worth is how much of the goal there is, at most 1
	lit := func(c *result.Candidate) light {
		variant, err := o.with(sc, c.Values)
		if err != nil {
			t.Fatal(err)
		}
		p, m := mapped(t, variant)
		return light{min(p.Illuminance.Mean/sc.Goal.IlluminanceLx, p.Illuminance.MinOverMean/sc.Goal.Uniformity), m.PowerW}
	}
	least, nearest := math.Inf(1), 0.0
	var chosen light
	for i := range s.Candidates {
		one := lit(&s.Candidates[i])
		if nearest = max(nearest, one.worth); one.worth > 1.005 {
			least = min(least, one.power)
		}
		if i == s.Best {
			chosen = one
		}
	}
	told := fmt.Sprintf("%d candidates, goal %g lx and %g: chosen %v of %.4g W with %.4f of the goal; least %.4g W, nearest %.4f", len(s.Candidates), sc.Goal.IlluminanceLx, sc.Goal.Uniformity,
		s.Candidates[s.Best].Values, chosen.power, chosen.worth, least, nearest)
	t.Log(told)
	if math.IsInf(least, 1) || chosen.worth < 0.995 || chosen.power > 1.005*least { // some candidate meets the goal, see above
		t.Error(told)
	}
}

// choiceOfPlaces arranges two modules, and holds their uniformity against that of maps at spacings of 40 mm and its multiples.
func choiceOfPlaces(t *testing.T, sc *scene.Scene) {
	with := func(spacingM float64) *scene.Scene {
		count, err := edit.VariableNamed("count")
		if err != nil {
			t.Fatal(err)
		}
		spacing, err := edit.VariableNamed("spacing")
		if err != nil {
			t.Fatal(err)
		}
		variant, err := edit.With(sc, edit.Change{Variable: count, Value: 2}, edit.Change{Variable: spacing, Value: spacingM})
		if err != nil {
			t.Fatal(err)
		}
		return variant
	}
	two := with(0.2)
	two.Goal.IlluminanceLx = 1
	out, err := Arrange(context.Background(), two, ArrangeOptions{RoundM: 0.01, SweepOptions: SweepOptions{StepM: 0.02, Workers: 2}})
	if err != nil {
		t.Fatal(err)
	}
	p, _ := mapped(t, out.Scene)
	best, at := 0.0, 0.0
	for spacingM := 0.12; spacingM < 0.75; spacingM += 0.04 {
		one := with(spacingM)
		one.Goal.IlluminanceLx = 1
		if q, _ := mapped(t, one); q.Illuminance.MinOverMean > best {
			best, at = q.Illuminance.MinOverMean, spacingM
		}
	}
	t.Logf("arranged %.4f; best of spacings %.4f at %g m", p.Illuminance.MinOverMean, best, at)
	if p.Illuminance.MinOverMean < 0.995*best {
		t.Errorf("arranged for %.4f; at a spacing of %g m it is %.4f", p.Illuminance.MinOverMean, at, best)
	}
}
