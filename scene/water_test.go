package scene_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"fathomlux/scene"
	"fathomlux/scene/finding"
	"fathomlux/scene/scenetest"
)

func TestFluxFactorAndExtraAbsorption(t *testing.T) {
	plain := scenetest.Parse(t, scenetest.Sound)
	s := scenetest.Parse(t, scenetest.Edit(t, scenetest.Sound, "kind: clear", "kind: clear, extra_absorption: 0.2 1/m")+"flux_factor: 93 %\n")
	if plain.FluxFactor != 1 || s.FluxFactor != 0.93 || s.Tank.Water.ExtraAbsorbPerM != 0.2 {
		t.Errorf("factors %g and %g, extra absorption %g", plain.FluxFactor, s.FluxFactor, s.Tank.Water.ExtraAbsorbPerM)
	}
	if got, want := s.Rails[0].Modules[3].FluxLm(), 0.93*plain.Rails[0].Modules[3].FluxLm(); math.Abs(got-want) > 1e-9 {
		t.Errorf("%g lm, want %g", got, want)
	}
	if moved := s.Copy(); moved.Rails[0].Modules[0].FluxLm() != s.Rails[0].Modules[0].FluxLm() {
		t.Error("a copy has lost its factor")
	}
}

func TestClearestWater(t *testing.T) {
	s := scenetest.Parse(t, scenetest.Edit(t, scenetest.Sound, "kind: clear", "kind: pure, particle_absorption: 0.05 1/m, cdom_absorption_440: 0.2 1/m, cdom_spectral_slope: 0.01 1/nm"))
	// At 780 nm, 340 nm beyond the colour's reference, 3.34 % of it is left.
	if got, want := s.Tank.Water.LowestExtraPerM(), -0.05-0.2*math.Exp(-3.4); math.Abs(got-want) > 1e-12 {
		t.Errorf("%g 1/m, want %g", got, want)
	}
	// At 550 nm, 110 nm beyond it, a third.
	if got, want := s.Tank.Water.AbovePurePerM(), 0.05+0.2*math.Exp(-1.1); math.Abs(got-want) > 1e-12 {
		t.Errorf("at 550 nm %g 1/m above pure water, want %g", got, want)
	}
	if got, want := scenetest.Parse(t, scenetest.Edit(t, scenetest.Sound, "kind: clear", "half_depth: 1 m, extra_absorption: 0.1 1/m")).Tank.Water.AbovePurePerM(), 0.1+math.Ln2-0.0565; math.Abs(got-want) > 1e-12 {
		t.Errorf("half depth 1 m: at 550 nm %g 1/m above pure water, want %g", got, want)
	}
	if got := scenetest.Parse(t, scenetest.Edit(t, scenetest.Sound, "kind: clear", "half_depth: 1 m")).Tank.Water.LowestExtraPerM(); math.Abs(got-(0.0565-math.Ln2)) > 1e-12 {
		t.Errorf("half depth 1 m: %g 1/m", got)
	}
	if got := scenetest.Parse(t, scenetest.Edit(t, scenetest.Sound, "kind: clear", "kind: pure")).Tank.Water.LowestExtraPerM(); got != 0 {
		t.Errorf("pure water: %g 1/m", got)
	}
}

func TestTolerance(t *testing.T) {
	if got := scenetest.Parse(t, scenetest.Sound).Tolerance; got != scene.UsualTolerance() || got.Given {
		t.Errorf("%+v", got)
	}
	got := scenetest.Parse(t, scenetest.Sound+"tolerance: {flux: 8 %, beam: 0.1, position: 2 mm, absorption: 0.1 1/m}\n").Tolerance
	if want := (scene.Tolerance{FluxShare: 0.08, BeamShare: 0.1, FieldShare: 0.2, PositionM: 0.002, HeightM: 0.002, AbsorptionPerM: 0.1, Given: true}); got != want {
		t.Errorf("%+v, want %+v", got, want)
	}
}

// TestOldNamesInAScene: they are read, in the scene and in its own parts, and a warning gives the new name.
func TestOldNamesInAScene(t *testing.T) {
	t.Parallel()
	sc := scenetest.Parse(t, scenetest.Sound+"tolerance: {clarity: 0.1 1/m}\nparts: {modules: {mine: {based_on: quad-neutral, holds_at: 30 C}}}\n")
	if sc.Tolerance.AbsorptionPerM != 0.1 || sc.Catalogue.Modules["mine"].ReferenceC != 30 {
		t.Errorf("%+v, %g C", sc.Tolerance, sc.Catalogue.Modules["mine"].ReferenceC)
	}
	for _, want := range []string{"tolerance.clarity: clarity is called absorption now",
		"parts.modules.mine.holds_at: holds_at is called test_temperature now"} {
		if !slices.ContainsFunc(sc.Warnings, func(f finding.Finding) bool { return strings.Contains(f.String(), want) }) {
			t.Errorf("no warning says %q: %v", want, sc.Warnings)
		}
	}
}
