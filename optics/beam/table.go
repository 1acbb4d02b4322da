package beam

import "math"

// cubic is a polynomial over one cell of a table: a + u*(b + u*(c + u*d)).
type cubic struct{ a, b, c, d float64 }

func (k *cubic) at(u float64) float64 { return k.a + u*(k.b+u*(k.c+u*k.d)) }

// fit returns the cubic in u that meets f(x0 + u*dx) at the four Chebyshev nodes of 0 <= u <= width. Its error is at
// most the fourth derivative over u times width^4/3072.
func fit(f func(x float64) float64, x0, dx, width float64) cubic {
	var u, y [4]float64
	for i := range u {
		u[i] = width * (1 - math.Cos((2*float64(i)+1)*math.Pi/8)) / 2
		y[i] = f(x0 + u[i]*dx)
	}
	for order := 1; order < 4; order++ { // divided differences
		for i := 3; i >= order; i-- {
			y[i] = (y[i] - y[i-1]) / (u[i] - u[i-order])
		}
	}
	k := cubic{a: y[3]} // Newton's form to powers
	for i := 2; i >= 0; i-- {
		k = cubic{a: y[i] - u[i]*k.a, b: k.a - u[i]*k.b, c: k.b - u[i]*k.c, d: k.c}
	}
	return k
}

// evenTable is a function over 0 <= x - from < cells/scale in cells of one width.
type evenTable struct {
	from, scale float64
	cells       []cubic
}

func newEvenTable(from, to float64, count int, f func(x float64) float64) evenTable {
	t := evenTable{from: from, scale: float64(count) / (to - from), cells: make([]cubic, count)}
	for i := range t.cells {
		t.cells[i] = fit(f, from+float64(i)/t.scale, 1/t.scale, 1)
	}
	return t
}

// at returns the function at x; outside the table the end cell is carried on.
func (t *evenTable) at(x float64) float64 {
	x = (x - t.from) * t.scale
	i := min(max(int(x), 0), len(t.cells)-1)
	return t.cells[i].at(x - float64(i))
}

// logTable is a function over positive x in cells that are narrow where x is small: each power of two is cut into
// 2^bits equal cells. The cell is found from the bits of x, without a logarithm.
type logTable struct {
	first, mask  uint64
	shift        uint
	cells        []cubic
	low          float64 // where the cells begin
	below, above float64 // values outside them
}

const one = 0x3FF << 52 // the bits of 1.0, with an empty mantissa

// newLogTable tabulates f from about low to about high, both positive. Below, it answers with f(low); above, with 0.
func newLogTable(low, high float64, bits uint, f func(x float64) float64) logTable {
	t := logTable{shift: 52 - bits, mask: 1<<(52-bits) - 1}
	t.first = math.Float64bits(low) >> t.shift
	t.cells = make([]cubic, math.Float64bits(high)>>t.shift-t.first+1)
	t.low = math.Float64frombits(t.first << t.shift)
	t.below = f(low)
	width := 1 / float64(uint64(1)<<bits)
	for i := range t.cells {
		x := math.Float64frombits((t.first + uint64(i)) << t.shift)
		_, e := math.Frexp(x)
		t.cells[i] = fit(f, x, math.Ldexp(1, e-1), width)
	}
	return t
}

// at returns the function at x. A NaN counts as too large.
func (t *logTable) at(x float64) float64 {
	bits := math.Float64bits(x)
	i := bits>>t.shift - t.first
	if i >= uint64(len(t.cells)) {
		if x < t.low {
			return t.below
		}
		return t.above
	}
	return t.cells[i].at(math.Float64frombits(bits&t.mask|one) - 1)
}
