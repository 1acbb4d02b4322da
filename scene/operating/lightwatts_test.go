package operating_test

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"fathomlux/scene"
	"fathomlux/scene/heat"
	"fathomlux/scene/longtest"
	"fathomlux/scene/operating"
	"fathomlux/scene/parts"
	"fathomlux/scene/scenetest"
)

// byHand is a scene of four modules, a rail each, of parts whose light keeps its flux and its volts at any temperature, so that
// no figure of theirs depends on the balance. Powers are on narrow triangles, so that V at the whole nanometre counts alone.
const byHand = `
tank: {length: 1800 mm, width: 600 mm, height: 500 mm, water: {depth: 400 mm}}
rails:
  - {name: a, length: 1200 mm, above_water: 100 mm, y: 100 mm, modules: {part: four-blue, optic: lens-90, count: 1, current: 1000 mA}}
  - {name: b, length: 1200 mm, above_water: 100 mm, y: 200 mm, modules: {part: four-blue, optic: no-lens, count: 1, current: 300 mA}}
  - {name: c, length: 1200 mm, above_water: 100 mm, y: 300 mm, modules: {part: pair, optic: lens-80, count: 1, current: 600 mA}}
  - {name: d, length: 1200 mm, above_water: 100 mm, y: 400 mm, modules: {part: one-level, optic: no-lens, count: 1, current: 500 mA}}
ambient: {air: 20 C}
goal: {plane: floor, illuminance: 100 lx}
parts:
  spectra:
    line-450: {table: [{wavelength: 449 nm, power: 0}, {wavelength: 450 nm, power: 1}, {wavelength: 451 nm, power: 0}]}
    line-510: {table: [{wavelength: 509 nm, power: 0}, {wavelength: 510 nm, power: 1}, {wavelength: 511 nm, power: 0}]}
    two-lines: {mix: [{spectrum: line-450, share: 0.5}, {spectrum: line-510, share: 0.5}]}
    level: {table: [{wavelength: 200 nm, power: 7}, {wavelength: 1000 nm, power: 7}]}
  optics:
    no-lens: {beam: 120 deg, efficiency: 1}
    lens-90: {beam: 60 deg, efficiency: 0.9}
    lens-80: {beam: 60 deg, efficiency: 0.8}
  modules:
    four-blue:
      {dies: {along: 2, across: 2, pitch: 6 mm}, test_temperature: 30 C, flux_temperature_coefficient: 0 %/K, voltage_temperature_coefficient: 0 mV/K, thermal_resistance: 4 K/W,
       output: [{current: 300 mA, flux: 15 lm, voltage: 3 V}, {current: 1000 mA, flux: 37.6 lm, voltage: 3.4 V}],
       highest_current: 1000 mA, highest_junction: 120 C, radiant_efficiency: 0.6, spectrum: line-450, board: {length: 30 mm, width: 30 mm}}
    pair:
      {dies: {along: 2, across: 1, pitch: 6 mm}, parallel: 2, test_temperature: 30 C, flux_temperature_coefficient: 0 %/K, voltage_temperature_coefficient: 0 mV/K, thermal_resistance: 4 K/W,
       output: [{current: 100 mA, flux: 30 lm, voltage: 2.8 V}, {current: 300 mA, flux: 72 lm, voltage: 3 V}],
       highest_current: 600 mA, highest_junction: 120 C, radiant_efficiency: 0.4, spectrum: two-lines, board: {length: 30 mm, width: 30 mm}}
    one-level:
      {dies: {along: 1, across: 1}, test_temperature: 30 C, flux_temperature_coefficient: 0 %/K, voltage_temperature_coefficient: 0 mV/K, thermal_resistance: 4 K/W,
       output: [{current: 250 mA, flux: 60 lm, voltage: 3 V}, {current: 500 mA, flux: 100 lm, voltage: 3.2 V}],
       highest_current: 500 mA, highest_junction: 120 C, radiant_efficiency: 0.4, spectrum: level, board: {length: 30 mm, width: 30 mm}}
`

// TestLightWattsByHand holds the watts of light and of heat of four modules against hand arithmetic. Luminous efficacies of
// radiation: 683 lm/W times V (CIE 1924: 0.038 at 450 nm, 0.503 at 510 nm) is 25.954 and 343.549 lm/W; half and half of the
// watts 184.7515 lm/W; equal power at all wavelengths 683 * 106.8564 / 400 = 182.457 lm/W.
//
//	a  4 * 37.6 = 150.4 lm / 25.954 = 5.79487 W of light, by the lens of 90 % 5.21538 W; 4 * 3.4 V * 1 A = 13.6 W, so 8.38462 W
//	   of heat, of which 0.579487 W is light in the lens. The share at 300 mA, 64 %, would have made it 8.73 W and 4.87 W.
//	b  4 * 15 = 60 lm / 25.954 = 2.31178 W of 4 * 3 V * 0.3 A = 3.6 W: 1.28822 W of heat
//	c  2 * 72 = 144 lm / 184.7515 = 0.779425 W of light, by the lens of 80 % 0.623540 W; 3 V * 0.6 A = 1.8 W: 1.17646 W of heat
//	d  100 lm / 182.457 = 0.548074 W of 3.2 V * 0.5 A = 1.6 W: 1.05193 W of heat
func TestLightWattsByHand(t *testing.T) {
	t.Parallel()
	s := scenetest.Parse(t, byHand)
	o := operate(t, s)
	for i, want := range []struct{ electricalW, lightW, heatW, opticW float64 }{
		{13.6, 5.21538, 8.38462, 0.579487}, {3.6, 2.31178, 1.28822, 0}, {1.8, 0.623540, 1.17646, 0.155885}, {1.6, 0.548074, 1.05193, 0},
	} {
		m := o.Rails[i].Modules[0]
		for _, c := range []struct {
			what      string
			got, want float64
		}{
			{"W electrical", m.ElectricalW, want.electricalW}, {"W of light", m.LightW, want.lightW},
			{"W of heat", m.HeatW, want.heatW}, {"W in the optic", m.OpticW, want.opticW},
			{"K over the board", m.JunctionC - m.BoardC, 4 * (want.heatW - want.opticW)},               // 4 K/W of the part, not for light in the lens
			{"K of the case over the board", m.CaseC - m.BoardC, 4 * 0.5 * (want.heatW - want.opticW)}, // half, unless the part says
			{"K over the rail", m.BoardC - m.RailC, 0.5 * want.heatW},
			{"W given to the air", o.Rails[i].LossW, want.heatW},
		} {
			tolerance := 1e-4 * (1 + c.want) // digits of V and of the figures above; the fin keeps 1e-3 of the heat
			if c.what == "W given to the air" {
				tolerance = 1e-3 * c.want
			}
			if math.Abs(c.got-c.want) > tolerance {
				t.Errorf("rail %c: %.6g %s, want %.6g", 'a'+i, c.got, c.what, c.want)
			}
		}
		if math.Abs(m.LightW+m.HeatW-m.ElectricalW) > 1e-12 {
			t.Errorf("rail %c: %g W is not %g W of light and %g W of heat", 'a'+i, m.ElectricalW, m.LightW, m.HeatW)
		}
	}
}

// TestRadiantEfficiencyIsChecked holds the warning of a part whose radiant efficiency, or whose flux itself, does not go with its spectrum:
// four-blue gives 62 % of the power as light at 300 mA (see above: 15 lm / 25.954 / 0.9 W) and 43 % at 1000 mA.
func TestRadiantEfficiencyIsChecked(t *testing.T) {
	t.Parallel()
	for share, warns := range map[float64]bool{0.35: true, 0.4: false, 0.5: false, 0.68: false, 0.75: true} {
		s := scenetest.Parse(t, scenetest.Edit(t, byHand, "radiant_efficiency: 0.6,", fmt.Sprintf("radiant_efficiency: %g,", share)))
		if warned := len(s.Warnings) > 0; warned != warns {
			t.Errorf("radiant_efficiency %g: %v", share, s.Warnings)
		}
	}
}

// TestMoreLightThanPower warns of a table that gives more light than power: 30 lm at 25.954 lm/W are 1.16 W from 0.9 W.
func TestMoreLightThanPower(t *testing.T) {
	t.Parallel()
	s := scenetest.Parse(t, scenetest.Edit(t, byHand, "flux: 15 lm", "flux: 30 lm"))
	if len(s.Warnings) != 1 || !strings.Contains(s.Warnings[0].String(), "four-blue.output[0]: 30 lm with the spectrum line-450 (26 lm/W) are 1.2 W of radiant power, more than the 0.90 W") {
		t.Errorf("%v", s.Warnings)
	}
	o := operate(t, s)
	if m := o.Rails[1].Modules[0]; m.HeatW < 0 || m.LightW > m.ElectricalW {
		t.Errorf("%g W of light and %g W of heat from %g W", m.LightW, m.HeatW, m.ElectricalW)
	}
}

// TestHeatFollowsAShadowedSpectrum changes the spectrum below a module that was read before.
func TestHeatFollowsAShadowedSpectrum(t *testing.T) {
	t.Parallel()
	own := scenetest.Parse(t, scenetest.Smallest+"parts: {spectra: {white-4000: {table: [{wavelength: 200 nm, power: 1}, {wavelength: 1000 nm, power: 1}]}}}\n")
	for name, m := range own.Catalogue.Modules {
		if got, want := m.LmPerW, own.Catalogue.Spectra[m.Spectrum].LmPerW; got != want || got == 0 {
			t.Errorf("%s: %g lm/W, and its spectrum %g", name, got, want)
		}
	}
	if got := own.Catalogue.Modules["single-neutral"].LmPerW; math.Abs(got-182.457) > 0.1 {
		t.Errorf("equal power at all wavelengths has %g lm/W, want 182.5", got)
	}
}

// TestBalanceClosesForEveryModule holds the first law for every built-in module at the ends, the middle and the highest of its
// currents: the power that goes in is the light that leaves the optics and the heat that the bar gives to the air, within 0.1 %.
func TestBalanceClosesForEveryModule(t *testing.T) {
	t.Parallel()
	base := scenetest.Parse(t, scenetest.Sound)
	for _, name := range parts.Names(base.Catalogue.Modules) {
		part := base.Catalogue.Modules[name]
		low, high := part.CurrentRange()
		for _, a := range []float64{low, (low + high) / 2, part.HighestA, high} {
			s := *base
			s.Rails = []scene.Rail{base.Rails[0]}
			s.Rails[0].Modules = slices.Clone(base.Rails[0].Modules)[:2]
			for i := range s.Rails[0].Modules {
				m := &s.Rails[0].Modules[i]
				m.Part, m.CurrentA = part, a
			}
			o, err := operating.Of(&s)
			if errors.Is(err, heat.ErrTooHot) && a > part.HighestA {
				continue
			}
			if err != nil {
				t.Fatal(name, a, err)
			}
			longtest.Held(t, "light and heat, W", o.LightW+o.LossW, o.ElectricalW, 1e-3*o.ElectricalW)
			if o.ElectricalW == 0 || math.Abs(o.ElectricalW-o.LightW-o.LossW) > 1e-3*o.ElectricalW {
				t.Errorf("%s at %g A: %g W go in, %g W of light and %g W of heat come out", name, a, o.ElectricalW, o.LightW, o.LossW)
			}
		}
	}
}

// TestTwoChannelsAtATenth is a reef light of 8 white and 8 blue modules at unlike currents, 700 and 350 mA, both dimmed to 10 %, white
// by pulses and blue by current; temperature coefficients are 0, so that figures are those of the tables, of one die:
//
//	white  8 * 4 * 100 lm * 0.1 = 320 lm; 8 * 4 * 3.2 V * 0.7 A * 0.1 = 7.168 W
//	blue   35 mA lies below the table: 8 * 4 * 6 lm * 35/100 = 67.2 lm; the volts fall on by 0.2 V / 250 mA: 2.8 - 0.052 = 2.748 V,
//	       8 * 4 * 2.748 V * 0.035 A = 3.07776 W
//
// At full light 3200 lm and 71.68 W, and 8 * 4 * 18 = 576 lm and 8 * 4 * 3 V * 0.35 A = 33.6 W: blue keeps 67.2/576 = 11.7 % of its light.
func TestTwoChannelsAtATenth(t *testing.T) {
	t.Parallel()
	text := `
tank: {length: 1000 mm, width: 450 mm, height: 400 mm, water: {depth: 360 mm, salinity: 35 g/kg}}
rails:
  - name: reef
    length: 1000 mm
    above_water: 150 mm
    profile: finned-80x25
    modules:
      - {part: bright, optic: bare-120, count: 8, spacing: 110 mm, centre: 480 mm, current: 700 mA}
      - {part: deep, optic: bare-120, count: 8, spacing: 110 mm, centre: 530 mm, current: 350 mA}
wiring:
  channels:
    - {name: white, modules: [kind:bright], level: 10 %, dimming: pulses}
    - {name: blue, modules: [kind:deep], level: 10 %, dimming: current}
parts:
  modules:
    bright:
      {dies: {along: 2, across: 2, pitch: 6 mm}, test_temperature: 25 C, flux_temperature_coefficient: 0 %/K, voltage_temperature_coefficient: 0 mV/K, thermal_resistance: 4 K/W,
       output: [{current: 350 mA, flux: 60 lm, voltage: 3 V}, {current: 700 mA, flux: 100 lm, voltage: 3.2 V}],
       highest_current: 1000 mA, highest_junction: 120 C, radiant_efficiency: 0.2, spectrum: white-6500, board: {length: 30 mm, width: 30 mm}}
    deep:
      {dies: {along: 2, across: 2, pitch: 6 mm}, test_temperature: 25 C, flux_temperature_coefficient: 0 %/K, voltage_temperature_coefficient: 0 mV/K, thermal_resistance: 4 K/W,
       output: [{current: 100 mA, flux: 6 lm, voltage: 2.8 V}, {current: 350 mA, flux: 18 lm, voltage: 3 V}],
       highest_current: 1000 mA, highest_junction: 120 C, radiant_efficiency: 0.5, spectrum: royal-blue, board: {length: 20 mm, width: 20 mm}}
`
	s := scenetest.Parse(t, text)
	for _, full := range []bool{false, true} {
		want := []float64{320, 7.168, 67.2, 3.07776}
		if full {
			s = s.Copy()
			s.SetLevel(0, 1)
			s.SetLevel(1, 1)
			want = []float64{3200, 71.68, 576, 33.6}
		}
		o := operate(t, s)
		got := make([]float64, 4)
		for i, m := range o.Rails[0].Modules {
			at := 2 * s.Rails[0].Modules[i].Channel
			got[at] += m.RatedLm * m.RelativeFlux
			got[at+1] += m.ElectricalW
		}
		for i := range got {
			if math.Abs(got[i]-want[i]) > 1e-9*want[i] {
				t.Errorf("full %v: figure %d is %.9g, want %g", full, i, got[i], want[i])
			}
		}
		if w := s.PowerW(); math.Abs(w-want[1]-want[3]) > 1e-9*w {
			t.Errorf("full %v: %g W at the modules", full, w)
		}
		if cold := s.AtSwitchOn(); math.Abs(cold.DiesLm-want[0]-want[2]) > 1e-9*cold.DiesLm || math.Abs(cold.SeriesV-8*4*(3.2+3)) > 1e-9 {
			t.Errorf("full %v: %+v; the string has its full voltage at any level", full, cold)
		}
	}
}
