package propose

import (
	"context"
	"math"
	"testing"

	"fathomlux/optics"
	"fathomlux/scene"
	"fathomlux/scene/longtest"
	"fathomlux/scene/operating"
	"fathomlux/scene/wiring"
)

// tanks are from a nano of 20 litres to 2.4 m: planted and reef, pale and dark, with a hood and without, in a hot room.
func tanks(t *testing.T) []*scene.Scene {
	const film, lux = ", walls: {back: {paint: 0.08}}", "}\ngoal: {illuminance: "
	return []*scene.Scene{
		tank(t, 350, 220, 280, lux+"1500 lx}"),
		tank(t, 600, 300, 360, film+lux+"2500 lx, uniformity: 0.4}"),
		tank(t, 900, 450, 450, ", floor: {diffuse: 0.5}}\ngoal: {ppfd: 60 umol/m2/s}"),
		tank(t, 1000, 500, 500, ", floor: {diffuse: 0.05}"+film+"}\ngoal: {dli: 2 mol/m2/day}"),
		tank(t, 1200, 500, 600, ", cover: {material: glass, thickness: 4 mm, above_water: 30 mm}"+lux+"1800 lx}"),
		tank(t, 1500, 600, 600, lux+"1500 lx, uniformity: 0.3}\nambient: {air: 38 C}"),
		tank(t, 2400, 700, 650, film+lux+"800 lx}"),
		tank(t, 800, 400, 400, lux+"2000 lx}\nambient: {air: 26 C, hood: {length: 820 mm, width: 420 mm, height: 150 mm}}"),
		tank(t, 700, 500, 350, "}\ngoal:\n  - {plane: floor, ppfd: 40..90 umol/m2/s}\n  - {plane: 100 mm, highest: "+
			"350 umol/m2/s}"),
		tank(t, 500, 500, 500, ", walls: {back: {paint: 0.8}, left: {paint: 0.8}}"+lux+"1200 lx}"),
	}
}

// TestProposalsAreWhatTheyPromise reads the text of each proposal anew: there is nothing to warn of, the map shows the
// promised light (to 0.5 % of the mean and 1 % of U0), and heat and wiring the promised power and voltage.
func TestProposalsAreWhatTheyPromise(t *testing.T) {
	t.Parallel()
	full := longtest.Pick(false, true)
	for i, sc := range tanks(t)[:longtest.Pick(1, 10)] {
		module := []string{"single-neutral", "quad-neutral", "strip-neutral"}[i%3]
		o := Options{Rows: []int{1 + i%2}, VoltsAtMost: 60, MaxModules: longtest.Pick(5, 40), HeightsM: Heights(0.1, 0.2, 2)[:longtest.Pick(1, 2)], Workers: 2,
			Parts: few(module, "quad-neutral", "round-60", "bare-120", "cc-700-20w", "cc-700", "u-30x15", "bar-40x20",
				"finned-80x25")}
		if !full {
			o.Parts = few(module, "round-60", "cc-700", "u-30x15")
		}
		found, err := Run(context.Background(), sc, o)
		if err != nil || len(found.Lights) == 0 {
			t.Errorf("%g m: %v, %+v", sc.Tank.LengthM, err, found)
			continue
		}
		for _, l := range found.Lights {
			kept(t, l)
		}
	}
}

// kept holds a light against what its text says.
func kept(t *testing.T, l *Light) {
	t.Helper()
	sc, err := scene.Parse("tank.yaml", l.Text, nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range append(append(sc.Warnings, wiring.Warnings(sc)...), sc.HoodWarnings()...) {
		if f.Code.Name != "cover-touches-water" {
			t.Errorf("%v: %v", l.Words, f)
		}
	}
	m, err := optics.Map(context.Background(), sc, optics.Options{Planes: []scene.PlaneRef{optics.JudgedPlane(sc)}})
	if err != nil {
		t.Fatal(err)
	}
	got, want := m.Goal.Parts[0].Light.Of(m.Goal.Shown), l.Counted()
	if !m.Goal.Met || math.Abs(got.Mean/want.Mean-1) > 0.005 || math.Abs(got.MinOverMean/want.MinOverMean-1) > 0.01 {
		t.Errorf("%v: mean %g and U0 %g, promised %g and %g", l.Words, got.Mean, got.MinOverMean, want.Mean,
			want.MinOverMean)
	}
	point, err := operating.Of(sc)
	if err != nil || point.TooHot().Any() {
		t.Fatalf("%v: %v, %v", l.Words, err, point)
	}
	groups, err := wiring.Wire(sc, wiring.Request{JunctionC: point.JunctionC, LeadM: leadM})
	if err != nil {
		t.Fatal(err)
	}
	if w := wiring.RunningOf(sc, groups).MainsW; math.Abs(w/l.MainsW-1) > 1e-9 {
		t.Errorf("%v: %g W, promised %g", l.Words, w, l.MainsW)
	}
}

// TestInterruptedSearchKeepsItsLight: a search that is ended after its first light gives that, and says that it is not
// complete.
func TestInterruptedSearchKeepsItsLight(t *testing.T) {
	t.Parallel()
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	o := Options{Rows: []int{1}, VoltsAtMost: 60, MaxModules: 4, HeightsM: []float64{0.1}, Workers: 2,
		First: func(*Light) { cancel() }, Parts: few("single-neutral", "round-60", "round-90", "bare-120", "round-40",
			"cc-700", "u-30x15")}
	found, err := Run(ctx, tank(t, 400, 250, 300, "}\ngoal: {illuminance: 800 lx}"), o)
	if err != nil || found.Complete || len(found.Lights) != 1 || found.Lights[0].Text == nil {
		t.Errorf("%v, %+v", err, found)
	}
}
