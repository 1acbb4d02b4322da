package heat

import (
	"errors"
	"fmt"
	"math"
	"sort"

	"fathomlux/scene/parts"
)

// Wish is what the rail should reach.
type Wish struct {
	MarginK  float64         // of every junction to its part's highest
	LongestM float64         // longest rail worth a thought; 0 stands for four times the present one
	Profiles []parts.Profile // to choose from
}

// Advice is three ways to the wished margin, each by itself and each found by balancing the changed rail.
type Advice struct {
	Met      bool // already: then the ways are empty
	MarginK  float64
	TooHot   bool // the present rail has no balance; MarginK is 0
	Length   LengthAdvice
	Current  CurrentAdvice
	Profiles []ProfileAdvice // that reach it first, cheap before dear; then the others by margin, those without a balance last
}

// LengthAdvice is a longer rail with the modules spread in proportion: the shortest that serves, or where Reached is
// false the longest that was tried.
type LengthAdvice struct {
	Reached, TooHot  bool
	LengthM, MarginK float64 // margin 0 where too hot
}

// CurrentAdvice is less current, by one factor for all modules: the highest that serves, or where Reached is false the
// lowest that the parts' tables allow.
type CurrentAdvice struct {
	Reached, TooHot bool
	Factor, MarginK float64
	CurrentsA       []float64 // of the modules, in the order of the input
	FluxShare       float64   // warm flux over the warm flux before; 0 where the present rail has no balance
}

// ProfileAdvice is the same rail of another profile.
type ProfileAdvice struct {
	Profile         parts.Profile
	Reached, TooHot bool
	MarginK         float64
	HottestRailC    float64
}

// Advise looks for a longer rail, a lower current and other profiles that bring every junction to the wished margin.
// Profiles narrower than a board, and the present one, are passed over. A rail without modules meets every wish.
func Advise(in Input, wish Wish) (Advice, error) {
	if !finite(wish.MarginK) || !(wish.LongestM >= 0) {
		return Advice{}, fmt.Errorf("wished margin %g K and longest rail %g m must be finite", wish.MarginK, wish.LongestM)
	}
	now, err := tryOut(in)
	if err != nil {
		return Advice{}, err
	}
	a := Advice{Met: now.reaches(wish), MarginK: now.marginK(), TooHot: now.tooHot}
	if a.Met {
		return a, nil
	}
	if a.Length, err = adviseLength(in, wish); err != nil {
		return Advice{}, err
	}
	if a.Current, err = adviseCurrent(in, wish, now); err != nil {
		return Advice{}, err
	}
	a.Profiles, err = adviseProfiles(in, wish)
	return a, err
}

// trial is one balance, or its absence.
type trial struct {
	Result
	tooHot bool
}

func tryOut(in Input) (trial, error) {
	r, err := Balance(in)
	if errors.Is(err, ErrTooHot) {
		return trial{tooHot: true}, nil
	}
	return trial{Result: r}, err
}

func (t trial) marginK() float64 { return t.SmallestMarginK }

func (t trial) reaches(w Wish) bool {
	return !t.tooHot && (len(t.Modules) == 0 || t.SmallestMarginK >= w.MarginK)
}

// nearest returns the x nearest to bad at which the changed rail reaches the wish, between bad, which does not, and
// good; where good does not either, good itself.
func nearest(bad, good float64, wish Wish, change func(x float64) Input) (float64, trial, error) {
	best, err := tryOut(change(good))
	if err != nil || !best.reaches(wish) {
		return good, best, err
	}
	for range 40 {
		middle := (bad + good) / 2
		t, err := tryOut(change(middle))
		if err != nil {
			return 0, trial{}, err
		}
		if t.reaches(wish) {
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

func adviseLength(in Input, wish Wish) (LengthAdvice, error) {
	longest := wish.LongestM
	if longest == 0 {
		longest = 4 * in.LengthM
	}
	longest = math.Min(math.Max(longest, in.LengthM), longestRailM)
	x, t, err := nearest(in.LengthM, longest, wish, in.stretched)
	return LengthAdvice{Reached: t.reaches(wish), TooHot: t.tooHot, LengthM: x, MarginK: t.marginK()}, err
}

// stretched returns the rail at another length, the modules spread in proportion.
func (in Input) stretched(lengthM float64) Input {
	factor, modules := lengthM/in.LengthM, append([]Module(nil), in.Modules...)
	for i := range modules {
		modules[i].AtM *= factor
	}
	in.LengthM, in.Modules = lengthM, modules
	return in
}

func adviseCurrent(in Input, wish Wish, now trial) (CurrentAdvice, error) {
	x, t, err := nearest(1, in.lowestFactor(), wish, in.dimmed)
	a := CurrentAdvice{Reached: t.reaches(wish), TooHot: t.tooHot, Factor: x, MarginK: t.marginK()}
	for _, m := range in.dimmed(x).Modules {
		a.CurrentsA = append(a.CurrentsA, m.CurrentA)
	}
	if now.FluxLm > 0 {
		a.FluxShare = t.FluxLm / now.FluxLm
	}
	return a, err
}

// lowestFactor returns the lowest factor on all currents at which every part's table still holds, at most 1.
func (in Input) lowestFactor() float64 {
	factor := 0.0
	for _, m := range in.Modules {
		if m.CurrentA == 0 {
			continue
		}
		volts, _ := m.Part.ForwardV.Domain()
		lumens, _ := m.Part.FluxLm.Domain()
		factor = math.Max(factor, math.Max(volts, lumens)*float64(m.Part.ParallelPaths)/m.CurrentA)
	}
	return math.Min(factor, 1)
}

// dimmed returns the rail with all currents times a factor, not below the first row of a table by a rounding.
func (in Input) dimmed(factor float64) Input {
	modules := append([]Module(nil), in.Modules...)
	for i, m := range modules {
		volts, _ := m.Part.ForwardV.Domain()
		lumens, _ := m.Part.FluxLm.Domain()
		least := math.Max(volts, lumens) * float64(m.Part.ParallelPaths)
		modules[i].CurrentA = math.Min(math.Max(m.CurrentA*factor, least), m.CurrentA)
	}
	in.Modules = modules
	return in
}

func adviseProfiles(in Input, wish Wish) ([]ProfileAdvice, error) {
	boardM := 0.0
	for _, m := range in.Modules {
		boardM = math.Max(boardM, m.Part.BoardWidthM)
	}
	var list []ProfileAdvice
	for _, p := range wish.Profiles {
		if p.Name == in.Profile.Name || p.WidthM < boardM {
			continue
		}
		changed := in
		changed.Profile = p
		t, err := tryOut(changed)
		if err != nil {
			return nil, err
		}
		list = append(list, ProfileAdvice{
			Profile: p, Reached: t.reaches(wish), TooHot: t.tooHot, MarginK: t.marginK(), HottestRailC: t.HottestRailC,
		})
	}
	sort.SliceStable(list, func(i, j int) bool { return list[i].before(list[j]) })
	return list, nil
}

func (a ProfileAdvice) before(b ProfileAdvice) bool {
	switch {
	case a.Reached != b.Reached:
		return a.Reached
	case a.TooHot != b.TooHot:
		return b.TooHot
	case a.Reached && a.price() != b.price():
		return a.price() < b.price()
	case a.MarginK != b.MarginK:
		return a.MarginK > b.MarginK
	}
	return a.Profile.Name < b.Profile.Name
}

// price returns the price per metre, +Inf where none is known. Prices of several currencies cannot be compared; they are taken
// as written.
func (a ProfileAdvice) price() float64 {
	if a.Profile.PricePerM.Currency == "" {
		return math.Inf(1)
	}
	return a.Profile.PricePerM.Amount
}
