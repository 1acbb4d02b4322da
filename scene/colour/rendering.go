package colour

import (
	"math"
	"sync"
)

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

// adapted is a light in the coordinates in which CIE 13.3 lets an eye adapt: its Y, its chromaticity, and that in c and
// d.
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

// secondRadiation is the second radiation constant in Planck's law as colorimetry has it, m K. Source: CIE 015:2018.
const secondRadiation = 1.4388e-2

// Temperatures between which the nearest point of the locus is looked for, K.
const (
	lowestK, highestK = 1000.0, 100000.0
	locusPoints       = 512
)

// mostDuv is how far from the Planckian locus a colour still has a correlated colour temperature, in CIE 1960 u and v.
// Source: CIE 015:2018, 9.5.
const mostDuv = 0.05

// planckian is a black body's power by row, on its own scale.
func planckian(k float64) Light {
	power := make(Light, rows)
	for i := range power {
		nm := firstNm + stepNm*float64(i)
		power[i] = math.Pow(560/nm, 5) / math.Expm1(secondRadiation/(nm*1e-9*k)) * math.Expm1(secondRadiation/(560e-9*k))
	}
	return power
}

// Planckian returns the colour of a black body of a temperature in K, with Y of 1. Source: CIE 015:2018, 9.5.
func Planckian(k float64) Tristimulus { return planckian(k).Tristimulus().Times(1) }

// daylight is the power by row of CIE daylight of a colour temperature of 4000 to 25000 K. Source: CIE 015:2018, 4.1.2.
func daylight(k float64) Light {
	x := -4.6070e9/(k*k*k) + 2.9678e6/(k*k) + 0.09911e3/k + 0.244063
	if k > 7000 {
		x = -2.0064e9/(k*k*k) + 1.9018e6/(k*k) + 0.24748e3/k + 0.237040
	}
	y := -3.000*x*x + 2.870*x - 0.275
	m := 0.0241 + 0.2562*x - 0.7341*y
	m1, m2 := (-1.3515-1.7703*x+5.9114*y)/m, (0.0300-31.4424*x+30.0717*y)/m
	power, s := make(Light, rows), &published().daylight
	for i := range power {
		power[i] = s[0][i] + float64(m1*s[1][i]) + float64(m2*s[2][i])
	}
	return power
}

// locus are points of the Planckian locus, even in reciprocal temperature.
var locus = sync.OnceValue(func() (points [locusPoints]struct{ perK, u, v float64 }) {
	for i := range points {
		p := &points[i]
		share := float64(i) / (locusPoints - 1)
		p.perK = 1/highestK + share*(1/lowestK-1/highestK)
		p.u, p.v = sum(planckian(1/p.perK), nil).uv1960()
	}
	return points
})

// uv1960 are CIE 1960 u and v.
func (t Tristimulus) uv1960() (u, v float64) {
	u, v = t.UCS()
	return u, v * 2 / 3
}

// Temperature returns the correlated colour temperature in K, the point of the Planckian locus that is nearest in CIE
// 1960 u and v, and the distance from it, above the locus positive; ok is false where the colour is too far from it for
// a temperature to mean anything, see mostDuv, or at its ends. Source: CIE 015:2018, 9.5.
func (t Tristimulus) Temperature() (k, duv float64, ok bool) {
	u, v := t.uv1960()
	points, nearest := locus(), 0
	away := func(i int) float64 { return math.Hypot(points[i].u-u, points[i].v-v) }
	for i := range points {
		if away(i) < away(nearest) {
			nearest = i
		}
	}
	if nearest == 0 || nearest == locusPoints-1 || t.Y == 0 {
		return 0, 0, false
	}
	low, high := points[nearest-1].perK, points[nearest+1].perK
	distance := func(perK float64) float64 {
		pu, pv := sum(planckian(1/perK), nil).uv1960()
		return math.Hypot(pu-u, pv-v)
	}
	const golden = 0.6180339887498949
	for range 40 {
		a, b := high-golden*(high-low), low+golden*(high-low)
		if distance(a) < distance(b) {
			high = b
		} else {
			low = a
		}
	}
	perK := (low + high) / 2
	_, pv := sum(planckian(1/perK), nil).uv1960()
	duv = math.Copysign(distance(perK), v-pv)
	return 1 / perK, duv, math.Abs(duv) <= mostDuv
}
