package lightmeter

import (
	"context"
	"math"
)

const (
	responseNodes = 9
	// responseDepths is how many e-foldings over the deepest reading a response spans: 0.25 % of the light is left then.
	responseDepths = 6.0
)

// lightAt computes the light of all readings, each in its own quantity, in water with some extra absorption.
type lightAt func(ctx context.Context, extraPerM float64) ([]float64, error)

// response is the light at some points against the extra absorption of the water. The logarithm of the light, which is
// nearly a straight line, is kept as a Chebyshev series: between lowPerM and highPerM it is the engine's within 1e-5.
type response struct {
	lowPerM, highPerM float64
	series            [][]float64 // coefficients by reading; nil where no light comes
}

// newResponse lets an engine compute the readings in as many waters as there are nodes.
func newResponse(ctx context.Context, light lightAt, lowPerM, highPerM float64) (r *response, err error) {
	r = &response{lowPerM: lowPerM, highPerM: highPerM}
	var nodes [responseNodes][]float64
	for k := range nodes {
		if nodes[k], err = light(ctx, r.perM(math.Cos(math.Pi*(float64(k)+0.5)/responseNodes))); err != nil {
			return nil, err
		}
	}
	for i := range nodes[0] {
		r.series = append(r.series, series(func(k int) float64 { return nodes[k][i] }))
	}
	return r, nil
}

// perM returns the extra absorption at t of -1 to 1.
func (r *response) perM(t float64) float64 {
	return (r.lowPerM+r.highPerM)/2 + t*(r.highPerM-r.lowPerM)/2
}

// series returns the Chebyshev coefficients of the logarithm of values at the nodes, nil where one of them is not above
// 0.
func series(at func(k int) float64) []float64 {
	c := make([]float64, responseNodes)
	for k := range responseNodes {
		v := at(k)
		if !(v > 0) {
			return nil
		}
		for j := range c {
			c[j] += 2.0 / responseNodes * math.Log(v) * math.Cos(math.Pi*float64(j)*(float64(k)+0.5)/responseNodes)
		}
	}
	c[0] /= 2
	return c
}

// at returns the light of reading i and its slope with the extra absorption.
func (r *response) at(i int, perM float64) (value, slope float64) {
	c := r.series[i]
	if c == nil {
		return 0, 0
	}
	half := (r.highPerM - r.lowPerM) / 2
	t := (perM - (r.lowPerM+r.highPerM)/2) / half
	log, rise := clenshaw(c, t)
	value = math.Exp(log)
	return value, value * rise / half
}

// clenshaw sums a Chebyshev series at t, and its derivative. Source: Clenshaw 1955, Math. Tables Aids Comput. 9,
// 118-120.
func clenshaw(c []float64, t float64) (sum, rise float64) {
	var b1, b2, d1, d2 float64
	for j := len(c) - 1; j >= 1; j-- {
		d1, d2 = 2*b1+2*t*d1-d2, d1
		b1, b2 = c[j]+2*t*b1-b2, b1
	}
	return c[0] + t*b1 - b2, b1 + t*d1 - d2
}
