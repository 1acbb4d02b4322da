package style

import (
	"math"

	"fathomlux/scene/unit"
)

// Units is the system that lengths are shown in.
type Units = unit.System

// The systems of length.
const (
	Metric = unit.Metric
	US     = unit.US
)

// rulerStep returns the round distance between ruler ticks that is at least atLeastM, and how many parts small ticks
// cut it into. Inches go by what a rule shows: halves and quarters, then inches, feet and tens of feet.
func rulerStep(u Units, atLeastM float64) (stepM float64, parts int) {
	if u == Metric {
		step := math.Max(1, RoundStep(atLeastM/0.001))
		if leading := step / math.Pow(10, math.Floor(math.Log10(step)+1e-9)); math.Round(leading) == 2 {
			return step * 0.001, 4
		}
		return step * 0.001, 5
	}
	metres := u.Metres()
	for _, s := range [][2]float64{{0.25, 2}, {0.5, 2}, {1, 4}, {2, 4}, {4, 4}, {6, 6}, {12, 6}, {24, 4}, {48, 4}, {60, 5}, {120, 5}} {
		if s[0]*metres >= 0.9*atLeastM {
			return s[0] * metres, int(s[1])
		}
	}
	return 120 * metres * math.Ceil(atLeastM/(120*metres)), 5
}
