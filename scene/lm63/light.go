package lm63

import (
	"maps"
	"math"
	"slices"
	"sort"

	"fathomlux/scene/curve"
	"fathomlux/scene/finding"
)

const degree = math.Pi / 180

// File is one measured distribution of photometric type C over the whole circle, whatever symmetry it was written with.
type File struct {
	Vertical   []float64   // degrees, rising
	Horizontal []float64   // degrees, rising from 0 to 360; 0 alone for a rotationally symmetric distribution
	Candela    [][]float64 // a row of vertical angles for each horizontal one, factors applied; rows may share memory
	Warnings   []finding.Finding
}

// unfold turns what was written, by the symmetry that its horizontal angles stand for, into the whole circle.
func (f *File) unfold() {
	h, rows := f.Horizontal, f.Candela
	low, high := h[0], h[len(h)-1]
	if len(h) == 1 || high == 360 {
		return
	}
	at := map[float64][]float64{}
	for i, x := range h {
		at[x] = rows[i]
		switch {
		case low == 90: // mirrored about the plane from 90 to 270
			at[math.Mod(540-x, 360)] = rows[i]
		case high <= 180:
			at[360-x] = rows[i]
			if high == 90 {
				at[180-x], at[180+x] = rows[i], rows[i]
			}
		}
	}
	if at[0] == nil { // what stands at 180 is mirrored there, and between two rows it is their mean
		i, share := step(h, 180)
		at[0] = make([]float64, len(f.Vertical))
		for v := range at[0] {
			at[0][v] = (1-share)*rows[i][v] + share*rows[i+1][v]
		}
	}
	at[360] = at[0]
	f.Horizontal, f.Candela = slices.Sorted(maps.Keys(at)), nil
	for _, x := range f.Horizontal {
		f.Candela = append(f.Candela, at[x])
	}
}

// step returns between which two of two or more rising values, x[i] and x[i+1], another one lies, and how far on.
func step(x []float64, at float64) (i int, share float64) {
	i = min(max(sort.SearchFloat64s(x, at), 1), len(x)-1) - 1
	return i, (at - x[i]) / (x[i+1] - x[i])
}

// At returns the intensity in candela towards a vertical angle (0 straight down, 180 straight up) and a horizontal one
// (any, degrees), bilinear in the angles of the file. Beyond its first and last vertical angle it is dark.
func (f *File) At(verticalDeg, horizontalDeg float64) float64 {
	if !(verticalDeg >= f.Vertical[0] && verticalDeg <= f.Vertical[len(f.Vertical)-1]) {
		return 0
	}
	v, up := step(f.Vertical, verticalDeg)
	in := func(row []float64) float64 { return (1-up)*row[v] + up*row[v+1] }
	if len(f.Horizontal) == 1 {
		return in(f.Candela[0])
	}
	x := horizontalDeg
	if x != 360 { // where it is as written, though it should be what stands at 0
		if x = math.Mod(x, 360); x < 0 {
			x += 360
		}
	}
	h, on := step(f.Horizontal, x)
	return (1-on)*in(f.Candela[h]) + on*in(f.Candela[h+1])
}

// MeanRow returns the mean intensity over all horizontal angles for each vertical one, exact for bilinear ones.
func (f *File) MeanRow() []float64 {
	h := f.Horizontal
	if len(h) == 1 {
		return f.Candela[0]
	}
	mean := make([]float64, len(f.Vertical))
	for i := 1; i < len(h); i++ {
		for v := range mean {
			mean[v] += (h[i] - h[i-1]) / 720 * (f.Candela[i][v] + f.Candela[i-1][v])
		}
	}
	return mean
}

// FluxLm returns the flux of the bilinear distribution, lm: each cell is integrated exactly.
func (f *File) FluxLm() float64 { return f.fluxWithin(math.Pi) }

// FluxDownLm returns the part of FluxLm within 90 degrees of straight down, lm.
func (f *File) FluxDownLm() float64 { return f.fluxWithin(math.Pi / 2) }

func (f *File) fluxWithin(rad float64) float64 {
	x := make([]float64, len(f.Vertical))
	for i, v := range f.Vertical {
		x[i] = v * degree
	}
	return 2 * math.Pi * curve.SineMoment(x, f.MeanRow(), rad)
}

// FullAngles returns the full angles along (the 0-180 plane) and across (90-270), degrees, between the outermost
// directions whose intensity is share of the centre-beam intensity: 0.5 gives the beam angles and 0.1 the field angles.
// They count up to 90 degrees to either side. The centre-beam intensity is the mean of the planes where they disagree;
// where the middle is dark there is no such angle, and they are 0. Source of the definitions: IEC TR 61341.
func (f *File) FullAngles(share float64) (alongDeg, acrossDeg float64) {
	level := share * f.MeanRow()[0]
	if f.Vertical[0] > 0 || level <= 0 {
		return 0, 0
	}
	end := min(90, f.Vertical[len(f.Vertical)-1])
	angles := append(slices.DeleteFunc(slices.Clone(f.Vertical), func(v float64) bool { return v >= end }), end)
	side := func(horizontalDeg float64) float64 {
		beyond, less := end, 0.0
		for _, angle := range slices.Backward(angles) {
			cd := f.At(angle, horizontalDeg)
			if cd >= level {
				return angle + (beyond-angle)*(cd-level)/(cd-less)
			}
			beyond, less = angle, cd
		}
		return 0
	}
	return side(0) + side(180), side(90) + side(270)
}
