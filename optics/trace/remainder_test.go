package trace

import (
	"testing"
)

func TestStraightLightOfFlights(t *testing.T) {
	t.Parallel()
	// With no cover nothing comes back into the tank, and black walls send nothing on: the straight light of sources is what their
	// flights have, at the rim and at the surface, as both draw the same directions.
	s := rockery(t, 0.15)
	tr, err := NewTransfer(t.Context(), s.build(), TransferOptions{DepthsM: []float64{0.2}, Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	for _, x := range []float64{0.01, 0.25} { // at the side, and over the rock
		one := s.Sources[:1]
		one[0].Position.X, one[0].Position.Y = x, 0.2
		f := tr.Flights(t.Context(), one, []float64{0}, FlightOptions{RadiusM: 0.3, Histories: 1 << 12})[0]
		b := tr.Straight(one, int(f.Histories))
		near(t, "spill", b.Spill/one[0].LeavingLm, f.Balance[0].Spill/one[0].LeavingLm, 1e-12)
		near(t, "entered", b.Entered/one[0].LeavingLm, f.Balance[0].Entered/one[0].LeavingLm, 1e-12)
		if rock := b.Obstacles / one[0].LeavingLm; (rock > 0.1) != (x == 0.25) || rock > f.Balance[0].Obstacles/one[0].LeavingLm {
			t.Errorf("at %g m the rock takes %.3g of the light straight, %g lm in all", x, rock, f.Balance[0].Obstacles)
		}
	}
}

func TestPlanesAddUp(t *testing.T) {
	t.Parallel()
	// Light is linear in its sources: what two of them leave on planes, each with its own weight, is what their flights leave
	// together, but for the light that each density is held to, which differs by less than what lands does by chance.
	s := rockery(t, 0.15)
	tr, err := NewTransfer(t.Context(), s.build(), TransferOptions{DepthsM: []float64{0.2, 0.1}, Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	var flights Flights
	var sum Remainder
	for i, spotM := range []float64{0.3, 0.05} { // the narrow one has fine screens too
		one := s.Sources[:1]
		one[0].Position.X = 0.1 + 0.1*float64(i)
		f := tr.Flights(t.Context(), one, []float64{0}, FlightOptions{RadiusM: spotM, Histories: 1 << 12})[0]
		flights.Add(f, 1+float64(i))
		sum.AddPlanes(tr.Remainder(f, 2), 1+float64(i))
	}
	all := tr.Remainder(&flights, 2)
	for plane := range all.planes {
		for _, x := range []float64{0.05, 0.2, 0.35} {
			lux, ppfd := all.At(plane, x, 0.1)
			sumLux, sumPPFD := sum.At(plane, x, 0.1)
			near(t, "illuminance", sumLux/lux, 1, 1e-3)
			near(t, "PPFD", sumPPFD/ppfd, 1, 1e-3)
		}
	}
	if sum.Size() != all.Size() || sum.Size() == 0 {
		t.Errorf("%d numbers, together %d", sum.Size(), all.Size())
	}
}

func TestBatchesAreSolved(t *testing.T) {
	t.Parallel()
	// What lands on patches in all is what lands first and what they send on to each other, in a batch too; and the mean over the
	// batches is about the whole.
	s := rockery(t, 0.15)
	for side := range s.Walls {
		s.Walls[side] = diffuse(0.85)
	}
	s.FloorReflectance = 0.85
	tr, err := NewTransfer(t.Context(), s.build(), TransferOptions{DepthsM: []float64{0.2}, ErrorsOf: 1, Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	f := tr.Flights(t.Context(), s.Sources, []float64{0}, FlightOptions{RadiusM: 0.3, Histories: 1 << 12})[0]
	mean := 0.0
	for b, all := range tr.solveBatches(f.batches) {
		for i, v := range all {
			for j, sent := range all {
				v -= sent * tr.batches[b].toPatches.At(j, i)
			}
			near(t, "what lands first", v, f.batches[b].patches[i], 1e-6*sum(all)/float64(len(all)))
		}
		mean += sum(all) / float64(len(tr.batches))
	}
	near(t, "the mean of batches", mean/sum(tr.solve(0, f.mean[0].patches)), 1, 0.01) // as far as their noise goes: it is not linear in the tables
}
