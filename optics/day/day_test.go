package day_test

import (
	"context"
	"errors"
	"math"
	"strings"
	"testing"

	"fathomlux/optics"
	"fathomlux/optics/day"
	"fathomlux/optics/result"
	"fathomlux/optics/scenetest"
	"fathomlux/scene"
	"fathomlux/scene/heat"
	"fathomlux/scene/wiring"
)

// cold is a shelf of two modules whose figures do not follow temperature: white by pulses, blue by current.
func cold(t *testing.T, program string) *scene.Scene {
	const own = `
parts:
  drivers: {fixed: {currents: [350 mA], voltage: {low: 2 V, high: 40 V}, rated: 20 W, efficiency: 0.8, standby: 0.5 W, isolated: true}}
  modules:
    white:
      {dies: {along: 2, across: 2, pitch: 6 mm}, test_temperature: 25 C, flux_temperature_coefficient: 0 %/K, voltage_temperature_coefficient: 0 mV/K, thermal_resistance: 4 K/W,
       output: [{current: 100 mA, flux: 40 lm, voltage: 2.8 V}, {current: 350 mA, flux: 110 lm, voltage: 3 V}],
       highest_current: 1000 mA, highest_junction: 120 C, radiant_efficiency: 0.33, spectrum: white-4000, board: {length: 30 mm, width: 30 mm}}
    blue: {based_on: white, spectrum: royal-blue, radiant_efficiency: 0.5, output: [{current: 100 mA, flux: 5 lm, voltage: 2.8 V}, {current: 350 mA, flux: 14 lm, voltage: 3 V}]}
`
	return scenetest.Read(t, scenetest.Shelf+"day: "+program+own, "{part: quad-neutral, optic: bare-120, count: 1, current: 350 mA}",
		"[{part: white, optic: bare-120, x: 200 mm, current: 350 mA}, {part: blue, optic: bare-120, x: 400 mm, current: 350 mA}]",
		"{part", "{part", "wiring: {", "wiring: {drivers: [{name: white, driver: fixed, modules: [kind:white]}, {name: blue, driver: fixed, modules: [kind:blue]}], channels: [{name: white, dimming: pulses}, {name: blue}], ")
}

var floor = day.Options{Planes: []scene.PlaneRef{{Name: "floor", DepthM: 0.3}}, StepM: 0.05, Workers: 1}

func of(t *testing.T, sc *scene.Scene, o day.Options) *result.Day {
	t.Helper()
	d, err := day.Of(context.Background(), sc, o)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func near(t *testing.T, what string, got, want, share float64) {
	t.Helper()
	if !(math.Abs(got-want) <= share*math.Abs(want)) {
		t.Errorf("%s: %.9g, want %.9g", what, got, want)
	}
}

// TestTrapezium holds S1 and S4 of the worked examples, by pulses: DLI = 0.0036 P (h - r) and energy = W (h - r), for 10 h from on to
// off with ramps of an hour; P is what the map shows at full light, W = 4 * 3 V * 0.35 A = 4.2 W, and 4.2 / 0.8 from the mains.
// The mean PPFD is above half its peak from the middle of one ramp to that of the other: 9 h. S2: colour unchanged.
func TestTrapezium(t *testing.T) {
	t.Parallel()
	sc := cold(t, "[{channel: white, on: 9:00, off: 19:00, ramp: 1 h}, {channel: blue, on: 0:00, off: 24:00, level: 0 %}]")
	groups, err := wiring.Wire(sc, wiring.Request{})
	if err != nil {
		t.Fatal(err)
	}
	o := floor
	o.Groups = groups
	alone := sc.Copy()
	alone.SetLevel(1, 0)
	m, err := optics.Map(context.Background(), alone, optics.Options{Planes: o.Planes, StepM: o.StepM, Workers: 1})
	if err != nil {
		t.Fatal(err)
	}
	o.AbovePPFD = m.Planes[0].PPFD.Mean / 2
	d := of(t, sc, o)
	p := d.Planes[0]
	near(t, "peak", p.PeakPPFD, m.Planes[0].PPFD.Mean, 1e-3) // fields of a Light meet their mirror images to this
	near(t, "DLI", p.DLI, 0.0036*p.PeakPPFD*9, 1e-12)
	near(t, "Wh at the modules", d.ElectricalWh, 4.2*9, 1e-9)
	drivers := 0.0
	for _, g := range groups {
		if g.Chosen.Fit == nil || g.Chosen.Fit.Driver.Name != "fixed" {
			t.Fatalf("driver %+v", g.Chosen.Fit)
		}
		drivers++
	}
	near(t, "Wh from the mains", d.MainsWh, 4.2*9/0.8+drivers*0.5*24, 1e-9)
	near(t, "hours above half", p.AboveH, 9, 1e-3)
	near(t, "share at noon", d.Moments[len(d.Moments)/2].Share[0], 1, 1e-12)
	for _, one := range d.Moments {
		near(t, "flux by the level", one.Share[0], one.Levels[0], 1e-12)
	}
	for i, v := range p.Field.PPFD { // the map of the day is that of full light
		near(t, "cell", v, 0.0036*9*m.Planes[0].Field.PPFD[i], 5e-3)
	}
}

// TestByCurrentGivesMore holds S3: blue at 100 mA, a row of its table, gives 5/14 of its flux for 4 * 2.8 V * 0.1 A = 1.12 W, by hand;
// its level of 2/7 for ten hours without ramps is a jump at both ends.
func TestByCurrentGivesMore(t *testing.T) {
	t.Parallel()
	sc := cold(t, "[{channel: blue, on: 9:00, off: 19:00, level: 28.571428571428573 %}, {channel: white, on: 0:00, off: 24:00, level: 0 %}]")
	d := of(t, sc, floor)
	near(t, "Wh", d.ElectricalWh, 11.2, 1e-9)
	near(t, "DLI", d.Planes[0].DLI, 0.036*d.Planes[0].FullPPFD[1]*5/14, 1e-9)
	if len(d.Moments) != 6 || d.Moments[1].AtH != 9 || d.Moments[2].AtH != 9 || d.Moments[1].Share[1] != 0 || d.MainsWh != 0 {
		t.Errorf("%+v", d.Moments)
	}
	if d.PeakHeatW >= 1.12 || d.PeakHeatW <= 0.3*1.12 || d.PeakHeatAtH != 9 {
		t.Errorf("peak heat %g W at %g h", d.PeakHeatW, d.PeakHeatAtH)
	}
}

// TestChannelsAddUp: the day of both channels is the sum of the days of each, in each cell, within what straight lines between
// the moments miss of a flux that bends with the current: more moments are looked at in the sum.
func TestChannelsAddUp(t *testing.T) {
	t.Parallel()
	const white, blue, dark = "on: 8:00, off: 18:00, ramp: 2 h}", "points: [{at: 6:00, level: 0 %}, {at: 12:00, level: 90 %}, {at: 22:00, level: 0 %}]}", "on: 0:00, off: 24:00, level: 0 %}"
	day := func(w, b string) result.DayPlane {
		return of(t, cold(t, "[{channel: white, "+w+", {channel: blue, "+b+"]"), floor).Planes[0]
	}
	both, one, two := day(white, blue), day(white, dark), day(dark, blue)
	for i, v := range both.Field.PPFD {
		near(t, "cell", one.Field.PPFD[i]+two.Field.PPFD[i], v, 3e-4)
	}
	near(t, "mean", one.DLI+two.DLI, both.DLI, 3e-4)
}

// TestWeeks: a gentle start from half to full in three weeks, by pulses: 50, 75 and 100 % of the daily light.
func TestWeeks(t *testing.T) {
	t.Parallel()
	sc := cold(t, "[{channel: white, on: 9:00, off: 19:00, ramp: 1 h}, {channel: blue, on: 0:00, off: 24:00, level: 0 %}]")
	o := floor
	o.Weeks, o.From = 3, 0.5
	d := of(t, sc, o)
	for i, want := range []float64{0.5, 0.75, 1} {
		near(t, "factor", d.Weeks[i].Factor, want, 1e-12)
		near(t, "DLI", d.Weeks[i].DLI, want*d.Planes[0].DLI, 1e-9)
	}
}

// TestWarmDay: with real parts light and heat follow the balance of each time: at noon less than rated flux, in the ramp a larger
// share of it a level than at noon; a finer walk through the ramps changes next to nothing.
func TestWarmDay(t *testing.T) {
	t.Parallel()
	sc := scenetest.Read(t, scenetest.Shelf+"day: [{on: 9:00, off: 19:00, ramp: 1 h}]\n")
	d := of(t, sc, floor)
	var noon, half result.Moment
	for _, m := range d.Moments {
		if m.AtH == 10 {
			noon = m
		}
		if m.AtH == 9.5 {
			half = m
		}
	}
	if noon.Share[0] >= 1 || half.Share[0]/0.5 <= noon.Share[0] || noon.JunctionC <= half.JunctionC || d.HottestC != noon.JunctionC {
		t.Errorf("noon %+v, half %+v", noon, half)
	}
	byCurrent := sc.Rails[0].Modules[0].Part.RatedFlux(0.175) / sc.Rails[0].Modules[0].Part.RatedFlux(0.35)
	if half.Share[0] >= byCurrent || half.Share[0] < 0.9*byCurrent { // warm junctions take some
		t.Errorf("half level gives %g of the flux, cold %g", half.Share[0], byCurrent)
	}
}

func TestNoDayAndNoBalance(t *testing.T) {
	t.Parallel()
	sc := scenetest.Read(t, scenetest.Shelf)
	if _, err := day.Of(context.Background(), sc, floor); !errors.Is(err, day.ErrNoDay) {
		t.Error(err)
	}
	sc = scenetest.Read(t, strings.Replace(scenetest.Shelf, "current: 350 mA", "current: 1 A", 1)+"day: [{on: 9:00, off: 19:00}]\nambient: {air: 60 C, hood: {length: 600 mm, width: 50 mm, height: 10 mm}}\n")
	for i := range sc.Rails[0].Modules {
		sc.Rails[0].Modules[i].Part.ResistanceKPerW = 100
	}
	if _, err := day.Of(context.Background(), sc, floor); !errors.Is(err, heat.ErrTooHot) || !strings.Contains(err.Error(), "at 9:00 h") {
		t.Error(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if _, err := day.Of(ctx, cold(t, "[{on: 9:00, off: 19:00}]"), floor); !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
}

// TestMapShowsTheLightOfTheDay: the map, the glance and the study of a scene with a day give the daily light that is summed up over it, whatever
// the levels at which they show the light: blue is off there, and its program has its own hours. PPFD times hours would give less.
func TestMapShowsTheLightOfTheDay(t *testing.T) {
	t.Parallel()
	sc := cold(t, "[{channel: white, on: 9:00, off: 19:00, ramp: 1 h}, {channel: blue, on: 6:00, off: 22:00, level: 50 %}]")
	sc.SetLevel(1, 0)
	want := of(t, sc, day.Options{Planes: floor.Planes, Workers: 1}).Planes[0].DLI
	m, err := optics.Map(context.Background(), sc, optics.Options{Planes: floor.Planes, StepM: 0.05, Engine: optics.Straight, Workers: 1})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "map", m.Planes[0].DLI, want, 1e-12)
	light, err := optics.NewLight(sc, optics.LightOptions{Workers: 1})
	if err != nil {
		t.Fatal(err)
	}
	lit, err := light.Scene(context.Background(), sc)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "study", lit.Plane().DLI, want, 1e-12)
	if byHours := 0.0036 * sc.Wiring.HoursPerDay * m.Planes[0].PPFD.Mean; !(want > 1.02*byHours) {
		t.Errorf("PPFD times hours would give %g, and the day gives %g", byHours, want)
	}
}
