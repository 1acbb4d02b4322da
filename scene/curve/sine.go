package curve

import "math"

// SineMoment returns the integral of y sin(x) dx from the first x up to limit, where y runs straight between the points
// (x[i], y[i]). x is in radians and rises; what lies beyond the last x counts as 0. With an intensity over the angle
// to an axis, 2 pi times the moment is the flux. Each cell is integrated exactly: with h its width,
// int u sin(a+u) du = sin(a) (h sin h + cos h - 1) + cos(a) (sin h - h cos h).
func SineMoment(x, y []float64, limit float64) float64 {
	sum := 0.0
	for i := 1; i < len(x) && x[i-1] < limit; i++ {
		a, end := x[i-1], math.Min(x[i], limit)
		h := end - a
		slope := (y[i] - y[i-1]) / (x[i] - a)
		sinA, cosA := math.Sincos(a)
		sinH, cosH := math.Sincos(h)
		even := 2 * math.Sin((a+end)/2) * math.Sin(h/2) // cos(a) - cos(end)
		rising := sinA*(h*sinH-2*math.Pow(math.Sin(h/2), 2)) + cosA*(sinH-h*cosH)
		sum += y[i-1]*even + slope*rising
	}
	return sum
}

// LastAtLeast returns the largest x, at most limit, at which the straight lines between the points (x[i], y[i]) reach
// level; ok is false where they never do. x rises.
func LastAtLeast(x, y []float64, level, limit float64) (at float64, ok bool) {
	for i := len(x) - 1; i >= 0; i-- {
		if x[i] > limit {
			if i > 0 && x[i-1] < limit {
				end := y[i-1] + (y[i]-y[i-1])*(limit-x[i-1])/(x[i]-x[i-1])
				if end >= level {
					return limit, true
				}
				if y[i-1] >= level {
					return crossing(x[i-1], y[i-1], limit, end, level), true
				}
			}
			continue
		}
		if y[i] < level {
			continue
		}
		if i+1 < len(x) && x[i+1] <= limit && y[i+1] < level {
			return crossing(x[i], y[i], x[i+1], y[i+1], level), true
		}
		return x[i], true
	}
	return 0, false
}

// crossing returns where the line from (x0, y0) down to (x1, y1) meets level.
func crossing(x0, y0, x1, y1, level float64) float64 {
	return x0 + (x1-x0)*(y0-level)/(y0-y1)
}
