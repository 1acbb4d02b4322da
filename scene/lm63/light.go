package lm63

import (
	"math"
	"sort"

	"fathomlux/scene/curve"
)

const degree = math.Pi / 180

// At returns the intensity in candela towards a vertical angle (0 straight down, 180 straight up) and a horizontal one
// (any, degrees), bilinear in the angles of the file and folded by the symmetry that they stand for. Beyond the last
// vertical angle it is dark.
func (f *File) At(verticalDeg, horizontalDeg float64) float64 {
	a, b, share := f.between(horizontalDeg)
	return (1-share)*f.in(a, verticalDeg) + share*f.in(b, verticalDeg)
}

// in returns the intensity of one row.
func (f *File) in(row int, verticalDeg float64) float64 {
	v, last := f.Vertical, len(f.Vertical)-1
	if !(verticalDeg >= v[0] && verticalDeg <= v[last]) {
		return 0
	}
	i := min(max(sort.SearchFloat64s(v, verticalDeg), 1), last)
	share := (verticalDeg - v[i-1]) / (v[i] - v[i-1])
	return (1-share)*f.Candela[row][i-1] + share*f.Candela[row][i]
}

// between returns the two rows that a horizontal angle lies between, and how far on it is towards the second.
func (f *File) between(horizontalDeg float64) (a, b int, share float64) {
	h, last := f.Horizontal, len(f.Horizontal)-1
	x := f.fold(horizontalDeg)
	if last == 0 || !(x > h[0]) {
		return 0, 0, 0
	}
	if x > h[last] { // the gap of an open circle
		return last, 0, (x - h[last]) / (360 - h[last])
	}
	i := sort.SearchFloat64s(h, x)
	return i - 1, i, (x - h[i-1]) / (h[i] - h[i-1])
}

// fold brings a horizontal angle into the range of the file's list.
func (f *File) fold(horizontalDeg float64) float64 {
	h := f.Horizontal
	if horizontalDeg == 360 && h[len(h)-1] == 360 { // as written, though it should be what stands at 0
		return horizontalDeg
	}
	x := math.Mod(horizontalDeg, 360)
	if x < 0 {
		x += 360
	}
	switch first, last := h[0], h[len(h)-1]; {
	case first == 90: // mirror about the 90-270 plane
		if x < 90 {
			return 180 - x
		}
		if x > 270 {
			return 540 - x
		}
	case last == 90 || last == 180:
		if x > 180 {
			x = 360 - x
		}
		if last == 90 && x > 90 {
			x = 180 - x
		}
	}
	return x
}

// Unfolded returns the distribution over the whole circle: horizontal angles that rise from 0 to 360 (0 alone for a
// rotationally symmetric one) and a row of candela over the file's vertical angles for each. Rows may share memory.
func (f *File) Unfolded() (horizontalDeg []float64, candela [][]float64) {
	h := f.Horizontal
	last := len(h) - 1
	switch {
	case last == 0 || h[last] == 360:
		return h, f.Candela
	case h[0] == 0 && h[last] > 180: // an open circle
		return append(append([]float64(nil), h...), 360), append(append([][]float64(nil), f.Candela...), f.Candela[0])
	}
	rows := map[float64][]float64{}
	for i, x := range h {
		images := []float64{x, 360 - x}
		if h[last] == 90 {
			images = append(images, 180-x, 180+x)
		}
		if h[0] == 90 {
			images = []float64{x, math.Mod(540-x, 360)}
		}
		for _, image := range images {
			rows[image] = f.Candela[i]
		}
	}
	if row, ok := rows[0]; ok {
		rows[360] = row
	}
	for x := range rows {
		horizontalDeg = append(horizontalDeg, x)
	}
	sort.Float64s(horizontalDeg)
	for _, x := range horizontalDeg {
		candela = append(candela, rows[x])
	}
	return f.closed(horizontalDeg, candela)
}

// closed adds the rows at 0 and 360 where mirroring about the 90-270 plane has left a gap there.
func (f *File) closed(horizontalDeg []float64, candela [][]float64) ([]float64, [][]float64) {
	if horizontalDeg[0] == 0 {
		return horizontalDeg, candela
	}
	a, b, share := f.between(0)
	row := make([]float64, len(f.Vertical))
	for v := range row {
		row[v] = (1-share)*f.Candela[a][v] + share*f.Candela[b][v]
	}
	horizontalDeg = append(append([]float64{0}, horizontalDeg...), 360)
	return horizontalDeg, append(append([][]float64{row}, candela...), row)
}

// MeanRow returns the mean intensity over all horizontal angles for each vertical one, by the trapezium rule, which is
// exact for a bilinear distribution.
func (f *File) MeanRow() []float64 {
	h, candela := f.Unfolded()
	mean := make([]float64, len(f.Vertical))
	for v := range mean {
		if len(h) == 1 {
			mean[v] = candela[0][v]
		}
		for i := 1; i < len(h); i++ {
			mean[v] += (h[i] - h[i-1]) / 720 * (candela[i][v] + candela[i-1][v])
		}
	}
	return mean
}

// FluxLm returns the flux of the bilinear distribution, lm: each cell is integrated exactly.
func (f *File) FluxLm() float64 {
	return 2 * math.Pi * curve.SineMoment(f.radians(), f.MeanRow(), math.Pi)
}

// FluxDownLm returns the part of FluxLm within 90 degrees of straight down, lm.
func (f *File) FluxDownLm() float64 {
	return 2 * math.Pi * curve.SineMoment(f.radians(), f.MeanRow(), math.Pi/2)
}

func (f *File) radians() []float64 {
	x := make([]float64, len(f.Vertical))
	for i, v := range f.Vertical {
		x[i] = v * degree
	}
	return x
}

// CentreCd returns the intensity straight down, the mean of the planes where they disagree, cd.
func (f *File) CentreCd() float64 {
	if f.Vertical[0] > 0 {
		return 0
	}
	return f.MeanRow()[0]
}

// FullAngles returns the full angles along (the 0-180 plane) and across (90-270), degrees, between the outermost
// directions whose intensity is share of the centre-beam intensity: 0.5 gives the beam angles and 0.1 the field angles.
// They count up to 90 degrees to either side. Where the middle is dark there is no such angle, and they are 0.
// Source of the definitions: IEC TR 61341.
func (f *File) FullAngles(share float64) (alongDeg, acrossDeg float64) {
	level := share * f.CentreCd()
	if !(level > 0) {
		return 0, 0
	}
	side := func(horizontalDeg float64) float64 {
		row := make([]float64, len(f.Vertical))
		for i, v := range f.Vertical {
			row[i] = f.At(v, horizontalDeg)
		}
		at, _ := curve.LastAtLeast(f.Vertical, row, level, 90)
		return at
	}
	return side(0) + side(180), side(90) + side(270)
}
