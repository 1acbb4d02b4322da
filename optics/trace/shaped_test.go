package trace

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"fathomlux/optics/model"
	"fathomlux/optics/result"
	"fathomlux/optics/walls"
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
