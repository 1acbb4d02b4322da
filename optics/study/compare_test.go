package study

import (
	"context"
	"math"
	"strings"
	"testing"

	"fathomlux/optics"
	"fathomlux/optics/scenetest"
	"fathomlux/scene"
	"fathomlux/scene/longtest"
	"fathomlux/scene/unit"
)

func TestCompareOptics(t *testing.T) {
	t.Parallel()
	sc := scenetest.Read(t, scenetest.Narrow)
	var list []Contender
	for _, name := range []string{"round-15", "round-60", "bare-120"} {
		list = append(list, Contender{Name: name, Scene: WithOptic(sc, sc.Catalogue.Optics[name])})
	}
	c, err := Compare(context.Background(), list, optics.Options{StepM: 0.02, Workers: 2, Cold: true})
	if err != nil {
		t.Fatal(err)
	}
	for i, one := range c.Candidates {
		m := compute(t, list[i].Scene, optics.Options{StepM: 0.02, Cold: true})
		if one.Illuminance != m.Planes[2].Illuminance || c.Maps[i].Planes[0].Name != "floor" {
			t.Errorf("%s: %+v, a map gives %+v", one.Name, one.Illuminance, m.Planes[2].Illuminance)
		}
		// Walls above the water take some on the way, walls below it some after: the light that enters lies between.
		b, enteredLm := m.Balance, c.Maps[i].Balance.Entered
		if low, high := b.Floor+b.Water, b.Emitted-b.Optic-b.Cover-b.Spill-b.Surface; enteredLm < low || enteredLm > high {
			t.Errorf("%s: %g lm enter the water, the flux balance says %g to %g", one.Name, enteredLm, low, high)
		}
		volts, _ := sc.Rails[0].Modules[0].Part.ForwardV.At(0.35) // of one die; three modules of four at 350 mA
		if want := 3 * 4 * volts * 0.35; math.Abs(one.PowerW-want) > 1e-9 {
			t.Errorf("%s: %g W, want %g", one.Name, one.PowerW, want)
		}
	}
	if sc.Rails[0].Modules[0].Optic.Name != "round-60" {
		t.Error("the scene itself was changed")
	}
	if c.Candidates[c.Best].Name == "round-15" || !strings.Contains(c.Verdict.Sentence(unit.Metric), c.Candidates[c.Best].Name) {
		t.Errorf("best %s: %q", c.Candidates[c.Best].Name, c.Verdict)
	}
}

func TestCompareWithPhotonsIsTheMap(t *testing.T) {
	sc := scenetest.Read(t, scenetest.Narrow)
	o := optics.Options{StepM: 0.02, Workers: 2, Seed: 3}
	c, err := Compare(context.Background(), []Contender{{Name: "as it is", Scene: sc}}, o)
	if err != nil {
		t.Fatal(err)
	}
	o.Planes = []scene.PlaneRef{optics.JudgedPlane(sc)}
	if m := compute(t, sc, o); c.Maps[0].Engine != "full" || c.Candidates[0].Illuminance != m.Planes[0].Illuminance || c.Maps[0].Balance != m.Balance {
		t.Errorf("%+v, a map gives %+v", c.Candidates[0].Illuminance, m.Planes[0].Illuminance)
	}
}

func TestCompareVerdicts(t *testing.T) {
	t.Parallel()
	for what, row := range map[string]struct {
		replace []string
		want    string
	}{
		"none":    {[]string{"illuminance: 1000 lx, uniformity: 0.6", "illuminance: 90000 lx"}, "No candidate meets the goal; the nearest is "},
		"all":     {[]string{"illuminance: 1000 lx, uniformity: 0.6", "illuminance: 10 lx"}, "met by 2 of 2"},
		"one":     {[]string{"uniformity: 0.6", "uniformity: 0.25"}, "is below 0.25"},
		"no goal": {[]string{"goal: {plane: floor, illuminance: 1000 lx, uniformity: 0.6}", ""}, "no goal is set"},
	} {
		sc := scenetest.Read(t, scenetest.Narrow, row.replace...)
		c, err := Compare(context.Background(), []Contender{{"narrow", WithOptic(sc, sc.Catalogue.Optics["round-15"])}, {"wide", WithOptic(sc, sc.Catalogue.Optics["round-90"])}}, optics.Options{StepM: 0.05})
		if err != nil || !strings.Contains(c.Verdict.Sentence(unit.Metric), row.want) {
			t.Errorf("%s: error %v, verdict %q", what, err, c.Verdict)
		}
	}
	if _, err := Compare(context.Background(), nil, optics.Options{}); err == nil {
		t.Error("no scenes: no error")
	}
}

// TestCompareContrasts: under a brisk surface the net of light of a narrow lens sways more than that of a wide one, by what
// a frozen surface at as many moments says; a still surface makes no net, and where all are still nothing is said.
func TestCompareContrasts(t *testing.T) {
	t.Parallel()
	read := func(optic, ripple string) Contender {
		return Contender{Name: optic + " " + ripple, Scene: scenetest.Read(t, scenetest.Narrow, "kind: pure", "kind: pure, ripple: "+ripple,
			"count: 3", "count: 1", "round-60", optic)}
	}
	list := []Contender{read("round-25", "brisk"), read("bare-120", "brisk"), read("round-25", "still")}
	o := optics.Options{StepM: 0.02, Workers: 2, Cold: true}
	c, err := Compare(context.Background(), list, o)
	if err != nil {
		t.Fatal(err)
	}
	if of := c.Contrasts; len(of) != 3 || !(of[0] > 1.2*of[1]) || !(of[1] > 0.01) || of[2] != 0 {
		t.Errorf("contrasts %v", of)
	}
	net, err := optics.Shimmer(context.Background(), list[0].Scene, optics.ShimmerOptions{Plane: list[0].Scene.Goal.Plane,
		Moments: longtest.Pick(1, 3) * contrastMoments, ContrastsAlone: true, Workers: 2, Cold: true})
	if err != nil {
		t.Fatal(err)
	}
	if all := net.Contrasts[len(net.Contrasts)-1].All; math.Abs(c.Contrasts[0]/all-1) > 0.15 { // fewer moments tell less
		t.Errorf("contrast %g, of more moments %g", c.Contrasts[0], all)
	}
	if c, err = Compare(context.Background(), list[2:], o); err != nil || c.Contrasts != nil {
		t.Errorf("of still surfaces: %v, %v", c.Contrasts, err)
	}
}
