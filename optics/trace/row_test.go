package trace

import (
	"math"
	"reflect"
	"testing"

	"fathomlux/optics/model"
	"fathomlux/optics/walls"
	"fathomlux/optics/water"
	"fathomlux/scene/space"
)

// hazyTank is a tank with all that may tell places along it apart: ends of two kinds, a brace, a stone, and with a cover drops
// under it.
func hazyTank(t tester, covered bool) *setup {
	s := foyer(t)
	s.Walls = [4]walls.Wall{mirror(0.9), diffuse(0.6), glass, diffuse(0.6)}
	s.Water = water.New(water.Constituents{ParticleScatterPerM: 2, ParticleExponent: 0.5, Asymmetry: 0.924}, 25, 0)
	s.Boxes = append(s.Boxes, space.Box{Min: space.Point{X: 0.3, Y: 0.1}, Max: space.Point{X: 0.4, Y: 0.2, Z: 0.3}})
	if s.Cover.Scatter, s.Cover.Asymmetry = 0.2, 0.9; !covered {
		s.Cover = nil
	}
	s.Sources = s.Sources[:4]
	for i := range s.Sources {
		s.Sources[i].Position.X -= s.Sources[0].Position.X
	}
	return s
}

// TestRowIsEachAlone: what a place of a row gets is, to the last bit, what it gets without the others, by any number of workers.
func TestRowIsEachAlone(t *testing.T) {
	t.Parallel()
	places := []float64{1.1, -0.05, 0.01, 0.35, 0.5, 1.25}
	for _, kind := range []string{"open", "covered", "hood"} {
		s := hazyTank(t, kind == "covered")
		if kind == "hood" {
			s.Hood = &model.Hood{Box: space.Box{Min: space.Point{Z: s.DepthM + s.RimM}, Max: space.Point{X: 1.18, Y: 0.43, Z: s.DepthM + 0.25}}, Reflectance: 0.7}
		}
		for _, errorsOf := range []int{0, 1} {
			tr, err := NewTransfer(t.Context(), s.build(), TransferOptions{DepthsM: []float64{0.42, 0.1}, ErrorsOf: errorsOf, Seed: 1, Photons: 1 << 10})
			if err != nil {
				t.Fatal(err)
			}
			o := FlightOptions{RadiusM: 0.1, Histories: 64, Workers: 3}
			row := tr.Flights(t.Context(), s.Sources, places, o)
			o.Workers = 1
			for i := range places {
				if alone := tr.Flights(t.Context(), s.Sources, places[i:i+1], o)[0]; !reflect.DeepEqual(row[i], alone) {
					t.Errorf("%s, %d planes with errors: at %g m a row has %v, alone %v", kind, errorsOf, places[i], row[i].Balance[0], alone.Balance[0])
				}
			}
		}
	}
}

// TestRowIsTheTank: what a row gets is what photons do that are followed from each place on their own, in the tank as it is. A
// photon that rounding sends elsewhere is some 1e-4 of them.
func TestRowIsTheTank(t *testing.T) {
	t.Parallel()
	for _, covered := range []bool{false, true} {
		s := hazyTank(t, covered)
		tr, err := NewTransfer(t.Context(), s.build(), TransferOptions{DepthsM: []float64{0.42, 0.1}, Seed: 1, Photons: 1 << 10})
		if err != nil {
			t.Fatal(err)
		}
		places := []float64{-0.05, 0.01, 0.35, 0.5, 1.1}
		const histories = 1 << 13
		crews := make([]*crew, len(places))
		for i := range crews {
			crews[i] = tr.fineScreens(0).crew(tr, tr.lit(s.Sources), [2]bool{false, true})
		}
		tr.launchAll(t.Context(), s.Sources, places, crews, histories, 1)
		for i, x := range places {
			own := tr.lit(moved(s.Sources, x))
			c := &crew{}
			for range crews[i].tracers {
				one := &crossings{tr.fineScreens(0), make([]light, tr.fineScreens(0).cells), [2]bool{false, true}, nil}
				c.tracers = append(c.tracers, tr.tracer(own, one))
			}
			tr.launch(t.Context(), own, c.tracers, histories, 1, (*tracer).finish)
			all, apart := 0.0, 0.0
			for b, want := range c.tracers {
				got := crews[i].tracers[b]
				now := append(got.cells(), got.onPatches()...)
				for k, v := range append(want.cells(), want.onPatches()...) {
					all, apart = all+v.lux, apart+math.Abs(v.lux-now[k].lux)
				}
				entries := got.balance.Entries()
				for k, v := range want.balance.Entries() {
					near(t, "an entry of the flux balance, of all histories", (entries[k].lux-v.lux)/histories, 0, 2e-4)
				}
			}
			if all == 0 && x > 0 || apart > 5e-4*all {
				t.Errorf("covered %v, at %g m: %g of %g lands elsewhere", covered, x, apart, all)
			}
		}
	}
}
