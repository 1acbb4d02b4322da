package wiring_test

import (
	"fmt"
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

// TestNothingIsChosenForNobody: without a request no strings are chosen where no driver feeds them; what would serve is said.
func TestNothingIsChosenForNobody(t *testing.T) {
	sc, groups := wireOf(t, threeRails("wiring: {hours: 10 h}\n"))
	g := &groups[0]
	if g.Chosen.Split != nil || g.Chosen.Fed() || len(g.Circuit.Strings) != 0 || len(g.Card) != 0 {
		t.Errorf("chosen %+v, %d points", g.Chosen, len(g.Card))
	}
	const want = "split them over 3 drivers and write a scene for each, as one scene has one driver for all its modules of one current: " +
		"front:1-11 and middle:1-5 as 4 strings of 4 (up to 46 V, at or below 60 V) on cc-1400-92w, middle:6-11 and back:1-10 as 4 strings of 4 (up to 46 V, at or below 60 V) on cc-1400-92w, back:11 as 1 string of 1 (up to 11 V, at or below 30 V) on cc-select-40w"
	if got := serve(sc, g); got != want {
		t.Errorf("%q", got)
	}
	if list := wiring.Warnings(sc); len(list) != 1 || !strings.Contains(list[0].String(), "wiring: no driver of the parts feeds 33 modules at 350 mA together") || !strings.HasSuffix(list[0].String(), want) {
		t.Errorf("warnings %v", list)
	}
	checkSplitInBill(t, sc, g)
	if quiet := scenetest.Parse(t, threeRails("")); len(wiring.Warnings(quiet)) != 0 {
		t.Errorf("a scene that says nothing of wiring is warned of it: %v", wiring.Warnings(quiet))
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
		if price := sc.Catalogue.Drivers[l.Name].Price; l.Each != price || l.Sum.Amount != price.Amount*l.Used || !strings.HasPrefix(l.Note.String(), "split, a scene each: ") {
			t.Errorf("%+v", l)
		}
	}
	if drivers != float64(len(g.Apart)) {
		t.Errorf("%g drivers in the bill, %d in the split", drivers, len(g.Apart))
	}
}

// TestARequestIsShownWithWhatWouldServe: what the scene asks for is shown although no driver feeds it, beside what would serve.
func TestARequestIsShownWithWhatWouldServe(t *testing.T) {
	for _, wiring := range []string{"wiring: {strings: 1}\n", "wiring: {driver: cc-700}\n"} {
		sc, groups := wireOf(t, threeRails(wiring))
		g := &groups[0]
		if s := g.Chosen.Split; s == nil || s.Strings != 1 || g.Chosen.Fed() || !strings.HasPrefix(serve(sc, g), "split them over 3 drivers") {
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

// TestModulesOfSeveralCurrentsAreNamed: each group by itself, its modules by their places; many drivers are not all named.
func TestModulesOfSeveralCurrentsAreNamed(t *testing.T) {
	text := strings.Replace(threeRails("wiring: {hours: 10 h}\n"), "x: 320 mm, current: 350 mA", "x: 320 mm, current: 500 mA", 1)
	sc, groups := wireOf(t, text)
	if len(groups) != 2 || serve(sc, &groups[1]) != "" || !strings.Contains(serve(sc, &groups[0]), ": front:1,3-11 as 2 strings of 5 ") {
		t.Errorf("%d groups, %q", len(groups), serve(sc, &groups[0]))
	}
	sc, groups = wireOf(t, `tank: {length: 5 m, width: 700 mm, height: 300 mm, water: {depth: 250 mm}}
rails:
  - {name: long, profile: finned-80x25, length: 4.9 m, above_water: 180 mm, modules: {part: quad-cool, optic: round-90, count: 240, spacing: 20 mm, current: 350 mA}}
wiring: {hours: 10 h}
`)
	if n := len(groups[0].Plan.Apart); n <= 8 || !strings.HasSuffix(serve(sc, &groups[0]), fmt.Sprintf(" and %d more", n-8)) || len(wiring.Warnings(sc)) == 0 {
		t.Errorf("%d portions: %q", n, serve(sc, &groups[0]))
	}
}
