package operating_test

import (
	"math"
	"testing"

	"fathomlux/scene"
	"fathomlux/scene/edit"
	"fathomlux/scene/operating"
	"fathomlux/scene/scenetest"
)

// atWork returns the scene at its operating point.
func atWork(s *scene.Scene) (*scene.Scene, error) {
	o, err := operating.Of(s)
	if err != nil {
		return nil, err
	}
	return s.Operating(o.Draws()), nil
}

// exact is for sums of a few products of short decimals: only rounding is left.
const exact = 1e-9

func TestFluxAtOperatingTemperatureIsLess(t *testing.T) {
	cold := scenetest.Parse(t, twoRails(t))
	warm, err := atWork(cold)
	if err != nil {
		t.Fatal(err)
	}
	o := operate(t, cold)
	var lm float64
	for ri, r := range warm.Rails {
		for mi, m := range r.Modules {
			was, state := cold.Rails[ri].Modules[mi], o.Rails[ri].Modules[mi]
			if m.FluxLm() >= was.FluxLm() || m.PowerW() >= was.PowerW() || was.Draw != nil {
				t.Errorf("rail %d, module %d: %g lm and %g W warm, %g lm and %g W cold", ri, mi, m.FluxLm(), m.PowerW(), was.FluxLm(), was.PowerW())
			}
			if math.Abs(m.PowerW()-state.ElectricalW) > exact || m.Draw.VoltageV != state.VoltageV {
				t.Errorf("rail %d, module %d: %g W, the balance has %g", ri, mi, m.PowerW(), state.ElectricalW)
			}
			lm += m.FluxLm()
		}
	}
	if math.Abs(lm-o.FluxLm) > exact*lm || math.Abs(warm.PowerW()-o.ElectricalW) > exact*o.ElectricalW {
		t.Errorf("%g lm and %g W, the balance has %g and %g", lm, warm.PowerW(), o.FluxLm, o.ElectricalW)
	}
}

func TestFluxOfAMeteredScene(t *testing.T) {
	s := scenetest.Parse(t, scenetest.Sound+"flux_factor: 0.8\n")
	o, plain := operate(t, s), operate(t, scenetest.Parse(t, scenetest.Sound))
	warm, err := atWork(s)
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(o.FluxLm-0.8*plain.FluxLm) > exact*o.FluxLm || math.Abs(o.RelativeFlux()-plain.RelativeFlux()) > exact || o.HeatW != plain.HeatW {
		t.Errorf("%g lm of %g, %g W", o.FluxLm, plain.FluxLm, o.HeatW)
	}
	if lm := warm.Rails[0].Modules[0].FluxLm(); math.Abs(6*lm/o.FluxLm-1) > 0.002 { // modules in the middle are a little warmer
		t.Errorf("six modules of %g lm, %g in all", lm, o.FluxLm)
	}
	if f, p := s.AtSwitchOn(), scenetest.Parse(t, scenetest.Sound).AtSwitchOn(); math.Abs(f.OpticsLm-0.8*p.OpticsLm) > exact*p.OpticsLm || f.PowerW != p.PowerW {
		t.Errorf("at switch-on %+v, by the tables %+v", f, p)
	}
}

func TestCopiesAreAtTestTemperature(t *testing.T) {
	cold := scenetest.Parse(t, scenetest.Sound)
	warm, err := atWork(cold)
	if err != nil {
		t.Fatal(err)
	}
	with := warm.Copy()
	without, err := edit.Without(warm, "main:1")
	if err != nil {
		t.Fatal(err)
	}
	if with.PowerW() != cold.PowerW() || without.Rails[0].Modules[1].FluxLm() != cold.Rails[0].Modules[1].FluxLm() {
		t.Error("a changed copy keeps what was balanced for another scene")
	}
	again, err := atWork(warm)
	if err != nil || again.PowerW() != warm.PowerW() {
		t.Errorf("warmed twice: %g W and %g W (%v)", warm.PowerW(), again.PowerW(), err)
	}
	again, err = atWork(without)
	if err != nil || again.Rails[0].Modules[0].FluxLm() != 0 || again.Rails[0].Modules[0].PowerW() != 0 {
		t.Errorf("a dead module gives %g lm (%v)", again.Rails[0].Modules[0].FluxLm(), err)
	}
}

// TestHeatKeyTellsBalancesApart: what changes the heat changes the key, what does not leaves it.
func TestHeatKeyTellsBalancesApart(t *testing.T) {
	s := scenetest.Parse(t, twoRails(t))
	for name, differs := range map[string]bool{"height": false, "tilt": false, "y": false, "depth": false, "beam": false, "spacing": true, "count": true, "current": true} {
		v, err := edit.VariableNamed(name)
		if err != nil {
			t.Fatal(err)
		}
		value := map[string]float64{"height": 0.2, "tilt": 0.1, "y": 0.2, "depth": 0.4, "beam": 1, "spacing": 0.1, "count": 5, "current": 0.4}[name]
		c, err := edit.With(s, edit.Change{Variable: v, Value: value})
		if err != nil {
			t.Fatal(err)
		}
		if (operating.Key(c) != operating.Key(s)) != differs {
			t.Errorf("%s: key changed is %v", name, !differs)
		}
		if !differs && operate(t, c).HottestJunctionC() != operate(t, s).HottestJunctionC() {
			t.Errorf("%s changes the heat but not the key", name)
		}
	}
	dead, err := edit.Without(s, "main:3")
	if err != nil || operating.Key(dead) == operating.Key(s) {
		t.Errorf("a dead module leaves the key (%v)", err)
	}
	moved := s.Copy()
	for i := range moved.Rails[0].Modules {
		moved.Rails[0].Modules[i].XM += 0.01
	}
	if operating.Key(moved) == operating.Key(s) {
		t.Error("modules moved along the rail leave the key")
	}
}
