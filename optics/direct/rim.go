package direct

import "math"

// rim is the height above which no wall holds a ray.
type rim struct {
	heightM    float64 // above the water
	aboveCover bool    // the pane then lies below it whole
}

func (e *Engine) rim() rim {
	c, end := e.model.Cover, e.tank.WallsEndM(e.model.Cover)
	return rim{heightM: end, aboveCover: c != nil && end > c.UndersideM}
}

// way returns the share of the horizontal way at which a ray from heightM sinks below the rim; 0 or less when it
// starts below.
func (r rim) way(heightM float64, p place) float64 {
	if r.aboveCover {
		return (heightM - r.heightM) * p.tan()
	}
	return p.water() - r.heightM*p.tan()
}

// wallRay is what of the ray to a place walls ask for: the shares of its way at which it sinks below the rim and into the
// water, and sin(theta) in air over the way in plan, 1/m.
type wallRay struct{ below, surface, sinPerM float64 }

// ray returns that of a ray from heightM to a place.
func (r rim) ray(heightM float64, p place) wallRay {
	return wallRay{r.way(heightM, p), p.water(), p.sin()}
}

// kept returns the share of a ray that its crossings along one axis leave: none if it crosses above the rim, or enters
// from outside below it. d is the signed distance from source to cell along the axis.
func (c *crossings) kept(d float64, r wallRay) float64 {
	if c.entry != 0 && !(c.entry/d <= r.below) {
		return 0
	}
	if len(c.at) == 0 {
		return 1
	}
	if c.at[0]/d < r.below {
		return 0
	}
	cos := r.sinPerM * math.Abs(d) // of the incidence that the ray has, or would have, in air
	kept := 1.0
	for i, at := range c.at {
		switch way := at / d; {
		case way < r.below:
			return 0
		case way < r.surface:
			kept *= c.walls[i].Air(cos)
		default:
			kept *= c.walls[i].Water(cos)
		}
	}
	return kept
}
