package trace

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"reflect"
	"sync/atomic"
	"testing"

	"fathomlux/optics/beam"
	"fathomlux/optics/result"
	"fathomlux/optics/walls"
	"fathomlux/scene/longtest"
	"fathomlux/scene/space"
)

func TestBalanceCloses(t *testing.T) {
	// Scenes of any kind, 200 in full, each part: what is emitted is found again, to rounding, however few histories there are.
	r := rand.New(rand.NewPCG(1, 2))
	for i := range longtest.Pick(30, 200) {
		s := anyModel(t, r, i%4 == 0)
		if i%5 == 0 { // nothing takes light but the way out
			s.FloorReflectance, s.Walls = 1, [4]walls.Wall{mirror(1), diffuse(1), mirror(1), diffuse(1)}
		}
		g := result.NewGrid(s.LengthM, s.WidthM, s.LengthM/5)
		a := traced(t, s, Options{Photons: 500, Seed: uint64(i), Only: Part(i % 3), Planes: []Plane{{DepthM: s.DepthM, Grid: g}}})
		b := a.Balance
		longtest.Drawn(t)
		longtest.Held(t, "lumens found", b.Sum(), b.Emitted, 1e-9*b.Emitted)
		if math.Abs(b.Sum()-b.Emitted) > 1e-9*b.Emitted || b.Unfollowed != 0 {
			t.Errorf("scene %d: %+v sums to %g", i, b, b.Sum())
		}
		for _, v := range []float64{b.Optic, b.Cover, b.Spill, b.Surface, b.Walls, b.Floor, b.Obstacles, b.Returned, b.Entered, a.Planes[0].Field.Illuminance[0]} {
			if !(v >= 0 && v <= 100*b.Emitted) {
				t.Errorf("scene %d: an entry of %g lm of %g", i, v, b.Emitted)
			}
		}
	}
}

func TestSameBytesForAnyNumberOfWorkers(t *testing.T) {
	s := foyer(t)
	for _, o := range []Options{
		{Photons: 40_000, Seed: 3, Planes: threePlanes(s, 0.05)},
		{Error: 0.1, Seed: 3, Planes: threePlanes(s, 0.05), Only: Rest},
	} {
		var first *Answer
		for _, workers := range []int{1, 7} {
			o.Workers = workers
			a, err := Run(context.Background(), s.build(), o)
			if err != nil {
				t.Fatal(err)
			}
			if first == nil {
				first = a
			} else if !reflect.DeepEqual(first, a) {
				t.Errorf("%d workers give other bytes than one", workers)
			}
		}
	}
}

func TestSeedsDiffer(t *testing.T) {
	s := foyer(t)
	a, b := traced(t, s, Options{Photons: 1000, Seed: 1}), traced(t, s, Options{Photons: 1000, Seed: 2})
	if a.Balance == b.Balance {
		t.Error("two seeds give the same flux balance")
	}
}

func TestErrorIsReachedAndHonest(t *testing.T) {
	// The stated errors are those that runs with other seeds show: chi-squared over all cells of two pairs of runs, ten in full, is one a cell.
	// A mean of chi-squared over n Gaussian cells has a standard error of sqrt(2/n); four of them are 0.05 for 12980 cells, as
	// errors show that are wrong by 2.5 %.
	s := foyer(t)
	g := result.NewGrid(s.LengthM, s.WidthM, 0.02)
	o := Options{Error: 0.15, Planes: []Plane{{DepthM: s.DepthM, Grid: g}}, Only: Rest}
	pairs := longtest.Pick(2, 10)
	chi, tolerance := 0.0, 4*math.Sqrt(2/float64(pairs*g.Cells()))
	for range pairs {
		o.Seed++
		a := traced(t, s, o)
		o.Seed++
		b := traced(t, s, o)
		if a.Error > 0.15 || a.Error < 0.045 {
			t.Errorf("error %g where 0.15 was asked for", a.Error)
		}
		one := 0.0
		for c := range g.Cells() {
			d := a.Planes[0].Field.Illuminance[c] - b.Planes[0].Field.Illuminance[c]
			one += d * d / (a.Planes[0].ErrorLx[c]*a.Planes[0].ErrorLx[c] + b.Planes[0].ErrorLx[c]*b.Planes[0].ErrorLx[c])
		}
		// Errors are found from batches: the ratio follows Student's t with one degree less than there are batches in each run,
		// and the mean square of that is a little above one.
		free := float64((a.Photons+b.Photons)/usualBatch - 2)
		chi += one * (1 - 2/free) / float64(pairs*g.Cells())
		d := mean(a.Planes[0].Field.Illuminance) - mean(b.Planes[0].Field.Illuminance)
		near(t, "difference of the means", d, 0, 4*math.Hypot(a.Planes[0].MeanErrorLx, b.Planes[0].MeanErrorLx))
	}
	t.Logf("chi-squared a cell %g, within %g", chi, tolerance)
	near(t, "chi-squared a cell", chi, 1, tolerance)
}

func TestPartsAddUp(t *testing.T) {
	// The same histories count as straight and as both; the rest is played by others, in parts. Straight light and rest add up to
	// all: over many seeds what is missing in a cell and on a plane is zero within standard errors, which the seeds show.
	s := foyer(t)
	o := Options{Photons: 20_000, Planes: threePlanes(s, 0.1)}
	const seeds = 32
	cells, planes := make([]missing, len(o.Planes)*o.Planes[0].Grid.Cells()), make([]missing, 2*len(o.Planes))
	for o.Seed = range seeds {
		var parts [3]*Answer
		for o.Only = range Part(3) {
			parts[o.Only] = traced(t, s, o)
		}
		if parts[All].Balance != parts[Straight].Balance {
			t.Fatal("flux balance depend on what is counted")
		}
		for i := range o.Planes {
			all, straight, rest := parts[All].Planes[i].Field, parts[Straight].Planes[i].Field, parts[Rest].Planes[i].Field
			for c, v := range all.Illuminance {
				if straight.Illuminance[c] > v*(1+1e-12) {
					t.Fatalf("plane %d, cell %d: straight light above all light", i, c)
				}
				cells[i*len(all.Illuminance)+c].add(straight.Illuminance[c], rest.Illuminance[c], v)
			}
			planes[2*i].add(mean(straight.Illuminance), mean(rest.Illuminance), mean(all.Illuminance))
			planes[2*i+1].add(mean(straight.PPFD), mean(rest.PPFD), mean(all.PPFD))
		}
	}
	for i, m := range planes {
		share, err := m.share()
		t.Logf("plane %d: %.4f of the rest missing, within %.4f", i/2, share, 4*err)
		near(t, "share of the rest that is missing on a plane", share, 0, 4*err)
		if err > 0.006 || m.rest < 0.03*m.all {
			t.Errorf("plane %d: a rest of %g in %g, known to %g, shows nothing", i/2, m.rest, m.all, err)
		}
	}
	for _, m := range cells { // 144 of them: five errors of 31 degrees of freedom are met once in 300 such tests
		share, err := m.share()
		near(t, "share of the rest that is missing in a cell", share, 0, 5*err)
	}
}

// missing sums over seeds what straight light and rest lack of all light, its squares, and the rest and all light.
type missing struct{ n, sum, squares, rest, all float64 }

func (m *missing) add(straight, rest, all float64) {
	d := all - straight - rest
	m.n, m.sum, m.squares, m.rest, m.all = m.n+1, m.sum+d, m.squares+d*d, m.rest+rest, m.all+all
}

// share is what is missing in parts of the rest, and its standard error.
func (m *missing) share() (share, err float64) {
	return m.sum / m.rest, math.Sqrt((m.squares-m.sum*m.sum/m.n)*m.n/(m.n-1)) / m.rest
}

func TestModulesAddUpToTheWhole(t *testing.T) {
	s := foyer(t)
	g := result.NewGrid(s.LengthM, s.WidthM, 0.05)
	whole := traced(t, s, Options{Photons: 20_000, Planes: []Plane{{DepthM: 0.2, Grid: g}}}).Planes[0]
	apart := traced(t, s, Options{Photons: 20_000, Planes: []Plane{{DepthM: 0.2, Grid: g, PerModule: true}}}).Planes[0]
	if len(apart.Modules) != 6 || whole.Modules != nil {
		t.Fatalf("%d and %d modules", len(apart.Modules), len(whole.Modules))
	}
	for c, v := range whole.Field.Illuminance {
		sum := 0.0
		for _, m := range apart.Modules {
			sum += m.Illuminance[c]
		}
		near(t, "sum of modules", sum, apart.Field.Illuminance[c], 1e-9*v)
		near(t, "whole", apart.Field.Illuminance[c], v, 1e-9*v)
		near(t, "error", apart.ErrorLx[c], whole.ErrorLx[c], 1e-6*v)
	}
	// The module on the left lights the left more than the right.
	left := apart.Modules[0].Illuminance
	if !(left[g.NX*4+2] > 5*left[g.NX*4+g.NX-3]) {
		t.Errorf("module 0: %g on the left, %g on the right", left[g.NX*4+2], left[g.NX*4+g.NX-3])
	}
}

func TestContextEnds(t *testing.T) {
	s := foyer(t)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if a, err := Run(ctx, s.build(), Options{}); a != nil || !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled before the start: %v, %v", a, err)
	}
	const begun = 5
	late := &endsAfter{Context: context.Background()}
	late.left.Store(begun)
	a, err := Run(late, s.build(), Options{Workers: 2, Photons: 2 * mostBatches * usualBatch, Planes: threePlanes(s, 0.05)})
	if !errors.Is(err, context.DeadlineExceeded) || a == nil {
		t.Fatalf("ended on the way: %v, %v", a, err)
	}
	if a.Photons != begun*usualBatch {
		t.Errorf("%d photons, where %d batches of %d were begun before the end", a.Photons, begun, usualBatch)
	}
	near(t, "flux balance of what was computed", a.Balance.Sum(), a.Balance.Emitted, 1e-9*a.Balance.Emitted)
}

// endsAfter is a context that ends once it was asked so many times, at whatever pace: a batch is begun for each time before.
type endsAfter struct {
	context.Context
	left atomic.Int64
}

func (c *endsAfter) Err() error {
	if c.left.Add(-1) >= 0 {
		return nil
	}
	return context.DeadlineExceeded
}

func TestDarkAndOddModels(t *testing.T) {
	s := foyer(t)
	s.Sources = nil
	g := result.NewGrid(s.LengthM, s.WidthM, 0.1)
	a := traced(t, s, Options{Planes: []Plane{{DepthM: 0.1, Grid: g}}})
	if a.Planes[0].Field.Illuminance[3] != 0 || a.Balance.Sum() != 0 || a.Error != 0 {
		t.Errorf("a dark model: %+v", a.Balance)
	}
	for _, depth := range []float64{-0.1, 0.5, math.NaN()} {
		if _, err := Run(context.Background(), s.build(), Options{Planes: []Plane{{DepthM: depth, Grid: g}}}); err == nil {
			t.Errorf("a plane at %g m was taken", depth)
		}
	}
	hang(s, 0, space.Point{X: 0.5, Y: 0.2, Z: 0.6}).Frame = space.Frame{Along: space.Vector{X: 1}, Across: space.Vector{Y: -1}, Aim: space.Vector{Z: 1}}
	b := traced(t, s, Options{Photons: 1000}).Balance
	near(t, "a lamp that looks up: spill", b.Spill, 100, 1e-9)
}

func TestBoxesTakeWhatMeetsThem(t *testing.T) {
	// A box as wide as the tank just over the floor takes all that would land there.
	s := foyer(t)
	s.Boxes = []space.Box{{Min: space.Point{X: -1, Y: -1, Z: 0.01}, Max: space.Point{X: 2, Y: 1, Z: 0.02}}}
	a := traced(t, s, Options{Photons: 20_000, Planes: threePlanes(s, 0.1)})
	if a.Balance.Floor != 0 || a.Balance.Obstacles < 0.4*a.Balance.Emitted || mean(a.Planes[2].Field.Illuminance) != 0 {
		t.Errorf("flux balance %+v", a.Balance)
	}
}

func TestLensDrawsTheBeam(t *testing.T) {
	// Shares within cones of the aim against the beam's own integral; for an oval beam also the mean squares along and across,
	// by a sum over directions.
	n := longtest.Pick[int64](100_000, 400_000)
	for _, s := range []beam.Shape{{BeamRad: 120 * deg}, {BeamRad: 2 * deg}, {BeamRad: 40 * deg, FieldRad: 70 * deg, StrayShare: 0.05},
		{BeamRad: 60 * deg, BeamAcrossRad: 20 * deg, FieldRad: 90 * deg, FieldAcrossRad: 50 * deg}} {
		b := shape(t, s)
		l, r := newLens(b), stream(1, 0)
		var within [3]float64
		var x2, y2 float64
		cones := []float64{s.BeamRad / 4, s.BeamRad / 2, 60 * deg}
		for range n {
			v := l.draw(&r)
			x2, y2 = x2+v.X*v.X, y2+v.Y*v.Y
			for k, c := range cones {
				if v.Z > math.Cos(c) {
					within[k]++
				}
			}
		}
		for k, c := range cones {
			share := b.ShareWithin(c)
			near(t, "share within a cone", within[k]/float64(n), share, four(share, n)+1e-5)
		}
		wantX, wantY := squares(b)
		near(t, "mean square along", x2/float64(n), wantX, 4*math.Sqrt(wantX*0.6/float64(n)))
		near(t, "mean square across", y2/float64(n), wantY, 4*math.Sqrt(wantY*0.6/float64(n)))
	}
}

// squares sums the squared components of directions, weighted with the intensity.
func squares(b *beam.Beam) (x2, y2 float64) {
	const rows, columns = 4000, 180
	total := 0.0
	for i := range rows {
		sin, cos := math.Sincos((float64(i) + 0.5) * math.Pi / 2 / rows)
		for k := range columns {
			sp, cp := math.Sincos((float64(k) + 0.5) * 2 * math.Pi / columns)
			v := space.Vector{X: sin * cp, Y: sin * sp, Z: cos}
			w := b.PerLumen(v) * sin
			total, x2, y2 = total+w, x2+w*v.X*v.X, y2+w*v.Y*v.Y
		}
	}
	return x2 / total, y2 / total
}

func TestColoursKeepTheSpectrum(t *testing.T) {
	// Means over the colours are those over the spectrum, and the decay of lumens and photons is that of all wavelengths.
	s := foyer(t)
	table := s.Water.Table(s.Spectra[0], 0, 3)
	list := palette(s.Spectra[0], s.build())
	for _, pathM := range []float64{0.3, 1, 3} {
		var lumens, photons float64
		for _, c := range list {
			lumens += fade(c.absorb*pathM) / colours
			photons += fade((c.photons-c.own(s))*pathM) / colours
		}
		near(t, "lumens", lumens, table.Luminous(pathM), 2e-4) // what 64 parts miss of the steep colours
		near(t, "photons", photons, table.Photons(pathM), 1e-3)
	}
}

// own is what a colour's photons scatter more than its lumens.
func (c colour) own(s *setup) float64 {
	return c.scatter * (c.molecular*(c.byMolecule-1) + (1-c.molecular)*(c.byParticle-1))
}

func TestFade(t *testing.T) {
	for x := -1.0; x < 60; x += 0.0137 {
		near(t, "exp", fade(x)*math.Exp(x), 1, 2e-10)
	}
	for turn := 0.0; turn <= 1; turn += 0.00037 {
		s, c := around(turn)
		near(t, "sine", s, math.Sin(2*math.Pi*turn), 1e-10)
		near(t, "cosine", c, math.Cos(2*math.Pi*turn), 1e-10)
	}
}
