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
