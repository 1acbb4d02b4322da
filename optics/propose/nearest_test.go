package propose

import (
	"context"
	"math"
	"slices"
	"testing"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/scene/longtest"
)

// TestNearestAndWhatWouldHelp: where a limit lets nothing through, the nearest light is the one that breaks it least, and
// loosening that limit is what would help.
func TestNearestAndWhatWouldHelp(t *testing.T) {
	t.Parallel()
	o := Options{Rows: []int{1}, VoltsAtMost: 60, MaxModules: 4, HeightsM: []float64{0.1}, Workers: 2, Budget: 5,
		Parts: few("single-neutral", "round-60", "cc-700", "u-30x15")}
	sc := tank(t, 400, 250, 300, "}\ngoal: {illuminance: 800 lx}")
	found, err := Run(context.Background(), sc, o)
	if err != nil || len(found.Lights) != 0 || found.Nearest == nil || len(found.Looser) == 0 {
		t.Fatalf("%v, %+v", err, found)
	}
	first := found.Looser[0]
	if first.Limit != "--budget" || first.Need < found.Nearest.Money.Amount*0.99 {
		t.Errorf("%+v for a light of %v", first, found.Nearest.Money)
	}
	o.Budget = math.Ceil(first.Need)
	if found, err = Run(context.Background(), sc, o); err != nil || len(found.Lights) == 0 {
		t.Errorf("with %g: %v, %+v", o.Budget, err, found)
	}
}

// TestNearestAgainstBruteForce: where no light meets the goal, the nearest misses by as little as the best of all lights that
// can be built, and is the cheapest of those that miss as little by as few figures. A colour out of
// reach leaves the level met, a level out of reach the colour; where both are out of reach, both are missed by the least;
// and where nothing can be built, what the limit allows least is still the nearest to the goal.
func TestNearestAgainstBruteForce(t *testing.T) {
	t.Parallel()
	cases := []struct {
		name, goal string
		limit      Options
		misses     []string
		looser     string
	}{
		{"colour", "illuminance: 5000 lx, colour: 8000 K", Options{}, []string{result.MeanColour}, "the goal's colour"},
		{"level, by money", "illuminance: 6000 lx, colour: 4200 K", Options{Budget: 33}, []string{"mean illuminance"}, "--budget"},
		{"level, by power", "illuminance: 8000 lx, colour: 4200 K", Options{WattsAtMost: 12}, []string{"mean illuminance"},
			"the goal's mean"},
		{"both", "illuminance: 60000 lx, colour: 8000 K", Options{}, []string{"mean illuminance", result.MeanColour}, ""},
		{"nothing can be built", "illuminance: 5000 lx, colour: 8000 K", Options{Budget: 2}, []string{result.MeanColour}, ""},
	}
	for _, c := range longtest.Pick(cases[:1], cases) {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			o := Options{Rows: []int{1}, VoltsAtMost: 60, MaxModules: 2, HeightsM: []float64{0.1}, Workers: 2,
				Budget: c.limit.Budget, WattsAtMost: c.limit.WattsAtMost,
				Parts: few("quad-neutral", "quad-cool", "round-60", "bare-120", "cc-350", "cc-700", "u-30x15")}
			sp := space{c.name, tank(t, 500, 300, 250, dark+"}\ngoal: {"+c.goal+"}"), o}
			nearestOf(t, sp, c.misses, c.looser)
		})
	}
}

// nearestOf holds the nearest light of a space against all of its lights.
func nearestOf(t *testing.T, sp space, misses []string, looser string) {
	t.Helper()
	found, err := Run(context.Background(), sp.scene, sp.o)
	if err != nil || len(found.Lights) != 0 || found.Nearest == nil {
		t.Fatalf("%v, %+v", err, found)
	}
	var missed []string
	for _, m := range found.Nearest.Candidate.Goal.Misses {
		missed = append(missed, m.What)
	}
	if !slices.Equal(missed, misses) {
		t.Errorf("misses %q, not %q", missed, misses)
	}
	if first := append(found.Looser, Looser{})[0]; first.Limit != looser {
		t.Errorf("%+v would help, not %q", found.Looser, looser)
	}
	light, err := optics.NewLight(sp.scene, optics.LightOptions{StepM: 0.02, Workers: 2})
	if err != nil {
		t.Fatal(err)
	}
	if found.Nearest.Money.Amount > sp.o.Budget { // nothing can be built within it
		sp.o.Budget = 0
	}
	s, least, cheapest := (*seeker)(nil), math.Inf(1), math.Inf(1)
	var all []*Light
	everyLight(t, sp, light, func(by *seeker, l *Light) {
		s, all = by, append(all, l)
		_, sum := s.missed(l)
		least = min(least, sum)
	})
	for _, l := range all {
		if few, sum := s.missed(l); sum < least+sameLack && few == len(misses) {
			cheapest = min(cheapest, l.Money.Amount)
		}
	}
	const coarse = 0.01 // cells of 20 mm against those of a map
	if _, sum := s.missed(found.Nearest); sum > least+sameLack+coarse {
		t.Errorf("misses by %.3f, the nearest of %d by %.3f", sum, len(all), least)
	}
	if got := found.Nearest.Money.Amount; sp.o.WattsAtMost == 0 && got > cheapest*1.02 {
		t.Errorf("costs %.2f, the cheapest of those that miss as little %.2f", got, cheapest)
	}
}
