package main

import (
	"slices"
	"strings"
	"testing"

	"fathomlux/render/answer"
	"fathomlux/scene"
	"fathomlux/scene/finding"
	"fathomlux/scene/heat"
	"fathomlux/scene/operating"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
)

func TestAdviceInWords(t *testing.T) {
	sc := &scene.Scene{Tank: scene.Tank{LengthM: 1}}
	full := heat.Advice{
		Rail: "main", LengthM: 1.4341, Factor: 0.618, FluxShare: 0.684, CurrentsA: []float64{0.4326, 0, 0.4326},
		Profiles: []parts.Profile{{Name: "finned", PricePerM: parts.Money{Amount: 46, Currency: "EUR"}}},
	}
	// Rounded to the safe side: a longer rail, less current.
	const want = "rail main: a rail of 1435 mm or more with the modules spread in proportion, longer than the tank; or 432 mA or less, which leaves 68 % of the light; or profile finned (46.00 EUR/m)"
	if got := (situation{scene: sc}).adviceText(full); got != want {
		t.Errorf("%q, want %q", got, want)
	}
	// 1.4341 m are 56.4606 in.
	if got := (situation{scene: sc, units: unit.US}).adviceText(full); !strings.Contains(got, "a rail of 56.47 in or more") {
		t.Errorf("in inches: %q", got)
	}
	full.CurrentsA[0] = 0.2
	if got := (situation{scene: sc}).adviceText(full); !strings.Contains(got, "or 61 % of the current, which leaves") {
		t.Errorf("several currents: %q", got)
	}
	if got := (situation{scene: sc}).adviceText(heat.Advice{Rail: "rail 2"}); !strings.HasPrefix(got, "rail 2: neither ") {
		t.Errorf("nothing serves: %q", got)
	}
}

func TestLifeInWords(t *testing.T) {
	a := heatAnswer{situation: situation{scene: &scene.Scene{Wiring: scene.Wiring{HoursPerDay: 9}}}, lives: []operating.Life{
		{Part: "quad", CaseC: 36, TestC: 55, TestedH: 10000, Years: 18.25, Hours: 60000, Beyond: true},
		{Part: "quad", CaseC: 80, TestC: 80, Hours: 41000},
		{Part: "quad", CaseC: 99, Untested: "case at 99.0 C is not tested"},
	}}
	table := a.lifeTable()
	if want := []string{"part", "hottest case (solder point) °C", "tested at °C", "L70 h", "at 9 h a day years", "remark"}; !slices.Equal(table.Head(answer.Text), want) {
		t.Errorf("%q, want %q", table.Head(answer.Text), want)
	}
	for i, want := range [][]string{
		{"quad", "36", "55", "60000", "18.2", "at least; a test of 10000 h allows no longer projection"},
		{"quad", "80", "80", "41000", "-", ""},
		{"quad", "99", "-", "-", "-", "case at 99.0 C is not tested"},
	} {
		if got := table.Cells(answer.Text)[i]; !slices.Equal(got, want) {
			t.Errorf("%q, want %q", got, want)
		}
	}
	a.scene.Wiring.HoursPerDay = 0
	if head := a.lifeTable().Head(answer.Text); len(head) != 5 {
		t.Errorf("without hours: %q", head)
	}
}

func TestHoodsAreRead(t *testing.T) {
	h, err := parseHood(" 1.2 m x 450 mm x 12 cm")
	if err != nil || h == nil || *h != (scene.Hood{LengthM: 1.2, WidthM: 0.45, HeightM: 0.12, At: finding.Place{File: "--hood"}}) {
		t.Errorf("%+v, %v", h, err)
	}
	if h, err = parseHood("none"); h != nil || err != nil {
		t.Errorf("%+v, %v", h, err)
	}
	for _, text := range []string{"", "1 m", "1 m x 2 m x", "1 m x 2 m x 3", "1 m x 2 m x 30 m", "1 m x 2 m x 1 m x 1 m", "NaN m x 1 m x 1 m"} {
		if _, err := parseHood(text); err == nil {
			t.Errorf("%q is taken", text)
		}
	}
}
