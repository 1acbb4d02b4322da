package stack

import "math"

// closeStep is the relative Newton step after which no further one is due. v times the second derivative of rho(v)
// over twice the first lies between -1.5 and 0 at every v (each layer has -1.5 times a share below 1), so a step of
// relative size s leaves an error below 1.6 s^2: 4e-15 here.
const closeStep = 5e-8

// mostSteps bounds the iteration; from the lower bound at most 12 steps were seen over thicknesses of 1 um to 10 m.
const mostSteps = 60

// SolveTan returns tan(theta) of the one ray that lands rhoM from the emitting point's foot, to 1e-14 of its value
// (and the rounding of rhoM itself). A startTan above 0 is where to begin, such as the neighbour's answer; 0 begins at
// the lower bound. It returns 0 for a rhoM of 0 or less, and +Inf where no ray gets that far, which happens only
// without air.
//
// rho(v) rises and is concave, so Newton's step from anywhere lands left of the root or on it, and from there
// rises to it. The root lies between rho/ApparentM and rho/AirM.
func (c Column) SolveTan(rhoM, startTan float64) float64 {
	if !(rhoM > 0) {
		return 0
	}
	low := c.lowest(rhoM)
	if math.IsInf(low, 1) {
		return low
	}
	v := low
	if startTan > low && startTan*c.AirM < rhoM {
		v = startTan
	}
	for range mostSteps {
		ratio, slope := c.rho(v)
		next := math.Max(v+(rhoM-ratio*v)/slope, low)
		if math.Abs(next-v) <= closeStep*next {
			return next
		}
		v = next
	}
	return v
}

// lowest returns a lower bound of the root: the larger one of rho/ApparentM and of where the line that rho(v) nears
// from below, AirM*v + (what pane and water can add at most), reaches rhoM. It is +Inf where none reaches it.
func (c *Column) lowest(rhoM float64) float64 {
	low := rhoM / c.ApparentM()
	sideways := c.sideways()
	if rhoM <= sideways {
		return low
	}
	return math.Max(low, (rhoM-sideways)/c.AirM)
}

// sideways is the farthest that pane and water carry a ray to the side, at grazing incidence; 0 for layers of index 1,
// which have no such bound but behave as air.
func (c *Column) sideways() float64 {
	side := 0.0
	if c.Pane.ThicknessM > 0 {
		side += c.Pane.ThicknessM / math.Sqrt(square(c.Pane.Index)-1)
	}
	if c.WaterM > 0 {
		side += c.WaterM / math.Sqrt(square(c.waterIndex())-1)
	}
	return side
}
