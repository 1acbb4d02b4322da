package day_test

import (
	"math"
	"strings"
	"testing"

	"fathomlux/optics/day"
	"fathomlux/scene"
	"fathomlux/scene/bill"
	"fathomlux/scene/operating"
	"fathomlux/scene/wiring"
)

// reefLight is eight white and eight blue modules of four dies in series on a rail each, on two named drivers of 80 %, whose figures do not follow
// temperature. BLUE is their current, BY how the blue ones dim.
const reefLight = `tank: {length: 1200 mm, width: 500 mm, height: 500 mm, water: {depth: 420 mm}}
rails:
  - {name: front, length: 1100 mm, above_water: 180 mm, y: 150 mm, profile: finned-80x25, modules: {part: white, optic: bare-120, count: 8, spacing: 130 mm, current: 350 mA}}
  - {name: back, length: 1100 mm, above_water: 180 mm, y: 350 mm, profile: finned-80x25, modules: {part: blue, optic: bare-120, count: 8, spacing: 130 mm, current: BLUE}}
wiring:
  hours: 10 h
  tariff: 0.30 EUR/kWh
  drivers: [{name: one, driver: w, modules: [front], channel: white}, {name: two, driver: b, modules: [kind:blue], channel: blue}]
  channels: [{name: white, level: LEVEL}, {name: blue, level: LEVEL, dimming: BY}]
DAY
parts:
  drivers:
    w: {currents: [700 mA], voltage: {low: 20 V, high: 56 V}, rated: 40 W, efficiency: 0.8, standby: 0.5 W, isolated: true, open_voltage: 58 V, dimming: both, price: 20 EUR}
    b: {based_on: w, currents: [700 mA, 1000 mA], rated: 60 W, standby: 0.7 W, price: 24 EUR}
  modules:
    white:
      {dies: {along: 2, across: 2, pitch: 6 mm}, test_temperature: 25 C, flux_temperature_coefficient: 0 %/K, voltage_temperature_coefficient: 0 mV/K, thermal_resistance: 4 K/W,
       output: [{current: 35 mA, flux: 14 lm, voltage: 2.6 V}, {current: 350 mA, flux: 110 lm, voltage: 3 V}],
       highest_current: 1000 mA, highest_junction: 120 C, radiant_efficiency: 0.33, spectrum: white-4000, board: {length: 40 mm, width: 20 mm}, price: 3 EUR}
    blue:
      {based_on: white, spectrum: royal-blue, radiant_efficiency: 0.5, price: 4 EUR,
       output: [{current: 35 mA, flux: 1.8 lm, voltage: 2.6 V}, {current: 50 mA, flux: 2.5 lm, voltage: 2.7 V}, {current: 350 mA, flux: 14 lm, voltage: 3.1 V}, {current: 500 mA, flux: 19 lm, voltage: 3.2 V}]}
`

// TestReefLightOfTwoChannels is a reef light of 8 + 8 modules by hand, at like currents, at unlike ones, and dimmed to a tenth; wiring, heat,
// bill and day agree. A module has four dies in series; each driver feeds two strings of four modules. Watts at the modules, and 1/0.8 of them
// from the mains, 0.5 + 0.7 W of stand-by all day:
//
//	white, 350 mA        8 * 4 * 3.0 V * 0.35 A   = 33.60 W, strings of 48.0 V, driver at 700 mA
//	blue, 350 mA         8 * 4 * 3.1 V * 0.35 A   = 34.72 W,            49.6 V,           700 mA
//	blue, 500 mA         8 * 4 * 3.2 V * 0.50 A   = 51.20 W,            51.2 V,           1000 mA
//	a tenth by current   8 * 4 * 2.6 V * 0.035 A  =  2.912 W of white, and of blue at 350 mA; 8 * 4 * 2.7 V * 0.05 A = 4.32 W of blue at 500 mA
//	a tenth by pulses    0.1 * 51.20 W            =  5.12 W
//
// Ten hours of light at that level, by hours or by the clock, take 10 times the mains watts and 24 * 1.2 Wh. An open string drives
// twice its current through the other: 700 mA and, at 500 mA, 1000 mA, just what the modules bear. Light by hand: 4 * 110 lm a white
// module at 350 mA, 4 * 14 lm at a tenth by current, that is 1.27 times a tenth.
func TestReefLightOfTwoChannels(t *testing.T) {
	t.Parallel()
	const clock = "day: [{on: 9:00, off: 19:00, level: LEVEL}]"
	for _, c := range []struct {
		what, current, by, level string
		whiteW, blueW            float64 // at the modules
		blueV, blueA, whiteLm    float64 // of a string and the driver at full light; of a white module
	}{
		{"like", "350 mA", "current", "100 %", 33.6, 34.72, 49.6, 0.7, 440},
		{"unlike", "500 mA", "current", "100 %", 33.6, 51.2, 51.2, 1, 440},
		{"like, a tenth", "350 mA", "current", "10 %", 2.912, 2.912, 49.6, 0.7, 56},
		{"unlike, a tenth", "500 mA", "current", "10 %", 2.912, 4.32, 51.2, 1, 56},
		{"unlike, a tenth by pulses", "500 mA", "pulses", "10 %", 2.912, 5.12, 51.2, 1, 56},
	} {
		for _, withDay := range []string{"", clock} {
			sc, err := scene.Parse("reef.yaml", []byte(strings.NewReplacer("BLUE", c.current, "BY", c.by, "DAY", strings.ReplaceAll(withDay, "LEVEL", c.level), "LEVEL", c.level).Replace(reefLight)), nil)
			if err != nil {
				t.Fatal(err)
			}
			near := func(what string, got, want float64) {
				t.Helper()
				if !(math.Abs(got-want) <= 1e-6*math.Abs(want)) {
					t.Errorf("%s: %s %.9g, want %.9g", c.what, what, got, want)
				}
			}
			op, err := operating.Of(sc)
			if err != nil {
				t.Fatal(err)
			}
			groups, err := wiring.Wire(sc, wiring.Request{JunctionC: op.JunctionC, LeadM: 2})
			if err != nil || len(groups) != 2 {
				t.Fatalf("%s: %d drivers, %v", c.what, len(groups), err)
			}
			for i, want := range []struct{ volts, amps float64 }{{48, 0.7}, {c.blueV, c.blueA}} {
				g := &groups[i]
				if !g.Chosen.Fed() || len(g.Circuit.Strings) != 2 || g.Guard.Needed {
					t.Errorf("%s: driver %s: %+v", c.what, g.Name, g.Chosen)
				}
				near("volts of "+g.Name, g.Sharing.VoltageV, want.volts)
				near("amperes of "+g.Name, g.Circuit.DriverA, want.amps)
			}
			mainsW := (c.whiteW + c.blueW) / 0.8
			yearKWh := (10*mainsW + 24*1.2) * 365 / 1000
			run := wiring.RunningOf(sc, groups)
			near("load", run.LoadW, c.whiteW+c.blueW)
			near("mains", run.MainsW, mainsW)
			near("kWh", run.KWhPerYear, yearKWh)
			near("cost", run.CostPerYear.Amount, 0.3*yearKWh)

			near("heat: electrical", op.ElectricalW, c.whiteW+c.blueW)
			near("heat: balance", op.LightW+op.HeatW, op.ElectricalW)
			white := op.Rails[0].Modules[0]
			near("light of a white module", white.RatedLm*white.RelativeFlux, c.whiteLm)
			near("its watts", white.LightW, c.whiteLm/sc.Rails[0].Modules[0].Part.LmPerW)

			paid := map[string]float64{}
			for _, l := range bill.Of(sc, groups, 0).Lines {
				paid[l.Kind] += l.Sum.Amount
			}
			near("drivers", paid["driver"], 20+24)
			near("modules", paid["module"], 8*3+8*4)

			if withDay == "" {
				continue
			}
			d := of(t, sc, day.Options{Groups: groups, Workers: 1})
			near("day: Wh", d.ElectricalWh, 10*(c.whiteW+c.blueW))
			near("day: mains Wh", d.MainsWh, yearKWh*1000/365)
			near("day: heat", d.PeakHeatW, op.HeatW)
			near("day: light", d.Moments[2].Share[0], c.whiteLm/440)
		}
	}
}
