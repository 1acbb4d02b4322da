package trace

import (
	"math"

	"fathomlux/optics/water"
)

// random is a stream of draws: the j-th is a hash of where the stream starts and of j, so that a photon's draws
// depend on the seed and its own number alone. Source of the hash: G. L. Steele, D. Lea, C. H. Flood 2014, Fast
// splittable pseudorandom number generators, OOPSLA '14, with the constants of its 64-bit variant.
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
const arcs = 128

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
	d2 := d * d
	c, s := 1-d2*(1.0/2-d2*(1.0/24)), d*(1-d2*(1.0/6-d2*(1.0/120))) // |d| < 0.025: d^6/720 is 3e-13
	return m[0]*c + m[1]*s, m[1]*c - m[0]*s
}

// The decay is tabulated coarsely up to fadeEnd, and finely over one coarse step.
const (
	fadeSteps = 1 << 12 // fine ones in 1
	fadeEnd   = 40
	fineBits  = 8
)

var decays, fineDecays = func() (decays [fadeSteps * fadeEnd >> fineBits]float64, fineDecays [1 << fineBits]float64) {
	for i := range decays {
		decays[i] = math.Exp(-float64(i<<fineBits) / fadeSteps)
	}
	for i := range fineDecays {
		fineDecays[i] = math.Exp(-float64(i) / fadeSteps)
	}
	return decays, fineDecays
}()

// fade returns exp(-x), within 3e-12 of its value for x from 0 to fadeEnd, exactly elsewhere.
func fade(x float64) float64 {
	a := x * fadeSteps
	i := int(a)
	if uint(i) >= fadeSteps*fadeEnd {
		return math.Exp(-x)
	}
	f := a - float64(i) // (f/fadeSteps)^3/6 is 2e-12
	return decays[i>>fineBits] * fineDecays[i&(1<<fineBits-1)] * (1 - f*(1.0/fadeSteps) + f*f*(0.5/(fadeSteps*fadeSteps)))
}

// The mantissas of numbers, from 1 to 2, are cut into pieces, about whose middles the logarithm is a series.
const piecesBits = 7

var pieces = func() (t [1 << piecesBits]struct{ inverse, log float64 }) {
	for i := 1; i < len(t); i++ {
		middle := 1 + (float64(i)+0.5)/float64(len(t))
		t[i].inverse, t[i].log = 1/middle, math.Log(middle)
	}
	t[0].inverse = 1 // so that 1 has the logarithm 0
	return t
}()

// wait returns -log(x) for x above 0 and up to 1, within 6e-12 and never below 0.
func wait(x float64) float64 {
	bits := math.Float64bits(x)
	p := &pieces[bits>>(52-piecesBits)&(1<<piecesBits-1)]
	r := math.Float64frombits(bits&(1<<52-1)|0x3ff<<52)*p.inverse - 1 // r^5/5 is 2e-13, and 6e-12 in the first piece
	r2 := r * r
	return math.Abs(float64(0x3ff-int(bits>>52))*math.Ln2 - p.log - r + r2*(1.0/2-r*(1.0/3)) + r2*r2*(1.0/4))
}

// even are points that fill a box of some dimensions evenly, shifted by chance. Source: M. Roberts 2018, The
// unreasonable effectiveness of quasirandom sequences: Kronecker's sequence with powers of the root of x^(n+1) = x + 1
// for n dimensions.
type even struct{ at, step [asideDimensions]float64 }

// Dimensions of points where photons leave a patch, and where they leave a lamp and are scattered aside once; and the
// root of each above 1.
const (
	patchDimensions = 5
	patchRoot       = 1.1347241384015194
	asideDimensions = 8
	asideRoot       = 1.0850702454914507
)

func newEven(r random, dimensions int, root float64) *even {
	e := &even{}
	for i := range dimensions {
		e.at[i], e.step[i] = r.unit(), math.Pow(root, -float64(i+1))
	}
	return e
}

// every leaves one in n of the points, from one on.
func (e *even) every(from, n int) *even {
	for i, step := range e.step {
		e.at[i] += float64(step * float64(from+1-n))
		e.step[i] = step * float64(n)
		e.at[i], e.step[i] = e.at[i]-math.Floor(e.at[i]), e.step[i]-math.Floor(e.step[i])
	}
	return e
}

func (e *even) next() *[asideDimensions]float64 {
	for i := range e.at {
		if e.at[i] += e.step[i]; e.at[i] >= 1 {
			e.at[i]--
		}
	}
	return &e.at
}

// particleCosine returns the cosine below which Henyey-Greenstein scattering of mean cosine g has the share xi.
// Source: A. N. Witt 1977, Astrophysical Journal Supplement 35, 1-6.
func particleCosine(g, xi float64) float64 {
	if math.Abs(g) < 1e-6 {
		return 2*xi - 1
	}
	k := (1 - g*g) / (1 - g + 2*g*xi)
	return min(1, max(-1, (1+g*g-k*k)/(2*g)))
}

// moleculeBend is (1-delta)/(1+delta), the weight of cos^2 in the phase function of molecules.
const moleculeBend = (1 - water.Depolarisation) / (1 + water.Depolarisation)

// moleculeCosine draws from the phase function 1 + moleculeBend*cos^2 of water's molecules.
func (t *tracer) moleculeCosine() float64 {
	for {
		cos := 2*t.random.unit() - 1
		if t.random.unit()*(1+moleculeBend) < 1+moleculeBend*cos*cos {
			return cos
		}
	}
}
