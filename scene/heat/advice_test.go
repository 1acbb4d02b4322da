package heat

import (
	"math"
	"strings"
	"testing"

	"fathomlux/scene/parts"
)

// crowded is a rail that is warmer than wished.
func crowded() Input { return foyer(14, 0.7) }

func allProfiles() []parts.Profile {
	lib := parts.Builtin()
	var list []parts.Profile
	for _, name := range parts.Names(lib.Profiles) {
		list = append(list, lib.Profiles[name])
	}
	return list
}

func advised(t *testing.T, in Input, w Request) Advice {
	t.Helper()
	a, err := Advise(in, w)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func TestAdviceHoldsWhenItIsFollowed(t *testing.T) {
	in, now := crowded(), balanced(t, crowded())
	wish := Request{MarginK: now.SmallestMarginK + 12, Profiles: allProfiles()}
	a := advised(t, in, wish)
	if a.Met || a.Now.TooHot || a.Now.MarginK != now.SmallestMarginK || !a.Length.Reached || !a.Current.Reached {
		t.Fatalf("%+v", a)
	}
	long := balanced(t, in.stretched(a.Length.LengthM))
	near(t, "longer rail", long.SmallestMarginK, wish.MarginK, 0.02) // a ten-thousandth of the length
	near(t, "as told", long.SmallestMarginK, a.Length.MarginK, 1e-9)
	if short := balanced(t, in.stretched(a.Length.LengthM*0.99)); short.SmallestMarginK >= wish.MarginK {
		t.Error("a shorter rail would have done")
	}
	dim := in
	dim.Modules = append([]parts.Mounted(nil), in.Modules...)
	for i := range dim.Modules {
		dim.Modules[i].CurrentA = a.Current.CurrentsA[i]
	}
	r := balanced(t, dim)
	near(t, "lower current", r.SmallestMarginK, wish.MarginK, 0.02)
	near(t, "light that is left", r.FluxLm/now.FluxLm, a.Current.FluxShare, 1e-9)
	near(t, "currents", a.Current.CurrentsA[3], 0.7*a.Current.Factor, 1e-12)
	if a.Current.FluxShare <= a.Current.Factor { // dies are better at less current and cooler
		t.Errorf("%g of the light at %g of the current", a.Current.FluxShare, a.Current.Factor)
	}
}

func TestAdviceOnProfiles(t *testing.T) {
	in := crowded()
	now := balanced(t, in)
	a := advised(t, in, Request{MarginK: now.SmallestMarginK + 5, Profiles: allProfiles()})
	var names []string
	for i, p := range a.Profiles {
		names = append(names, p.Profile.Name)
		changed := in
		changed.Profile = p.Profile
		near(t, p.Profile.Name, balanced(t, changed).SmallestMarginK, p.MarginK, 1e-9)
		if p.Reached != (p.MarginK >= now.SmallestMarginK+5) {
			t.Errorf("%s: %+v", p.Profile.Name, p)
		}
		if i > 0 && p.Reached && !a.Profiles[i-1].Reached {
			t.Error("what reaches it comes first")
		}
	}
	// bar-20x20 is narrower than the boards of 30 mm, bar-40x20 is what is there.
	if got := strings.Join(names, " "); got != "finned-80x25 flat-60x5 u-30x15" {
		t.Errorf("profiles %s", got)
	}
}

func TestAdviceOrder(t *testing.T) {
	priced := func(name, currency string, amount, marginK float64, reached, tooHot bool) ProfileAdvice {
		return ProfileAdvice{Profile: parts.Profile{Name: name, PricePerM: parts.Money{Amount: amount, Currency: currency}}, Outcome: Outcome{MarginK: marginK, Reached: reached, TooHot: tooHot}}
	}
	order := []ProfileAdvice{
		priced("cheap", "EUR", 5, 20, true, false), priced("dear", "EUR", 9, 30, true, false), priced("unpriced", "", 0, 40, true, false),
		priced("near", "EUR", 9, 10, false, false), priced("far", "EUR", 1, -10, false, false),
		priced("a", "EUR", 1, 0, false, true), priced("b", "EUR", 1, 0, false, true),
	}
	for i := 1; i < len(order); i++ {
		if compareProfiles(order[i-1], order[i]) >= 0 || compareProfiles(order[i], order[i-1]) <= 0 {
			t.Errorf("%s must come before %s", order[i-1].Profile.Name, order[i].Profile.Name)
		}
	}
}

func TestAdviceWhereAllIsWell(t *testing.T) {
	if a := advised(t, foyer(6, 0.35), Request{MarginK: 20, Profiles: allProfiles()}); !a.Met || a.Profiles != nil || a.Length.LengthM != 0 {
		t.Errorf("%+v", a)
	}
	if a := advised(t, foyer(0, 0), Request{MarginK: 500}); !a.Met {
		t.Error("no modules, nothing unmet")
	}
}

func TestAdviceWhereNothingHelps(t *testing.T) {
	a := advised(t, foyer(6, 0.35), Request{MarginK: 120, LongestM: 2, Profiles: allProfiles()})
	if a.Length.Reached || a.Length.LengthM != 2 || a.Current.Reached || a.Profiles[0].Reached {
		t.Errorf("5 K above the air with the junction 15 K above the rail: %+v", a)
	}
	near(t, "lowest current of the table", a.Current.CurrentsA[0], 0.1, 1e-9)
	if a.Length.MarginK <= a.Now.MarginK || a.Current.MarginK <= a.Now.MarginK {
		t.Error("the best that was tried is not better than now")
	}
	if a := advised(t, foyer(6, 0.35), Request{MarginK: 120, LongestM: 0.5}); a.Length.LengthM != 1.1 {
		t.Errorf("a longest rail below the present one: %g", a.Length.LengthM)
	}
}

func TestAdviceForARailWithoutBalance(t *testing.T) {
	in := foyer(40, 0.9)
	a := advised(t, in, Request{Profiles: allProfiles()})
	if !a.Now.TooHot || a.Met || a.Now.MarginK != 0 || a.Current.FluxShare != 0 {
		t.Errorf("%+v", a)
	}
	if !a.Current.Reached || balanced(t, in.dimmed(a.Current.Factor)).SmallestMarginK < 0 {
		t.Errorf("less current must help: %+v", a.Current)
	}
	if !a.Length.Reached || balanced(t, in.stretched(a.Length.LengthM)).SmallestMarginK < 0 {
		t.Errorf("four times the bar must help: %+v", a.Length)
	}
}

func TestWrongRequests(t *testing.T) {
	bad := crowded()
	bad.LengthM = math.NaN()
	if _, err := Advise(bad, Request{MarginK: 10}); err == nil || !strings.Contains(err.Error(), "rail length NaN") {
		t.Errorf("%v", err)
	}
	for _, w := range []Request{{MarginK: math.NaN()}, {MarginK: math.Inf(1)}, {LongestM: -1}, {LongestM: math.NaN()}} {
		if _, err := Advise(crowded(), w); err == nil || !strings.Contains(err.Error(), "wanted margin") {
			t.Errorf("%+v: %v", w, err)
		}
	}
	broken := Request{MarginK: 100, Profiles: []parts.Profile{{Name: "hollow", WidthM: 0.1}}}
	if _, err := Advise(crowded(), broken); err == nil || !strings.Contains(err.Error(), `profile "hollow"`) {
		t.Errorf("%v", err)
	}
}
