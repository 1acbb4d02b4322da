package heat

import (
	"cmp"
	"math"
	"slices"

	"fathomlux/scene/parts"
)

// Advice is three ways to the wanted margin, each by itself and each found by balancing the changed rail.
type Advice struct {
	Rail    string
	LengthM float64 // the shortest rail that serves, the modules spread in proportion; 0 where none up to the longest does
	// Factor is the highest factor on all currents that serves, 0 where none within the parts' tables does; then
	// CurrentsA and FluxShare are empty too.
	Factor    float64
	CurrentsA []float64       // of the modules, in the order of the input
	FluxShare float64         // flux over that of the present rail, in operation; 0 where that has no balance
	Profiles  []parts.Profile // that serve: cheap before dear, then the one that leaves the larger margin
}

// longestShare is the longest rail that is tried over the present one.
const longestShare = 4

// Advise looks for a longer rail, a lower current and other profiles that bring every junction to marginK below its
// part's highest. It is nil where the rail keeps that already; a rail without modules does. Profiles narrower than a
// board, and the present one, are passed over.
func Advise(in Input, marginK float64, profiles map[string]parts.Profile) *Advice {
	now := in.tried()
	if now.keeps(marginK) {
		return nil
	}
	a := &Advice{Rail: in.Rail, Profiles: in.cooler(marginK, profiles)}
	a.LengthM, _ = nearest(in.LengthM, longestShare*in.LengthM, marginK, in.stretched)
	lowest := 0.0 // factor at which every part's table still holds
	for _, m := range in.Modules {
		if m.CurrentA > 0 {
			low, _ := m.Part.CurrentRange()
			lowest = math.Max(lowest, low/m.CurrentA)
		}
	}
	var dim *Result
	if a.Factor, dim = nearest(1, math.Min(lowest, 1), marginK, in.dimmed); dim == nil {
		return a
	}
	for _, m := range in.dimmed(a.Factor).Modules {
		a.CurrentsA = append(a.CurrentsA, m.CurrentA)
	}
	if now != nil && now.FluxLm > 0 {
		a.FluxShare = dim.FluxLm / now.FluxLm
	}
	return a
}

// tried is Balance with nil where there is none.
func (in Input) tried() *Result {
	r, err := Balance(in)
	if err != nil {
		return nil
	}
	return &r
}

func (r *Result) keeps(marginK float64) bool {
	return r != nil && (len(r.Modules) == 0 || r.SmallestMarginK >= marginK)
}

// nearest returns the x nearest to bad at which the changed rail keeps a margin, between bad, which does not, and good,
// and its balance; 0 and nil where good does not either.
func nearest(bad, good, marginK float64, change func(x float64) Input) (x float64, best *Result) {
	if best = change(good).tried(); !best.keeps(marginK) {
		return 0, nil
	}
	// a tenth of a millimetre a metre, a tenth of a milliampere an ampere
	for n := 0; n < 40 && (n == 0 || math.Abs(good-bad) >= 1e-4*math.Abs(good)); n++ {
		middle := (bad + good) / 2
		if r := change(middle).tried(); r.keeps(marginK) {
			good, best = middle, r
		} else {
			bad = middle
		}
	}
	return good, best
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

// dimmed returns the rail with all currents times a factor, not below the first row of a table by a rounding.
func (in Input) dimmed(factor float64) Input {
	in.Modules = slices.Clone(in.Modules)
	for i, m := range in.Modules {
		least, _ := m.Part.CurrentRange()
		in.Modules[i].CurrentA = math.Min(math.Max(m.CurrentA*factor, least), m.CurrentA)
	}
	return in
}

// cooler returns the other profiles that keep a margin.
func (in Input) cooler(marginK float64, profiles map[string]parts.Profile) (list []parts.Profile) {
	present, boardM, keptK := in.Profile.Name, 0.0, map[string]float64{}
	for _, m := range in.Modules {
		boardM = math.Max(boardM, m.Part.BoardWidthM)
	}
	for _, name := range parts.Names(profiles) {
		if in.Profile = profiles[name]; name == present || in.Profile.WidthM < boardM {
			continue
		}
		if r := in.tried(); r.keeps(marginK) {
			list, keptK[in.Profile.Name] = append(list, in.Profile), r.SmallestMarginK
		}
	}
	slices.SortStableFunc(list, func(a, b parts.Profile) int {
		return cmp.Or(a.PricePerM.Compare(b.PricePerM), cmp.Compare(keptK[b.Name], keptK[a.Name]),
			cmp.Compare(a.Name, b.Name))
	})
	return list
}
