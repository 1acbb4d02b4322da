package trace

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
	"fathomlux/scene/form"
	"fathomlux/scene/longtest"
	"fathomlux/scene/photometry"
	"fathomlux/scene/space"
)

const deg = math.Pi / 180

// tester is what tests, rapid checks and benchmarks have in common.
type tester interface {
	Helper()
	Fatal(args ...any)
	Fatalf(format string, args ...any)
}

// whiteSpectrum is a blue peak and a broad yellow one, as a white die has them.
func whiteSpectrum(t tester) photometry.Spectrum {
	t.Helper()
	var nm, power []float64
	for l := 380.0; l <= 780; l += 5 {
		nm = append(nm, l)
		power = append(power, 0.8*math.Exp(-math.Pow((l-450)/12, 2))+math.Exp(-math.Pow((l-570)/70, 2)))
	}
	c, err := curve.Linear(nm, power)
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
	outline form.Outline // of walls by model.Side, in place of the rectangle
}

// build returns the model as engines take it.
func (s *setup) build() *model.Model {
	m := s.Model
	if m.Faces = s.Tank.Faces(m.DepthM); !s.outline.Empty() {
		m.Faces = model.Upright(s.outline, m.DepthM+s.RimM, s.FloorReflectance,
			func(edge int) walls.Wall { return s.Walls[edge] })
	}
	return &m
}

// outlined is the rectangle of a tank as an outline, for which there is no quick way.
func outlined(t model.Tank) form.Outline {
	return form.Outline{Corners: []form.Corner{{}, {XM: t.LengthM}, {XM: t.LengthM, YM: t.WidthM}, {YM: t.WidthM}},
		Edges: []int{int(model.Front), int(model.Right), int(model.Back), int(model.Left)}}
}

func shape(t tester, s beam.Shape) *beam.Beam {
	t.Helper()
	b, err := beam.New(s)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

var glass = walls.Wall{Kind: walls.Glass, Index: 1.52}

func diffuse(share float64) walls.Wall { return walls.Wall{Kind: walls.Diffuse, Reflectance: share} }
func mirror(share float64) walls.Wall  { return walls.Wall{Kind: walls.Mirror, Reflectance: share} }

// clearWater is filtered fresh water without a visible tint.
func clearWater() water.Body {
	return water.New(water.Constituents{CDOM440PerM: 0.1, CDOMSlopePerNm: 0.017, ParticleAbsorbPerM: 0.005,
		ParticleScatterPerM: 0.1, ParticleExponent: 0.5, Asymmetry: 0.924}, 25, 0)
}

// foyer is a planted tank of 1180 mm x 430 mm with three glass walls and a dark back, wet sand, a cover, a brace, and one bar
// of six boards with four dies each.
func foyer(t tester) *setup {
	s := &setup{Tank: model.Tank{LengthM: 1.18, WidthM: 0.43, RimM: 0.06, FloorReflectance: 0.25, Walls: [4]walls.Wall{glass, glass, glass, diffuse(0.08)}},
		Model: model.Model{DepthM: 0.42, Water: clearWater(), Cover: &model.Cover{UndersideM: 0.03, ThicknessM: 0.004, Index: 1.52, AbsorbPerM: func(nm float64) float64 { return 4 + (nm-500)/50 }}, Boxes: []space.Box{{Min: space.Point{X: 0.56, Z: 0.47}, Max: space.Point{X: 0.62, Y: 0.43, Z: 0.48}}}, Spectra: []photometry.Spectrum{whiteSpectrum(t)}, Beams: []*beam.Beam{shape(t, beam.Shape{BeamRad: 40 * deg, StrayShare: 0.03})}}}
	for i := range 6 {
		x := 0.59 + 0.18*(float64(i)-2.5)
		for _, d := range [4][2]float64{{-1, -1}, {1, -1}, {-1, 1}, {1, 1}} {
			hang(s, i, space.Point{X: x + 0.003*d[0], Y: 0.215 + 0.003*d[1], Z: s.DepthM + 0.16})
		}
	}
	return s
}

// hang adds a source of 100 lm that looks straight down.
func hang(s *setup, module int, at space.Point) *model.Source {
	s.Sources = append(s.Sources, model.Source{Module: module, Frame: space.Down, EmittedLm: 110, LeavingLm: 100, Position: at})
	return &s.Sources[len(s.Sources)-1]
}

func traced(t tester, s *setup, o Options) *Answer {
	t.Helper()
	o.Workers = 2
	a, err := Run(context.Background(), s.build(), o)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func mean(values []float64) float64 {
	sum := 0.0
	for _, v := range values {
		sum += v
	}
	return sum / float64(len(values))
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	longtest.Held(t, what, got, want, tolerance)
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.9g, want %.9g within %.3g", what, got, want, tolerance)
	}
}

func threePlanes(s *setup, stepM float64) []Plane {
	g := result.NewGrid(s.LengthM, s.WidthM, stepM)
	return []Plane{{DepthM: 0, Grid: g}, {DepthM: s.DepthM / 2, Grid: g}, {DepthM: s.DepthM, Grid: g}}
}

func mustWorld(t tester, s *setup, planes []Plane) *world {
	t.Helper()
	return newWorld(s.build(), planes)
}
