package direct

import (
	"math"
	"testing"

	"fathomlux/optics/beam"
	"fathomlux/optics/model"
	"fathomlux/optics/result"
	"fathomlux/optics/walls"
)

// The worked examples of this file are numbered as in the project's list of published examples. Their lamps shine into all
// directions; a Lambertian beam stands in for them where only one direction counts, scaled to the printed candela in it.

// pointLux is what a lamp of the given candela in every direction gives at each distance on the ground below it, by the engine
// in air. The engine's own lamp is Lambertian, 100/pi cd on its axis and cos(theta) times that beside it.
func pointLux(t *testing.T, candela, heightM float64, r ...float64) []float64 {
	t.Helper()
	s := dry(tank(t))
	s.LengthM, s.WidthM = 2000, 200
	s.Beams[0] = shape(t, beam.Shape{BeamRad: 120 * deg})
	src := hang(s, 100, 100, heightM)
	e := engine(t, s)
	var out []float64
	for _, d := range r {
		cos := heightM / math.Hypot(heightM, d)
		out = append(out, airLux(t, e, src, 100+d, 100)*candela/(100/math.Pi*cos))
	}
	return out
}

func TestPointSources(t *testing.T) {
	tests := []struct {
		id, source      string
		candela, height float64
		r, lux          []float64
		tolerance       float64
	}{
		{"A1", "Theraja & Theraja, A Textbook of Electrical Technology III, ex. 49.1, p. 1899", 1200 / (4 * math.Pi), 8, []float64{6}, []float64{0.76}, 0.01},
		{"A2", "the same, ex. 49.2, p. 1899: a tenth of the light at 19.08 m", 1000, 10, []float64{0, 19.08295}, []float64{10, 1}, 0.001},
		{"A4", "the same, ex. 49.4, p. 1901, first lamp", 200, 10, []float64{50}, []float64{200 * 10 / math.Pow(2600, 1.5)}, 1e-4},
		{"A5", "the same, ex. 49.9, p. 1902", 300, 20, []float64{0, 10}, []float64{0.75, 0.54}, 0.01},
		{"A6", "Wadhwa, Generation, Distribution and Utilization of Electrical Energy, 3rd ed., ex. 6.4, p. 318", 200, 4, []float64{0, 2.5}, []float64{12.5, 7.622}, 0.01},
		{"A7", "the same, ex. 6.7, p. 320", 300, 6, []float64{0, 3}, []float64{8.33, 5.96}, 0.01},
		{"A8", "Gupta, Utilization of Electrical Energy and Traction, ex. 4.14, one lamp", 100, 6, []float64{0, 8}, []float64{100.0 / 36, 0.6}, 0.005},
	}
	for _, test := range tests {
		for i, got := range pointLux(t, test.candela, test.height, test.r...) {
			near(t, test.id, got, test.lux[i], test.tolerance)
		}
	}
}

func TestRowsOfLamps(t *testing.T) {
	// A3: Theraja, ex. 49.3, p. 1900: four lamps of 200 cd, 10 m apart, 5 m high, midway between the second and the third.
	lux := pointLux(t, 200, 5, 5, 15)
	near(t, "A3", 2*(lux[0]+lux[1]), 6.16, 0.01)
	// A4: the same, ex. 49.4, p. 1901: 200 cd at 10 m and 400 cd at 20 m, 100 m apart, midpoint.
	near(t, "A4", pointLux(t, 200, 10, 50)[0]+pointLux(t, 400, 20, 50)[0], 0.066, 0.001)
	// A8: Gupta, ex. 4.14: lamps of 100 cd, 16 m apart, 6 m high: under one lamp of two, and midway.
	lux = pointLux(t, 100, 6, 0, 16, 8)
	near(t, "A8 under", lux[0]+lux[1], 2.898, 0.005)
	near(t, "A8 midway", 2*lux[2], 1.2, 0.005)
}

func TestMeanOverDiscs(t *testing.T) {
	// A6 and A7: mean illuminance of a disc, here over the engine's rings weighed with their areas (midpoint rule, 400 rings).
	for _, test := range []struct {
		id                    string
		candela, height, disc float64
		mean                  float64
	}{{"A6", 200, 4, 2.5, 9.73}, {"A7", 300, 6, 3, 7.04}} {
		const n = 400
		var r []float64
		for i := range n {
			r = append(r, test.disc*math.Sqrt((float64(i)+0.5)/n)) // rings of equal area
		}
		var sum float64
		for _, v := range pointLux(t, test.candela, test.height, r...) {
			sum += v
		}
		near(t, test.id, sum/n, test.mean, 0.01)
	}
}

func TestLambertianLamp(t *testing.T) {
	// A9: Theraja, ex. 49.10, p. 1903: I = 100 cos(theta) cd, 3 m: 11.11 lx below and 314 lm. A9x: 2.777778 lx on the ground at
	// 3 m; the print gives the value on a plane normal to the ray.
	s := dry(tank(t))
	s.LengthM, s.WidthM = 40, 40
	s.Beams[0] = shape(t, beam.Shape{BeamRad: 120 * deg})
	src := hang(s, 20, 20, 3)
	src.EmittedLm, src.LeavingLm = 314.159265, 314.159265
	e := engine(t, s)
	near(t, "A9", airLux(t, e, src, 20, 20), 11.11, 0.01)
	near(t, "A9x", airLux(t, e, src, 23, 20), 2.777778, 1e-4)
}

func TestMirrorImagesInAir(t *testing.T) {
	// A10: Theraja, ex. 49.7, p. 1902: 100 cd, 1 m from a mirror of 0.9, 4 m from the ground, 3 m aside: 5 lx.
	// A11: Wadhwa, ex. 6.6, p. 328: 500 cd, 5 m from the ground, 2 m from a mirror of 0.8, 5 m aside: image 3.3 lx, total 10.37 lx.
	// The printed mirrors lie above the lamp; the engine's stand upright, so the scene is turned on its side: the left wall plays
	// the ceiling, and the engine's plane stands at right angles to the printed ground. What each way brings is taken from the
	// engine, without and with the first image, and turned: lx on the plane, undone for the engine's Lambertian lamp and water
	// surface, times x/aside is lx on the ground.
	for _, test := range []struct {
		id                                               string
		candela, ground, mirror, share, aside, image, lx float64
		tolerance                                        float64
	}{{"A10", 100, 4, 1, 0.9, 3, 1.788854, 5, 0.02}, {"A11", 500, 5, 2, 0.8, 5, 3.3, 10.37, 0.01}} {
		s := dry(tank(t))
		s.LengthM, s.WidthM, s.RimM = 100, 100, 100
		s.Beams[0] = shape(t, beam.Shape{BeamRad: 120 * deg})
		s.Walls[model.Left] = walls.Wall{Kind: walls.Mirror, Reflectance: test.share}
		hang(s, test.mirror, 50, test.aside)
		e := engine(t, s)
		c, _ := e.columns(0, test.aside, 0)
		on := func(orders Orders) float64 {
			e.orders = orders
			return luxAt(t, e, test.mirror+test.ground, 50, 0)
		}
		ground := func(lux, x float64) float64 {
			lamp := 100 / math.Pi * test.aside / math.Hypot(x, test.aside) // cd of 100 lm in this direction
			return lux / c.Transmittance(x/test.aside) * test.candela / lamp * x / test.aside
		}
		alone, both := on(Orders{}), on(Orders{X: 1})
		image := ground(both-alone, test.ground+2*test.mirror)
		near(t, test.id+" image", image, test.image, test.tolerance)
		near(t, test.id, ground(alone, test.ground)+image, test.lx, test.tolerance)
	}
}

func TestRefractedSpreading(t *testing.T) {
	// D2 to D5: own closed form, confirmed by an independent ray trace (no published table exists): 100 cd in all directions,
	// 0.2 m of air, 0.4 m of water of index 1.333, no losses. The index is here the engine's, within 0.001; the losses are undone.
	s := tank(t)
	s.LengthM, s.WidthM, s.DepthM = 40, 4, 0.4
	s.Beams[0] = shape(t, beam.Shape{BeamRad: 120 * deg})
	src := hang(s, 1, 2, 0.2)
	e := engine(t, s)
	c, _ := e.columns(0, 0.2, 0.4)
	for i, r := range []float64{0, 0.1, 0.2, 0.3, 0.5, 1.0} {
		want := []float64{399.8800, 384.7789, 344.7250, 291.4942, 185.4426, 42.1786}[i]
		tan := c.SolveTan(r, 0)
		cos := 1 / math.Sqrt(1+tan*tan)
		got := luxAt(t, e, 1+r, 2, 0.4) / c.Transmittance(tan) / cos * math.Pi * 100 / src.LeavingLm
		near(t, "D5", got, want, 1e-3*want) // 0.0008 of index moves E by 0.06 %
	}
}

func TestStandardFloorGridOfOneLamp(t *testing.T) {
	// The field's values stand at cell centres, front row first: a lamp over the front left cell makes that cell the brightest.
	s := tank(t)
	hang(s, 0.05, 0.05, 0.1)
	f := plane(t, engine(t, s), 0.42, result.NewGrid(1.2, 0.4, 0.1))
	for i, v := range f.Illuminance {
		if i > 0 && v >= f.Illuminance[0] {
			t.Fatalf("cell %d has %g lx, cell 0 under the lamp %g", i, v, f.Illuminance[0])
		}
	}
}
