package trace

import (
	"math"
	"testing"

	"fathomlux/optics/model"
	"fathomlux/optics/result"
	"fathomlux/scene/space"
)

// TestTurnsOfATank: the tables of a tank that is its own mirror image are their own images, and are those of one that is so
// but for a box of no height, which is traced patch by patch: within their noise.
func TestTurnsOfATank(t *testing.T) {
	t.Parallel()
	s := foyer(t)
	for side := model.Left; side < model.Ground; side++ {
		s.Walls[side] = diffuse(0.5)
	}
	s.Boxes = nil
	transfer := func() *Transfer {
		tr, err := NewTransfer(t.Context(), s.build(), TransferOptions{DepthsM: []float64{0.3}, Seed: 1, Photons: 1 << 18})
		if err != nil {
			t.Fatal(err)
		}
		return tr
	}
	turned := transfer()
	if len(turned.turns) != 4 {
		t.Fatalf("%d turns", len(turned.turns))
	}
	all, n := turned.mean[0].toPatches, len(turned.patches.list)
	for _, turn := range turned.turns {
		for j := range n {
			from, onto := &turned.patches.list[j], &turned.patches.list[turn.patches[j]]
			if math.Abs(from.u.lowM+from.u.highM-onto.u.lowM-onto.u.highM) > 1e-9 || from.v.nodeM != onto.v.nodeM && from.side != model.Ground {
				t.Fatalf("patch %d goes onto one of another form, %d", j, turn.patches[j])
			}
			for i := range n {
				near(t, "an image", all.At(turn.patches[j], turn.patches[i]), all.At(j, i), 1e-12)
			}
		}
	}
	s.Boxes = []space.Box{{Min: space.Point{X: 0.2, Y: 0.1}, Max: space.Point{X: 0.2002, Y: 0.1002, Z: 0.0002}}}
	apart := transfer()
	if len(apart.turns) != 1 {
		t.Fatalf("%d turns with a box aside", len(apart.turns))
	}
	g := result.NewGrid(s.LengthM, s.WidthM, 0.05)
	mean := func(tr *Transfer) float64 {
		r := tr.Remainder(tr.Flights(t.Context(), s.Sources, []float64{0}, FlightOptions{RadiusM: 0.3, Histories: 1 << 13})[0], 1)
		return result.Summarise(r.Field(0, g).Illuminance, 0).Mean
	}
	near(t, "the mean of a plane", mean(turned)/mean(apart), 1, 0.01)
}

// TestEveryOfEven: one in n of the points, from each on, are all of them.
func TestEveryOfEven(t *testing.T) {
	t.Parallel()
	all := newEven(stream(1, 2), asideDimensions, asideRoot)
	var parts [4]*even
	for b := range parts {
		parts[b] = newEven(stream(1, 2), asideDimensions, asideRoot).every(b, len(parts))
	}
	for k := range 1000 {
		want, got := all.next(), parts[k%len(parts)].next()
		for i := range want {
			if apart := math.Abs(want[i] - got[i]); apart > 1e-9 && apart < 1-1e-9 {
				t.Fatalf("point %d: %v, want %v", k, *got, *want)
			}
		}
	}
}
