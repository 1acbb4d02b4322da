package heat

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"fathomlux/scene/parts"
)

// reaches returns the hours after which a share of the first light is left by Phi(t) = B exp(-alpha t),
// ln(B/share)/alpha, without regard to how long the test ran: +Inf where the light does not fall, 0 where it starts
// below. Source of all rules here: IES TM-21-11 with addendum B (2015), as summed up in the slides of the US DOE
// solid-state lighting programme on TM-21. B differs from 1 as the first thousand hours are left out of the fit.
func reaches(d parts.Maintenance, share float64) float64 {
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
func Until(d parts.Maintenance, share float64, samples int) (hours float64, beyond bool) {
	longest := 5.5 * d.TestedHours
	if samples >= 20 {
		longest = 6 * d.TestedHours
	}
	hours = reaches(d, share)
	return math.Min(hours, longest), hours > longest
}

// DecayAt returns the decay at a case temperature from a part's tests. A case cooler than the coolest test is judged by
// that, which is on the safe side; beyond the warmest nothing is known, which is the error. Between two neighbours
// alpha follows Arrhenius, alpha = A exp(-Ea/(k T)) with T in kelvin, and B is their geometric mean; the shorter test
// counts. At a tested temperature the row itself holds. The case is where the test measured it: State.CaseC.
func DecayAt(tests []parts.Maintenance, caseC float64) (parts.Maintenance, error) {
	rows := slices.SortedStableFunc(slices.Values(tests), func(a, b parts.Maintenance) int {
		return cmp.Compare(a.CaseC, b.CaseC)
	})
	hotter := slices.IndexFunc(rows, func(r parts.Maintenance) bool { return r.CaseC >= caseC })
	switch {
	case hotter < 0:
		return parts.Maintenance{CaseC: caseC}, fmt.Errorf(
			"no test at a case temperature of %.1f °C; the highest is at %g °C", caseC, rows[len(rows)-1].CaseC)
	case hotter == 0 || rows[hotter].CaseC == caseC:
		return rows[hotter], nil
	}
	cool, hot := rows[hotter-1], rows[hotter]
	coolK, hotK, caseK := cool.CaseC+zeroCelsiusK, hot.CaseC+zeroCelsiusK, caseC+zeroCelsiusK
	kelvin := math.Log(hot.AlphaPerHour/cool.AlphaPerHour) / (1/coolK - 1/hotK) // Ea/k
	return parts.Maintenance{CaseC: caseC, AlphaPerHour: cool.AlphaPerHour * math.Exp(kelvin*(1/coolK-1/caseK)),
		B: math.Sqrt(cool.B * hot.B), TestedHours: math.Min(cool.TestedHours, hot.TestedHours)}, nil
}
