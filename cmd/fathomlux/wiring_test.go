package main

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"fathomlux/scene"
	"fathomlux/scene/parts"
	"fathomlux/scene/practicetest"
	"fathomlux/scene/wiring"
)

// sixModules is a scene whose wiring common practice knows by heart, on parts with those figures.
const sixModules = `title: Six modules
tank: {length: 1180 mm, width: 430 mm, height: 480 mm, water: {depth: 420 mm}, floor: {diffuse: 0}}
rails:
  - {name: main, length: 1100 mm, above_water: 160 mm, modules: {part: quad-neutral, optic: round-25, count: 6, spacing: 180 mm, current: 350 mA}}
wiring: {driver: cc-700, strings: 2, hours: 9 h, tariff: 0.28 EUR/kWh}
ambient: {air: 24 C}
parts: practice.yaml
`

// call runs the program and returns its standard output; it must end well.
func call(t *testing.T, args ...string) string {
	t.Helper()
	var out, errs bytes.Buffer
	if status := run(context.Background(), streams{Out: &out, Err: &errs}, args); status != statusDone {
		t.Fatalf("%q: status %d: %s", args, status, errs.String())
	}
	return out.String()
}

// writeScene writes a scene into a folder of its own.
func writeScene(t *testing.T, text string) (file, dir string) {
	t.Helper()
	dir = t.TempDir()
	file = filepath.Join(dir, "six.yaml")
	for name, content := range map[string][]byte{file: []byte(text), filepath.Join(dir, "practice.yaml"): practicetest.Text} {
		if err := os.WriteFile(name, content, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return file, dir
}

// TestWireFiguresOfCommonPractice: with junctions at 25 C two strings of three take 42 V, 700 mA and 29.4 W, the mains give
// 34.6 W at 85 %; 9 h a day and 0.28 EUR a kWh are 113.6 kWh and 31.82 EUR a year. Common practice, no published source.
func TestWireFiguresOfCommonPractice(t *testing.T) {
	file, dir := writeScene(t, sixModules)
	var answer struct {
		Groups []struct {
			VoltageV float64 `json:"voltage_v"`
			Splits   []struct {
				WarmV   float64  `json:"warm_v"`
				DriverA float64  `json:"driver_a"`
				Touch   string   `json:"touch"`
				Fits    []string `json:"drivers_fit"`
			} `json:"splits"`
			Chosen struct {
				Strings int    `json:"strings"`
				Driver  string `json:"driver"`
				Flagged bool   `json:"flagged"`
			} `json:"chosen"`
			Driver *struct{ Fits bool } `json:"driver"`
			Open   *struct {
				HighestShare float64 `json:"highest_current_share"`
			} `json:"open_circuit"`
			Limits []struct{ Met bool } `json:"limits"`
		} `json:"groups"`
		Running struct {
			LoadW      float64 `json:"load_w"`
			MainsW     float64 `json:"mains_w"`
			KWhPerYear float64 `json:"kwh_per_year"`
			Cost       float64 `json:"cost_per_year"`
		} `json:"running"`
	}
	if err := json.Unmarshal([]byte(call(t, "wire", file, "--json", "--junction", "25 C", "--out", dir)), &answer); err != nil {
		t.Fatal(err)
	}
	g := answer.Groups[0]
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		{"V", g.VoltageV, 42}, {"V of the split", g.Splits[1].WarmV, 42}, {"A", g.Splits[1].DriverA, 0.7}, {"load W", answer.Running.LoadW, 29.4},
		{"mains W", answer.Running.MainsW, 34.6}, {"kWh", answer.Running.KWhPerYear, 113.6}, {"EUR", answer.Running.Cost, 31.82}, {"V of one string", g.Splits[0].WarmV, 84},
	} {
		if math.Abs(c.got-c.want) > 0.05 { // half of the last digit given
			t.Errorf("%s: %g, want %g", c.what, c.got, c.want)
		}
	}
	if g.Chosen.Strings != 2 || g.Chosen.Driver != "cc-700" || g.Chosen.Flagged || g.Splits[0].Touch != "above 60 V" || g.Driver == nil || !g.Driver.Fits {
		t.Errorf("chosen %+v", g.Chosen)
	}
	if g.Open.HighestShare < 1.99 || g.Open.HighestShare > 2.01 { // N/(N-1) of two strings, H2
		t.Errorf("with one of two strings open %g of the current", g.Open.HighestShare)
	}
	if g.Splits[2].Fits[0] != "cc-1050" || !g.Limits[1].Met || g.Limits[0].Met {
		t.Errorf("splits %+v, limits %+v", g.Splits, g.Limits)
	}
}

// TestBillJSON: sums are those of the lines.
func TestBillJSON(t *testing.T) {
	file, dir := writeScene(t, sixModules)
	var answer struct {
		Lines []struct {
			Kind, Name  string
			Used, Spare float64
			Each, Sum   *float64
		}
		Totals []struct{ Amount float64 }
		Blank  int `json:"lines_without_price"`
	}
	if err := json.Unmarshal([]byte(call(t, "bill", file, "--json", "--spare", "50%", "--out", dir)), &answer); err != nil {
		t.Fatal(err)
	}
	sum, blank := 0.0, 0
	for _, l := range answer.Lines {
		if l.Sum == nil {
			blank++
			continue
		}
		sum += *l.Sum
		if want := *l.Each * (l.Used + l.Spare); math.Abs(*l.Sum-want) > 1e-6 { // rounded to a millionth
			t.Errorf("%s %s: %g, want %g", l.Kind, l.Name, *l.Sum, want)
		}
		if l.Kind == "module" && (l.Used != 6 || l.Spare != 3) {
			t.Errorf("modules %+v", l)
		}
	}
	if len(answer.Totals) != 1 || math.Abs(answer.Totals[0].Amount-sum) > 1e-5 || blank != answer.Blank {
		t.Errorf("totals %+v, lines sum to %g; %d blank", answer.Totals, sum, blank)
	}
}

// TestSheetHoldsItsCautions: each caution stands at the step where it matters, and the order is the trade's.
func TestSheetHoldsItsCautions(t *testing.T) {
	file, dir := writeScene(t, sixModules)
	call(t, "bill", file, "--out", dir)
	text, err := os.ReadFile(filepath.Join(dir, "build-sheet.txt"))
	if err != nil {
		t.Fatal(err)
	}
	flat := strings.Join(strings.Fields(string(text)), " ")
	at := -1
	for _, want := range []string{"common practice, no published source", "Cut the rails", "Tin the pads", "before a board is on the rail", "compound on the back", "Screw the boards",
		"Fit the optics", "Connect the modules", "CAUTION: sharp edges", "CAUTION: strings reach 42 V", "Bench test, one string at a time, with the light facing the bench: limit the supply to 35 mA", "CAUTION: narrow bright beam", "with the mains off",
		"CAUTION: an isolated (SELV) supply", "CAUTION: metal rail: earth or bond it", "CAUTION: live contacts", "Hang the light", "leave room for air around the rail", "CAUTION: mains beside water",
		"RCD of 30 mA, type A; GFCI of", "IEC 60598-2-11", "IEC 61347-2-13", "CAUTION: driver cc-700: IP67 (IEC 60529) is dust-tight", "CAUTION: a rail above glass", "CAUTION: unplug the light", "measure the temperature of the rail", "CAUTION: begin with little light and raise it in steps",
		"string 1: plus - 1 - 3 - 5 - minus", "Test card, driver quad-neutral (cc-700)", "1 3 + ", "WHAT TO BUY", "total: "} {
		k := strings.Index(flat[at+1:], want)
		if k < 0 {
			t.Fatalf("no %q after %.60q", want, flat[max(at, 0):])
		}
		at += 1 + k
	}
	for _, once := range []string{"mains beside water", "deburr", "; local codes and licensed practice"} {
		if n := strings.Count(flat, once); n != 1 {
			t.Errorf("%q stands %d times", once, n)
		}
	}
	for _, line := range strings.Split(strings.SplitN(string(text), "WHAT TO BUY", 2)[0], "\n") {
		if len(line) > sheetWidth+40 {
			t.Errorf("a line of %d letters: %.50q", len(line), line)
		}
	}
}

// TestProtection: what IEC 60529 promises by the second digit, and what it does not (H9).
func TestProtection(t *testing.T) {
	for ip, want := range map[string]string{
		"IP65": "dust-tight and withstands jets of water", "IP66": "strong jets", "IP67": "1 m of water for 30 min, but jets only if 5 or 6 is marked too",
		"IP68": "as its maker states", "IP20": "dripping or spray at most", "IP44": "dripping or spray at most", "": "no protection code is known", "67": "no protection code is known",
	} {
		if got := protection(ip); !strings.Contains(got, want) {
			t.Errorf("%s: %q, want %q in it", ip, got, want)
		}
	}
	if got := protection("IP55"); strings.Contains(got, "dust-tight") {
		t.Errorf("IP55: %q", got)
	}
}

func TestTouchCaution(t *testing.T) {
	for _, c := range []struct {
		v    float64
		want string
	}{{30, ""}, {30.1, "above the 30 V"}, {60, "leave no contact bare"}, {60.1, "no live part may be within reach"}} {
		var got string
		beyondTouch("strings reach", c.v, func(args ...any) { got += fmt.Sprintf(touchWords, args...) })
		if (got == "") != (c.want == "") || !strings.Contains(got, c.want) {
			t.Errorf("%g V: %q, want %q in it", c.v, got, c.want)
		}
	}
}

func TestWiringRequest(t *testing.T) {
	for _, c := range []struct{ lead, feed, want string }{
		{"2 m", "left", ""}, {"6 ft", "right", ""}, {"2", "left", "--lead: 2 has no unit; write 2 m"}, {"5q", "left", "is not a unit of length; use mm, cm, m, in or ft"}, {"600 m", "left", "not between 0 m and 500 m"}, {"-1 m", "left", "--lead"},
	} {
		_, err := wiringOptions{lead: c.lead, feed: c.feed}.request()
		if (err == nil) != (c.want == "") || err != nil && !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s, %s: %v, want %q", c.lead, c.feed, err, c.want)
		}
	}
}

func TestParseShare(t *testing.T) {
	for text, want := range map[string]float64{"10 %": 0.1, "10%": 0.1, "0.25": 0.25, "0": 0, "100 %": 1} {
		if got, err := shareIn("--spare", text, 0, 1); err != nil || math.Abs(got-want) > 1e-15 {
			t.Errorf("%s: %g, %v; want %g", text, got, err, want)
		}
	}
	for _, text := range []string{"", "%", "-1 %", "101 %", "2", "ten", "NaN"} {
		if got, err := shareIn("--spare", text, 0, 1); err == nil {
			t.Errorf("%q is taken as %g", text, got)
		}
	}
}

// TestTooHotIsWired: where the heat finds no balance the voltages are those of the highest junctions, and a note says so.
func TestTooHotIsWired(t *testing.T) {
	text := strings.Replace(sixModules, "length: 1100 mm, above", "length: 150 mm, profile: u-30x15, above", 1)
	text = strings.Replace(text, "count: 6, spacing: 180 mm, current: 350 mA", "count: 40, spacing: 3 mm, current: 1000 mA", 1)
	text = strings.Replace(text, "driver: cc-700, strings: 2, ", "", 1)
	file, _ := writeScene(t, text)
	a, err := wiringOptions{common: common{given: givenScene(file)}, lead: "2 m", feed: "left"}.read()
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(fmt.Sprint(a.notes), "the thermal balance has no solution") || !strings.Contains(a.junctions, "highest temperature that the parts allow") {
		t.Errorf("%s, notes %q", a.junctions, a.notes)
	}
	if job := a.groups[0].Job; job.Modules[0].JunctionC != 125 {
		t.Errorf("wired at %g C", job.Modules[0].JunctionC)
	}
}

// groupsOf are the wired groups of a scene.
func groupsOf(t *testing.T, text string) []wiring.Group {
	t.Helper()
	sc, err := scene.Parse("six.yaml", []byte(text), func(string) ([]byte, error) { return practicetest.Text, nil })
	if err != nil {
		t.Fatal(err)
	}
	groups, err := wiring.Wire(sc, wiring.Request{})
	if err != nil {
		t.Fatal(err)
	}
	return groups
}

// TestConsequencesOfOneString: nothing shares, so nothing is said of a spread.
func TestConsequencesOfOneString(t *testing.T) {
	groups := groupsOf(t, strings.Replace(sixModules, "driver: cc-700, strings: 2", "strings: 1", 1))
	lines := consequences(&groups[0])
	if len(lines) != 2 || lines[0] != "open circuit in string 1: all modules are dark" || strings.Contains(lines[1], "others") {
		t.Errorf("%q", lines)
	}
}

// TestOneRuleOfTouch: heat, check and bill caution about heat by the same limit: a rail above it, boards above it on a rail
// below it, and nothing else.
func TestOneRuleOfTouch(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ air, profile, want string }{
		{"24 C", "bar-40x20", ""}, {"24 C", "u-30x15", ""}, {"44 C", "bar-40x20", "hot boards: on rail main they reach 5"}, {"58 C", "bar-40x20", "hot rail: rail main reaches 69 °C"},
	} {
		text := strings.Replace(sixModules, "air: 24 C", "air: "+c.air, 1)
		file, dir := writeScene(t, strings.Replace(text, "length: 1100 mm, above", "length: 1100 mm, profile: "+c.profile+", above", 1))
		for _, args := range [][]string{{"heat", file, "--out", dir}, {"check", file}, {"bill", file, "--out", dir}, {"bill", file, "--junction", "60 C", "--out", dir}} {
			out := call(t, args...)
			if c.want == "" && (strings.Contains(out, "caution: hot") || strings.Contains(out, "let it cool")) || c.want != "" && !strings.Contains(out, "caution: "+c.want) {
				t.Errorf("%s in %s: %s: want %q in\n%s", c.profile, c.air, args[0], c.want, out)
			}
		}
		if got, err := os.ReadFile(filepath.Join(dir, "build-sheet.txt")); err != nil || !strings.Contains(strings.Join(strings.Fields(string(got)), " "), "before anybody touches it. CAUTION: "+c.want) && c.want != "" {
			t.Errorf("%s in %s: the sheet does not say %q: %v", c.profile, c.air, c.want, err)
		}
	}
	if got := (situation{}).at("warm"); len(got) != 2 || !strings.Contains(got[0], "of unknown temperature") {
		t.Errorf("%q", got)
	}
	if got := aboveTouch(55.2) + aboveTouch(55.6); got != "55.2056" {
		t.Error(got)
	}
}

// TestShortNamesTheModule: the module that shorts bears the name that its string is listed with, not its place in the string.
func TestShortNamesTheModule(t *testing.T) {
	t.Parallel()
	const rail = "\n  - {name: back, length: 1100 mm, above_water: 160 mm, y: 315 mm, modules: {part: quad-neutral, optic: round-40, count: 6, spacing: 180 mm, current: 350 mA}}\nwiring:"
	groups := groupsOf(t, strings.Replace(strings.Replace(sixModules, "\nwiring:", rail, 1), "strings: 2", "strings: 4", 1))
	g := &groups[0]
	names := moduleNames(g.Circuit.Strings[g.Short.String])
	want := fmt.Sprintf("short circuit of module %s in string %d: ", names[g.Short.Module], 1+g.Short.String)
	if !strings.Contains(names[0], ":") || !strings.Contains(strings.Join(consequences(g), "\n"), want) {
		t.Errorf("%q does not say %q", consequences(g), want)
	}
}

// TestShortThatChangesNothing: one string of several modules goes on with its current, and is not said to get "up to 100 %".
func TestShortThatChangesNothing(t *testing.T) {
	groups := groupsOf(t, strings.Replace(sixModules, "count: 6, spacing: 180 mm, current: 350 mA}}\nwiring: {driver: cc-700, strings: 2", "count: 3, spacing: 180 mm, current: 350 mA}}\nwiring: {driver: cc-350, strings: 1", 1))
	if got := consequences(&groups[0])[1]; got != "short circuit of module 1 in string 1: it goes dark, and the other modules keep their current" {
		t.Errorf("%q", got)
	}
}

// TestSmallFiguresAreNoNoughts: what is small keeps two digits in the texts of heat, wire and bill, nothing has nine, and wire says which
// light its table of dead strings counts.
func TestSmallFiguresAreNoNoughts(t *testing.T) {
	t.Parallel()
	file, dir := writeScene(t, strings.NewReplacer("hours: 9 h, tariff: 0.28 EUR/kWh", "hours: 0.01 h, tariff: 0.01 EUR/kWh", "count: 6", "count: 2").Replace(sixModules))
	all := ""
	for _, args := range [][]string{{"heat", file, "--margin", "12.3456789"}, {"wire", file, "--dead-strings"}, {"bill", file}} {
		all += call(t, append(args, "--out", dir)...)
	}
	if found := regexp.MustCompile(`(?m)(^|\s)0\.0+\s.*|\d\.\d{6,}.*`).FindString(all); found != "" {
		t.Errorf("%q in\n%s", found, all)
	}
	if !strings.Contains(all, `light on the plane "floor"`) {
		t.Errorf("the light of dead strings is not named:\n%s", all)
	}
	if got := moneyText(parts.Money{Amount: 0.004, Currency: "EUR"}); got != "0.0040 EUR" {
		t.Error(got)
	}
}

// TestSharedDriver: strings whose modules would carry more than they may when another string fails need a driver or a fuse each.
func TestSharedDriver(t *testing.T) {
	t.Parallel()
	for current, want := range map[string]int{"350 mA": 0, "700 mA": 1} { // quad-neutral carries 1000 mA at most
		groups := groupsOf(t, strings.Replace(strings.Replace(sixModules, "350 mA", current, 1), "driver: cc-700, ", "", 1))
		got := 0
		sharedDriver(situation{groups: groups}, func(...any) { got++ })
		if got != want {
			t.Errorf("%s: %v", current, got)
		}
	}
}
