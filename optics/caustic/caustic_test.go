package caustic

import (
	"context"
	"math"
	"testing"

	"fathomlux/optics/model"
	"fathomlux/optics/result"
	"fathomlux/optics/water"
)

// sine is one wave of an amplitude and a length, with a crest at x = 0.
func sine(heightM, lengthM float64) *Waves {
	return &Waves{list: []wave{{perX: 2 * math.Pi / lengthM, heightM: heightM}}, PeriodS: 1}
}

// frozen is the surface of waves at a time over a square.
func frozen(w *Waves, timeS, sideM, stepM float64) *surface {
	s := &surface{mesh: newMesh(sideM, sideM, stepM)}
	s.points = make([]point, s.places())
	for j := range s.ny + 1 {
		w.fill(s.mesh, timeS, j, s.points[j*(s.nx+1):][:s.nx+1])
	}
	return s
}

// TestFirstCausticOfASineWave is N4 of the worked examples: vertical light near a crest meets at the depth n / ((n - 1) a k^2)
// below it, the thin-lens limit of one refracting surface; held to 3 % as there.
func TestFirstCausticOfASineWave(t *testing.T) {
	t.Parallel()
	for _, want := range []struct{ lengthM, heightM, depthM float64 }{{0.06, 0.001, 0.365}, {0.04, 0.0005, 0.3245}, {0.1, 0.001, 1.014}} {
		s := frozen(sine(want.heightM, want.lengthM), 0, 4*want.lengthM, want.lengthM/100)
		n := &Net{model: &model.Model{DepthM: 2}, mesh: s.mesh, index: 1.333, planes: []Plane{{DepthM: 0.1}, {DepthM: 0.6}}}
		l := lamp{kept: func(float64) float64 { return 1 }}
		var at [2]landed
		crest := 2 * want.lengthM
		n.refract(&l, &ray{s: 0.5, p: 0.5}, s, crest+want.lengthM/60, crest, at[:])
		slope := (at[1].x - at[0].x) / 0.5
		if depth := 0.1 + (crest-at[0].x)/slope; math.Abs(depth/want.depthM-1) > 0.03 {
			t.Errorf("waves of %g m: light meets %g m deep, want %g m", want.lengthM, depth, want.depthM)
		}
	}
}

// TestSlopesOfWaves: a sine wave has the rms slope a k / sqrt 2 (N5), and waves that are made have that of the scene along x as
// along y, to 3 % over 10 moments of a square metre, and heights about 0.
func TestSlopesOfWaves(t *testing.T) {
	t.Parallel()
	rms := func(w *Waves, moments int, of func(p point) float32) float64 {
		sum, n := 0.0, 0.0
		for k := range moments {
			for _, p := range frozen(w, w.PeriodS*float64(k)/float64(moments), 1, 0.01).points {
				sum, n = sum+float64(of(p))*float64(of(p)), n+1
			}
		}
		return math.Sqrt(sum / n)
	}
	sx, sy := func(p point) float32 { return p.sx }, func(p point) float32 { return p.sy }
	for _, one := range []struct{ lengthM, heightM, slope float64 }{{0.06, 0.001, 0.07405}, {0.04, 0.0005, 0.05554}, {0.1, 0.001, 0.04443}} {
		if got := rms(sine(one.heightM, one.lengthM), 1, sx); math.Abs(got/one.slope-1) > 0.02 { // waves are cut at the square's edges
			t.Errorf("a sine wave has the slope %g, want %g", got, one.slope)
		}
	}
	w := NewWaves(0.05, 0.06, 0.4, 1)
	for name, of := range map[string]func(point) float32{"x": sx, "y": sy} {
		if got := rms(w, 10, of); math.Abs(got/0.05-1) > 0.03 {
			t.Errorf("along %s slopes of %g, want 0.05", name, got)
		}
	}
	first, again := frozen(w, 0, 1, 0.05), frozen(w, w.PeriodS, 1, 0.05)
	for i, p := range first.points {
		if math.Abs(float64(p.z-again.points[i].z)) > 1e-6 {
			t.Fatalf("after its period the surface is another one: %g, %g m", p.z, again.points[i].z)
		}
	}
	if other := frozen(NewWaves(0.05, 0.06, 0.4, 2), 0, 1, 0.05); other.points[7] == first.points[7] {
		t.Error("another seed makes the same waves")
	}
}

// TestGravityCapillaryWaves: the pace of waves on deep water by Lamb's relation, recomputed by hand: 60 mm: 5.300 Hz; the slowest
// waves on water are 17 mm long and run at 0.23 m/s (Lamb, section 267); shallow water slows long waves to sqrt(g d).
func TestGravityCapillaryWaves(t *testing.T) {
	t.Parallel()
	if f := pulse(2*math.Pi/0.06, 1) / (2 * math.Pi); math.Abs(f-5.300) > 0.005 {
		t.Errorf("waves of 60 mm: %g Hz", f)
	}
	slowest, at := math.MaxFloat64, 0.0
	for l := 0.005; l < 0.1; l += 0.0001 {
		k := 2 * math.Pi / l
		if c := pulse(k, 1) / k; c < slowest {
			slowest, at = c, l
		}
	}
	if math.Abs(at-0.017) > 0.0005 || math.Abs(slowest-0.231) > 0.002 {
		t.Errorf("the slowest waves are %g m long and run at %g m/s", at, slowest)
	}
	if c := pulse(0.1, 0.4) / 0.1; math.Abs(c/math.Sqrt(gravity*0.4)-1) > 0.001 {
		t.Errorf("long waves run at %g m/s", c)
	}
	for _, k := range []float64{3, 100, 400} {
		if got := numberOf(pulse(k, 0.3), 0.3); math.Abs(got/k-1) > 1e-9 {
			t.Errorf("the wave number %g comes back as %g", k, got)
		}
	}
}

// TestSpreadKeepsTheLight: light of cells of the mesh, folded ones too, is found again on the plane, and even light stays even
// to 2 % whatever the raster is.
func TestSpreadKeepsTheLight(t *testing.T) {
	t.Parallel()
	for _, stretch := range []float64{0.3, 1, 2.37, 4.1} {
		g := result.NewGrid(1, 1, 0.02)
		c := newCells([]Plane{{Grid: g}})
		at := func(i, j int) landed {
			return landed{x: 0.5 + stretch*0.02*float64(i-5), y: 0.5 + stretch*0.02*float64(j-5), light: 10}
		}
		for j := range 10 {
			for i := range 10 {
				c.spread(0, 1e-4, patchOf(at, i, j, 11, 11))
			}
		}
		sum := 0.0
		for _, v := range c.light[0] {
			sum += v * g.StepXM * g.StepYM
		}
		if math.Abs(sum-10*1e-2) > 1e-12 {
			t.Errorf("stretched %g times: %g lm of 0.1", stretch, sum)
		}
		middle, want := c.light[0][25*g.NX+25], 10*1e-4/(stretch*stretch*4e-4)
		if stretch >= 1 && math.Abs(middle/want-1) > 0.02 {
			t.Errorf("stretched %g times: %g lx in the middle, want %g", stretch, middle, want)
		}
	}
}

// TestNetIsRefused: too many rays end with what to change, before anything is followed.
func TestNetIsRefused(t *testing.T) {
	t.Parallel()
	tank := model.Tank{LengthM: 20, WidthM: 10}
	m := &model.Model{DepthM: 1, Faces: tank.Faces(1), Water: water.New(water.Constituents{}, 25, 0), Sources: make([]model.Source, 4)}
	if _, err := New(m, 0.02, nil, false, 1); err == nil {
		t.Error("a net of hundreds of millions of rays is followed")
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := (&Net{mesh: newMesh(1, 1, 0.1)}).Moment(ctx, &Waves{}, 0, 1); err == nil {
		t.Error("the context's end is passed over")
	}
}
