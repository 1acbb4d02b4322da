package operating_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"fathomlux/scene"
	"fathomlux/scene/edit"
	"fathomlux/scene/heat"
	"fathomlux/scene/operating"
	"fathomlux/scene/parts"
	"fathomlux/scene/scenetest"
)

func TestCoolerAdviceHoldsInTheScene(t *testing.T) {
	s := scenetest.Parse(t, scenetest.Edit(t, twoRails(t), "current: 350 mA", "current: 900 mA"))
	list := operating.Advise(s, operate(t, s), 60)
	if len(list) != 1 || list[0].Rail != "main" || list[0].Factor == 0 {
		t.Fatalf("advice %+v", list)
	}
	current, err := edit.VariableNamed("current")
	if err != nil {
		t.Fatal(err)
	}
	dim, err := edit.With(s, edit.Change{Rail: "main", Variable: current, Value: list[0].CurrentsA[0]})
	if err != nil {
		t.Fatal(err)
	}
	if m := operate(t, dim).Rails[0].SmallestMarginK; math.Abs(m-60) > 0.05 { // a ten-thousandth of the current
		t.Errorf("with the advised current the margin is %g K, not 60", m)
	}
	if list = operating.Advise(s, operate(t, s), 5); len(list) != 0 {
		t.Errorf("a scene that keeps the margin gets advice: %+v", list)
	}
}

func TestCoolerHelpsWhereThereIsNoBalance(t *testing.T) {
	s := scenetest.Parse(t, scenetest.Edit(t, scenetest.Sound, "current: 350 mA", "current: 1 A", "count: 6, spacing: 180 mm", "count: 36, spacing: 30 mm", "bar-40x20", "u-30x15"))
	if _, err := operating.Of(s); !errors.Is(err, heat.ErrTooHot) {
		t.Fatalf("balanced: %v", err)
	}
	if list := operating.Advise(s, nil, 10); len(list) != 1 || list[0].FluxShare != 0 || list[0].Factor == 0 {
		t.Errorf("advice %+v", list)
	}
	s.Ambient.Hood = &scene.Hood{LengthM: 1.2, WidthM: 0.3, HeightM: 0.1}
	if list := operating.Advise(s, nil, 10); len(list) != 1 || list[0].FluxShare != 0 {
		t.Errorf("under a hood: %+v", list)
	}
}

func TestLives(t *testing.T) {
	s := scenetest.Parse(t, scenetest.Sound)
	o := operate(t, s)
	lives := operating.Lives(s, o, 0.7, 20)
	if len(lives) != 1 {
		t.Fatalf("%d lives", len(lives))
	}
	// Boards below 55 C take the part's row of 55 C, whose test of 9000 h ends first: 6 times that, at 9 h a day.
	l := lives[0]
	if l.Part != "quad-neutral" || l.TestC != 55 || l.Hours != 54000 || !l.Beyond || math.Abs(l.Years-54000/(9*365.25)) > 1e-9 || l.Untested != "" {
		t.Errorf("%+v", l)
	}
	for _, m := range o.Rails[0].Modules {
		if m.CaseC > l.CaseC {
			t.Errorf("a case of %g C is hotter than the hottest of %g C", m.CaseC, l.CaseC)
		}
	}
	if lives = operating.Lives(s, o, 0.7, 10); lives[0].Hours != 49500 {
		t.Errorf("ten samples: %+v", lives)
	}
	hot := scenetest.Parse(t, scenetest.Edit(t, scenetest.Sound, "current: 350 mA", "current: 1 A", "air: 24 C", "air: 55 C", "bar-40x20", "u-30x15"))
	if lives = operating.Lives(hot, operate(t, hot), 0.7, 20); !strings.Contains(lives[0].Untested, "the highest is at 85 °C") || lives[0].Hours != 0 {
		t.Errorf("hotter than tested: %+v", lives)
	}
	// A board below the last tested temperature, with LED cases 3 K/W above it that are beyond: nothing is known.
	warm := scenetest.Parse(t, scenetest.Edit(t, scenetest.Sound, "current: 350 mA", "current: 700 mA", "air: 24 C", "air: 50 C"))
	o = operate(t, warm)
	m := o.Rails[0].Modules[o.Hottest.Module]
	if want := m.BoardC + 0.5*warm.Rails[0].Modules[0].Part.ResistanceKPerW*(m.HeatW-m.OpticW); math.Abs(m.CaseC-want) > 1e-9 {
		t.Errorf("case %g °C, want %g", m.CaseC, want)
	}
	for i := range warm.Rails[0].Modules {
		warm.Rails[0].Modules[i].Part.Maintenance = []parts.Maintenance{{CaseC: (m.BoardC + m.CaseC) / 2, AlphaPerHour: 1e-6, B: 1, TestedHours: 9000}}
	}
	if lives = operating.Lives(warm, o, 0.7, 20); lives[0].Untested == "" || math.Abs(lives[0].CaseC-m.CaseC) > 0.01 {
		t.Errorf("LED cases beyond the test: %+v", lives)
	}
	plain := scenetest.Parse(t, scenetest.Edit(t, scenetest.Sound, "quad-neutral", "single-neutral"))
	if lives = operating.Lives(plain, operate(t, plain), 0.7, 20); len(lives) != 0 {
		t.Errorf("a part without tests: %+v", lives)
	}
}

// TestWaterHeat by hand: 1.18 * 0.43 * 0.42 m are 0.213108 m3, which take 888.660 kJ a kelvin when fresh and 2.1 % less at 35 g/kg;
// each watt of light for 9 h is 32.4 kJ, so 0.0364594 K a watt and day, and 0.0372415 K in the sea.
func TestWaterHeat(t *testing.T) {
	for salt, want := range map[string]float64{"0 g/kg": 0.0364594, "35 g/kg": 0.0372415} {
		s := scenetest.Parse(t, scenetest.Edit(t, scenetest.Sound, "salinity: 0 g/kg", "salinity: "+salt))
		o := operate(t, s)
		w, k := operating.WaterHeat(s, o)
		if w != o.LightW || w == 0 || math.Abs(k/w-want) > 1e-6 {
			t.Errorf("%s: %g W and %g K a day, which is %g K a watt; want %g", salt, w, k, k/w, want)
		}
	}
}
