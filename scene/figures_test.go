package scene_test

import (
	"math"
	"testing"

	"fathomlux/scene"
	"fathomlux/scene/curve"
	"fathomlux/scene/parts"
)

// exact is for sums of a few products of short decimals: only rounding is left.
const exact = 1e-9

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

// alone is a scene of one module.
func alone(m scene.Module) *scene.Scene {
	return &scene.Scene{Rails: []scene.Rail{{Modules: []scene.Module{m}}}}
}

func TestFiguresAreCold(t *testing.T) {
	f := alone(hotModule(t, 0.7)).AtSwitchOn()
	// By hand: 0.35 A a path; flux 140 lm a die at 85 C, 60 K colder is 12 % more; three dies in series at
	// 2.85 V + 60 K * 3 mV/K each.
	want := scene.Figures{DiesLm: 6 * 140 * 1.12, OpticsLm: 3 * 140 * 1.12, SeriesV: 3 * 3.03, PowerW: 3 * 3.03 * 0.7}
	for _, c := range []struct {
		name      string
		got, want float64
	}{{"dies lm", f.DiesLm, want.DiesLm}, {"optics lm", f.OpticsLm, want.OpticsLm}, {"V", f.SeriesV, want.SeriesV}, {"W", f.PowerW, want.PowerW}} {
		if math.Abs(c.got-c.want) > exact {
			t.Errorf("%s: %g, want %g", c.name, c.got, c.want)
		}
	}
}

func TestTotals(t *testing.T) {
	m := hotModule(t, 0.7)
	dead := m
	dead.Dead = true
	sc := &scene.Scene{Rails: []scene.Rail{{Modules: []scene.Module{m, dead}}, {Modules: []scene.Module{m, m}}}}
	one, all := alone(m).AtSwitchOn(), sc.AtSwitchOn()
	if math.Abs(all.PowerW-3*one.PowerW) > exact || math.Abs(all.DiesLm-3*one.DiesLm) > exact || math.Abs(all.OpticsLm-3*one.OpticsLm) > exact {
		t.Errorf("three modules and a dead one give %+v, one gives %+v", all, one)
	}
	if math.Abs(all.SeriesV-4*one.SeriesV) > exact {
		t.Errorf("four modules take %g V, one %g V", all.SeriesV, one.SeriesV)
	}
}
