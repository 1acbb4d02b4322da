package trace

import (
	"context"
	"math"
	"testing"

	"fathomlux/optics/beam"
	"fathomlux/optics/model"
	"fathomlux/optics/water"
	"fathomlux/scene/photometry"
	"fathomlux/scene/space"
)

// TestLightOnItsWay: the light in the cells of the water, times what the water absorbs for each metre, is what the flux
// balance says that the water takes (definition of the absorption coefficient); its vector is never longer than its scalar;
// and the number of workers changes nothing.
func TestLightOnItsWay(t *testing.T) {
	s := &setup{Tank: model.Tank{LengthM: 0.6, WidthM: 0.3, RimM: 0.05, FloorReflectance: 0.4},
		Model: model.Model{DepthM: 0.3, Water: water.Measured(0.5, 25, 0), Spectra: []photometry.Spectrum{whiteSpectrum(t)},
			Beams: []*beam.Beam{shape(t, beam.Shape{BeamRad: 40 * deg, FieldRad: 60 * deg})}}}
	s.Sources = []model.Source{{Position: space.Point{X: 0.2, Y: 0.15, Z: 0.4}, Frame: space.Down, EmittedLm: 100, LeavingLm: 100}}
	for i := range s.Walls {
		s.Walls[i] = glass
	}
	o := Options{Photons: 1 << 15, Seed: 3, Even: true, Lattice: &Lattice{Size: space.Vector{X: 0.6, Y: 0.3, Z: 0.3}, NX: 20, NY: 11, NZ: 9}}
	a, err := Run(context.Background(), s.build(), o)
	if err != nil {
		t.Fatal(err)
	}
	sum, volume := 0.0, 0.6*0.3*0.3/float64(o.Lattice.Cells())
	for part := range a.Flows {
		for i, f := range a.Flows[part] {
			if sum += f.Lux * volume; f.Net.Length() > f.Lux*(1+1e-9) {
				t.Fatalf("cell %d: a vector of %g lx of %g lx", i, f.Net.Length(), f.Lux)
			}
		}
	}
	absorbed := sum * math.Ln2 / 0.5
	if math.Abs(absorbed/a.Balance.Water-1) > 0.01 {
		t.Errorf("by the light on its way %g lm are absorbed, by the balance %g", absorbed, a.Balance.Water)
	}
	below := a.Flows[0][(8*11+5)*20+6] // under the lamp, near the surface
	if below.Net.Z > -0.9*below.Lux {
		t.Errorf("straight light under the lamp: %+v", below)
	}
	o.Workers = 3
	b, err := Run(context.Background(), s.build(), o)
	if err != nil {
		t.Fatal(err)
	}
	for part := range a.Flows {
		for i := range a.Flows[part] {
			if a.Flows[part][i] != b.Flows[part][i] {
				t.Fatalf("cell %d: %v with three workers, %v with one", i, b.Flows[part][i], a.Flows[part][i])
			}
		}
	}
}
