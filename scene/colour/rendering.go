package colour

import "math"

// mostRenderingDuv is how far from its reference light a light may be for its colour rendering index to mean anything.
// Source: CIE 13.3-1995, 5.3.
const mostRenderingDuv = 5.4e-3

// planckUpToK is the temperature below which the reference is a black body, and daylight from there on. Source: CIE
// 13.3-1995, 5.1.
const planckUpToK = 5000

// Rendering returns the general colour rendering index Ra and the special one R9, that of saturated red; ok is false
// for light that is no white, of which they mean nothing. Source: CIE 13.3-1995.
func (l Light) Rendering() (ra, r9 float64, ok bool) {
	k, _, ok := l.Tristimulus().Temperature()
	if !ok {
		return 0, 0, false
	}
	reference := planckian(k)
	if k >= planckUpToK {
		reference = daylight(min(k, 25000))
	}
	own, ideal := adaptedOf(sum(l, nil)), adaptedOf(sum(reference, nil))
	for i, factor := range published().samples[:9] {
		r := 100 - 4.6*apart(own.seen(l, factor, ideal), ideal.seen(reference, factor, ideal))
		if i < usualSamples {
			ra += r / usualSamples
		} else {
			r9 = r
		}
	}
	return ra, r9, math.Hypot(own.u-ideal.u, own.v-ideal.v) <= mostRenderingDuv
}

// adapted is a light in the coordinates in which CIE 13.3 lets an eye adapt: its Y, its chromaticity, and that in c and d.
type adapted struct{ y, u, v, c, d float64 }

func adaptedOf(t Tristimulus) adapted {
	u, v := t.uv1960()
	return adapted{t.Y, u, v, (4 - u - 10*v) / v, (1.708*v + 0.404 - 1.481*u) / v}
}

// seen is the place in the CIE 1964 uniform space of a sample in a light of some power, seen by an eye that has adapted
// from that light to the reference.
func (a adapted) seen(power Light, factor []float64, reference adapted) [3]float64 {
	s := adaptedOf(sum(power, factor))
	c, d := reference.c/a.c*s.c, reference.d/a.d*s.d
	below := 16.518 + 1.481*c - d
	u, v := (10.872+0.404*c-4*d)/below, 5.520/below
	w := 25*math.Cbrt(100*s.y/a.y) - 17
	return [3]float64{w, 13 * w * (u - reference.u), 13 * w * (v - reference.v)}
}

func apart(a, b [3]float64) float64 {
	return math.Sqrt((a[0]-b[0])*(a[0]-b[0]) + (a[1]-b[1])*(a[1]-b[1]) + (a[2]-b[2])*(a[2]-b[2]))
}
