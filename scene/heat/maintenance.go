package heat

import (
	"errors"
	"fmt"
	"math"
	"sort"

	"fathomlux/scene/parts"
)

// Decay is how light fades with the hours: Phi(t) = B exp(-alpha t), Phi(0) = 1.
// Source of all rules here: IES TM-21-11 with addendum B (2015), as summed up in the slides of the US DOE solid-state
// lighting programme on TM-21. B differs from 1 as the first thousand hours are left out of the fit.
type Decay struct{ AlphaPerHour, B, TestedHours float64 }

// At returns the share of the first light that is left after hours, without regard to how long the test ran.
func (d Decay) At(hours float64) float64 { return d.B * math.Exp(-d.AlphaPerHour*hours) }

// Life is when the light has fallen to a share.
type Life struct {
	ComputedHours float64 // ln(B/share)/alpha; +Inf where the light does not fall, 0 where it starts below
	LongestHours  float64 // what the length of the test allows to state
	Hours         float64 // the lower of the two
	Beyond        bool    // the true life is longer than Hours: write "> Hours"
}

// The longest statement, as a multiple of the test's length, and the samples it takes.
const (
	fullCap, smallCap         = 6.0, 5.5
	fullSamples, smallSamples = 20, 10
)

// Until returns when share of the first light is left, such as 0.7 for L70, from a test of that many samples: 20 and
// more allow 6 times the length of the test, 10 to 19 allow 5.5 times; fewer are refused. 0 stands for a number that is
// not known and counts as 10.
func (d Decay) Until(share float64, samples int) (Life, error) {
	switch {
	case !(share > 0 && share < 1):
		return Life{}, fmt.Errorf("share of light %g is not between 0 and 1", share)
	case samples < 0 || samples > 0 && samples < smallSamples:
		return Life{}, fmt.Errorf("%d samples are too few to project from: at least %d", samples, smallSamples)
	case !above0(d.B) || !above0(d.TestedHours) || !finite(d.AlphaPerHour):
		return Life{}, errors.New("decay needs B and tested hours above 0 and a finite alpha")
	}
	times := smallCap
	if samples >= fullSamples {
		times = fullCap
	}
	life := Life{ComputedHours: math.Inf(1), LongestHours: times * d.TestedHours}
	if d.B <= share {
		life.ComputedHours = 0
	} else if d.AlphaPerHour > 0 {
		life.ComputedHours = math.Log(d.B/share) / d.AlphaPerHour
	}
	life.Hours = math.Min(life.ComputedHours, life.LongestHours)
	life.Beyond = life.ComputedHours > life.LongestHours
	return life, nil
}

// ErrUntested is wrapped where a case temperature lies outside the tested ones: there is no extrapolation.
var ErrUntested = errors.New("not tested")

// DecayAt returns the decay at a case temperature from a part's tests. Between two neighbours alpha follows Arrhenius,
// alpha = A exp(-Ea/(k T)) with T in kelvin, and B is their geometric mean; the shorter test counts. At a tested
// temperature the row itself holds. The case is where the test measured it, on the board; State.BoardC, the board's
// back, is a little cooler.
func DecayAt(tests []parts.Maintenance, caseC float64) (Decay, error) {
	rows := append([]parts.Maintenance(nil), tests...)
	sort.SliceStable(rows, func(i, j int) bool { return rows[i].CaseC < rows[j].CaseC })
	if len(rows) == 0 {
		return Decay{}, fmt.Errorf("the part has no maintenance test: %w", ErrUntested)
	}
	first, last := rows[0].CaseC, rows[len(rows)-1].CaseC
	if caseC < first {
		return Decay{}, fmt.Errorf("case at %.1f °C is %w, tests begin at %g °C, whose row is on the safe side", caseC,
			ErrUntested, first)
	}
	for i, r := range rows {
		if r.CaseC == caseC {
			return Decay{AlphaPerHour: r.AlphaPerHour, B: r.B, TestedHours: r.TestedHours}, nil
		}
		if r.CaseC > caseC {
			return between(rows[i-1], r, caseC)
		}
	}
	return Decay{}, fmt.Errorf("case at %.1f °C is %w, tests end at %g °C", caseC, ErrUntested, last)
}

func between(cool, hot parts.Maintenance, caseC float64) (Decay, error) {
	a := arrhenius(cool, hot)
	if !above0(a.factorPerHour) || !finite(a.kelvin) || !above0(cool.B) || !above0(hot.B) {
		return Decay{}, fmt.Errorf("tests at %g and %g °C: alpha and B must be above 0 to read between them", cool.CaseC,
			hot.CaseC)
	}
	return Decay{
		AlphaPerHour: a.factorPerHour * math.Exp(-a.kelvin/(caseC+zeroCelsiusK)),
		B:            math.Sqrt(cool.B * hot.B),
		TestedHours:  math.Min(cool.TestedHours, hot.TestedHours),
	}, nil
}

// arrheniusLaw is alpha = factor exp(-kelvin/T); kelvin is the activation energy over Boltzmann's constant.
type arrheniusLaw struct{ kelvin, factorPerHour float64 }

func arrhenius(cool, hot parts.Maintenance) arrheniusLaw {
	coolK, hotK := cool.CaseC+zeroCelsiusK, hot.CaseC+zeroCelsiusK
	kelvin := math.Log(hot.AlphaPerHour/cool.AlphaPerHour) / (1/coolK - 1/hotK)
	return arrheniusLaw{kelvin: kelvin, factorPerHour: cool.AlphaPerHour * math.Exp(kelvin/coolK)}
}
