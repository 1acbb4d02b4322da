package view

import (
	"math"
	"testing"

	"fathomlux/optics/model"
	"fathomlux/optics/trace"
	"fathomlux/scene/colour"
	"fathomlux/scene/space"
)

// slab is evenly lit water that scatters bPerM by particles of a mean cosine g and takes cPerM in all.
func slab(light trace.Flow, g, bPerM, cPerM float64) *ray {
	l := &trace.Lattice{Size: space.Vector{X: 1, Y: 1, Z: 1}, NX: 4, NY: 4, NZ: 4}
	w := &sight{Model: &model.Model{}, glow: &glow{Lattice: l, per: space.Vector{X: 4, Y: 4, Z: 4}, asymmetry: g}}
	var flows [2][]trace.Flow
	for range l.Cells() {
		flows[0], flows[1] = append(flows[0], light), append(flows[1], trace.Flow{})
		w.glow.open = append(w.glow.open, 1)
	}
	w.glow.flows = append(w.glow.flows, flows)
	var h hues
	for i := range hueSteps {
		left := math.Exp(-cPerM * hueStepM * float64(i))
		h.straight[i], h.particles[i] = colour.Tristimulus{Y: left}, colour.Tristimulus{Y: bPerM * left}
	}
	w.hues = []hues{h}
	return &ray{sight: w, share: 1, glowTimes: 1}
}

// scattering is the phase function of Henyey and Greenstein, 1/sr.
func scattering(g, cos float64) float64 {
	return (1 - g*g) / (4 * math.Pi * math.Pow(1+g*g-2*g*cos, 1.5))
}

// TestBeamInAWeakSlab: across an even beam of illuminance E the water has the luminance E b p(90 deg) (1 - exp(-c s)) / c
// over a way of s, and at other angles that of their phase function (integral of the source function of single scattering,
// S. Chandrasekhar 1960, Radiative Transfer, section 7).
func TestBeamInAWeakSlab(t *testing.T) {
	const e, b, c, s = 5000.0, 0.02, 0.3, 0.8
	for _, g := range []float64{0, 0.5, 0.924} {
		for _, d := range []space.Vector{{X: 1}, {X: 0.8, Z: 0.6}, {X: 0.8, Z: -0.6}} {
			r := slab(trace.Flow{Lux: e, Net: space.Vector{Z: -e}}, g, b, c)
			r.glowing(space.Point{X: 0.1, Y: 0.5, Z: 0.5}, d, s, path{weight: 1})
			want := e * b * scattering(g, d.Z) * (1 - math.Exp(-c*s)) / c // light goes down, the eye is where the line of sight began
			if math.Abs(r.light.Y/want-1) > 1e-3 {
				t.Errorf("g %g along %v: %g cd/m2, not %g", g, d, r.light.Y, want)
			}
		}
	}
}

// TestScatteredLightIsWhole: what a cell sends in all directions together is what it has, of molecules and particles,
// whatever the direction of its light (definition of the scattering coefficient).
func TestScatteredLightIsWhole(t *testing.T) {
	g := &glow{asymmetry: 0.7}
	for _, mean := range []float64{0, 0.3, 0.95} {
		var sums [2]sent
		const n = 4000
		for i := range n {
			cos := (2*float64(i)+1)/n - 1
			f, toEye := trace.Flow{Lux: 10 * 4 * math.Pi / n, Net: space.Vector{Y: 10 * 4 * math.Pi / n * mean}}, space.Vector{X: math.Sqrt(1 - cos*cos), Y: cos}
			if mean > 0.9 {
				sums[0].add(g.straightOn(&f, toEye))
			}
			sums[1].add(g.restOn(&f, toEye))
		}
		for i, s := range sums {
			if i == 0 && mean < 0.9 {
				continue // straight light in water has few directions
			}
			for k, sum := range [2]float64{s.molecules, s.particles} {
				if math.Abs(sum-10) > 0.05 {
					t.Errorf("mean cosine %g: sum %d is %g lx", mean, k, sum)
				}
			}
		}
	}
}

// TestSpreadLightScattered: light that is spread after Henyey and Greenstein with a mean cosine a, scattered by their function
// with g, leaves as by their function with a g: the integral over the sphere, by sums.
func TestSpreadLightScattered(t *testing.T) {
	const a, g, n, around = 0.6, 0.8, 4000, 100
	for _, angle := range []float64{0, 0.5, 1.5, 3} {
		sin, cos := math.Sincos(angle)
		want := 0.0
		for i := range n {
			mu := (2*float64(i)+1)/n - 1
			for j := range around {
				turn := 2 * math.Pi * float64(j) / around
				want += scattering(a, mu) * scattering(g, mu*cos+math.Sqrt(1-mu*mu)*math.Cos(turn)*sin) * 4 * math.Pi / (n * around)
			}
		}
		got := (&glow{asymmetry: g}).restOn(&trace.Flow{Lux: 1, Net: space.Vector{Z: a}}, space.Vector{X: sin, Z: cos}).particles
		if math.Abs(got/want-1) > 1e-3 {
			t.Errorf("at %g rad: %g, not %g", angle, got, want)
		}
	}
}
