package heat

import (
	"cmp"
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

// Until returns when share of the first light is left, such as 0.7 for L70, from a test of that many samples: 20 and
// more allow 6 times the length of the test, 10 to 19, the fewest there may be, 5.5 times. beyond tells that the true
// life is longer: write "> hours".
func (d Decay) Until(share float64, samples int) (hours float64, beyond bool) {
	longest := 5.5 * d.TestedHours
	if samples >= 20 {
		longest = 6 * d.TestedHours
	}
	hours = d.reaches(share)
	return math.Min(hours, longest), hours > longest
}

// DecayAt returns the decay at a case temperature from a part's tests, and the temperature that it was judged at: a
// case cooler than the coolest test is judged by that, which is on the safe side; beyond the warmest nothing is known,
// which is the error. Between two neighbours alpha follows Arrhenius, alpha = A exp(-Ea/(k T)) with T in kelvin, and B
// is their geometric mean; the shorter test counts. At a tested temperature the row itself holds. The case is where the
// test measured it, on the board; State.BoardC, the board's back, is a little cooler.
func DecayAt(tests []parts.Maintenance, caseC float64) (d Decay, judgedC float64, err error) {
	rows := slices.SortedStableFunc(slices.Values(tests), func(a, b parts.Maintenance) int {
		return cmp.Compare(a.CaseC, b.CaseC)
	})
	judgedC = math.Max(caseC, rows[0].CaseC)
	for i, r := range rows {
		if r.CaseC == judgedC {
			return Decay{AlphaPerHour: r.AlphaPerHour, B: r.B, TestedHours: r.TestedHours}, judgedC, nil
		}
		if r.CaseC > judgedC {
			return between(rows[i-1], r, judgedC), judgedC, nil
		}
	}
	return d, judgedC, fmt.Errorf("case at %.1f °C is not tested, tests end at %g °C", caseC, rows[len(rows)-1].CaseC)
}

func between(cool, hot parts.Maintenance, caseC float64) Decay {
	coolK, hotK, caseK := cool.CaseC+zeroCelsiusK, hot.CaseC+zeroCelsiusK, caseC+zeroCelsiusK
	kelvin := math.Log(hot.AlphaPerHour/cool.AlphaPerHour) / (1/coolK - 1/hotK) // Ea/k
	return Decay{AlphaPerHour: cool.AlphaPerHour * math.Exp(kelvin*(1/coolK-1/caseK)), B: math.Sqrt(cool.B * hot.B),
		TestedHours: math.Min(cool.TestedHours, hot.TestedHours)}
}
