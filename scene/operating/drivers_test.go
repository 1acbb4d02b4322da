package operating_test

import (
	"math"
	"testing"

	"fathomlux/scene/heat"
	"fathomlux/scene/operating"
	"fathomlux/scene/scenetest"
	"fathomlux/scene/wiring"
)

// TestDriverInsideAClosedHood is a hood in a room of 35 °C with the driver of 86 % inside, on a wall, and left open: of the electrical
// power P at the modules it loses P (1/0.86 - 1) = 0.162791 P and 0.34 W of stand-by beside the heat of the rail, and
// all of that leaves through the hood's lid and sides. One that the scene leaves open is taken as the worst at hand, of 82 % (cc-700-20w):
// 0.219512 P and 0.29 W.
func TestDriverInsideAClosedHood(t *testing.T) {
	t.Parallel()
	const hood = "ambient:\n  air: 35 C\n  hood: {length: 1150 mm, width: 400 mm, height: 200 mm}\n"
	point := func(wiring string) *operating.Point {
		text := scenetest.Edit(t, scenetest.Sound, "ambient: {air: 24 C}\n", hood, "driver: cc-700, strings: 2", "drivers: ["+wiring+"]")
		o, err := operating.Of(scenetest.Parse(t, text))
		if err != nil {
			t.Fatal(err)
		}
		return o
	}
	wall := point("{driver: cc-700, modules: [main], at: wall}")
	for wiring, c := range map[string]struct{ share, standbyW float64 }{"{driver: cc-700, modules: [main], at: hood}": {1/0.86 - 1, 0.34},
		"{modules: [main], at: hood}": {1/0.82 - 1, 0.29}} {
		o := point(wiring)
		if math.Abs(o.DriversW-c.share*o.ElectricalW-c.standbyW) > 1e-4*o.DriversW || wall.DriversW != 0 {
			t.Errorf("%s: %g W of %g W are lost", wiring, o.DriversW, o.ElectricalW)
		}
		_, airC, err := heat.Hood{LengthM: 1.15, WidthM: 0.4, HeightM: 0.2, Emissivity: 0.9}.Warm(o.HeatW+o.DriversW, 35)
		if err != nil || math.Abs(airC-o.HoodAirC) > 0.01 || o.HoodAirC < wall.HoodAirC+0.5 || o.HottestJunctionC() < wall.HottestJunctionC()+0.5 {
			t.Errorf("%s: the air in the hood has %g °C, %g by the heat alone, %g with the driver outside", wiring, o.HoodAirC, airC, wall.HoodAirC)
		}
		if off := o.ElectricalW - o.LightW - o.LossW; math.Abs(off) > 0.001*o.ElectricalW {
			t.Errorf("%s: %g W are missing in the balance", wiring, off)
		}
	}
}

// TestHoodTakesWhatTheMainsGiveAndTheModulesDoNot is one rule for the driver's losses, whatever the level: what the mains give less what the modules
// take is what heats the hood. By hand: cc-700-56w has 78 % at 14 W, the least load of its table, where it loses 14 (1/0.78 - 1) = 3.9487 W;
// two modules at a tenth take less, and it loses as many watts, and 0.44 W of stand-by. Without a load the stand-by is left.
func TestHoodTakesWhatTheMainsGiveAndTheModulesDoNot(t *testing.T) {
	t.Parallel()
	text := scenetest.Edit(t, scenetest.Sound, "ambient: {air: 24 C}\n", "ambient:\n  air: 24 C\n  hood: {length: 1150 mm, width: 400 mm, height: 200 mm}\n",
		"driver: cc-700, strings: 2", "drivers: [{name: a, driver: cc-700-56w, modules: [main], at: hood}], channels: [{name: a, dimming: pulses}]", "350 mA", "700 mA")
	s := scenetest.Parse(t, text)
	for level, want := range map[float64]float64{0.1: 14*(1/0.78-1) + 0.44, 0: 0.44, 1: 0} {
		s.SetLevel(0, level)
		o, err := operating.Of(s)
		if err != nil {
			t.Fatal(err)
		}
		groups, err := wiring.Wire(s, wiring.Request{JunctionC: o.JunctionC})
		if err != nil {
			t.Fatal(err)
		}
		mainsW, known := groups[0].MainsW(o.ElectricalW)
		if level == 1 { // within the table
			want = o.DriversW
		}
		if !known || math.Abs(mainsW+0.44-o.ElectricalW-o.DriversW) > 1e-6 || math.Abs(o.DriversW-want) > 1e-9 || o.ElectricalW > 14 != (level == 1) {
			t.Errorf("at %g: %g W from the mains, %g W at the modules, %g W in the hood; want %g W", level, mainsW, o.ElectricalW, o.DriversW, want)
		}
	}
}
