package direct

import (
	"context"
	"math"
	"testing"

	"fathomlux/optics/beam"
	"fathomlux/optics/model"
	"fathomlux/optics/result"
	"fathomlux/optics/walls"
	"fathomlux/optics/water"
	"fathomlux/scene/curve"
	"fathomlux/scene/longtest"
	"fathomlux/scene/photometry"
	"fathomlux/scene/space"
)

const deg = math.Pi / 180

// tester is what tests, examples of rapid and benchmarks have in common.
type tester interface {
	Helper()
	Fatal(args ...any)
	Fatalf(format string, args ...any)
}

func levelSpectrum(t tester) photometry.Spectrum {
	t.Helper()
	c, err := curve.Linear([]float64{380, 780}, []float64{1, 1})
	if err != nil {
		t.Fatal(err)
	}
	s, err := photometry.NewSpectrum(c)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// setup is a tank with its light that tests can change.
type setup struct {
	model.Tank
	model.Model
}

// build returns the model as engines take it.
func (s *setup) build() *model.Model {
	m := s.Model
	m.Faces = s.Tank.Faces(m.DepthM)
	return &m
}

func shape(t tester, s beam.Shape) *beam.Beam {
	t.Helper()
	b, err := beam.New(s)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// black walls mirror nothing.
var black = [4]walls.Wall{{Kind: walls.Diffuse}, {Kind: walls.Diffuse}, {Kind: walls.Diffuse}, {Kind: walls.Diffuse}}

// mirrors return the same share everywhere.
func mirrors(share float64) [4]walls.Wall {
	w := walls.Wall{Kind: walls.Mirror, Reflectance: share}
	return [4]walls.Wall{w, w, w, w}
}

var glass = [4]walls.Wall{{Kind: walls.Glass, Index: 1.52}, {Kind: walls.Glass, Index: 1.52}, {Kind: walls.Glass, Index: 1.52}, {Kind: walls.Glass, Index: 1.52}}

// clearWater loses next to nothing: half depth 1e9 m.
func clearWater() water.Body { return water.Measured(1e9, 25, 0) }

// tank is a model without sources: 1.2 m x 0.4 m, 0.42 m of loss-free water, rim 0.06 m above it, black walls.
func tank(t tester) *setup {
	return &setup{Tank: model.Tank{LengthM: 1.2, WidthM: 0.4, RimM: 0.06, Walls: black},
		Model: model.Model{DepthM: 0.42, Water: clearWater(), Spectra: []photometry.Spectrum{levelSpectrum(t)}, Beams: []*beam.Beam{shape(t, beam.Shape{BeamRad: 40 * deg})}}}
}

// hang adds a source of 100 lm that looks straight down from heightM above the water.
func hang(s *setup, x, y, heightM float64) *model.Source {
	s.Sources = append(s.Sources, model.Source{Module: len(s.Sources), Frame: space.Down, EmittedLm: 100, LeavingLm: 100,
		Position: space.Point{X: x, Y: y, Z: s.DepthM + heightM}})
	return &s.Sources[len(s.Sources)-1]
}

func engine(t tester, s *setup) *Engine {
	t.Helper()
	e, err := New(context.Background(), s.build(), Options{Workers: 2, Attenuation: water.Direct})
	if err != nil {
		t.Fatal(err)
	}
	return e
}

func plane(t tester, e *Engine, depthM float64, g result.Grid) result.Field {
	t.Helper()
	l, err := e.Plane(context.Background(), depthM, g, false)
	if err != nil {
		t.Fatal(err)
	}
	return l.Whole
}

// luxAt returns the illuminance at one point of a plane: a plan of one cell cannot do that, so a row is summed.
func luxAt(t tester, e *Engine, x, y, depthM float64) float64 {
	t.Helper()
	return e.prepare(depthM).line(cellRow{y: y, stepM: 2 * x, n: 1, points: true}).lux[0] // the centre of the first cell is x
}

// flux integrates a field over its plan.
func flux(f result.Field) float64 {
	var sum float64
	for _, v := range f.Illuminance {
		sum += v
	}
	return sum * f.Grid.StepXM * f.Grid.StepYM
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	longtest.Held(t, what, got, want, tolerance)
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.9g, want %.9g within %.3g", what, got, want, tolerance)
	}
}

// fieldOf is the light of some sources together.
func fieldOf(b *Bench, sources []model.Source, o Orders, workers int) result.Field {
	fields, _ := b.Fields(context.Background(), []Lit{{sources, o}}, workers)
	return fields[0]
}
