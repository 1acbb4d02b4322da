package circuit

import "math"

// root returns where the rising function f crosses zero between low and high, to the last bits; the nearer end where it
// does not. Brent's method: inverse quadratic interpolation that falls back to halving.
// Source: R. P. Brent 1973, Algorithms for Minimization without Derivatives, chapter 4.
func root(f func(float64) float64, low, high float64) float64 {
	const epsilon = 0x1p-52
	a, fa := low, f(low)
	if fa >= 0 {
		return low
	}
	b, fb := high, f(high) // b is the best guess, a the guess before, c the other end of the bracket
	if fb <= 0 {
		return high
	}
	c, fc := a, fa
	step, before := b-a, b-a
	for range 200 {
		if (fb > 0) == (fc > 0) {
			c, fc, step, before = a, fa, b-a, b-a
		}
		if math.Abs(fc) < math.Abs(fb) {
			a, b, c, fa, fb, fc = b, c, b, fb, fc, fb
		}
		slack, half := 2*epsilon*math.Abs(b)+math.SmallestNonzeroFloat64, (c-b)/2
		if fb == 0 || math.Abs(half) <= slack {
			return b
		}
		step, before = brentStep(bracket{a, b, c, fa, fb, fc}, step, before)
		a, fa = b, fb
		if math.Abs(step) > slack {
			b += step
		} else {
			b += math.Copysign(slack, half)
		}
		fb = f(b)
	}
	return b
}

// bracket is what Brent's method knows of the function.
type bracket struct{ a, b, c, fa, fb, fc float64 }

// brentStep returns the next step and the one that it is to be measured against.
func brentStep(k bracket, step, before float64) (next, measure float64) {
	half := (k.c - k.b) / 2
	if math.Abs(k.fa) <= math.Abs(k.fb) {
		return half, half
	}
	p, q := 0.0, 0.0
	s := k.fb / k.fa
	if k.a == k.c {
		p, q = 2*half*s, 1-s
	} else {
		u, r := k.fa/k.fc, k.fb/k.fc
		p = s * (2*half*u*(u-r) - (k.b-k.a)*(r-1))
		q = (u - 1) * (r - 1) * (s - 1)
	}
	if p > 0 {
		q = -q
	}
	p = math.Abs(p)
	if 2*p < min(3*half*q, math.Abs(before*q)) {
		return p / q, step
	}
	return half, half
}
