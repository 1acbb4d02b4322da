package lightmeter

import (
	"context"
	"math"

	"gonum.org/v1/gonum/interp"
)

const (
	responseNodes = 9
	// responseDepths is how many e-foldings over the deepest reading a response spans: 0.25 % of the light is left then.
	responseDepths = 6.0
)

// response is the light at some points against the extra absorption of the water. The logarithm of the light, which is
// nearly a straight line, is kept as a cubic spline: between lowPerM and highPerM it is the engine's within 1e-5.
type response struct {
	lowPerM, highPerM float64
	logs              []*interp.NotAKnotCubic // by reading; nil where no light comes
}

// newResponse lets an engine compute the readings, each in its own quantity, in as many waters as there are nodes.
func newResponse(ctx context.Context, light func(ctx context.Context, extraPerM float64) ([]float64, error), lowPerM,
	highPerM float64) (r *response, err error) {
	r = &response{lowPerM: lowPerM, highPerM: highPerM}
	var perM [responseNodes]float64
	var nodes [responseNodes][]float64
	for k := range nodes {
		perM[k] = lowPerM + (highPerM-lowPerM)*(1-math.Cos(math.Pi*float64(k)/(responseNodes-1)))/2
		if nodes[k], err = light(ctx, perM[k]); err != nil {
			return nil, err
		}
	}
	for i := range nodes[0] {
		var logs [responseNodes]float64
		for k := range logs {
			logs[k] = math.Log(nodes[k][i])
		}
		curve := &interp.NotAKnotCubic{}
		if !(nodes[responseNodes-1][i] > 0) {
			curve = nil
		} else if err := curve.Fit(perM[:], logs[:]); err != nil {
			return nil, err
		}
		r.logs = append(r.logs, curve)
	}
	return r, nil
}

// at returns the light of reading i and its slope with the extra absorption.
func (r *response) at(i int, perM float64) (value, slope float64) {
	c := r.logs[i]
	if c == nil {
		return 0, 0
	}
	value = math.Exp(c.Predict(perM))
	return value, value * c.PredictDerivative(perM)
}
