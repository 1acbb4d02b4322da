package propose

import (
	"context"
	"math"
	"slices"
	"strings"
	"testing"

	"fathomlux/scene"
	"fathomlux/scene/bill"
	"fathomlux/scene/operating"
	"fathomlux/scene/wiring"
)

// ownParts are a board, a lens, a driver and bars of one's own; all figures are invented.
const ownParts = `
parts:
  modules:
    board:
      output_of: module
      dies: {along: 2, across: 2, pitch: 6 mm}
      output: [{current: 150 mA, flux: 214 lm, voltage: 10.7 V}, {current: 600 mA, flux: 722 lm, voltage: 11.9 V}]
      test_temperature: 25 C
      highest_current: 600 mA
      highest_junction: 120 C
      spectrum: white-4000
      board: {length: 32 mm, width: 19 mm}
      holes: [{along: -13 mm, across: 0 mm, diameter: 3.4 mm}, {along: 13 mm, across: 0 mm, diameter: 3.4 mm}]
      flux_temperature_coefficient: -0.22 %/K
      voltage_temperature_coefficient: -1.8 mV/K
      thermal_resistance: 6 K/W
      price: 5.30 EUR
  optics:
    lens: {beam: 74 deg, field: 110 deg, efficiency: 0.87, stray: 6 %, mass: 2 g, price: 0.90 EUR}
  drivers:
    supply: {currents: [500 mA], voltage: {low: 8 V, high: 27 V}, rated: 15 W, efficiency: 0.85, isolated: true, class: II,
      open_voltage: 29 V, ip: IP67, price: 14 EUR}
  profiles:
    waste: {based_on: bar-40x20, stock: [2 m], price: 6 EUR/m}
    fits: {based_on: bar-40x20, stock: [1 m], price: 9 EUR/m}
    short: {based_on: bar-40x20, stock: [300 mm], price: 1 EUR/m}
`

// owned is a tank with parts of one's own, some of which may be chosen.
func owned(t *testing.T, names ...string) (*scene.Scene, Options) {
	t.Helper()
	sc := tank(t, 600, 300, 330, dark+"}\ngoal: {illuminance: 900 lx}"+ownParts)
	c := *sc.Catalogue
	keep(c.Modules, names)
	keep(c.Optics, names)
	keep(c.Drivers, names)
	keep(c.Profiles, names)
	return sc, Options{Parts: &c, Rows: []int{1}, HeightsM: []float64{0.1}, MaxModules: 4, VoltsAtMost: 30, Workers: 2}
}

// TestMoneyIsThatOfTheBill: what a light is said to cost is what the bill of its text sums up, with the whole bars that
// are bought for it. A metre of the dearer bar leaves less waste than two of the cheaper one; one sold too short for the
// tank is not taken, and where there is none else the rail is as long as that.
func TestMoneyIsThatOfTheBill(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		profiles     string
		name         string
		bought, long float64
	}{{"waste fits short", "fits", 1, 0.58}, {"waste", "waste", 2, 0.58}, {"short", "short", 0.3, 0.3}} {
		sc, o := owned(t, append(strings.Fields(c.profiles), "board", "lens", "supply")...)
		found, err := Run(context.Background(), sc, o)
		if err != nil || len(found.Lights) == 0 {
			t.Fatalf("%s: %v, %+v", c.profiles, err, found)
		}
		for _, l := range found.Lights {
			kept(t, l)
			again, err := scene.Parse("tank.yaml", l.Text, nil)
			if err != nil {
				t.Fatal(err)
			}
			point, err := operating.Of(again)
			if err != nil {
				t.Fatal(err)
			}
			groups, err := wiring.Wire(again, wiring.Request{JunctionC: point.JunctionC, LeadM: leadM})
			if err != nil {
				t.Fatal(err)
			}
			b := bill.Of(again, groups, spareShare)
			if len(b.Totals) != 1 || b.Totals[0] != l.Money {
				t.Errorf("%s: promised %v, the bill sums up %v", c.profiles, l.Money, b.Totals)
			}
			bar := b.Lines[slices.IndexFunc(b.Lines, func(l bill.Line) bool { return l.Kind == "profile" })]
			if bar.Name != c.name || math.Abs(bar.Used+bar.Spare-c.bought) > 1e-9 || math.Abs(bar.Used-c.long) > 1e-9 {
				t.Errorf("%s: %+v", c.profiles, bar)
			}
		}
	}
}

// TestFrontierHoldsWhatWasComputed: no point of it is an estimate or cheaper than the cheapest light, none is beaten by
// another in both, and all lights are among the dots.
func TestFrontierHoldsWhatWasComputed(t *testing.T) {
	t.Parallel()
	sc, o := owned(t, "board", "lens", "supply", "fits", "bare-120", "quad-neutral", "round-60", "cc-700-20w")
	found, err := Run(context.Background(), sc, o)
	if err != nil || len(found.Lights) == 0 || len(found.Front) == 0 {
		t.Fatalf("%v, %+v", err, found)
	}
	least := found.Lights[0].Money.Amount
	for i, d := range found.Front {
		if d.Estimate || d.Money < least*(1-sameShare) || !slices.Contains(found.Dots, d) {
			t.Errorf("%+v is on the frontier, the cheapest light costs %g", d, least)
		}
		if i > 0 && !(d.Money > found.Front[i-1].Money && d.Even > found.Front[i-1].Even) {
			t.Errorf("%+v follows %+v", d, found.Front[i-1])
		}
	}
	for _, l := range found.Lights {
		if !slices.Contains(found.Dots, Dot{Money: l.Money.Amount, Even: l.Counted().MinOverMean}) {
			t.Errorf("%v is no dot", l.Words)
		}
	}
	if !slices.ContainsFunc(found.Dots, func(d Dot) bool { return d.Estimate }) {
		t.Error("no estimate is left")
	}
}

// TestKeptRailStays: a tilted rail beside the middle, with its hangers and a stretch where nothing may sit, gets other
// modules and keeps all else; another profile at hand is not taken.
func TestKeptRailStays(t *testing.T) {
	t.Parallel()
	text := `tank: {length: 700 mm, width: 350 mm, height: 350 mm, water: {depth: 300 mm}}
goal: {illuminance: 700 lx}
rails:
  - name: ours           # hangs already
    profile: bar-40x20
    length: 560 mm
    x: 60 mm
    y: 110 mm
    above_water: 150 mm
    tilt: 12 deg
    hangers: [120 mm, 500 mm]
    keep_out: [{from: 300 mm, to: 340 mm, why: a brace}]
    modules: {part: single-neutral, optic: bare-120, count: 2, spacing: 200 mm, current: 350 mA}
`
	sc, err := scene.Parse("tank.yaml", []byte(text), nil)
	if err != nil {
		t.Fatal(err)
	}
	found, err := Run(context.Background(), sc, Options{Parts: few("quad-neutral", "round-60", "bare-120", "cc-700-20w",
		"u-30x15"), KeepRails: true, MaxModules: 6, VoltsAtMost: 30, Workers: 2})
	if err != nil || len(found.Lights) == 0 {
		t.Fatalf("%v, %+v", err, found)
	}
	for _, l := range found.Lights {
		kept(t, l)
		got, want := l.Scene.Rails[0], sc.Rails[0]
		if !strings.Contains(string(l.Text), "# hangs already") || got.Profile.Name != want.Profile.Name ||
			got.TiltRad != want.TiltRad || !slices.Equal(got.HangersM, want.HangersM) || got.YM != want.YM ||
			got.LeftM != want.LeftM || got.LengthM != want.LengthM || got.AboveWaterM != want.AboveWaterM {
			t.Errorf("%+v became %+v", want, got)
		}
		for _, m := range got.Modules {
			if half := m.Part.BoardLengthM / 2; m.XM+half > 0.3 && m.XM-half < 0.34 {
				t.Errorf("a module at %g m sits on the brace", m.XM)
			}
		}
	}
}
