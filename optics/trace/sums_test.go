package trace

import (
	"context"
	"iter"
	"math"
	"math/big"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"fathomlux/optics/parallel"
)

// TestExactSumsHaveNoOrder: against big.Rat, of numbers of either sign and any size that a history may have.
func TestExactSumsHaveNoOrder(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(4, 2))
	for range 200 {
		numbers, want := make([]float64, 50), new(big.Rat)
		unit := new(big.Rat).SetFloat64(0x1p-64)
		for i := range numbers {
			numbers[i] = math.Ldexp(r.Float64()-0.3, r.IntN(100)-60)
			cut := new(big.Rat).Quo(new(big.Rat).SetFloat64(numbers[i]), unit)
			want.Add(want, new(big.Rat).SetInt(new(big.Int).Quo(cut.Num(), cut.Denom()))) // cut towards 0
		}
		var one, other exact
		for _, v := range numbers {
			one.add(v)
		}
		slices.Reverse(numbers)
		for _, v := range numbers {
			other.add(v)
		}
		sum, _ := want.Mul(want, unit).Float64()
		if one != other || math.Abs(one.value()-sum) > 1e-15*math.Abs(sum)+0x1p-64 {
			t.Errorf("%v: %g and %g, should be %g", numbers, one.value(), other.value(), sum)
		}
	}
}

// sharesOf are the sums of all shares of a tracing, as they come back from files in any order.
func sharesOf(t *testing.T, s *setup, o Options, of int) iter.Seq2[*Sums, error] {
	t.Helper()
	var list []*Sums
	for part := of; part > 0; part-- {
		sums, err := RunShare(context.Background(), s.build(), o, parallel.Share{Part: part, Of: of})
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, sums)
	}
	return func(yield func(*Sums, error) bool) {
		for _, sums := range list {
			if !yield(sums, nil) {
				return
			}
		}
	}
}

// TestSharesMakeTheWhole: to the last bit, however it is divided, also into more shares than batches and where there is
// no lamp.
func TestSharesMakeTheWhole(t *testing.T) {
	t.Parallel()
	s := foyer(t)
	o := Options{Photons: 20_000, Seed: 3, Planes: threePlanes(s, 0.04), Workers: 2}
	o.Planes[1].PerModule = true
	dark := foyer(t)
	dark.Sources = nil
	for name, c := range map[string]struct {
		scene *setup
		of    []int
	}{"foyer": {s, []int{1, 3, 200}}, "dark": {dark, []int{2}}} {
		want, err := Run(context.Background(), c.scene.build(), o)
		if err != nil {
			t.Fatal(err)
		}
		for _, of := range c.of {
			joined := o
			joined.Shares = sharesOf(t, c.scene, o, of)
			if got, err := Run(context.Background(), c.scene.build(), joined); err != nil || !reflect.DeepEqual(got, want) {
				t.Errorf("%s, %d shares: other light than in one (%v)", name, of, err)
			}
		}
	}
}

// TestForeignSumsAreRefused: fewer planes, other cells, a share that lacks, one that is twice.
func TestForeignSumsAreRefused(t *testing.T) {
	t.Parallel()
	s := foyer(t)
	o := Options{Photons: 2000, Seed: 3, Planes: threePlanes(s, 0.1)}
	good := slices.Collect(func(yield func(*Sums) bool) {
		for sums := range sharesOf(t, s, o, 2) {
			yield(sums)
		}
	})
	other := func(change func(*Sums)) *Sums {
		copied := *good[1]
		copied.Planes = slices.Clone(copied.Planes)
		change(&copied)
		return &copied
	}
	for name, list := range map[string][]*Sums{
		"one lacks":   good[:1],
		"one twice":   {good[0], good[1], good[1]},
		"planes":      {good[0], other(func(s *Sums) { s.Planes = s.Planes[1:] })},
		"cells":       {good[0], other(func(s *Sums) { s.Planes[0] = s.Planes[0][16:] })},
		"more cells":  {good[0], other(func(s *Sums) { s.Planes[0] = append(s.Planes[0], 1) })},
		"no balance":  {good[0], other(func(s *Sums) { s.Balance = nil })},
		"batches < 0": {good[0], other(func(s *Sums) { s.Batches = -1 })},
	} {
		joined := o
		joined.Shares = func(yield func(*Sums, error) bool) {
			for _, sums := range list {
				if !yield(sums, nil) {
					return
				}
			}
		}
		if a, err := Run(context.Background(), s.build(), joined); err == nil || a != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	ended, cancel := context.WithCancel(context.Background())
	cancel()
	if sums, err := RunShare(ended, s.build(), o, parallel.Share{Part: 1, Of: 2}); sums != nil || err != context.Canceled {
		t.Errorf("an interrupted share gives %v and %v", sums, err)
	}
	o.Photons, o.Error = 0, 0.1
	if _, err := RunShare(context.Background(), s.build(), o, parallel.Share{Part: 1, Of: 2}); err == nil {
		t.Error("a share is traced to an error")
	}
}
