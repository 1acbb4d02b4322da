package optics

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"fathomlux/optics/beam"
	"fathomlux/optics/scenetest"
	"fathomlux/scene"
	"fathomlux/scene/lm63"
	"fathomlux/scene/longtest"
	"fathomlux/scene/parts"
	"fathomlux/scene/space"
)

const deg = math.Pi / 180

// towards is the unit direction theta from the aim at the azimuth phi from along the rail.
func towards(theta, phi float64) space.Vector {
	return space.Vector{X: math.Sin(theta) * math.Cos(phi), Y: math.Sin(theta) * math.Sin(phi), Z: math.Cos(theta)}
}

// tabulated writes a shape as an LM-63 file of 1000 lm at steps of stepDeg, over the given horizontal angles.
func tabulated(t *testing.T, b *beam.Beam, stepDeg float64, horizontal ...float64) []byte {
	t.Helper()
	vertical := make([]float64, int(90/stepDeg)+1)
	for i := range vertical {
		vertical[i] = float64(i) * stepDeg
	}
	var out bytes.Buffer
	numbers := func(values []float64) { fmt.Fprintln(&out, strings.Trim(fmt.Sprint(values), "[]")) }
	fmt.Fprintf(&out, "IESNA:LM-63-2002\nTILT=NONE\n1 -1 1 %d %d 1 2 0 0 0\n1 1 0\n", len(vertical), len(horizontal))
	numbers(vertical)
	numbers(horizontal)
	for _, h := range horizontal {
		var row []float64
		for _, v := range vertical {
			row = append(row, 1000*b.PerLumen(towards(v*deg, h*deg)))
		}
		numbers(row)
	}
	return out.Bytes()
}

// opener serves one file by the name lens.ies.
func opener(data []byte) scene.Opener {
	return func(name string) ([]byte, error) {
		if name != "lens.ies" {
			return nil, errors.New("there is no such file")
		}
		return data, nil
	}
}

func fromFile(t *testing.T, data []byte) *beam.Beam {
	t.Helper()
	b, err := newBeam(parts.Optic{Name: "lens", File: "lens.ies", Efficiency: 1}, opener(data))
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// TestCosinesThroughTheWriter: cos^m beams (A20) written out, read back and made beams again keep their intensity to 0.1 %
// of the peak and their flux to 0.1 %. Straight lines between angles h apart are off by m h^2/8 of the peak and by m h^2/12
// of the flux, so 1 deg serves down to a beam of 30 deg; narrower ones need 0.5 deg.
func TestCosinesThroughTheWriter(t *testing.T) {
	for _, c := range []struct{ beamDeg, stepDeg float64 }{{120, 1}, {90, 1}, {60, 1}, {40, 1}, {30, 1}, {20, 0.5}, {15, 0.5}} {
		shape, err := beam.New(beam.Shape{BeamRad: c.beamDeg * deg})
		if err != nil {
			t.Fatal(err)
		}
		data := tabulated(t, shape, c.stepDeg, 0)
		f, err := lm63.Read("lens.ies", data)
		if err != nil {
			t.Fatal(err)
		}
		if lm := f.FluxWithin(math.Pi); math.Abs(lm-1000) > 1 {
			t.Errorf("%g deg: %g lm of 1000", c.beamDeg, lm)
		}
		b := fromFile(t, data)
		if !b.Round() {
			t.Errorf("%g deg: not round", c.beamDeg)
		}
		for theta := 0.0; theta < 1.57; theta += 0.0013 {
			d := towards(theta, 7*theta)
			for what, got := range map[string]float64{"file": f.At(theta, 0) / 1000, "exact": b.PerLumen(d) * f.FluxWithin(math.Pi) / 1000, "fast": b.Fast(d) * f.FluxWithin(math.Pi) / 1000} {
				if math.Abs(got-shape.PerLumen(d)) > 1e-3*shape.PeakPerLumen() {
					t.Fatalf("%g deg, %s at %g deg: %g, want %g", c.beamDeg, what, theta/deg, got, shape.PerLumen(d))
				}
			}
		}
		along, across := b.FullAngles(0.5)
		if math.Abs(along-c.beamDeg*deg) > 0.1*deg || along != across {
			t.Errorf("%g deg: measured as %g, %g", c.beamDeg, along/deg, across/deg)
		}
	}
}

// TestFoldsOfAnOval: an oval beam written as a quadrant, as a half about either plane and as a whole circle is one beam. It
// is the oval itself along and across the rail.
func TestFoldsOfAnOval(t *testing.T) {
	oval, err := beam.New(beam.Shape{BeamRad: 60 * deg, BeamAcrossRad: 30 * deg})
	if err != nil {
		t.Fatal(err)
	}
	var lists [4][]float64
	for h := 0.0; h <= 360; h += 7.5 {
		for i, ends := range [4][2]float64{{0, 360}, {0, 90}, {0, 180}, {90, 270}} {
			if h >= ends[0] && h <= ends[1] {
				lists[i] = append(lists[i], h)
			}
		}
	}
	whole := fromFile(t, tabulated(t, oval, 1, lists[0]...))
	for _, list := range lists[1:] {
		b := fromFile(t, tabulated(t, oval, 1, list...))
		for i := range 2000 {
			d := towards(float64(i)/2000*1.5, float64(i)*0.37)
			if got, want := b.PerLumen(d), whole.PerLumen(d); math.Abs(got-want) > 1e-9*whole.PeakPerLumen() {
				t.Fatalf("%g to %g: %g, want %g", list[0], list[len(list)-1], got, want)
			}
		}
	}
	for _, phi := range []float64{0, 90, 180, 270} {
		d := towards(0.2, phi*deg)
		if got, want := whole.PerLumen(d), oval.PerLumen(d); math.Abs(got-want) > 5e-3*oval.PeakPerLumen() {
			t.Errorf("at %g deg around: %g, want %g", phi, got, want)
		}
	}
	if along, across := whole.FullAngles(0.5); math.Abs(along-60*deg) > 0.1*deg || math.Abs(across-30*deg) > 0.1*deg {
		t.Errorf("beam %g by %g deg", along/deg, across/deg)
	}
}

// measuredScene is the shelf with its lens given by a file.
func measuredScene(t *testing.T, data []byte, replace ...string) *scene.Scene {
	t.Helper()
	text := strings.Replace(scenetest.Shelf, "optic: bare-120", "optic: lens", 1) + "parts: {optics: {lens: {file: lens.ies, efficiency: 1}}}\n"
	for i := 0; i < len(replace); i += 2 {
		text = strings.Replace(text, replace[i], replace[i+1], 1)
	}
	sc, err := scene.Parse("shelf.yaml", []byte(text), opener(data))
	if err != nil {
		t.Fatal(err)
	}
	return sc
}

// TestMeasuredSceneIsTheShapes: a scene under a measured 60 deg cosine has the light of the shape to 0.1 % of the highest
// value, level (where the beam is baked into tables over distance) and tilted (where it is not).
func TestMeasuredSceneIsTheShapes(t *testing.T) {
	shape, err := beam.New(beam.Shape{BeamRad: 60 * deg})
	if err != nil {
		t.Fatal(err)
	}
	data, o := tabulated(t, shape, 1, 0), Options{StepM: 0.01, Engine: longtest.Pick(Straight, Full)}
	for _, tilt := range []string{"0 deg", "20 deg"} {
		turn := []string{"above_water: 150 mm", "above_water: 150 mm\n    tilt: " + tilt}
		got := compute(t, measuredScene(t, data, turn...), o)
		want := compute(t, measuredScene(t, data, append(turn, "file: lens.ies", "beam: 60 deg")...), o)
		for i := range want.Planes {
			peak := want.Planes[i].Illuminance.Max
			for c, lx := range want.Planes[i].Field.Illuminance {
				if math.Abs(got.Planes[i].Field.Illuminance[c]-lx) > 1e-3*peak {
					t.Fatalf("tilt %s, %s, cell %d: %g lx, want %g of %g", tilt, want.Planes[i].Name, c, got.Planes[i].Field.Illuminance[c], lx, peak)
				}
			}
		}
		if math.Abs(got.Balance.Floor-want.Balance.Floor) > 1e-3*want.Balance.Emitted {
			t.Errorf("floor %g lm, want %g", got.Balance.Floor, want.Balance.Floor)
		}
	}
}

// TestSliceShowsALeaningBeam: the edges of a beam that leans towards +x leave at their own angles, not at equal ones.
func TestSliceShowsALeaningBeam(t *testing.T) {
	lean := "IES:LM-63-2019\n[TEST] none\nTILT=NONE\n1 -1 1 4 3 1 2 0 0 0\n1 1 5\n0 20 40 90\n0 90 180\n400 400 0 0\n400 200 0 0\n400 0 0 0\n"
	m := compute(t, measuredScene(t, []byte(lean)), Options{StepM: 0.01, Sections: true})
	rays := m.Sections[0].Rays
	if len(rays) != 2 {
		t.Fatalf("%d rays", len(rays))
	}
	left, right := rays[0].Points, rays[1].Points
	for what, pair := range map[string][2]float64{"left": {left[1].X - left[0].X, -0.15 * math.Tan(10*deg)}, "right": {right[1].X - right[0].X, 0.15 * math.Tan(30*deg)}} {
		if math.Abs(pair[0]-pair[1]) > 1e-6 {
			t.Errorf("%s: %g m over the air, want %g", what, pair[0], pair[1])
		}
	}
}

// TestLightAboveTheHorizonIsSpill: half of a ball's light goes up; the flux balance call it spill, and the floor has half.
func TestLightAboveTheHorizonIsSpill(t *testing.T) {
	ball := "IESNA:LM-63-2002\n[TEST] none\nTILT=NONE\n1 -1 1 3 1 1 2 0 0 0\n1 1 5\n0 90 180\n0\n100 100 %s\n"
	up := compute(t, measuredScene(t, fmt.Appendf(nil, ball, "100")), Options{StepM: 0.02})
	if b := up.Balance; b.Spill < b.Emitted/2 || math.Abs(b.Sum()-b.Emitted) > 1e-6*b.Emitted {
		t.Errorf("flux balance %+v", b)
	}
	half := strings.Replace(fmt.Sprintf(ball, ""), "1 -1 1 3", "1 -1 1 2", 1)
	down := compute(t, measuredScene(t, []byte(strings.Replace(half, "0 90 180", "0 90", 1))), Options{StepM: 0.02})
	if ratio := up.Planes[2].Illuminance.Mean / down.Planes[2].Illuminance.Mean; math.Abs(ratio-0.5) > 1e-6 {
		t.Errorf("the floor has %g of the light", ratio)
	}
}

func TestMeasuredBeamsRefused(t *testing.T) {
	o := parts.Optic{Name: "lens", File: "lens.ies", Efficiency: 1}
	for want, open := range map[string]scene.Opener{
		"lens.ies: files cannot be read here":                    nil,
		"lens.ies: there is no such file":                        func(string) ([]byte, error) { return nil, errors.New("there is no such file") },
		"lens.ies: the file is empty":                            opener(nil),
		"lens.ies: the table has no light within 90° of the aim": opener([]byte("IESNA91\nTILT=NONE\n1 -1 1 2 1 1 2 0 0 0\n1 1 5\n90 180\n0\n0 100\n")),
	} {
		if _, err := newBeam(o, open); err == nil || !strings.HasPrefix(err.Error(), want) {
			t.Errorf("%v does not say %q", err, want)
		}
	}
}
