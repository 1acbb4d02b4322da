package optics_test

import (
	"math"
	"testing"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/optics/scenetest"
	"fathomlux/scene"
	"fathomlux/scene/form"
	"fathomlux/scene/longtest"
)

// floorOf is the map of a scene on its floor.
func floorOf(t *testing.T, sc *scene.Scene, engine optics.Engine) *result.Map {
	t.Helper()
	o := optics.Options{StepM: longtest.Pick(0.04, 0.02), Workers: 2, Engine: engine, Planes: []scene.PlaneRef{{Name: "floor", DepthM: sc.Tank.Water.DepthM}}}
	if engine == optics.Traced {
		o.Photons = longtest.Pick[int64](1<<17, 1<<19)
	}
	m, err := optics.Map(t.Context(), sc, o)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// shaped is a scene whose tank has an outline of points.
func shaped(t *testing.T, points []form.Point) *scene.Scene {
	t.Helper()
	sc := scenetest.DimFoyer(t)
	o, _, err := form.Draw(points)
	if err != nil {
		t.Fatal(err)
	}
	sc.Tank.Outline = o
	return sc
}

// TestTheShapedWayIsThePlainOne: P4. A rectangle that is forced to go the way of other outlines has the light of the
// fast way, in lx and in umol/m2/s, and its flux ends in the same places.
func TestTheShapedWayIsThePlainOne(t *testing.T) {
	t.Parallel()
	if longtest.Pick(true, false) {
		t.Skip("the full run alone; package trace holds a sample")
	}
	plain := scenetest.DimFoyer(t)
	got := floorOf(t, shaped(t, form.Rectangle(plain.Tank.LengthM, plain.Tank.WidthM)), optics.Full)
	want := floorOf(t, plain, optics.Full)
	is, was := got.Planes[0], want.Planes[0]
	if a, b := is.Illuminance.Mean/was.Illuminance.Mean, is.PPFD.Mean/was.PPFD.Mean; math.Abs(a-1) > 0.003 || math.Abs(b-1) > 0.003 {
		t.Errorf("means are %g and %g times those of the plain way", a, b)
	}
	sum := 0.0
	for i, v := range is.Field.Illuminance {
		sum += math.Pow(v-was.Field.Illuminance[i], 2)
	}
	if off := math.Sqrt(sum/float64(len(is.Field.Illuminance))) / was.Illuminance.Mean; off > 0.012 { // both have 0.5 % of noise
		t.Errorf("cells are %.2f %% of the mean off", 100*off)
	}
	for k, v := range (*result.Ends[float64])(&got.Balance).Entries() {
		if other := *(*result.Ends[float64])(&want.Balance).Entries()[k]; math.Abs(*v-other) > 0.004*want.Balance.Emitted {
			t.Errorf("entry %d of the balance is %g, not %g", k, *v, other)
		}
	}
	if off := got.Balance.Sum()/got.Balance.Emitted - 1; math.Abs(off) > 1e-9 {
		t.Errorf("the balance is off by %g", off)
	}
}

// TestSightAndRestAreAllPhotons: straight light by sight with the rest is what photons alone find, in a bow front; cells that the
// outline cuts count by their area.
func TestSightAndRestAreAllPhotons(t *testing.T) {
	t.Parallel()
	sc := scenetest.DimFoyer(t)
	sc = shaped(t, form.BowFront(sc.Tank.LengthM, sc.Tank.WidthM, 0.12))
	got, want := floorOf(t, sc, optics.Full).Planes[0], floorOf(t, sc, optics.Traced).Planes[0]
	three := 3 * math.Hypot(got.MeanErrorLx, want.MeanErrorLx)
	if off := math.Abs(got.Illuminance.Mean - want.Illuminance.Mean); off > three {
		t.Errorf("mean %g, not %g within %g", got.Illuminance.Mean, want.Illuminance.Mean, three)
	}
	far, cells := 0, 0
	for i, v := range got.Field.Illuminance {
		if got.Field.Solid != nil && got.Field.Solid[i] > 0.5 {
			continue
		}
		cells++
		if math.Abs(v-want.Field.Illuminance[i]) > 3*math.Hypot(got.ErrorLx[i], want.ErrorLx[i]) {
			far++
		}
	}
	if float64(far) > 0.02*float64(cells) {
		t.Errorf("%d of %d cells are more than three standard errors off", far, cells)
	}
}

// TestMirroredOutlinesMirrorLight: a tank that is its own mirror image has light that is, but for the photons' noise.
func TestMirroredOutlinesMirrorLight(t *testing.T) {
	t.Parallel()
	if longtest.Pick(true, false) {
		t.Skip("the full run alone; package trace holds a sample")
	}
	sc := scenetest.DimFoyer(t)
	p := floorOf(t, shaped(t, form.Hexagon(sc.Tank.LengthM, sc.Tank.WidthM)), optics.Full).Planes[0]
	far, n := 0, p.Field.Grid.NX
	for i, v := range p.Field.Illuminance {
		k := i - i%n + n - 1 - i%n
		if p.Field.Solid[i] < 0.5 && math.Abs(v-p.Field.Illuminance[k]) > 4*math.Hypot(p.ErrorLx[i], p.ErrorLx[k])+1e-6*v {
			far++
		}
	}
	if far > len(p.Field.Illuminance)/50 {
		t.Errorf("%d cells differ from their mirror images", far)
	}
}

// TestTurnsTurnTheLight: a rail turned by a quarter in a square tank throws the light of the unturned one, turned by as
// much; both turned by a half it is as it was.
func TestTurnsTurnTheLight(t *testing.T) {
	t.Parallel()
	field := func(rail, module string) []float64 {
		sc := scenetest.Read(t, scenetest.Shelf, "width: 300 mm", "width: 600 mm", "- length: 500 mm", "- length: 500 mm\n    turn: "+rail,
			"optic: bare-120, count: 1", "optic: oval-60x25, count: 2, spacing: 200 mm, turn: "+module)
		m, err := optics.Map(t.Context(), sc, optics.Options{StepM: 0.05, Workers: 2, Engine: optics.Straight})
		if err != nil {
			t.Fatal(err)
		}
		return m.Planes[2].Field.Illuminance
	}
	still, top := field("0 deg", "0 deg"), 0.0
	for _, v := range still {
		top = max(top, v)
	}
	same := func(what string, got []float64, from func(ix, iy int) int) {
		for i, v := range got {
			if want := still[from(i%12, i/12)]; math.Abs(v-want) > 1e-3*top {
				t.Fatalf("%s: cell %d has %g, not %g", what, i, v, want)
			}
		}
	}
	same("a quarter", field("90 deg", "0 deg"), func(ix, iy int) int { return (11-ix)*12 + iy })
	same("a half", field("180 deg", "0 deg"), func(ix, iy int) int { return (11-iy)*12 + 11 - ix })
	same("both by a half", field("180 deg", "180 deg"), func(ix, iy int) int { return iy*12 + ix })
	if turned := field("0 deg", "90 deg"); math.Abs(turned[6*12+9]-still[6*12+9]) < 0.02*top {
		t.Error("a module that is turned throws the same light")
	}
}
