package direct

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"fathomlux/optics/result"
	"fathomlux/scene/longtest"
)

// inEachForm calls f once in each form of the innermost sum that this machine can do.
func inEachForm(f func(plainForm)) {
	defer func(was plainForm) { chosen = was }(chosen)
	for _, chosen = range forms {
		f(chosen)
	}
}

// TestFormsAgree: any run of cells gets the same bits in all forms, and nothing beside it is touched. There is no tolerance:
// the forms do the same steps in the same order.
func TestFormsAgree(t *testing.T) {
	s := quads(t, 1)
	track := engine(t, s).prepare(s.DepthM).track(&s.Sources[0])
	longtest.Check(t, func(t *rapid.T) {
		n, spare := rapid.IntRange(1, 90).Draw(t, "cells"), 9
		r := track.row(plainRow{first: rapid.Float64Range(-2, 2).Draw(t, "first"), skip: float64(rapid.IntRange(0, 300).Draw(t, "skip")),
			step: rapid.Float64Range(-0.02, 0.02).Draw(t, "step"), fixed2: rapid.Float64Range(0, 1).Draw(t, "fixed2"), lumens: rapid.Float64Range(0, 1e4).Draw(t, "lumens")})
		before := rapid.SliceOfN(rapid.Float64Range(0, 1e4), n+spare, n+spare).Draw(t, "before")
		want, wantPPFD := slices.Clone(before), slices.Clone(before)
		addPlainGo(want[:n], wantPPFD[:n], track.pairs, r)
		inEachForm(func(f plainForm) {
			lux, ppfd := slices.Clone(before), slices.Clone(before)
			addPlain(lux[:n], ppfd[:n], track.pairs, r)
			if !slices.Equal(lux, want) || !slices.Equal(ppfd, wantPPFD) {
				t.Fatalf("form %d: %v and %v, want %v and %v", f, lux, ppfd, want, wantPPFD)
			}
		})
	})
}

// TestFormsFarAway: cells so far off that numbers overflow get nothing, in any form. (TestFormsKeepToTheirMemory shows that
// no memory beside the table is read.)
func TestFormsFarAway(t *testing.T) {
	s := quads(t, 1)
	track := engine(t, s).prepare(s.DepthM).track(&s.Sources[0])
	for _, far := range []float64{1e9, 1e100, 1e200, math.MaxFloat64, math.Inf(1), math.NaN()} {
		inEachForm(func(f plainForm) {
			lux, ppfd := make([]float64, 21), make([]float64, 21)
			addPlain(lux, ppfd, track.pairs, track.row(plainRow{first: far, step: 0.01, lumens: 100}))
			if slices.Max(lux) > 1e-12 || slices.Max(ppfd) > 1e-12 || slices.ContainsFunc(lux, math.IsNaN) {
				t.Errorf("form %d at %g: %v", f, far, lux)
			}
		})
	}
}

// TestFormsGiveTheSamePlane: a plane of a tank with images, cover and brace has the same bits in all forms.
func TestFormsGiveTheSamePlane(t *testing.T) {
	e := engine(t, quads(t, 3))
	var first result.Field
	inEachForm(func(f plainForm) {
		got := plane(t, e, 0.42, result.NewGrid(1.18, 0.43, 0.013))
		if first.Illuminance == nil {
			first = got
		}
		if !slices.Equal(got.Illuminance, first.Illuminance) || !slices.Equal(got.PPFD, first.PPFD) {
			t.Errorf("form %d has other bits", f)
		}
	})
}
