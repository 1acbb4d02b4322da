package trace

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"fathomlux/optics/direct"
	"fathomlux/optics/model"
	"fathomlux/optics/result"
	"fathomlux/optics/walls"
	"fathomlux/optics/water"
	"fathomlux/scene/form"
	"fathomlux/scene/longtest"
	"fathomlux/scene/space"
)

// TestAnOutlinedBoxIsTheBox: P4. The same tank followed by edges of an outline, with sources over and beside it.
func TestAnOutlinedBoxIsTheBox(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(31, 4))
	for i := range longtest.Pick(2, 20) {
		s := anyModel(t, r, false)
		if i%2 == 1 {
			shiftOut(s, r)
		}
		o := Options{Photons: longtest.Pick[int64](1<<16, 1<<18), Planes: []Plane{{DepthM: s.DepthM / 2, Grid: coarse(s)}}}
		want := traced(t, s, o)
		s.outline = outlined(s.Tank)
		o.Seed = 1
		got := traced(t, s, o)
		is, was := got.Planes[0], want.Planes[0]
		near(t, "mean", mean(is.Field.Illuminance), mean(was.Field.Illuminance), 4*math.Hypot(is.MeanErrorLx, was.MeanErrorLx))
		share := 4 * math.Sqrt(0.5/float64(o.Photons)) * want.Balance.Emitted // of half of the histories
		entries := (*result.Ends[float64])(&got.Balance).Entries()
		for k, v := range (*result.Ends[float64])(&want.Balance).Entries() {
			near(t, fmt.Sprint("entry ", k), *entries[k], *v, share)
		}
		near(t, "sum", got.Balance.Sum(), got.Balance.Emitted, 1e-9*got.Balance.Emitted)
		if t.Failed() {
			t.Fatalf("scene %d: %+v, not %+v", i, got.Balance, want.Balance)
		}
	}
}

// prism is a regular outline of so many corners about a circle of some radius that has its area.
func prism(corners int, radiusM float64) (o form.Outline) {
	turn := 2 * math.Pi / float64(corners)
	r := radiusM * math.Sqrt(turn/math.Sin(turn))
	for i := range corners {
		s, c := math.Sincos(float64(i) * turn)
		o.Corners, o.Edges = append(o.Corners, form.Corner{XM: r * (1 + c), YM: r * (1 + s)}), append(o.Edges, 0)
	}
	return o
}

// TestViewFactorsOfARoundTank: P1 to P3, floor to surface and to the wall, by Howell's C-40 and C-41.
func TestViewFactorsOfARoundTank(t *testing.T) {
	t.Parallel()
	const n = 100_000
	for h, want := range map[float64]float64{0.5: 0.609612, 1: 0.381966, 2: 0.171573} {
		w := newTank(model.Tank{LengthM: 2, WidthM: 2}, h, 1)
		faces := model.Upright(prism(64, 1), h, 0, func(int) walls.Wall { return diffuse(0) })
		w.shaped = newShaped(&model.Model{Faces: faces}, 1)
		none := newColour(medium{}, medium{}, 1)
		p := newProbe(w, &none, photon{in: wet, entered: true})
		p.tally = &planes{}
		for i := range int64(n) {
			p.once(i, func(q *photon) {
				for q.at = (space.Point{}); !w.shaped.fence.Outline.Holds(q.at); {
					q.at = space.Point{X: 2.1 * p.random.unit(), Y: 2.1 * p.random.unit()}
				}
				p.lambert(q, model.Ground)
			})
		}
		near(t, "P1", p.balance.Returned.lux/n, want, four(want, n)+0.003*want) // P3: 0.3 %
		near(t, "P2", p.balance.Walls.lux/n, 1-want, four(want, n)+0.003*want)
	}
}

// bySight is the straight light of a tank in the cells of a plane.
func bySight(t *testing.T, s *setup, p Plane) []float64 {
	t.Helper()
	e, err := direct.New(t.Context(), s.build(), direct.Options{Workers: 2, Attenuation: water.Unscattered, Rays: -1})
	if err != nil {
		t.Fatal(err)
	}
	l, err := e.Plane(t.Context(), p.DepthM, p.Grid, false)
	if err != nil {
		t.Fatal(err)
	}
	return l.Whole.Illuminance
}

// TestSightIsTheSum: P4. Between black walls straight light by sight is the sum over images, of which there are none.
func TestSightIsTheSum(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(7, 4))
	for i := range longtest.Pick(4, 40) {
		s := anyModel(t, r, false)
		for k := range s.Walls {
			s.Walls[k] = diffuse(0)
		}
		if i%2 == 1 {
			shiftOut(s, r)
		}
		p := Plane{DepthM: s.DepthM * (0.3 + 0.7*r.Float64()), Grid: result.NewGrid(s.LengthM, s.WidthM, 0.01)}
		want := bySight(t, s, p)
		s.outline = outlined(s.Tank)
		got, top, far := bySight(t, s, p), slices.Max(want), 0
		for c := range want {
			if math.Abs(got[c]-want[c]) > 0.003*top { // cells in which a shadow ends are looked at in 16 places
				far++
			}
		}
		near(t, "mean", mean(got), mean(want), 0.003*mean(want)+0.001*top) // where much is shadow, its edges weigh more
		if far > len(want)/20 {
			t.Errorf("scene %d: %d of %d cells differ by more than 0.3 %% of the highest", i, far, len(want))
		}
	}
}

// anyOutline is a star of some corners in a box: convex seldom.
func anyOutline(r *rand.Rand, lengthM, widthM float64) (o form.Outline) {
	n := 3 + r.IntN(8)
	for i := range n {
		s, c := math.Sincos((float64(i) + 0.8*r.Float64()) * 2 * math.Pi / float64(n))
		k := 0.4 + 0.6*r.Float64()
		o.Corners = append(o.Corners, form.Corner{XM: lengthM / 2 * (1 + k*c), YM: widthM / 2 * (1 + k*s)})
		o.Edges = append(o.Edges, r.IntN(4))
	}
	return o
}

// TestSightAndRestAreTraced: straight light by sight and the rest make all of the light, in tanks of any outline with
// everything on; no lumen is lost or made.
func TestSightAndRestAreTraced(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(17, 4))
	for i := range longtest.Pick(3, 200) {
		s := anyModel(t, r, false)
		s.outline = anyOutline(r, s.LengthM, s.WidthM)
		p := Plane{DepthM: s.DepthM * (0.3 + 0.7*r.Float64()), Grid: coarse(s)}
		all := traced(t, s, Options{Photons: 1 << 16, Seed: 1, Planes: []Plane{p}})
		rest := traced(t, s, Options{Photons: 1 << 16, Seed: 2, Planes: []Plane{p}, Only: Rest})
		near(t, "sum", all.Balance.Sum(), all.Balance.Emitted, 1e-9*all.Balance.Emitted)
		near(t, "sum with the rest alone", rest.Balance.Sum(), rest.Balance.Emitted, 1e-9*rest.Balance.Emitted)
		sum, area := 0.0, p.Grid.StepXM*p.Grid.StepYM
		for c, v := range bySight(t, s, p) {
			x, y := p.Grid.CentreX(c%p.Grid.NX), p.Grid.CentreY(c/p.Grid.NX)
			inside, _ := s.outline.Within(space.Area{FromXM: x - p.Grid.StepXM/2, ToXM: x + p.Grid.StepXM/2, FromYM: y - p.Grid.StepYM/2, ToYM: y + p.Grid.StepYM/2})
			sum += v * inside / area
		}
		sum /= float64(p.Grid.Cells())
		want, got := mean(all.Planes[0].Field.Illuminance), sum+mean(rest.Planes[0].Field.Illuminance)
		spread := math.Hypot(all.Planes[0].MeanErrorLx, rest.Planes[0].MeanErrorLx)
		t.Logf("tank %d, %d corners: %.2f lx, of which %.2f straight, not %.2f within %.2f", i, len(s.outline.Corners), got, sum, want, spread)
		// Coarse cells see a little of each shadow's edge; in a dark tank a single photon is all there is.
		near(t, "sight and rest, traced", got, want, 3*spread+0.01*want+1e-4*all.Balance.Emitted/(s.LengthM*s.WidthM))
	}
}
