package heat

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"fathomlux/scene/parts"
)

// Request is what the rail should reach.
type Request struct {
	MarginK  float64         // of every junction to its part's highest
	LongestM float64         // longest rail worth a thought; 0 stands for four times the present one
	Profiles []parts.Profile // to choose from
}

// Outcome is one balance held against a request.
type Outcome struct {
	Reached, TooHot bool
	MarginK         float64 // 0 where too hot
	HottestRailC    float64
	fluxLm          float64
}

// Advice is three ways to the wanted margin, each by itself and each found by balancing the changed rail.
type Advice struct {
	Met      bool    // already: then the ways are empty
	Now      Outcome // of the present rail
	Length   LengthAdvice
	Current  CurrentAdvice
	Profiles []ProfileAdvice // those that reach it, cheap before dear; then by margin; those too hot last
}

// LengthAdvice is a longer rail with the modules spread in proportion: the shortest that serves, or where Reached is
// false the longest that was tried.
type LengthAdvice struct {
	Outcome
	LengthM float64
}

// CurrentAdvice is less current, by one factor for all modules: the highest that serves, or where Reached is false the
// lowest that the parts' tables allow.
type CurrentAdvice struct {
	Outcome
	Factor    float64
	CurrentsA []float64 // of the modules, in the order of the input
	FluxShare float64   // flux over that of the present rail, in operation; 0 where that has no balance
}

// ProfileAdvice is the same rail of another profile.
type ProfileAdvice struct {
	Outcome
	Profile parts.Profile
}

// Advise looks for a longer rail, a lower current and other profiles that bring every junction to the wanted margin.
// Profiles narrower than a board, and the present one, are passed over. A rail without modules meets every request.
func Advise(in Input, ask Request) (Advice, error) {
	if !finite(ask.MarginK) || !(ask.LongestM >= 0) {
		return Advice{}, fmt.Errorf("wanted margin %g K and longest rail %g m must be finite", ask.MarginK, ask.LongestM)
	}
	now, err := tryOut(in, ask)
	a := Advice{Met: now.Reached, Now: now}
	if err != nil || a.Met {
		return a, err
	}
	longest := cmp.Or(ask.LongestM, 4*in.LengthM)
	longest = math.Min(math.Max(longest, in.LengthM), longestRailM)
	if a.Length.LengthM, a.Length.Outcome, err = nearest(in.LengthM, longest, ask, in.stretched); err != nil {
		return Advice{}, err
	}
	if a.Current.Factor, a.Current.Outcome, err = nearest(1, in.lowestFactor(), ask, in.dimmed); err != nil {
		return Advice{}, err
	}
	for _, m := range in.dimmed(a.Current.Factor).Modules {
		a.Current.CurrentsA = append(a.Current.CurrentsA, m.CurrentA)
	}
	if now.fluxLm > 0 {
		a.Current.FluxShare = a.Current.fluxLm / now.fluxLm
	}
	a.Profiles, err = adviseProfiles(in, ask)
	return a, err
}

func tryOut(in Input, ask Request) (Outcome, error) {
	r, err := Balance(in)
	if errors.Is(err, ErrTooHot) {
		return Outcome{TooHot: true}, nil
	}
	return Outcome{Reached: err == nil && (len(r.Modules) == 0 || r.SmallestMarginK >= ask.MarginK),
		MarginK: r.SmallestMarginK, HottestRailC: r.HottestRailC, fluxLm: r.FluxLm}, err
}

// nearest returns the x nearest to bad at which the changed rail reaches what is asked, between bad, which does not,
// and good; where good does not either, good itself.
func nearest(bad, good float64, ask Request, change func(x float64) Input) (float64, Outcome, error) {
	best, err := tryOut(change(good), ask)
	if err != nil || !best.Reached {
		return good, best, err
	}
	for range 40 {
		middle := (bad + good) / 2
		t, err := tryOut(change(middle), ask)
		if err != nil {
			return 0, t, err
		}
		if t.Reached {
			good, best = middle, t
		} else {
			bad = middle
		}
		if math.Abs(good-bad) < 1e-4*math.Abs(good) { // a tenth of a millimetre a metre, a tenth of a milliampere an ampere
			break
		}
	}
	return good, best, nil
}

// stretched returns the rail at another length, the modules spread in proportion.
func (in Input) stretched(lengthM float64) Input {
	factor := lengthM / in.LengthM
	in.LengthM, in.Modules = lengthM, slices.Clone(in.Modules)
	for i := range in.Modules {
		in.Modules[i].AlongM *= factor
	}
	return in
}

// lowestFactor returns the lowest factor on all currents at which every part's table still holds, at most 1.
func (in Input) lowestFactor() float64 {
	factor := 0.0
	for _, m := range in.Modules {
		if m.CurrentA > 0 {
			low, _ := m.Part.CurrentRange()
			factor = math.Max(factor, low/m.CurrentA)
		}
	}
	return math.Min(factor, 1)
}

// dimmed returns the rail with all currents times a factor, not below the first row of a table by a rounding.
func (in Input) dimmed(factor float64) Input {
	in.Modules = slices.Clone(in.Modules)
	for i, m := range in.Modules {
		least, _ := m.Part.CurrentRange()
		in.Modules[i].CurrentA = math.Min(math.Max(m.CurrentA*factor, least), m.CurrentA)
	}
	return in
}

func adviseProfiles(in Input, ask Request) (list []ProfileAdvice, err error) {
	present, boardM := in.Profile.Name, 0.0
	for _, m := range in.Modules {
		boardM = math.Max(boardM, m.Part.BoardWidthM)
	}
	for _, p := range ask.Profiles {
		if p.Name == present || p.WidthM < boardM {
			continue
		}
		a := ProfileAdvice{Profile: p}
		in.Profile = p
		if a.Outcome, err = tryOut(in, ask); err != nil {
			return nil, err
		}
		list = append(list, a)
	}
	slices.SortStableFunc(list, compareProfiles)
	return list, nil
}

func compareProfiles(a, b ProfileAdvice) int {
	first := func(a, b bool) int { return map[[2]bool]int{{true, false}: -1, {false, true}: 1}[[2]bool{a, b}] }
	priced := 0
	if a.Reached {
		priced = cmp.Compare(a.price(), b.price())
	}
	return cmp.Or(first(a.Reached, b.Reached), first(b.TooHot, a.TooHot), priced, cmp.Compare(b.MarginK, a.MarginK),
		cmp.Compare(a.Profile.Name, b.Profile.Name))
}

// price returns the price per metre, +Inf where none is known. Prices of several currencies cannot be compared; they
// are taken as written.
func (a ProfileAdvice) price() float64 {
	if a.Profile.PricePerM.Currency == "" {
		return math.Inf(1)
	}
	return a.Profile.PricePerM.Amount
}
