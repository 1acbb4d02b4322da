package walls

import "math"

// Matt is what is matt of a wall, as seen from one medium in the tank: the share that it sends back into the tank of
// all light that gets to it, and in which directions. Nil where nothing is matt.
type Matt struct {
	Share   float64
	inverse []float64 // for a film: squares of the sine in the gap, by even shares of what leaves it
	index2  float64   // of the medium, squared
}

// steps are those of the integrals over a film's directions, draws the number of even shares.
const (
	steps = 4096
	draws = 1024
)

// NewMatt readies the matt part of a wall seen from a medium of some index, 1 for air. Paint sends light back after
// Lambert. So does film into its gap of air: what the plate turns back there, film reflects again and again, and what
// the plate lets through is bent towards the wall's normal, into the critical cone. Source: the sum of the reflections
// between two parallel faces, rho (1-R)/(1 - rho R) with the plate's reflectance R of diffuse light from behind.
func (w Wall) NewMatt(index float64) *Matt {
	switch w.Kind {
	case Diffuse:
		return &Matt{Share: w.Reflectance}
	case Film:
	default:
		return nil
	}
	m := &Matt{index2: index * index, inverse: make([]float64, draws+1)}
	w.Lost = 0
	var passed [steps + 1]float64 // what the plate lets through up to some sine
	back := 0.0
	for i := range steps {
		cos := 1 - (float64(i)+0.5)/steps
		of := w.belowWater(cos, math.Sqrt(1-(1-cos*cos)/m.index2), index)
		part := 2 * cos / steps
		back += part * of.behind
		passed[i+1] = passed[i] + part*of.through
	}
	through := passed[steps]
	m.Share = w.Reflectance * through / (1 - w.Reflectance*back)
	for k, i := 1, 0; k <= draws; k++ {
		for i < steps-1 && passed[i+1] < float64(k)/draws*through {
			i++
		}
		cos := 1 - (float64(i)+min(1, (float64(k)/draws*through-passed[i])/(passed[i+1]-passed[i])))/steps
		m.inverse[k] = 1 - cos*cos
	}
	return m
}

// Even tells whether light leaves after Lambert, to all sides.
func (m *Matt) Even() bool { return m.inverse == nil }

// Sin2 returns the square of the sine, against the wall's normal, of a direction in which light leaves, for an even draw
// from 0 to 1.
func (m *Matt) Sin2(u float64) float64 {
	if m.inverse == nil {
		return u
	}
	x := u * draws
	i := min(int(x), draws-1)
	return (m.inverse[i] + (x-float64(i))*(m.inverse[i+1]-m.inverse[i])) / m.index2
}
