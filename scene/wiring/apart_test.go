package wiring_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"fathomlux/scene"
	"fathomlux/scene/bill"
	"fathomlux/scene/finding"
	"fathomlux/scene/scenetest"
	"fathomlux/scene/unit"
	"fathomlux/scene/wiring"
)

// threeRails is 33 modules of two kinds, in turn along three rails: no driver feeds them all, nor one rail of eleven.
func threeRails(words string) string {
	var b strings.Builder
	b.WriteString("tank: {length: 2 m, width: 700 mm, height: 300 mm, water: {depth: 250 mm}}\nrails:\n")
	for r, name := range []string{"front", "middle", "back"} {
		fmt.Fprintf(&b, "  - name: %s\n    profile: finned-80x25\n    length: 1.9 m\n    above_water: 180 mm\n    y: %d mm\n    modules:\n", name, 150+200*r)
		for i := range 11 {
			fmt.Fprintf(&b, "      - {part: %s, optic: round-90, x: %d mm, current: 350 mA}\n", []string{"quad-cool", "quad-blue"}[(i+r)%2], 150+170*i)
		}
	}
	return b.String() + words
}

// serve says what would serve a group.
func serve(sc *scene.Scene, g *wiring.Group) string {
	return strings.Join(finding.Lines(g.Serve(sc), finding.Note, unit.Metric), "; ")
}

// TestKindsAreSplitOverDrivers: 33 modules of two kinds at one current, which no driver feeds all together, get drivers of their own:
// every module is fed once, no string mixes kinds, no first fault is above a limit, and each driver is in the bill at its price.
func TestKindsAreSplitOverDrivers(t *testing.T) {
	sc, groups := wireOf(t, threeRails("wiring: {hours: 10 h}\n"))
	seen, names := map[string]bool{}, map[string]bool{}
	for i := range groups {
		g := &groups[i]
		names[g.Name] = true
		if !g.Chosen.Fed() || g.Chosen.Harm || len(g.Open.Over)+len(g.Short.Over) > 0 || !g.RunnerUp.Any() || serve(sc, g) != "" {
			t.Errorf("%s: %q, %q", g.Name, g.Chosen.Why.Words(unit.Metric), serve(sc, g))
		}
		for _, line := range g.Circuit.Strings {
			for _, m := range line {
				if seen[m.Name] || m.Part.Name != line[0].Part.Name || g.Channel != m.Part.Name {
					t.Errorf("%s of %s in channel %s", m.Name, m.Part.Name, g.Channel)
				}
				seen[m.Name] = true
			}
		}
	}
	if len(seen) != 33 || len(names) != len(groups) || !names["quad-cool 1"] {
		t.Errorf("%d modules, names %v", len(seen), names)
	}
	if list := wiring.Warnings(sc); len(list) != 0 {
		t.Errorf("warnings %v", list)
	}
	drivers := 0.0
	for _, l := range bill.Of(sc, groups, 0).Lines {
		if l.Kind == "driver" {
			drivers += l.Used
			if price := sc.Catalogue.Drivers[l.Name].Price; l.Each != price || l.Sum.Amount != price.Amount*l.Used || l.Sum.Amount <= 0 {
				t.Errorf("%+v", l)
			}
		}
	}
	if drivers != float64(len(groups)) {
		t.Errorf("%g drivers in the bill of %d", drivers, len(groups))
	}
}

// checkSplitInBill holds that the drivers of a split are bought, each at its price, with what it feeds.
func checkSplitInBill(t *testing.T, sc *scene.Scene, g *wiring.Group) {
	t.Helper()
	if len(g.Apart) < 2 {
		t.Fatalf("a split of %d drivers", len(g.Apart))
	}
	list, drivers := bill.Of(sc, []wiring.Group{*g}, 0), 0.0
	for _, l := range list.Lines {
		if l.Kind != "driver" {
			continue
		}
		drivers += l.Used
		if price := sc.Catalogue.Drivers[l.Name].Price; l.Each != price || l.Sum.Amount != price.Amount*l.Used || !strings.HasPrefix(l.Note.String(), "split: ") {
			t.Errorf("%+v", l)
		}
	}
	if drivers != float64(len(g.Apart)) {
		t.Errorf("%g drivers in the bill, %d in the split", drivers, len(g.Apart))
	}
}

// TestARequestIsShownWithWhatWouldServe: what the scene asks for is shown although no driver feeds it, beside what would serve.
func TestARequestIsShownWithWhatWouldServe(t *testing.T) {
	for _, wiring := range []string{"strings: 1", "driver: cc-700"} {
		sc, groups := wireOf(t, threeRails("wiring: {drivers: [{modules: [front, middle, back], "+wiring+"}]}\n"))
		g := &groups[0]
		checkSplitInBill(t, sc, g)
		if s := g.Chosen.Split; s == nil || s.Strings != 1 || g.Chosen.Fed() || !strings.HasPrefix(serve(sc, g), "split them over ") {
			t.Errorf("%s: %+v, %q", wiring, g.Chosen, serve(sc, g))
		}
		if g.Wanted.Any() {
			t.Errorf("%s: a driver of 420 V is asked for: %q", wiring, g.Wanted.Words(unit.Metric))
		}
	}
	if sc, groups := wireOf(t, scenetest.Sound); !groups[0].Chosen.Fed() || serve(sc, &groups[0]) != "" {
		t.Errorf("where a driver fits: %q", serve(sc, &groups[0]))
	}
}

// TestOneCurrentADriver: modules of several currents cannot share a driver that the scene names.
func TestOneCurrentADriver(t *testing.T) {
	text := strings.Replace(threeRails("wiring: {drivers: [{name: all, modules: [front, middle, back]}]}\n"), "x: 320 mm, current: 350 mA", "x: 320 mm, current: 500 mA", 1)
	sc := scenetest.Parse(t, text)
	const want = "driver all: modules front:1 at 350 mA and front:2 at 500 mA cannot share a constant-current driver; give them one current, or a driver each"
	if _, err := wiring.Wire(sc, wiring.Request{}); err == nil || !strings.Contains(err.Error(), want) {
		t.Errorf("%v", err)
	}
	if list := wiring.Warnings(sc); len(list) != 1 || !strings.Contains(list[0].String(), want) {
		t.Errorf("%v", list)
	}
	if why := wiring.Unfed(sc); !strings.Contains(why.String(), want) {
		t.Errorf("%v", why)
	}
}

// TestStringVOfOneKind: six modules in two strings.
func TestStringVOfOneKind(t *testing.T) {
	sc := scenetest.Parse(t, scenetest.Sound)
	if v := wiring.StringV(sc); math.Abs(v-sc.AtSwitchOn().SeriesV/2) > 1e-9 || v < 30 {
		t.Errorf("%g V", v)
	}
}

// TestRequestOfOneKind: a driver that the scene asks for without saying for what is spoken of where there are two kinds.
func TestRequestOfOneKind(t *testing.T) {
	t.Parallel()
	for asked, want := range map[string]bool{"{driver: cc-700, strings: 1}": true, "{hours: 9 h}": false,
		"{drivers: [{driver: cc-700, modules: [main:1]}, {driver: cc-700, modules: [main:2]}]}": false} {
		sc, err := scene.Parse("two.yaml", []byte("tank: {length: 600 mm, width: 300 mm, height: 300 mm, water: {depth: 250 mm, kind: clear}}\n"+
			"rails: [{name: main, length: 500 mm, above_water: 100 mm, modules: [{part: quad-cool, optic: round-60, x: 100 mm, current: 700 mA}, {part: quad-blue, optic: round-60, x: 400 mm, current: 700 mA}]}]\nwiring: "+asked+"\n"), nil)
		if err != nil {
			t.Fatal(err)
		}
		told := slices.ContainsFunc(wiring.Warnings(sc), func(f finding.Finding) bool { return f.Code == finding.RequestOfOneKind })
		if told != want {
			t.Errorf("%s: told %v", asked, told)
		}
		if v := wiring.StringV(sc); v != 0 {
			t.Errorf("%s: no string holds both kinds, yet one has %g V", asked, v)
		}
	}
}
