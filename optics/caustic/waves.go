// Package caustic draws the net of light that a moving surface throws into the water: optical model and waves in, the
// straight light of one moment on planes out. It follows the light of each die through a mesh on the surface, refracts
// it at the waves, and spreads what passes between neighbouring rays evenly between where they land, so that lines are
// bright without the grain of single photons. Not in it: what walls mirror, what is scattered and what bounces, which
// changes little from moment to moment; package optics adds it. Of the planes' light that on ground that is not level
// is told as if it were.
// Next: package trace for the mean over time, package optics for the whole answer.
package caustic

import (
	"math"
	"math/rand/v2"

	"fathomlux/scene/space"
)

// The waves: rings of as many periods in the time after which all repeats, the usual wave with the middle number, and
// as many directions in each ring, which are spread evenly so that slopes along x and y are alike.
const (
	usualPeriods, fewestPeriods, mostPeriods = 6, 4, 9
	directions                               = 9
	ringWidth                                = 1.2 // of the Gaussian of the slope's variance over the number of periods
)

// Gravity, m/s2, and surface tension over density of fresh water at 25 C, m3/s2 (0.0720 N/m over 997 kg/m3, IAPWS).
const (
	gravity  = 9.80665
	tension  = 0.0720 / 997
	steepest = 3.0 // slope of a ray's way to the surface, over the slope of the surface there, that is followed
)

// Waves are a surface as a sum of waves of random phases, which repeats after PeriodS.
type Waves struct {
	list    []wave
	PeriodS float64
}

type wave struct{ perX, perY, heightM, phase, perS float64 } // angular, rad/m and rad/s

// NewWaves makes waves over water of some depth whose slopes have the standard deviation slope along x as along y. Each
// keeps to the relation of gravity and capillary waves. A seed makes the same waves anywhere.
func NewWaves(slope, lengthM, depthM float64, seed uint64) *Waves {
	r := rand.New(rand.NewPCG(seed, 0x73_68_69_6d_6d_65_72))
	usual := pulse(2*math.Pi/lengthM, depthM)
	w := &Waves{PeriodS: usualPeriods * 2 * math.Pi / usual}
	all := 0.0
	for n := fewestPeriods; n <= mostPeriods; n++ {
		all += share(n)
	}
	for n := fewestPeriods; n <= mostPeriods; n++ {
		perS := usual * float64(n) / usualPeriods
		k := numberOf(perS, depthM)
		// the mean square slope of a wave is (a k)^2 / 2, that of all along both axes 2 slope^2
		height := 2 * slope * math.Sqrt(share(n)/all/directions) / k
		first := r.Float64()
		for d := range directions {
			s, c := math.Sincos(2 * math.Pi * (float64(d) + first) / directions)
			w.list = append(w.list, wave{k * c, k * s, height, 2 * math.Pi * r.Float64(), perS})
		}
	}
	return w
}

// share is that of a ring in the variance of the slope, before it is normalised.
func share(periods int) float64 {
	x := float64(periods-usualPeriods) / ringWidth
	return math.Exp(-x * x / 2)
}

// pulse is the angular frequency of waves of the angular wave number k. Source: H. Lamb, Hydrodynamics, 6th ed. 1932,
// sections 228 and 267.
func pulse(k, depthM float64) float64 {
	return math.Sqrt((gravity*k + tension*k*k*k) * math.Tanh(k*depthM))
}

// numberOf is the inverse of pulse, which rises; it halves an interval until that is rounding.
func numberOf(perS, depthM float64) float64 {
	low, high := 0.0, 1.0
	for pulse(high, depthM) < perS {
		high *= 2
	}
	for range 60 {
		if k := (low + high) / 2; pulse(k, depthM) < perS {
			low = k
		} else {
			high = k
		}
	}
	return (low + high) / 2
}

// mesh is a raster of places on the surface, corners of its cells, from 0 to the tank's length and width.
type mesh struct {
	nx, ny         int // cells
	stepXM, stepYM float64
}

func newMesh(lengthM, widthM, stepM float64) mesh {
	nx, ny := max(1, int(math.Ceil(lengthM/stepM))), max(1, int(math.Ceil(widthM/stepM)))
	return mesh{nx, ny, lengthM / float64(nx), widthM / float64(ny)}
}

func (m mesh) places() int { return (m.nx + 1) * (m.ny + 1) }

// point is the surface at one place: its height over the mean, m, and its slopes.
type point struct{ z, sx, sy float32 }

// fill writes rows of the surface at a time.
func (w *Waves) fill(m mesh, timeS float64, row int, out []point) {
	var sums [3][]float64
	for i := range sums {
		sums[i] = make([]float64, m.nx+1)
	}
	for _, v := range w.list {
		at := v.perY*float64(row)*m.stepYM - v.perS*timeS + v.phase
		s, c := math.Sincos(at)
		ts, tc := math.Sincos(v.perX * m.stepXM)
		for i := range out {
			sums[0][i] += v.heightM * c
			sums[1][i] -= v.heightM * v.perX * s
			sums[2][i] -= v.heightM * v.perY * s
			s, c = s*tc+c*ts, c*tc-s*ts
		}
	}
	for i := range out {
		out[i] = point{float32(sums[0][i]), float32(sums[1][i]), float32(sums[2][i])}
	}
}

// surface is one moment.
type surface struct {
	mesh
	points []point
}

// at interpolates the surface at a place within the mesh.
func (s *surface) at(x, y float64) (z, sx, sy float64) {
	u, v := x/s.stepXM, y/s.stepYM
	i, j := min(max(int(u), 0), s.nx-1), min(max(int(v), 0), s.ny-1)
	fu, fv := min(max(u-float64(i), 0), 1), min(max(v-float64(j), 0), 1)
	k := j*(s.nx+1) + i
	a, b, c, d := &s.points[k], &s.points[k+1], &s.points[k+s.nx+1], &s.points[k+s.nx+2]
	mix := func(p, q, r, t float32) float64 {
		low, high := float64(p)+fu*float64(q-p), float64(r)+fu*float64(t-r)
		return low + fv*(high-low)
	}
	return mix(a.z, b.z, c.z, d.z), mix(a.sx, b.sx, c.sx, d.sx), mix(a.sy, b.sy, c.sy, d.sy)
}

// meet returns where a ray that would cross the mean surface at x, y, having gone tx and ty to the side for each metre
// down, meets the waves, and the normal there, upwards.
func (s *surface) meet(x, y, tx, ty float64) (at space.Point, n space.Vector) {
	z, sx, sy := s.at(x, y)
	z /= max(1+sx*tx+sy*ty, 1/steepest) // to the first order in its height
	z2, sx, sy := s.at(x-tx*z, y-ty*z)
	z += (z2 - z) / max(1+sx*tx+sy*ty, 1/steepest)
	k := 1 / math.Sqrt(1+sx*sx+sy*sy)
	return space.Point{X: x - tx*z, Y: y - ty*z, Z: z}, space.Vector{X: -k * sx, Y: -k * sy, Z: k}
}
