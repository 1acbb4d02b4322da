package heat

import (
	"strings"
	"testing"

	"fathomlux/scene/parts"
)

// crowded is a rail that is warmer than asked for.
func crowded() Input { return foyer(14, 0.7) }

func allProfiles() map[string]parts.Profile { return parts.Builtin().Profiles }

func advised(in Input, marginK float64) *Advice { return Advise(in, marginK, allProfiles()) }

func TestAdviceHoldsWhenItIsFollowed(t *testing.T) {
	in, now := crowded(), balanced(t, crowded())
	marginK := now.SmallestMarginK + 12
	a := advised(in, marginK)
	if a == nil || a.LengthM == 0 || a.Factor == 0 {
		t.Fatalf("%+v", a)
	}
	long := balanced(t, in.stretched(a.LengthM))
	near(t, "longer rail", long.SmallestMarginK, marginK, 0.02) // a ten-thousandth of the length
	if short := balanced(t, in.stretched(a.LengthM*0.99)); short.SmallestMarginK >= marginK {
		t.Error("a shorter rail would have done")
	}
	dim := in
	dim.Modules = append([]parts.Mounted(nil), in.Modules...)
	for i := range dim.Modules {
		dim.Modules[i].CurrentA = a.CurrentsA[i]
	}
	r := balanced(t, dim)
	near(t, "lower current", r.SmallestMarginK, marginK, 0.02)
	near(t, "light that is left", r.FluxLm/now.FluxLm, a.FluxShare, 1e-9)
	near(t, "currents", a.CurrentsA[3], 0.7*a.Factor, 1e-12)
	if a.FluxShare <= a.Factor { // dies are better at less current and cooler
		t.Errorf("%g of the light at %g of the current", a.FluxShare, a.Factor)
	}
}

func TestAdviceOnProfiles(t *testing.T) {
	in := crowded()
	marginK := balanced(t, in).SmallestMarginK + 5
	listed := map[string]bool{}
	for _, p := range advised(in, marginK).Profiles {
		listed[p.Name] = true
	}
	for _, p := range allProfiles() {
		changed := in
		changed.Profile = p
		serves := balanced(t, changed).SmallestMarginK >= marginK && p.Name != in.Profile.Name && p.WidthM >= 0.03 // boards of 30 mm
		if listed[p.Name] != serves {
			t.Errorf("%s is listed: %v", p.Name, listed[p.Name])
		}
	}
	if len(listed) == 0 {
		t.Error("no profile serves")
	}
}

func TestAdviceOrder(t *testing.T) {
	in := crowded()
	some := map[string]parts.Profile{}
	add := func(name, currency string, amount, share float64) {
		p := in.Profile
		p.Name, p.PricePerM, p.PerimeterM = name, parts.Money{Amount: amount, Currency: currency}, p.PerimeterM*share
		some[name] = p
	}
	add("b", "", 0, 2)
	add("unpriced", "", 0, 3)
	add("a", "", 0, 2)
	add("dear", "EUR", 9, 5)
	add("cheap", "EUR", 5, 2)
	add("warm", "EUR", 1, 0.5)
	list := in.cooler(balanced(t, in).SmallestMarginK+1, some)
	var names []string
	for _, p := range list {
		names = append(names, p.Name)
	}
	if got := strings.Join(names, " "); got != "cheap dear unpriced a b" {
		t.Error(got)
	}
}

func TestAdviceWhereAllIsWell(t *testing.T) {
	if a := advised(foyer(6, 0.35), 20); a != nil {
		t.Errorf("%+v", a)
	}
	if a := advised(foyer(0, 0), 500); a != nil {
		t.Error("no modules, nothing unmet")
	}
}

func TestAdviceWhereNothingHelps(t *testing.T) { // 5 K above the air with the junction 15 K above the rail
	a := advised(foyer(6, 0.35), 120)
	if a.LengthM != 0 || a.Factor != 0 || a.CurrentsA != nil || a.FluxShare != 0 || a.Profiles != nil {
		t.Errorf("%+v", a)
	}
}

func TestAdviceForARailWithoutBalance(t *testing.T) {
	in := foyer(40, 0.9)
	a := advised(in, 0)
	if a == nil || a.FluxShare != 0 {
		t.Fatalf("%+v", a)
	}
	if a.Factor == 0 || balanced(t, in.dimmed(a.Factor)).SmallestMarginK < 0 {
		t.Errorf("less current must help: %+v", a)
	}
	if a.LengthM == 0 || balanced(t, in.stretched(a.LengthM)).SmallestMarginK < 0 {
		t.Errorf("four times the bar must help: %+v", a)
	}
}
