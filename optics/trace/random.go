package trace

import "math"

// random is a stream of draws: the j-th is a hash of where the stream starts and of j, so that a photon's draws depend on
// the seed and its own number alone. Source of the hash: G. L. Steele, D. Lea, C. H. Flood 2014, Fast splittable
// pseudorandom number generators, OOPSLA '14, with the constants of its 64-bit variant.
type random uint64

const (
	golden = 0x9e3779b97f4a7c15
	stirA  = 0xbf58476d1ce4e5b9
	stirB  = 0x94d049bb133111eb
)

// stream returns the stream of one photon.
func stream(seed uint64, photon int64) random {
	r := random(seed)
	r = random(r.bits() ^ uint64(photon)*stirB)
	return random(r.bits())
}

// bits returns 64 random bits.
func (r *random) bits() uint64 {
	*r += golden
	z := uint64(*r)
	z = (z ^ z>>30) * stirA
	z = (z ^ z>>27) * stirB
	return z ^ z>>31
}

// unit returns a number from 0 to below 1.
func (r *random) unit() float64 { return float64(r.bits()>>11) * 0x1p-53 }

// The circle is cut into arcs, about whose middles sine and cosine are series.
const arcs = 1024

var circle = func() (c [arcs][2]float64) {
	for i := range c {
		s, k := math.Sincos((float64(i) + 0.5) * 2 * math.Pi / arcs)
		c[i] = [2]float64{s, k}
	}
	return c
}()

// around returns sine and cosine of the share turn of a full circle, 0 to 1, within 1e-11.
func around(turn float64) (sin, cos float64) {
	a := turn * arcs
	i := int(a)
	m := &circle[i&(arcs-1)]
	d := (a - float64(i) - 0.5) * (2 * math.Pi / arcs)
	c, s := 1-d*d/2, d*(1-d*d/6) // |d| < 0.0031: d^4/24 is 4e-12
	return m[0]*c + m[1]*s, m[1]*c - m[0]*s
}

// The decay is tabulated at steps of 1/fadeSteps up to fadeEnd.
const (
	fadeSteps = 16
	fadeEnd   = 40
)

var decay = func() (t [fadeSteps*fadeEnd + 1]float64) {
	for i := range t {
		t[i] = math.Exp(-float64(i) / fadeSteps)
	}
	return t
}()

// fade returns exp(-x), within 1e-10 of its value for x from 0 to fadeEnd, exactly beyond.
func fade(x float64) float64 {
	if !(x >= 0 && x < fadeEnd) {
		return math.Exp(-x)
	}
	a := x * fadeSteps
	i := int(a)
	f := (a - float64(i)) * (1.0 / fadeSteps) // f^6/720 is 8e-11
	return decay[i] * (1 - f*(1-f*(1.0/2-f*(1.0/6-f*(1.0/24-f*(1.0/120))))))
}
