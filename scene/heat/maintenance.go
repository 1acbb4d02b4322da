package heat

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"fathomlux/scene/parts"
)

// Decay is how light fades with the hours: Phi(t) = B exp(-alpha t), Phi(0) = 1.
// Source of all rules here: IES TM-21-11 with addendum B (2015), as summed up in the slides of the US DOE solid-state
// lighting programme on TM-21. B differs from 1 as the first thousand hours are left out of the fit.
type Decay struct{ AlphaPerHour, B, TestedHours float64 }

// reaches returns the hours after which a share of the first light is left, ln(B/share)/alpha, without regard to how
// long the test ran: +Inf where the light does not fall, 0 where it starts below.
func (d Decay) reaches(share float64) float64 {
	switch {
	case d.B <= share:
		return 0
	case d.AlphaPerHour > 0:
		return math.Log(d.B/share) / d.AlphaPerHour
	}
	return math.Inf(1)
}

// The longest statement, as a multiple of the test's length, and the samples it takes.
const (
	fullCap, smallCap         = 6.0, 5.5
	fullSamples, smallSamples = 20, 10
)

// Until returns when share of the first light is left, such as 0.7 for L70, from a test of that many samples: 20 and
// more allow 6 times the length of the test, 10 to 19 allow 5.5 times; fewer are refused. beyond tells that the true
// life is longer: write "> hours".
func (d Decay) Until(share float64, samples int) (hours float64, beyond bool, err error) {
	if samples < smallSamples {
		return 0, false, fmt.Errorf("%d samples are too few to project from: at least %d", samples, smallSamples)
	}
	if err := outside(limit{"share of light", share, above0, math.Nextafter(1, 0), ""},
		limit{"B", d.B, above0, endless, ""},
		limit{"tested hours", d.TestedHours, above0, endless, ""}, limit{"alpha", d.AlphaPerHour, -endless, endless, "1/h"},
	); err != nil {
		return 0, false, err
	}
	longest := smallCap * d.TestedHours
	if samples >= fullSamples {
		longest = fullCap * d.TestedHours
	}
	hours = d.reaches(share)
	return math.Min(hours, longest), hours > longest, nil
}

// ErrUntested is wrapped where a case temperature lies outside the tested ones: there is no extrapolation.
var ErrUntested = errors.New("not tested")

// DecayAt returns the decay at a case temperature from a part's tests. Between two neighbours alpha follows Arrhenius,
// alpha = A exp(-Ea/(k T)) with T in kelvin, and B is their geometric mean; the shorter test counts. At a tested
// temperature the row itself holds. The case is where the test measured it, on the board; State.BoardC, the board's
// back, is a little cooler.
func DecayAt(tests []parts.Maintenance, caseC float64) (Decay, error) {
	if len(tests) == 0 {
		return Decay{}, fmt.Errorf("the part has no maintenance test: %w", ErrUntested)
	}
	rows := slices.SortedStableFunc(slices.Values(tests), func(a, b parts.Maintenance) int {
		return cmp.Compare(a.CaseC, b.CaseC)
	})
	if first := rows[0].CaseC; caseC < first {
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
	return Decay{}, fmt.Errorf("case at %.1f °C is %w, tests end at %g °C", caseC, ErrUntested, rows[len(rows)-1].CaseC)
}

func between(cool, hot parts.Maintenance, caseC float64) (Decay, error) {
	coolK, hotK, caseK := cool.CaseC+zeroCelsiusK, hot.CaseC+zeroCelsiusK, caseC+zeroCelsiusK
	kelvin := math.Log(hot.AlphaPerHour/cool.AlphaPerHour) / (1/coolK - 1/hotK) // Ea/k
	d := Decay{AlphaPerHour: cool.AlphaPerHour * math.Exp(kelvin*(1/coolK-1/caseK)), B: math.Sqrt(cool.B * hot.B),
		TestedHours: math.Min(cool.TestedHours, hot.TestedHours)}
	if outside(limit{"", d.AlphaPerHour, above0, endless, ""}, limit{"", d.B, above0, endless, ""}) != nil {
		return Decay{}, fmt.Errorf("tests at %g and %g °C: alpha and B must be above 0 to read between them", cool.CaseC,
			hot.CaseC)
	}
	return d, nil
}
