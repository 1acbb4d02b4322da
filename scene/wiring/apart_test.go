package wiring_test

import (
	"fmt"
	"strings"
	"testing"

	"fathomlux/scene"
	"fathomlux/scene/bill"
	"fathomlux/scene/scenetest"
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

// TestNothingIsChosenForNobody: without a wish no strings are chosen where no driver feeds them; what would serve is said.
func TestNothingIsChosenForNobody(t *testing.T) {
	sc, groups := wireOf(t, threeRails("wiring: {hours: 10 h}\n"))
	g := &groups[0]
	if _, ok := g.Split(); ok || g.Fed() || len(g.Plan.Circuit.Strings) != 0 || len(g.Plan.Card) != 0 {
		t.Errorf("chosen %+v, %d points", g.Plan.Chosen, len(g.Plan.Card))
	}
	const want = "split them over 3 drivers and write a scene for each, as one scene has one driver for all its modules of one current: " +
		"front:1-11 and middle:1-5 as 4 strings of 4 (up to 46 V) on cc-1400-92w; middle:6-11 and back:1-10 as 4 strings of 4 (up to 46 V) on cc-1400-92w; back:11 as 1 string of 1 (up to 11 V) on cc-select-40w"
	if g.Serve != want {
		t.Errorf("%q", g.Serve)
	}
	if list := wiring.Warnings(sc); len(list) != 1 || !strings.Contains(list[0].String(), "wiring: no driver of the parts feeds all 33 modules at 350 mA together") || !strings.HasSuffix(list[0].String(), want) {
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
	if len(g.Plan.Apart) < 2 {
		t.Fatalf("a split of %d drivers", len(g.Plan.Apart))
	}
	list, drivers := bill.Of(sc, []wiring.Group{*g}, 0), 0.0
	for _, l := range list.Lines {
		if l.Kind != "driver" {
			continue
		}
		drivers += l.Used
		if price := sc.Catalogue.Drivers[l.Name].Price; l.Each != price || l.Sum.Amount != price.Amount*l.Used || !strings.HasPrefix(l.Note, "split, a scene each: ") {
			t.Errorf("%+v", l)
		}
	}
	if drivers != float64(len(g.Plan.Apart)) {
		t.Errorf("%g drivers in the bill, %d in the split", drivers, len(g.Plan.Apart))
	}
}

// TestAWishIsShownWithWhatWouldServe: what the scene asks for is shown although no driver feeds it, beside what would serve.
func TestAWishIsShownWithWhatWouldServe(t *testing.T) {
	for _, wiring := range []string{"wiring: {strings: 1}\n", "wiring: {driver: cc-700}\n"} {
		_, groups := wireOf(t, threeRails(wiring))
		g := &groups[0]
		if s, ok := g.Split(); !ok || s.Strings != 1 || g.Fed() || !strings.HasPrefix(g.Serve, "split them over 3 drivers") {
			t.Errorf("%s: %+v, %q", wiring, g.Plan.Chosen, g.Serve)
		}
		if strings.Contains(g.Plan.Chosen.Why, "would serve") {
			t.Errorf("%s: a driver of 420 V is asked for: %q", wiring, g.Plan.Chosen.Why)
		}
	}
	if _, groups := wireOf(t, scenetest.Sound); !groups[0].Fed() || groups[0].Serve != "" {
		t.Errorf("where a driver fits: %q", groups[0].Serve)
	}
}

// TestModulesOfSeveralCurrentsAreNamed: each group by itself, its modules by their places; many drivers are not all named.
func TestModulesOfSeveralCurrentsAreNamed(t *testing.T) {
	text := strings.Replace(threeRails("wiring: {hours: 10 h}\n"), "x: 320 mm, current: 350 mA", "x: 320 mm, current: 500 mA", 1)
	_, groups := wireOf(t, text)
	if len(groups) != 2 || groups[1].Serve != "" || !strings.Contains(groups[0].Serve, ": front:1,3-11 as 2 strings of 5 ") {
		t.Errorf("%d groups, %q", len(groups), groups[0].Serve)
	}
	var sc *scene.Scene
	sc, groups = wireOf(t, `tank: {length: 5 m, width: 700 mm, height: 300 mm, water: {depth: 250 mm}}
rails:
  - {name: long, profile: finned-80x25, length: 4.9 m, above_water: 180 mm, modules: {part: quad-cool, optic: round-90, count: 240, spacing: 20 mm, current: 350 mA}}
wiring: {hours: 10 h}
`)
	if n := len(groups[0].Plan.Apart); n <= 8 || !strings.HasSuffix(groups[0].Serve, fmt.Sprintf("; and %d more", n-8)) || len(wiring.Warnings(sc)) == 0 {
		t.Errorf("%d portions: %q", n, groups[0].Serve)
	}
}
