package beam_test

import (
	"math"
	"strings"
	"testing"

	"fathomlux/optics/beam"
	"fathomlux/scene/space"

	"gonum.org/v1/gonum/integrate/quad"
)

const deg = math.Pi / 180

func mustNew(t testing.TB, s beam.Shape) *beam.Beam {
	t.Helper()
	b, err := beam.New(s)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.12g, want %.12g within %g", what, got, want, tolerance)
	}
}

// towards is the unit direction theta from the aim at the azimuth phi from along the rail.
func towards(theta, phi float64) space.Vector {
	return space.Vector{X: math.Sin(theta) * math.Cos(phi), Y: math.Sin(theta) * math.Sin(phi), Z: math.Cos(theta)}
}

// TestCosinePowers holds all rows of the table of cos^m beams (A20: closed forms m = ln 0.5/ln cos(beam/2),
// I0 = (m+1)/(2 pi) per lumen, field = 2 acos(10^(-1/m)), share in the beam 1 - 0.5 cos(beam/2)). Two anchors of it are
// published: a half angle of 60 deg has m = 1, 15 deg has m = 20 (J. M. Kahn, J. R. Barry 1997, Proc. IEEE 85, 265).
// Tolerances are half of the last printed digit.
func TestCosinePowers(t *testing.T) {
	rows := []struct{ beam, peakPerKlm, field, inBeam, inField float64 }{
		{120, 318.31, 168.52, 0.7500, 0.9900},
		{90, 477.46, 143.13, 0.6464, 0.9684},
		{60, 926.10, 103.35, 0.5670, 0.9380},
		{40, 1932.68, 71.16, 0.5302, 0.9187},
		{30, 3341.26, 53.95, 0.5170, 0.9109},
		{20, 7365.31, 36.24, 0.5076, 0.9050},
		{15, 12998.83, 27.25, 0.5043, 0.9028},
		{10, 29094.51, 18.20, 0.5019, 0.9013},
	}
	for _, r := range rows {
		b := mustNew(t, beam.Shape{BeamRad: r.beam * deg})
		near(t, "peak per klm", 1000*b.PeakPerLumen(), r.peakPerKlm, 0.0051)
		field, across := b.FullAngles(0.1)
		near(t, "field", field/deg, r.field, 0.0051)
		near(t, "field across", across, field, 1e-12)
		near(t, "share in beam", b.ShareWithin(r.beam/2*deg), r.inBeam, 5.1e-5)
		near(t, "share in field", b.ShareWithin(field/2), r.inField, 5.1e-5)
	}
}

// TestPowerFromPeak checks m through the peak, which is (m+1)/(2 pi): m = 1.0000, 4.8188, 11.1434, 19.9937, 45.2776, 80.6741,
// 181.8062 (A20).
func TestPowerFromPeak(t *testing.T) {
	for beamDeg, m := range map[float64]float64{120: 1, 90: 2, 60: 4.8188, 40: 11.1434, 30: 19.9937, 20: 45.2776, 15: 80.6741, 10: 181.8062} {
		b := mustNew(t, beam.Shape{BeamRad: beamDeg * deg})
		near(t, "m", 2*math.Pi*b.PeakPerLumen()-1, m, 5.1e-5)
	}
}

// TestBeamWithField holds the peaks of I0 exp(-ln2 (theta/(beam/2))^p), in cd per klm (A20, second table).
func TestBeamWithField(t *testing.T) {
	for _, r := range []struct{ beam, field, p, peakPerKlm float64 }{
		{40, 70, 2.1453, 1957.49}, {30, 60, 1.7320, 2890.44}, {60, 95, 2.6125, 993.71},
	} {
		b := mustNew(t, beam.Shape{BeamRad: r.beam * deg, FieldRad: r.field * deg})
		near(t, "peak per klm", 1000*b.PeakPerLumen(), r.peakPerKlm, 0.0051)
		at := b.PerLumen(towards(r.beam/4*deg, 0)) / b.PeakPerLumen() // half way to the half angle: 0.5^(0.5^p)
		near(t, "p", -math.Log2(-math.Log2(at)), r.p, 5.1e-5)
	}
}

// TestAnglesAreThoseAskedFor: beam and field are full angles between half and tenth of the centre-beam intensity
// (A21, A22: IEC TR 61341), along and across.
func TestAnglesAreThoseAskedFor(t *testing.T) {
	shapes := []beam.Shape{
		{BeamRad: 24 * deg, BeamAcrossRad: 24 * deg, FieldRad: 40 * deg, FieldAcrossRad: 40 * deg},
		{BeamRad: 10 * deg, BeamAcrossRad: 60 * deg, FieldRad: 20 * deg, FieldAcrossRad: 90 * deg},
		{BeamRad: 120 * deg, BeamAcrossRad: 15 * deg, FieldRad: 170 * deg, FieldAcrossRad: 40 * deg},
	}
	for _, s := range shapes {
		b := mustNew(t, s)
		along, across := b.FullAngles(0.5)
		near(t, "beam along", along, s.BeamRad, 1e-12)
		near(t, "beam across", across, s.BeamAcrossRad, 1e-12)
		along, across = b.FullAngles(0.1)
		near(t, "field along", along, s.FieldRad, 1e-12)
		near(t, "field across", across, s.FieldAcrossRad, 1e-12)
	}
	b := mustNew(t, beam.Shape{BeamRad: 30 * deg, BeamAcrossRad: 80 * deg})
	along, across := b.FullAngles(0.5)
	near(t, "cos^m along", along, 30*deg, 1e-12)
	near(t, "cos^m across", across, 80*deg, 1e-12)
}

// TestLambertianDisc integrates the illuminance on the axis of a disc that is strewn with Lambertian beams and holds it
// against pi L R^2/(R^2+h^2) (A13: L = 1000 cd/m2, R = 0.1 m, h = 0.2 m: 628.318531 lx; J. W. T. Walsh,
// Photometry, 3rd ed. 1958), then the photometric distance (A16): inverse square is 1.00 % high at 5 diameters and
// 0.25 % at 10.
func TestLambertianDisc(t *testing.T) {
	b := mustNew(t, beam.Shape{BeamRad: 120 * deg})
	onAxis := func(radius, h float64) float64 { // emittance pi*L, illuminance I cos/d^2 of each ring
		return quad.Fixed(func(r float64) float64 {
			cos := h / math.Hypot(r, h)
			return 2 * math.Pi * r * math.Pi * 1000 * b.PerLumen(towards(math.Acos(cos), 0)) * cos / (r*r + h*h)
		}, 0, radius, 40, quad.Legendre{}, 0)
	}
	near(t, "disc", onAxis(0.1, 0.2), 628.318531, 1e-6) // nine printed digits
	for diameters, high := range map[float64]float64{5: 0.0100, 10: 0.0025} {
		h := 0.2 * diameters
		inverseSquare := 1000 * math.Pi * 0.1 * 0.1 / (h * h)
		near(t, "photometric distance", inverseSquare/onAxis(0.1, h)-1, high, 1e-6)
	}
}

// TestLambertianRectangle: under the corner of a square at the distance of its side E/(pi L) is 0.13853161, and under
// the centre of 0.6 x 0.3 m at 0.4 m E/L = 0.77968641 (A14, A15; configuration factor B-3 of J. R. Howell's catalogue).
func TestLambertianRectangle(t *testing.T) {
	b := mustNew(t, beam.Shape{BeamRad: 120 * deg})
	corner := func(width, depth, h float64) float64 { // E/L
		return quad.Fixed(func(x float64) float64 {
			return quad.Fixed(func(y float64) float64 {
				d2 := x*x + y*y + h*h
				cos := h / math.Sqrt(d2)
				return math.Pi * b.PerLumen(towards(math.Acos(cos), 0)) * cos / d2
			}, 0, depth, 40, quad.Legendre{}, 0)
		}, 0, width, 40, quad.Legendre{}, 0)
	}
	near(t, "corner", corner(1, 1, 1)/math.Pi, 0.13853161, 1e-8)
	near(t, "centre", 4*corner(0.3, 0.15, 0.4), 0.77968641, 1e-8)
}

// TestZonalSums: 2 pi (cos a - cos b) in 10 deg zones (A24: IES Lighting Handbook, table of zonal constants) are what a
// sphere's even light has; a Lambertian has pi (sin^2 b - sin^2 a) of them.
func TestZonalSums(t *testing.T) {
	printed := []float64{0.095, 0.283, 0.463, 0.628, 0.774, 0.897, 0.993, 1.058, 1.091}
	total := 0.0
	for i, want := range printed {
		k := zonalConstant(float64(i*10), float64(i+1)*10)
		near(t, "zonal constant", k, want, 0.00055) // three digits, one of them cut, not rounded
		total += k
	}
	near(t, "half space", total, 2*math.Pi, 1e-12)

	lambertian := mustNew(t, beam.Shape{BeamRad: 120 * deg}) // 100 cd is 100 pi lm; 315.359 against 314.159 lm (A25)
	near(t, "Lambertian, 10 deg", 100*math.Pi*zonalSum(lambertian, 10), 315.359, 0.0005)
	narrow := mustNew(t, beam.Shape{BeamRad: 40 * deg}) // A26
	for zone, want := range map[float64]float64{10: 1.01462, 5: 1.00356, 2.5: 1.00089, 1: 1.00014} {
		near(t, "zonal sum", zonalSum(narrow, zone), want, 5.1e-6)
	}
}

func zonalConstant(fromDeg, toDeg float64) float64 {
	return 2 * math.Pi * (math.Cos(fromDeg*deg) - math.Cos(toDeg*deg))
}

// zonalSum adds mid-zone intensities of the hemisphere, lm per lm.
func zonalSum(b *beam.Beam, zoneDeg float64) float64 {
	sum := 0.0
	for i := range int(90 / zoneDeg) {
		from := float64(i) * zoneDeg
		sum += zonalConstant(from, from+zoneDeg) * b.PerLumen(towards((from+zoneDeg/2)*deg, 0))
	}
	return sum
}

func TestNewRefuses(t *testing.T) {
	for _, c := range []struct {
		shape beam.Shape
		says  string
	}{
		{beam.Shape{}, "0° is not usable; give 1° to 179°"},
		{beam.Shape{BeamRad: math.NaN()}, "give 1° to 179°"},
		{beam.Shape{BeamRad: 40}, "give 1° to 179°"}, // degrees given for radians
		{beam.Shape{BeamRad: 1, BeamAcrossRad: -1}, "give 1° to 179°"},
		{beam.Shape{BeamRad: 1, StrayShare: 1.01}, "stray share of 1.01"},
		{beam.Shape{BeamRad: 1, StrayShare: math.NaN()}, "stray share"},
		{beam.Shape{BeamRad: 1, FieldAcrossRad: 1}, "needs one along it"},
		{beam.Shape{BeamRad: 1, FieldRad: 0.9}, "too near the beam angle"},
		{beam.Shape{BeamRad: 1, FieldRad: 1.018}, "give 58.38° or more"},
		{beam.Shape{BeamRad: 1, FieldRad: 3.2}, "give 180° or less"},
		{beam.Shape{BeamRad: 1, FieldRad: math.Inf(1)}, "give 180° or less"},
		{beam.Shape{BeamRad: 1, FieldRad: 2, FieldAcrossRad: math.NaN()}, "give 180° or less"},
	} {
		b, err := beam.New(c.shape)
		if err == nil || b != nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%+v: got %v, %v, want an error with %q", c.shape, b, err, c.says)
		}
	}
}

// TestEndsOfBeams: beams of 1 degree are the narrowest; a beam that is bright to its rim ends there, at 90 degrees.
func TestEndsOfBeams(t *testing.T) {
	t.Parallel()
	mustNew(t, beam.Shape{BeamRad: 1 * deg})
	if _, err := beam.New(beam.Shape{BeamRad: 0.999 * deg}); err == nil {
		t.Error("a beam of 0.999 degrees is taken")
	}
	lambertian := mustNew(t, beam.Shape{BeamRad: 120 * deg}) // its cosine is 1e-9 at 90 degrees less 1e-9
	near(t, "rim", lambertian.Edges(1e-9).RightRad, math.Pi/2, 1e-6)
}
