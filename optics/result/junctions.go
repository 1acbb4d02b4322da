package result

import (
	"fmt"
	"math"

	"fathomlux/scene/finding"
)

// Junctions says at which junction temperatures light holds. The zero value is light that was never balanced.
type Junctions struct {
	Warm              bool            // in the balance of heat; else cold, at the temperatures of the parts' tables
	LowestC, HighestC float64         // of the modules that are on; 0 where cold
	RelativeFlux      float64         // share of the cold flux that is left; 1 where cold
	TooHot            finding.Finding // why the parts cannot bear it, or why there is no balance and the light is cold
}

// Words says in short at which junction temperatures light holds, for a picture's footer.
func (j Junctions) Words() string {
	low, high := math.Round(j.LowestC), math.Round(j.HighestC)
	switch {
	case !j.Warm:
		return "cold junctions"
	case low == high:
		return fmt.Sprintf("junctions at %.0f °C", low)
	}
	return fmt.Sprintf("junctions at %.0f to %.0f °C", low, high)
}

// Warnings say what is wrong with the heat, if something is.
func (j Junctions) Warnings() []finding.Finding {
	switch {
	case !j.TooHot.Any():
		return nil
	case !j.Warm:
		return []finding.Finding{finding.RatedFluxShown.Of(j.TooHot)}
	}
	return []finding.Finding{j.TooHot}
}

// With returns the span of both; it is cold only where both are. The share of the flux and the reason are those of
// neither.
func (j Junctions) With(o Junctions) Junctions {
	switch {
	case !j.Warm:
		return Junctions{Warm: o.Warm, LowestC: o.LowestC, HighestC: o.HighestC}
	case !o.Warm:
		return Junctions{Warm: true, LowestC: j.LowestC, HighestC: j.HighestC}
	}
	return Junctions{Warm: true, LowestC: math.Min(j.LowestC, o.LowestC), HighestC: math.Max(j.HighestC, o.HighestC)}
}
