package trace

import (
	"math"
	"math/rand/v2"
	"testing"

	"fathomlux/optics/model"
	"fathomlux/scene/longtest"
	"fathomlux/scene/space"
)

// rippled is a tracer over open water of the index 1.333 whose surface moves.
func rippled(slope float64, seed int64) *tracer {
	w := newTank(model.Tank{LengthM: 1, WidthM: 1}, 1, 1.333)
	w.slope = slope
	return &tracer{world: w, random: stream(1, seed), usual: 1}
}

// TestFacetsSpreadABeam holds a vertical beam to N1 to N3 of the worked examples: rms landing offset an axis for each metre
// of depth, and mean transmission, recomputed by quadrature over Gaussian slopes of Snell's and Fresnel's laws. 400 000 draws
// have a standard error of 0.11 % of an rms; a curve of 1 - R hardly varies, so that its mean is known to a millionth.
func TestFacetsSpreadABeam(t *testing.T) {
	t.Parallel()
	const draws = 400_000
	for i, want := range []struct{ slope, offset, through float64 }{
		{1e-6, 0.24981e-6, 0.979627}, // N1, N6
		{0.05, 0.012479, 0.979626}, {0.1, 0.024889, 0.979618}, {0.2, 0.049250, 0.979499},
	} {
		tr := rippled(want.slope, int64(i))
		x2, y2, through, n := 0.0, 0.0, 0.0, 0.0
		for range draws {
			f := tr.facet(space.Vector{Z: -1})
			through += 1 - (tr.surface.reflect(f.Z, tr.surface.beyond(f.Z), 0)+tr.surface.reflect(f.Z, tr.surface.beyond(f.Z), 1))/2
			p := photon{d: space.Vector{Z: -1}, w: 1, colour: &colour{}, rest: 1}
			if tr.facetFromAbove(&p); p.in == wet {
				x2, y2, n = x2+math.Pow(p.d.X/p.d.Z, 2), y2+math.Pow(p.d.Y/p.d.Z, 2), n+1
			}
		}
		near(t, "rms along x", math.Sqrt(x2/n), want.offset, 0.004*want.offset)
		near(t, "rms along y", math.Sqrt(y2/n), want.offset, 0.004*want.offset)
		near(t, "transmission", through/draws, want.through, 2e-6)
	}
}

// TestFacetsAreThoseThatAreSeen: slopes by direction, grazing light too, against a quadrature of (c + h t) times the Gaussian.
func TestFacetsAreThoseThatAreSeen(t *testing.T) {
	t.Parallel()
	const draws = 200_000
	for i, cos := range []float64{1e-3, 0.1, 0.5, 0.9} {
		tr, sin := rippled(0.2, int64(i)), math.Sqrt(1-cos*cos)
		var want, all [3]float64
		for k := range 20_000 {
			s := (float64(k)/10_000 - 1) * 8 * 0.2
			weight := max(0, cos+sin*s) * math.Exp(-s*s/(2*0.04))
			want[0], want[1], want[2] = want[0]+weight, want[1]+weight*s, want[2]+weight*s*s
		}
		for range draws {
			s, across := tr.slopes(cos, sin)
			all[0], all[1], all[2] = all[0]+across*across, all[1]+s, all[2]+s*s
		}
		near(t, "mean slope", all[1]/draws, want[1]/want[0], 4*0.2/math.Sqrt(draws))
		near(t, "mean square", all[2]/draws, want[2]/want[0], 4*0.1/math.Sqrt(draws))
		near(t, "mean square across", all[0]/draws, 0.04, 4*0.06/math.Sqrt(draws))
	}
}

// TestRippleGoesOverIntoStillWater is N6: with hardly any slope the light is that of the flat surface, within three standard
// errors, though it counts as the rest; and little ripple changes little of what enters (N3).
func TestRippleGoesOverIntoStillWater(t *testing.T) {
	t.Parallel()
	s := foyer(t)
	o := Options{Photons: longtest.Pick[int64](1<<17, 1<<20), Planes: threePlanes(s, 0.1)}
	still := traced(t, s, o)
	for _, slope := range []float64{1e-7, 0.05} {
		s.Slope = slope
		moving := traced(t, s, o)
		near(t, "into the water", moving.Balance.Entered/still.Balance.Entered, 1, 0.004)
		for i := range o.Planes {
			a, b := still.Planes[i], moving.Planes[i]
			if slope < 1e-3 {
				near(t, "a plane's mean", mean(b.Field.Illuminance), mean(a.Field.Illuminance), 3*math.Hypot(a.MeanErrorLx, b.MeanErrorLx))
			}
		}
		if rest := traced(t, s, Options{Photons: 1 << 14, Planes: o.Planes, Only: Straight}); mean(rest.Planes[2].Field.Illuminance) != 0 {
			t.Error("a surface that moves leaves straight light")
		}
	}
}

// TestLeavesBeerLambert holds leaves to O1 and O2 of the worked examples: exp(-0.5 LAI / cos), and 2 E3(0.5 LAI) of isotropic
// light, recomputed. 200 000 draws have a standard error of at most 0.0011.
func TestLeavesBeerLambert(t *testing.T) {
	t.Parallel()
	const draws = 200_000
	stand := space.Box{Min: space.Point{X: -1e3, Y: -1e3}, Max: space.Point{X: 1e3, Y: 1e3, Z: 0.25}}
	top, tr := space.Point{Z: 0.25}, rippled(0, 7)
	for _, want := range []struct{ lai, angleDeg, keeps float64 }{{1, 0, 0.60653}, {1, 45, 0.49307}, {3, 0, 0.22313}, {3, 45, 0.11987}} {
		m := model.Model{Leaves: []model.Leaves{{Box: stand, DensityPerM: want.lai / 0.25}}} // O3
		s, c := math.Sincos(want.angleDeg * deg)
		near(t, "kept", m.LeavesPass(top, space.Vector{X: s, Z: -c}, 0.25/c), want.keeps, 5e-6)
	}
	for lai, keeps := range map[float64]float64{0.5: 0.64937, 1: 0.44321, 2: 0.21938, 3: 0.11348} {
		half := model.Leaves{Box: stand, DensityPerM: lai / 0.5}
		tr.leaves = []model.Leaves{half, half} // two stands in one place are one of both
		passed := 0.0
		for range draws {
			p := photon{at: top, d: tr.cosines(space.Vector{Z: -1})}
			if _, met := tr.leafAhead(&p, -0.25/p.d.Z); met < 0 {
				passed++
			}
		}
		near(t, "isotropic light kept", passed/draws, keeps, 0.004)
	}
}

// TestLeavesSendLightBack: matt leaves of all directions scatter as a matt sphere does, with the mean cosine -4/9 (H. C. van
// de Hulst, Light Scattering by Small Particles 1957, section 8.42), and 4/9 what passes them.
func TestLeavesSendLightBack(t *testing.T) {
	t.Parallel()
	const draws = 200_000
	for _, l := range []model.Leaves{{Reflect: 1}, {Transmit: 1}, {Reflect: 0.3, Transmit: 0.1}} {
		tr, sum := rippled(0, 3), 0.0
		d := space.Vector{X: 0.6, Z: -0.8}
		for range draws {
			p := photon{d: d, colour: &colour{}}
			tr.leave(&p, &l)
			sum += p.d.Dot(d)
		}
		near(t, "mean cosine", sum/draws, 4.0/9*(l.Transmit-l.Reflect)/(l.Transmit+l.Reflect), 0.005)
	}
}

// TestFloatingLeaves is O4: leaves over a share of the surface let the rest of the light in.
func TestFloatingLeaves(t *testing.T) {
	t.Parallel()
	s := foyer(t)
	o := Options{Photons: 1 << 17}
	open := traced(t, s, o).Balance
	s.Floating = model.Floating{Share: 0.4, Area: space.Area{ToXM: 1.18, ToYM: 0.43}}
	b := traced(t, s, o).Balance
	near(t, "what enters", b.Entered/open.Entered, 0.6, 0.004) // the standard error is 0.0015
	s.Floating = model.Floating{Share: 1, Area: space.Area{ToXM: 0.59, ToYM: 0.43}}
	if half := traced(t, s, o).Balance; math.Abs(half.Entered/open.Entered-0.5) > 0.01 || half.Leaves < 0.4*open.Entered {
		t.Errorf("leaves on the left half let %g of %g lm in and keep %g", half.Entered, open.Entered, half.Leaves)
	}
}

// TestBalanceClosesWithLeaves: as TestBalanceCloses, in tanks with leaves in the water and on it, a surface that moves, hollow
// covers and drops under them; the light of each part is found again to rounding.
func TestBalanceClosesWithLeaves(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(17, 6))
	for i := range longtest.Pick(12, 100) {
		s := anyModel(t, r, i%4 == 0)
		s.Slope = 0.5 * r.Float64() * float64(i%2)
		s.Floating = model.Floating{Share: r.Float64(), Area: space.Area{ToXM: s.LengthM * r.Float64(), ToYM: s.WidthM}}
		back := r.Float64()
		for range r.IntN(3) {
			s.Leaves = append(s.Leaves, model.Leaves{DensityPerM: 30 * r.Float64(), Reflect: back, Transmit: (1 - back) * float64(r.IntN(2)),
				Box: space.Box{Max: space.Point{X: s.LengthM * r.Float64(), Y: s.WidthM, Z: s.DepthM * r.Float64()}}})
		}
		if s.Cover != nil {
			s.Cover.Hollow, s.Cover.Scatter, s.Cover.Asymmetry = i%3 == 0, r.Float64(), 0.99*r.Float64()
		}
		if i%5 == 0 {
			s.outline = outlined(s.Tank)
		}
		a := traced(t, s, Options{Photons: 500, Seed: uint64(i), Only: Part(i % 3), Planes: threePlanes(s, s.LengthM/5)})
		if b := a.Balance; math.Abs(b.Sum()-b.Emitted) > 1e-9*b.Emitted || b.Unfollowed != 0 || b.Leaves < 0 {
			t.Errorf("scene %d: %+v sums to %g", i, b, b.Sum())
		}
	}
}
