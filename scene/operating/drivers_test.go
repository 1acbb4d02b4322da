package operating_test

import (
	"math"
	"testing"

	"fathomlux/scene/heat"
	"fathomlux/scene/operating"
	"fathomlux/scene/scenetest"
)

// TestDriverInsideAClosedHood is a hood in a room of 35 °C with the driver of 86 % inside, on a wall, and left open: of the electrical
// power P at the modules it loses P (1/0.86 - 1) = 0.162791 P beside the heat of the rail, and all of that leaves through the hood's lid
// and sides. One that the scene leaves open is taken as the worst at hand, of 82 % (cc-700-20w): 0.219512 P.
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
	for wiring, share := range map[string]float64{"{driver: cc-700, modules: [main], at: hood}": 1/0.86 - 1, "{modules: [main], at: hood}": 1/0.82 - 1} {
		o := point(wiring)
		if math.Abs(o.DriversW-share*o.ElectricalW) > 1e-4*o.DriversW || wall.DriversW != 0 {
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
