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

// kept returns the share of a ray that its crossings along one axis leave: none if it crosses above the rim, or enters
// from outside below it. d is the signed distance from source to cell along the axis, below the share of the way at the
// rim.
func (c *crossings) kept(d, below float64, p place) float64 {
	if c.entry != 0 && !(c.entry/d <= below) {
		return 0
	}
	if len(c.at) == 0 {
		return 1
	}
	if c.at[0]/d < below {
		return 0
	}
	surface := p.water()
	cos := p.sin() * math.Abs(d) // of the incidence that the ray has, or would have, in air
	kept := 1.0
	for i, at := range c.at {
		switch way := at / d; {
		case way < below:
			return 0
		case way < surface:
			kept *= c.walls[i].Air(cos)
		default:
			kept *= c.walls[i].Water(cos)
		}
	}
	return kept
}
