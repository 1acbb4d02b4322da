package main

import (
	"math"
	"strings"
	"testing"

	"fathomlux/scene"
	"fathomlux/scene/curve"
	"fathomlux/scene/operating"
	"fathomlux/scene/parts"
)

// hotModule is a board of 2 x 3 dies on two paths, whose tables hold at 85 C.
func hotModule(t *testing.T, currentA float64) scene.Module {
	t.Helper()
	line := func(x, y []float64) curve.Curve {
		c, err := curve.Linear(x, y)
		if err != nil {
			t.Fatal(err)
		}
		return c
	}
	return scene.Module{CurrentA: currentA, XM: 0.1,
		Part: parts.Module{Name: "hot", DiesAlong: 2, DiesAcross: 3, ParallelPaths: 2, ReferenceC: 85, FluxPerK: -0.002, VoltsPerK: -0.003, LmPerW: 300,
			FluxLm: line([]float64{0.1, 0.5}, []float64{40, 200}), ForwardV: line([]float64{0.1, 0.5}, []float64{2.6, 3})},
		Optic: parts.Optic{Name: "half", BeamRad: math.Pi / 3, BeamAcrossRad: math.Pi / 3, Efficiency: 0.5}}
}

func TestRounding(t *testing.T) {
	if got := degrees(40 * math.Pi / 180); got != 40 {
		t.Errorf("40 deg comes back as %v", got)
	}
	if got := millimetres(46.5 * 0.0254); got != 1181.1 {
		t.Errorf("46.5 in comes back as %v mm", got)
	}
	if got := millimetres(-0.0005); got != -0.5 {
		t.Errorf("-0.5 mm comes back as %v", got)
	}
	for _, v := range []float64{-1e-17, math.Copysign(0, -1), -0.4} {
		if got := number(roundTo(v, 1)); got != "0" {
			t.Errorf("%g is rounded to %s", v, got)
		}
	}
}

// TestCautionsApplyWhereTheyShould turns each reason on and off.
func TestCautionsApplyWhereTheyShould(t *testing.T) {
	acrylic := scene.Wall{Kind: scene.AcrylicWall}
	dry := func() *scene.Scene { // a scene with no reason but mains
		return &scene.Scene{
			Tank:  scene.Tank{Walls: scene.Walls{Front: acrylic, Back: acrylic, Left: acrylic, Right: acrylic}},
			Rails: []scene.Rail{{Modules: []scene.Module{hotModule(t, 0.7)}}},
		}
	}
	for _, c := range []struct {
		name   string
		change func(*scene.Scene)
		want   []string // a word from each line, in order
	}{
		{"mains alone", func(*scene.Scene) {}, []string{"SELV", "mains", "above the tank"}},
		{"no modules", func(s *scene.Scene) { s.Rails[0].Modules = nil }, nil},
		{"25 deg is narrow", func(s *scene.Scene) { s.Rails[0].Modules[0].Optic.BeamAcrossRad = 25 * math.Pi / 180 }, []string{"SELV", "narrow", "mains", "above the tank"}},
		{"26 deg is not", func(s *scene.Scene) { s.Rails[0].Modules[0].Optic.BeamAcrossRad = 26 * math.Pi / 180 }, []string{"SELV", "mains", "above the tank"}},
		{"one pane of glass", func(s *scene.Scene) { s.Tank.Walls.Back.Kind = scene.GlassWall }, []string{"SELV", "mains", "above glass"}},
		{"a glass cover", func(s *scene.Scene) { s.Tank.Cover = &scene.Cover{Material: scene.LowIronGlass} }, []string{"SELV", "mains", "above glass"}},
		{"an acrylic cover", func(s *scene.Scene) { s.Tank.Cover = &scene.Cover{Material: scene.Acrylic} }, []string{"SELV", "mains", "above the tank"}},
		{"a driver of 30 V", func(s *scene.Scene) { s.Wiring.Driver.HighestV = 30 }, []string{"SELV", "mains", "above the tank"}},
		{"a driver of 48 V", func(s *scene.Scene) { s.Wiring.Driver.HighestV = 48 }, []string{"48 V", "SELV", "mains", "above the tank"}},
		{"a short string on it", func(s *scene.Scene) { s.Wiring.Driver.HighestV, s.Wiring.Strings = 48, 1 }, []string{"48 V", "SELV", "mains", "above the tank"}},
		{"blue light", func(s *scene.Scene) { s.Catalogue, s.Rails[0].Modules[0].Part.Spectrum = parts.Builtin(), "royal-blue" }, []string{"SELV", "blue", "mains", "above the tank"}},
		{"violet light", func(s *scene.Scene) { s.Catalogue, s.Rails[0].Modules[0].Part.Spectrum = parts.Builtin(), "violet" }, []string{"SELV", "blue", "mains", "above the tank"}},
		{"white light", func(s *scene.Scene) { s.Catalogue, s.Rails[0].Modules[0].Part.Spectrum = parts.Builtin(), "white-8000" }, []string{"SELV", "mains", "above the tank"}},
	} {
		sc := dry()
		c.change(sc)
		got := situation{scene: sc, op: &operating.Point{}}.at("check")
		if len(got) != len(c.want) {
			t.Errorf("%s: %q, want lines with %q", c.name, got, c.want)
			continue
		}
		for i, word := range c.want {
			if !strings.Contains(got[i], word) {
				t.Errorf("%s: line %d is %q, want %q in it", c.name, i+1, got[i], word)
			}
		}
	}
}
