package wiring_test

import (
	"math"
	"reflect"
	"slices"
	"strings"
	"testing"

	"fathomlux/scene"
	"fathomlux/scene/circuit"
	"fathomlux/scene/edit"
	"fathomlux/scene/finding"
	"fathomlux/scene/operating"
	"fathomlux/scene/parts"
	"fathomlux/scene/practicetest"
	"fathomlux/scene/scenetest"
	"fathomlux/scene/unit"
	"fathomlux/scene/wiring"
)

// at25C is the junction temperature at which the built-in parts' tables hold.
func at25C(parts.Mounted) float64 { return 25 }

// wireOf wires a scene with junctions at 25 C and a lead of 2 m.
func wireOf(t *testing.T, text string) (*scene.Scene, []wiring.Group) {
	t.Helper()
	sc := scenetest.Parse(t, text)
	groups, err := wiring.Wire(sc, wiring.Request{JunctionC: at25C, LeadM: 2})
	if err != nil {
		t.Fatal(err)
	}
	return sc, groups
}

// fitOf returns how a driver fits a split.
func fitOf(t *testing.T, s circuit.Split, driver string) circuit.Fit {
	t.Helper()
	for _, f := range s.Fits {
		if f.Driver.Name == driver {
			return f
		}
	}
	t.Fatalf("no driver %s", driver)
	return circuit.Fit{}
}

// TestCommonPracticeOfSixModules: six modules of 14 V at 350 mA as two strings of three need 42 V and 700 mA, 29.4 W; a
// driver of 33.6 W for 9 to 48 V fits and takes 34.6 W from the mains at 85 %; one string of six needs 84 V and is
// flagged. Common practice, no published source; the parts are those of package practicetest.
func TestCommonPracticeOfSixModules(t *testing.T) {
	own := func(string) ([]byte, error) { return practicetest.Text, nil }
	wired := func(text string) wiring.Group {
		sc, err := scene.Parse("six.yaml", []byte(text+"parts: practice.yaml\n"), own)
		if err != nil {
			t.Fatal(err)
		}
		groups, err := wiring.Wire(sc, wiring.Request{JunctionC: at25C})
		if err != nil || len(groups) != 1 {
			t.Fatalf("%d groups (%v)", len(groups), err)
		}
		return groups[0]
	}
	g := wired(scenetest.Sound)
	const exact = 1e-9 // sums of a few floats below 100
	two := g.Chosen.Split
	if two == nil || two.Strings != 2 || two.PerString != 3 || math.Abs(two.WarmV-42) > exact || math.Abs(two.DriverA-0.7) > exact || math.Abs(two.LoadW-29.4) > exact {
		t.Errorf("two strings of three: %+v", two)
	}
	fit := g.Chosen.Fit
	if fit == nil || !fit.Fits || fit.Driver.Name != "cc-700" || fit.Driver.RatedW != 33.6 || fit.Driver.LowestV != 9 || fit.Driver.HighestV != 48 {
		t.Errorf("the driver of 33.6 W: %+v", fit)
	}
	if fit.Efficiency != 0.85 || math.Abs(fit.MainsW-34.6) > 0.05 { // the last digit given
		t.Errorf("from the mains %g W at %g", fit.MainsW, fit.Efficiency)
	}
	one := g.Plan.Splits[0]
	if one.Strings != 1 || math.Abs(one.WarmV-84) > exact || one.Touch != circuit.AboveTouch || fitOf(t, one, "cc-350").Fits {
		t.Errorf("one string of six: %g V, %s", one.WarmV, one.Touch)
	}
	if row := wired(scenetest.Edit(t, scenetest.Sound, "driver: cc-700, strings: 2", "strings: 1")); !row.Chosen.Flagged() {
		t.Error("one string of six is not flagged")
	}
}

// TestJobIsTheScene: places from the rail's own end, the scene's request and drivers, and the light after the optics.
func TestJobIsTheScene(t *testing.T) {
	sc := scenetest.Parse(t, scenetest.Sound)
	group := func(sc *scene.Scene, w wiring.Request) wiring.Group {
		groups, err := wiring.Wire(sc, w)
		if err != nil || len(groups) != 1 {
			t.Fatalf("%d groups (%v)", len(groups), err)
		}
		return groups[0]
	}
	job := group(sc, wiring.Request{JunctionC: func(m parts.Mounted) float64 { return 29 + float64(m.Number) }, LeadM: 3, FeedRight: true}).Job
	if len(job.Modules) != 6 || job.RailLengthsM[0] != 1.1 || job.Request != (circuit.Request{Strings: 2, Driver: "cc-700"}) || !job.Feed.Right || job.Feed.LeadM != 3 || job.Feed.BetweenRailsM != 0 || job.Given != circuit.Usual(24) {
		t.Errorf("job %+v", job)
	}
	if m := job.Modules[2]; m.JunctionC != 32 || m.CurrentA != 0.35 || math.Abs(m.AlongM-0.46) > 1e-12 || m.Number != 3 { // 550 - 90 mm
		t.Errorf("third module %+v", m)
	}
	cold := group(sc, wiring.Request{JunctionC: at25C}).FluxLm
	if want := 6 * 4 * parts.Builtin().Modules["quad-neutral"].FluxLm.AtOrZero(0.35) * 0.88; math.Abs(cold-want) > 1e-6 { // of round-40
		t.Errorf("%g lm leave the optics, want %g", cold, want)
	}
	if warm := group(sc, wiring.Request{JunctionC: func(parts.Mounted) float64 { return 65 }}).FluxLm; math.Abs(warm/cold-0.9) > 1e-9 { // -0.25 %/K over 40 K
		t.Errorf("40 K warmer %g of the light is left", warm/cold)
	}
	half, err := edit.Without(sc, "main:1-3")
	if err != nil {
		t.Fatal(err)
	}
	if again := group(half, wiring.Request{JunctionC: at25C}); len(again.Job.Modules) != 6 || again.FluxLm != cold {
		t.Error("dead modules are not wired like the others")
	}
}

// TestRunningByHand is two lamps of 80 W with 25 % loss beside them, 2500 hours a year at 0.30 a kilowatt-hour: 500 kWh,
// 150. Source: Theraja, A Textbook of Electrical Technology, example 49.5, p. 1901 (H3). Without a driver nothing but
// the load is known.
func TestRunningByHand(t *testing.T) {
	sc := &scene.Scene{}
	sc.Wiring.HoursPerDay, sc.Wiring.TariffPerKWh = 2500./365, parts.Money{Amount: 0.30, Currency: "EUR"}
	lamp := wiring.Group{FluxLm: 8000, Plan: circuit.Plan{Splits: []circuit.Split{{LoadW: 80}}, Chosen: circuit.Pick{Fit: &circuit.Fit{MainsW: 80 * 1.25}}}}
	r := wiring.RunningOf(sc, []wiring.Group{lamp, lamp})
	if r.LoadW != 160 || r.MainsW != 200 || math.Abs(r.KWhPerYear-500) > 1e-9 || math.Abs(r.CostPerYear.Amount-150) > 1e-9 || r.CostPerYear.Currency != "EUR" || r.LmPerMainsW != 80 {
		t.Errorf("%+v", r)
	}
	unfed := lamp
	unfed.Chosen.Fit = nil
	if r := wiring.RunningOf(sc, []wiring.Group{lamp, unfed}); r != (wiring.Running{LoadW: 160}) {
		t.Errorf("without a driver: %+v", r)
	}
}

// twoCurrents is a scene with two rails, and modules for two currents on the first.
const twoCurrents = `tank: {length: 1180 mm, width: 430 mm, height: 480 mm, water: {depth: 420 mm}}
rails:
  - name: front
    length: 1100 mm
    above_water: 160 mm
    y: 115 mm
    modules:
      - {part: quad-neutral, optic: round-40, x: 200 mm, current: 350 mA}
      - {part: quad-blue, optic: round-40, x: 400 mm, current: 500 mA}
      - {part: quad-neutral, optic: round-40, x: 600 mm, current: 350 mA}
      - {part: quad-blue, optic: round-40, x: 800 mm, current: 500 mA}
  - name: back
    length: 1100 mm
    above_water: 160 mm
    y: 315 mm
    modules: {part: quad-neutral, optic: round-40, count: 2, spacing: 180 mm, current: 350 mA}
wiring: {driver: cc-700, strings: 2, hours: 9 h}
`

// TestUnlikeCurrentsGetADriverEach: two groups, strings numbered through, the request kept where it serves.
func TestUnlikeCurrentsGetADriverEach(t *testing.T) {
	sc, groups := wireOf(t, twoCurrents)
	names := func(modules []parts.Mounted) (all string) {
		for _, m := range modules {
			all += " " + m.Name
		}
		return all
	}
	if len(groups) != 2 || names(groups[0].Job.Modules) != " front:1 front:3 back:1 back:2" || names(groups[1].Job.Modules) != " front:2 front:4" {
		t.Fatalf("groups %+v", groups)
	}
	white, blue := &groups[0], &groups[1]
	if white.Chosen.Fit.Driver.Name != "cc-700" || len(white.Notes) != 0 || white.Number(0) != 1 || len(white.Circuit.Strings) != 2 {
		t.Errorf("white: %s, %v", white.Chosen.Fit.Driver.Name, white.Notes)
	}
	if !blue.Chosen.Fed() || blue.Chosen.Fit.Driver.Name == "cc-700" || blue.Number(0) != 3 {
		t.Errorf("blue: %+v from string %d", blue.Chosen, blue.Number(0))
	}
	if notes := strings.Join(finding.Lines(blue.Notes, finding.Note, unit.Metric), "\n"); !strings.Contains(notes, "the scene asks for 2 strings, which does not serve here") || !strings.Contains(notes, "the scene asks for driver cc-700, which does not serve here") {
		t.Errorf("blue notes %v", blue.Notes)
	}
	if blue.CurrentA() != 0.5 {
		t.Errorf("blue at %g A", blue.CurrentA())
	}
	list := wiring.Strings(groups)
	if all := slices.Concat(list...); len(all) != 6 || len(list) != 3 {
		t.Errorf("strings hold %v", list)
	}
	if got := sc.SeatName(sc.Seats()[4]); got != "back:1" {
		t.Errorf("fifth module is %s", got)
	}
	if want := 0.2 + 0.1; math.Abs(blue.Job.Feed.BetweenRailsM-want) > 1e-9 { // 200 mm apart, 100 mm of slack
		t.Errorf("%g m from rail to rail, want %g", blue.Job.Feed.BetweenRailsM, want)
	}
}

// TestModulesAreCountedOnEachRail: the third module over all rails is the first of the second rail in everything that is said of
// it, the command line takes it by that name, and on the only rail a plain number serves.
func TestModulesAreCountedOnEachRail(t *testing.T) {
	t.Parallel()
	const rail = "  - {name: NAME, length: 500 mm, above_water: 160 mm, y: 115 mm, modules: {part: quad-neutral, optic: round-40, count: 2, spacing: 180 mm, current: 350 mA}}\n"
	const tank = "tank: {length: 600 mm, width: 430 mm, height: 480 mm, water: {depth: 420 mm}}\nambient: {air: 24 C}\nrails:\n"
	white, blue := strings.Replace(rail, "NAME", "white", 1), strings.Replace(strings.Replace(rail, "NAME", "blue", 1), "115", "315", 1)
	for text, want := range map[string]string{tank + white + blue: "blue:1", tank + blue: "1"} {
		sc, err := scene.Parse("two.yaml", []byte(text), nil)
		if err != nil {
			t.Fatal(err)
		}
		at := scene.Seat{Rail: len(sc.Rails) - 1}
		m := &sc.Rails[at.Rail].Modules[0]
		dead, err := edit.Without(sc, want)
		if err != nil || sc.SeatName(at) != want || !dead.Rails[at.Rail].Modules[0].Dead {
			t.Errorf("%s, want %s: %v", sc.SeatName(at), want, err)
		}
		m.Part.HighestJunctionC = 25
		o, err := operating.Of(sc)
		if err != nil || !strings.HasPrefix(o.TooHot().String(), "the junction of module "+want+" reaches ") {
			t.Errorf("want %s: %v, %v", want, o.TooHot(), err)
		}
		m.Part.LmPerW = 0
		if _, err := operating.Of(sc); err == nil || !strings.Contains(err.Error(), ": module "+want+": ") {
			t.Errorf("want %s: %v", want, err)
		}
		m.CurrentA = math.NaN()
		if _, err := wiring.Wire(sc, wiring.Request{}); err == nil || !strings.Contains(err.Error(), "module "+want+": ") {
			t.Errorf("want %s: %v", want, err)
		}
	}
}

// TestFeedFromTheRightGoesFromRightEndToRightEnd: rails of unlike length that begin at the same x end apart.
func TestFeedFromTheRightGoesFromRightEndToRightEnd(t *testing.T) {
	sc, err := scene.Parse("unlike.yaml", []byte(`
tank: {length: 1180 mm, width: 430 mm, height: 480 mm, water: {depth: 420 mm}}
rails:
  - {name: front, x: 40 mm, length: 1100 mm, above_water: 160 mm, y: 115 mm, modules: {part: quad-neutral, optic: round-40, count: 2, spacing: 180 mm, current: 350 mA}}
  - {name: back, x: 40 mm, length: 900 mm, above_water: 160 mm, y: 315 mm, modules: {part: quad-neutral, optic: round-40, count: 2, spacing: 180 mm, current: 350 mA}}
`), nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range []struct {
		right bool
		want  float64
	}{{false, 0.2 + 0.1}, {true, math.Hypot(0.2, 0.2) + 0.1}} { // 100 mm of slack
		groups, err := wiring.Wire(sc, wiring.Request{FeedRight: row.right})
		if err != nil || math.Abs(groups[0].Job.Feed.BetweenRailsM-row.want) > 1e-9 {
			t.Errorf("feed right %v: %g m from rail to rail, want %g (%v)", row.right, groups[0].Job.Feed.BetweenRailsM, row.want, err)
		}
	}
}

// TestNotesCountStringsThrough: the strings of the second driver keep their numbers in what is said of faults.
func TestNotesCountStringsThrough(t *testing.T) {
	_, groups := wireOf(t, `tank: {length: 1180 mm, width: 430 mm, height: 480 mm, water: {depth: 420 mm}}
rails:
  - {name: a, length: 1100 mm, above_water: 160 mm, y: 115 mm, modules: {part: quad-neutral, optic: round-40, count: 4, spacing: 180 mm, current: 350 mA}}
  - {name: b, length: 1100 mm, above_water: 160 mm, y: 315 mm, modules: {part: quad-blue, optic: round-40, count: 4, spacing: 180 mm, current: 700 mA}}
wiring: {strings: 2}
`)
	if len(groups) != 2 || groups[1].Number(0) != 3 || len(groups[1].Circuit.Strings) != 2 {
		t.Fatalf("groups %+v", groups)
	}
	if notes := strings.Join(finding.Lines(groups[1].Short.Notes, finding.Note, unit.Metric), "; "); !strings.Contains(notes, "string 4 gets little or no current") {
		t.Errorf("a module of string 3 shorts: %q", notes)
	}
}

func TestWireRefuses(t *testing.T) {
	sc := scenetest.Parse(t, scenetest.Edit(t, scenetest.Sound, "strings: 2", "strings: 4"))
	if _, err := wiring.Wire(sc, wiring.Request{JunctionC: at25C}); err == nil || !strings.Contains(err.Error(), "6 modules cannot be divided into 4 strings of equal length; possible numbers of strings: 1, 2, 3, 6") {
		t.Errorf("four strings of six modules: %v", err)
	}
}

// TestWithoutString: a string's modules are those that the wiring deals to it, in every group.
func TestWithoutString(t *testing.T) {
	for _, text := range []string{scenetest.Sound, twoCurrents} {
		sc, groups := wireOf(t, text)
		for n, want := range wiring.Strings(groups) {
			dead, err := edit.Without(sc, "string:"+string(rune('1'+n)))
			if err != nil {
				t.Fatal(err)
			}
			for _, at := range sc.Seats() {
				in := slices.ContainsFunc(want, func(m parts.Mounted) bool { return m.Rail == at.Rail && m.Number == at.Module+1 })
				if got := dead.Rails[at.Rail].Modules[at.Module].Dead; got != in {
					t.Errorf("string %d: module %s dead is %v", n, sc.SeatName(at), got)
				}
			}
			if same := wiring.WithDead(sc, want); !reflect.DeepEqual(same.Rails, dead.Rails) {
				t.Errorf("string %d: WithDead differs", n)
			}
		}
	}
}

func TestWithoutStringRefuses(t *testing.T) {
	for _, c := range []struct{ edit, to, text, want string }{
		{"strings: 2, ", "", "string:1", "the scene does not say how many strings there are"},
		{"strings: 2", "strings: 4", "string:1", "wiring: 6 modules cannot be divided into 4 strings"},
		{"strings: 2", "strings: 2", "string:3", "the scene has strings 1 to 2, not 3"},
		{"strings: 2", "strings: 2", "string:x", "is not a number of a string; write string:1"},
	} {
		if _, err := edit.Without(scenetest.Parse(t, scenetest.Edit(t, scenetest.Sound, c.edit, c.to)), c.text); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", c.text, err, c.want)
		}
	}
	named := scenetest.Parse(t, scenetest.Edit(t, scenetest.Sound, "name: main", "name: string"))
	if dead, err := edit.Without(named, "string:2"); err != nil || !dead.Rails[0].Modules[1].Dead || dead.Rails[0].Modules[3].Dead {
		t.Errorf("a rail that is named string comes first: %v", err)
	}
}

// TestOperatingJunctions: the i-th module over all rails is the same in the balance of heat.
func TestOperatingJunctions(t *testing.T) {
	sc := scenetest.Parse(t, twoCurrents)
	o, err := operating.Of(sc)
	if err != nil {
		t.Fatal(err)
	}
	for i, m := range slices.Concat(sc.Mounted()...) {
		at := sc.Seats()[i]
		if got, want := o.JunctionC(m), o.Rails[at.Rail].Modules[at.Module].JunctionC; got != want {
			t.Errorf("module %d: %g C, want %g C", i+1, got, want)
		}
	}
}

// TestRunningFollowsTheLevel by hand: four modules of four dies at 3.2 V, 700 mA and 100 lm, by pulses at a quarter: 4 * 4 * 3.2 * 0.7 / 4 =
// 8.96 W and 400 lm; through 80 % 11.2 W; ten hours of it and 0.5 W all day are (112 + 12) * 365 Wh. At full light the load is four times that.
func TestRunningFollowsTheLevel(t *testing.T) {
	text := `
tank: {length: 1000 mm, width: 450 mm, height: 400 mm, water: {depth: 360 mm}}
rails: [{length: 1000 mm, above_water: 150 mm, modules: {part: bright, optic: bare-120, count: 4, spacing: 110 mm, current: 700 mA}}]
wiring: {hours: 10 h, drivers: [{name: all, driver: fixed, modules: [kind:bright]}], channels: [{name: all, level: 25 %, dimming: pulses}]}
parts:
  drivers: {fixed: {currents: [700 mA], voltage: {low: 5 V, high: 59 V}, rated: 60 W, efficiency: 0.8, standby: 0.5 W, isolated: true}}
  modules:
    bright:
      {dies: {along: 2, across: 2, pitch: 6 mm}, test_temperature: 25 C, flux_temperature_coefficient: 0 %/K, voltage_temperature_coefficient: 0 mV/K, thermal_resistance: 4 K/W,
       output: [{current: 350 mA, flux: 60 lm, voltage: 3 V}, {current: 700 mA, flux: 100 lm, voltage: 3.2 V}],
       highest_current: 1000 mA, highest_junction: 120 C, radiant_efficiency: 0.2, spectrum: white-6500, board: {length: 30 mm, width: 30 mm}}
`
	s := scenetest.Parse(t, text)
	for _, c := range []struct{ level, loadW, mainsW, kWh, lm float64 }{{0.25, 8.96, 11.2, 45.26, 400}, {1, 35.84, 44.8, (448 + 12) * 0.365, 1600}} {
		s.SetLevel(0, c.level)
		groups, err := wiring.Wire(s, wiring.Request{LeadM: 2})
		if err != nil {
			t.Fatal(err)
		}
		r := wiring.RunningOf(s, groups)
		for _, pair := range [][2]float64{{r.LoadW, c.loadW}, {r.MainsW, c.mainsW}, {r.KWhPerYear, c.kWh}, {r.FluxLm, c.lm}} {
			if math.Abs(pair[0]-pair[1]) > 1e-9*pair[1] {
				t.Errorf("at %g: %+v, want %+v", c.level, r, c)
				break
			}
		}
	}
}
