package photometry

import (
	"math"
	"slices"

	"fathomlux/scene/curve"
)

// Distribution is the luminous intensity of a luminaire, bilinear between its angles: Theta counts from the aim, rising
// within 0 to pi, Phi about the aim, rising from 0 to 2 pi, or 0 alone where it is round. Beyond the ends of Theta it
// is dark. Rows may share memory and must not be written to.
type Distribution struct {
	Theta, Phi []float64   // radians
	Candela    [][]float64 // a row over Theta for each Phi
}

// At returns the intensity towards theta, 0 to pi, and phi, 0 to 2 pi, in candela.
func (d *Distribution) At(theta, phi float64) float64 {
	i, f := cell(d.Theta, theta)
	if i < 0 {
		return 0
	}
	if len(d.Phi) == 1 {
		return between(d.Candela[0], i, f)
	}
	k, g := cell(d.Phi, phi)
	return (1-g)*between(d.Candela[k], i, f) + g*between(d.Candela[k+1], i, f)
}

// between returns a row's value the share f on from its cell i.
func between(row []float64, i int, f float64) float64 { return (1-f)*row[i] + f*row[i+1] }

// endSlack is by how much tables of arc functions, and degrees turned into radians, miss the end of a list.
const endSlack = 1e-9

// cell returns the cell of a rising list that holds x and how far on in it x is; i is -1 outside the list, but for
// rounding at its ends.
func cell(list []float64, x float64) (i int, share float64) {
	low, high := 0, len(list)-1
	if !(x >= list[0]-endSlack && x <= list[high]+endSlack) {
		return -1, 0
	}
	for high-low > 1 {
		if middle := int(uint(low+high) >> 1); list[middle] < x {
			low = middle
		} else {
			high = middle
		}
	}
	return low, math.Min(math.Max((x-list[low])/(list[high]-list[low]), 0), 1)
}

// MeanRow returns the mean intensity over all Phi for each Theta: the trapezium rule, exact for what is bilinear.
func (d *Distribution) MeanRow() []float64 {
	if len(d.Phi) == 1 {
		return d.Candela[0]
	}
	mean := make([]float64, len(d.Theta))
	for i := 1; i < len(d.Phi); i++ {
		weight := (d.Phi[i] - d.Phi[i-1]) / (4 * math.Pi)
		for v := range mean {
			mean[v] += weight * (d.Candela[i-1][v] + d.Candela[i][v])
		}
	}
	return mean
}

// FluxWithin returns the flux within an angle of the aim, lm: each cell is integrated exactly.
func (d *Distribution) FluxWithin(rad float64) float64 {
	return 2 * math.Pi * curve.SineMoment(d.Theta, d.MeanRow(), rad)
}

// FullAngles returns the full angles along (towards Phi of 0 and pi) and across between the outermost directions whose
// intensity is share of the centre-beam intensity: 0.5 gives the beam angles and 0.1 the field angles. They count up to
// 90 degrees to either side. The centre-beam intensity is the mean over Phi; where the middle is dark there is no such
// angle, and they are 0. Source of the definitions: IEC TR 61341.
func (d *Distribution) FullAngles(share float64) (alongRad, acrossRad float64) {
	level := share * d.MeanRow()[0]
	if d.Theta[0] > 0 || level <= 0 {
		return 0, 0
	}
	end := min(math.Pi/2, d.Theta[len(d.Theta)-1])
	angles := append(slices.DeleteFunc(slices.Clone(d.Theta), func(v float64) bool { return v >= end }), end)
	side := func(phi float64) float64 {
		beyond, less := end, 0.0
		for _, angle := range slices.Backward(angles) {
			cd := d.At(angle, phi)
			if cd >= level {
				return angle + (beyond-angle)*(cd-level)/(cd-less)
			}
			beyond, less = angle, cd
		}
		return 0
	}
	return side(0) + side(math.Pi), side(math.Pi/2) + side(3*math.Pi/2)
}
