package bill_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"fathomlux/scene/bill"
	"fathomlux/scene/scenetest"
	"fathomlux/scene/wiring"
)

// TestTwentyFourStrips is a rail of 2.4 m with 24 strips at 350 mA, split over drivers, by hand: a strip is six dies in series, 16.9 V warm,
// and bears 1000 mA. Two strings of three (52 V) need the driver of IP20; so four strips on each of six drivers of 1400 mA:
//
//	27 strips at 5.40    145.80    (24, and 10 % more rounded up)
//	6 drivers at 29      174.00
//	2.4 m of bar at 46   110.40
//	wire of strip n: twice 2 m of lead and its place, 61.5 mm + (n-1) 99 mm; over all 2 (24*2 + 24*0.0615 + 0.099*276) = 153.6 m,
//	a tenth more, at 0.26 a metre    43.93
func TestTwentyFourStrips(t *testing.T) {
	sc := scenetest.Parse(t, `tank: {length: 2400 mm, width: 700 mm, height: 480 mm, water: {depth: 420 mm}}
rails:
  - {name: long, length: 2400 mm, above_water: 160 mm, profile: finned-80x25, modules: {part: strip-neutral, optic: bare-120, count: 24, spacing: 99 mm, current: 350 mA}}
wiring: {hours: 9 h}
`)
	groups, err := wiring.Wire(sc, wiring.Request{LeadM: 2})
	if err != nil || len(groups) != 6 {
		t.Fatalf("%d drivers, %v", len(groups), err)
	}
	b := bill.Of(sc, groups, 0.1)
	for kind, want := range map[string]float64{"module": 145.80, "driver": 174, "profile": 110.40, "wire": 153.6 * 1.1 * 0.26} {
		if l := lineOf(t, b, kind, ""); math.Abs(l.Sum.Amount-want) > 1e-6 {
			t.Errorf("%s: %+v, want %g", kind, l, want)
		}
	}
	if want := 145.80 + 174 + 110.40 + 153.6*1.1*0.26; len(b.Totals) != 1 || math.Abs(b.Totals[0].Amount-want) > 1e-6 {
		t.Errorf("%+v, want %g", b.Totals, want)
	}
}

// TestNanoBelowTwelveVolts is one module of 11.4 V at most, on one driver: a single string, which no fault overloads.
func TestNanoBelowTwelveVolts(t *testing.T) {
	sc := scenetest.Parse(t, `tank: {length: 300 mm, width: 200 mm, height: 250 mm, water: {depth: 220 mm}}
rails:
  - {length: 250 mm, above_water: 100 mm, modules: {part: quad-neutral, optic: round-60, x: 150 mm, current: 350 mA}}
`)
	groups, err := wiring.Wire(sc, wiring.Request{LeadM: 1})
	if err != nil || len(groups) != 1 {
		t.Fatalf("%d drivers, %v", len(groups), err)
	}
	g := &groups[0]
	if v := g.Chosen.Fit.Verdict; !g.Chosen.Fed() || g.Chosen.Harm || v.WorkV > 12 || v.WorkV < 10 || v.OpenV <= v.WorkV || g.Chosen.Fit.Exposed || len(g.Circuit.Strings) != 1 {
		t.Errorf("%+v", g.Chosen)
	}
}

// randomScene is up to three rails with up to three kinds of modules each, at currents that drivers give.
func randomScene(r *rand.Rand) string {
	var b strings.Builder
	b.WriteString("tank: {length: 2 m, width: 800 mm, height: 500 mm, water: {depth: 450 mm}}\nrails:\n")
	for i := range 1 + r.IntN(3) {
		fmt.Fprintf(&b, "  - name: r%d\n    profile: finned-80x25\n    length: 1.9 m\n    above_water: 180 mm\n    y: %d mm\n    modules:\n", i, 150+220*i)
		for k := range 1 + r.IntN(3) {
			part := []string{"quad-cool", "quad-blue", "quad-neutral", "quad-red"}[r.IntN(4)]
			fmt.Fprintf(&b, "      - {part: %s, optic: round-60, count: %d, spacing: 110 mm, centre: %d mm, current: %d mA}\n", part, 1+r.IntN(9), 960+35*k, []int{350, 500, 700}[r.IntN(3)])
		}
	}
	return b.String() + "wiring: {hours: 9 h}\n"
}

// TestTwentyRandomScenes: no string mixes kinds, each module is fed once, no first fault is above a limit unless the choice says so (and
// then the text leads with it), and no driver or wire in the bill is without a price.
func TestTwentyRandomScenes(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(14, 2))
	for n := range 20 {
		text := randomScene(r)
		sc := scenetest.Parse(t, text)
		groups, err := wiring.Wire(sc, wiring.Request{LeadM: 2})
		if err != nil {
			t.Fatalf("%v in\n%s", err, text)
		}
		fed := map[string]int{}
		for i := range groups {
			g := &groups[i]
			if !g.Chosen.Fed() {
				t.Errorf("scene %d: %s has no driver: %s", n, g.Name, g.Chosen.Why)
			}
			if over := len(g.Open.Over)+len(g.Short.Over) > 0; over != g.Guard.Needed || over != g.Chosen.Harm && (over || len(g.Circuit.Strings) < 2) {
				t.Errorf("scene %d: %s: overloaded %v, and the choice says %v", n, g.Name, over, g.Chosen.Harm)
			}
			for _, line := range g.Circuit.Strings {
				for _, m := range line {
					if fed[m.Name]++; m.Part.Name != line[0].Part.Name {
						t.Errorf("scene %d: a string mixes %s and %s", n, m.Part.Name, line[0].Part.Name)
					}
				}
			}
		}
		for _, m := range sc.Seats() {
			if fed[sc.SeatName(m)] != 1 {
				t.Errorf("scene %d: module %s is fed %d times", n, sc.SeatName(m), fed[sc.SeatName(m)])
			}
		}
		for _, l := range bill.Of(sc, groups, 0.1).Lines {
			if (l.Kind == "driver" || l.Kind == "wire" || l.Kind == "fuse") && (l.Each.Currency == "" || l.Sum.Amount <= 0) {
				t.Errorf("scene %d: no price of %+v", n, l)
			}
		}
	}
}
