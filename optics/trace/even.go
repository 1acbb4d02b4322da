package trace

import "math"

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
