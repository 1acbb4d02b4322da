package beam

import (
	"errors"
	"fmt"
	"math"

	"fathomlux/scene/curve"
	"fathomlux/scene/space"
)

// Table is a measured distribution, bilinear between its angles. Vertical angles count from the aim, horizontal ones
// from along the rail (+x) towards the back (+y): counter-clockwise as seen from above a module that looks down.
// Beyond the last vertical angle it is dark. The rows are kept and must not be written to.
type Table struct {
	VerticalDeg   []float64   // rising, 0 to 180; a table that begins at 90 has no light before the module
	HorizontalDeg []float64   // 0 alone, or rising from 0 to 360
	Candela       [][]float64 // a row over the vertical angles for each horizontal one, on any scale
	StrayShare    float64     // share of the leaving light that is spread as a Lambertian on top, 0 to 1
}

// table is a Table made ready.
type table struct {
	vertical, horizontal knots // rad
	rows                 [][]float64
	scale                float64   // cd per lm for 1 in rows
	mean                 []float64 // over the circle, as rows
	peak                 float64   // cd per lm, stray light counted
	tilt2                evenTable // (theta/sin(theta))^2 over cos(theta)
	arc                  evenTable // arc tangent over 0 to 1
}

// Measured makes a beam of a table, normalised to 1 lm that leaves the optic: the flux of the whole sphere, light
// behind the module (beyond 90 degrees) included. That light is sent nowhere; ShareWithin(pi/2) is below 1 by its
// share, and the flux balance call it spill. The error says what does not serve.
func Measured(t Table) (*Beam, error) {
	if err := t.check(); err != nil {
		return nil, err
	}
	m := &table{vertical: newKnots(t.VerticalDeg), horizontal: newKnots(t.HorizontalDeg), rows: t.Candela}
	m.mean = meanRow(m.horizontal, t.Candela)
	m.scale = 1
	flux := m.fluxWithin(math.Pi)
	if !(m.fluxWithin(math.Pi/2) > 1e-9*flux) || math.IsInf(flux, 0) {
		return nil, errors.New("the table has no light within 90° of the aim")
	}
	m.scale = (1 - t.StrayShare) / flux
	m.tilt2 = tiltSquared()
	m.arc = newEvenTable(0, 1, 64, math.Atan)
	b := &Beam{table: m, round: m.isRound(), stray: t.StrayShare / math.Pi}
	if m.vertical[0] == 0 {
		b.peak = m.scale * m.mean[0]
	}
	m.peak = m.highest(b.stray)
	return b, nil
}

// tiltSquared tabulates (theta/sin(theta))^2 over cos(theta).
func tiltSquared() evenTable {
	return newEvenTable(0, 1, 128, func(c float64) float64 { return square(arc(1-c)) / math.Abs(1-c*c) })
}

func (t Table) check() error {
	v, h := t.VerticalDeg, t.HorizontalDeg
	switch {
	case len(v) < 2 || len(h) < 1:
		return fmt.Errorf("a table of %d vertical and %d horizontal angles is none; give at least 2 and 1", len(v), len(h))
	case !rising(v) || !rising(h):
		return errors.New("the angles of the table do not rise")
	case v[0] < 0 || v[len(v)-1] > 180:
		return fmt.Errorf("vertical angles from %g° to %g° are not usable; they lie within 0° to 180°", v[0], v[len(v)-1])
	case h[0] != 0 || len(h) > 1 && h[len(h)-1] != 360:
		return fmt.Errorf("horizontal angles from %g° to %g° are not usable; they run from 0° to 360°, or are 0° alone",
			h[0], h[len(h)-1])
	case len(t.Candela) != len(h):
		return fmt.Errorf("%d rows for %d horizontal angles", len(t.Candela), len(h))
	case !(t.StrayShare >= 0 && t.StrayShare <= 1):
		return fmt.Errorf("a stray share of %.4g is not usable; give 0 to 1", t.StrayShare)
	}
	for i, row := range t.Candela {
		if len(row) != len(v) {
			return fmt.Errorf("row %d has %d values for %d vertical angles", i+1, len(row), len(v))
		}
		for _, cd := range row {
			if !(cd >= 0) || math.IsInf(cd, 0) {
				return fmt.Errorf("an intensity of %g cd in row %d is not usable; give 0 or more", cd, i+1)
			}
		}
	}
	return nil
}

func rising(list []float64) bool {
	for i := 1; i < len(list); i++ {
		if !(list[i] > list[i-1]) {
			return false
		}
	}
	return list[0] == list[0]
}

// meanRow is the mean over the circle by the trapezium rule, which is exact for a bilinear table.
func meanRow(horizontal []float64, rows [][]float64) []float64 {
	mean := append([]float64(nil), rows[0]...)
	if len(horizontal) == 1 {
		return mean
	}
	clear(mean)
	for i := 1; i < len(horizontal); i++ {
		weight := (horizontal[i] - horizontal[i-1]) / (4 * math.Pi)
		for v := range mean {
			mean[v] += weight * (rows[i-1][v] + rows[i][v])
		}
	}
	return mean
}

// isRound tells whether all rows are the same.
func (t *table) isRound() bool {
	for _, row := range t.rows[1:] {
		for v, cd := range row {
			if cd != t.rows[0][v] {
				return false
			}
		}
	}
	return true
}

// highest returns the highest intensity before the module, cd per lm. Between two angles of a row the table runs
// straight and the stray light falls as the cosine, so that the highest may lie between them.
func (t *table) highest(stray float64) float64 {
	peak := stray
	for _, row := range t.rows {
		for v := 1; v < len(row); v++ {
			from, to := t.vertical[v-1], t.vertical[v]
			if from <= math.Pi/2 {
				slope := t.scale * (row[v] - row[v-1]) / (to - from)
				theta := topOf(slope, stray, from, math.Min(to, math.Pi/2))
				peak = math.Max(peak, t.scale*row[v-1]+slope*(theta-from)+stray*math.Cos(theta))
			}
		}
	}
	return peak
}

// topOf returns where slope*theta + stray*cos(theta) is highest between two angles, 0 <= from <= to <= pi/2: where
// slope = stray*sin(theta), or at an end.
func topOf(slope, stray, from, to float64) float64 {
	switch {
	case slope <= 0:
		return from
	case slope >= stray:
		return to
	}
	return math.Min(math.Max(math.Asin(slope/stray), from), to)
}

// exact returns the intensity towards local, whose sine to the aim is sin and not 0.
func (t *table) exact(local space.Vector, sin float64) float64 {
	phi := math.Atan2(local.Y, local.X)
	if phi < 0 {
		phi += 2 * math.Pi
	}
	return t.bilinear(math.Atan2(sin, local.Z), phi)
}

// quick is exact with tables in place of arc functions, and centre on the axis.
func (t *table) quick(local space.Vector, centre float64) float64 {
	sin2 := local.X*local.X + local.Y*local.Y
	if sin2 == 0 {
		return centre
	}
	phi := 0.0
	if len(t.rows) > 1 {
		phi = t.azimuth(local.X, local.Y)
	}
	return t.bilinear(math.Sqrt(t.tilt2.at(local.Z)*sin2), phi)
}

// azimuth is the angle from +x towards +y, 0 to 2 pi.
func (t *table) azimuth(x, y float64) float64 {
	ax, ay := math.Abs(x), math.Abs(y)
	var a float64
	if ax >= ay {
		a = t.arc.at(ay / ax)
	} else {
		a = math.Pi/2 - t.arc.at(ax/ay)
	}
	if x < 0 {
		a = math.Pi - a
	}
	if y < 0 {
		a = 2*math.Pi - a
	}
	return a
}

// bilinear returns the intensity at the angles theta and phi, rad, in cd per lm.
func (t *table) bilinear(theta, phi float64) float64 {
	i, f, ok := t.vertical.find(theta)
	if !ok {
		return 0
	}
	if len(t.rows) == 1 {
		return t.scale * between(t.rows[0], i, f)
	}
	k, g, _ := t.horizontal.find(phi)
	return t.scale * ((1-g)*between(t.rows[k], i, f) + g*between(t.rows[k+1], i, f))
}

// knots are rising angles in radians.
type knots []float64

func newKnots(deg []float64) knots {
	k := make(knots, len(deg))
	for i, d := range deg {
		k[i] = d * math.Pi / 180
	}
	return k
}

// endSlack is by how much tables of arc functions, and degrees turned into radians, miss the end of a list, rad.
const endSlack = 1e-9

// find returns the cell that holds x and how far on in it x is; ok is false outside the list, but for rounding at its
// ends.
func (k knots) find(x float64) (cell int, share float64, ok bool) {
	last := len(k) - 1
	if !(x >= k[0]-endSlack && x <= k[last]+endSlack) {
		return 0, 0, false
	}
	low, high := 0, last
	for high-low > 1 {
		if middle := int(uint(low+high) >> 1); k[middle] < x {
			low = middle
		} else {
			high = middle
		}
	}
	return low, math.Min(math.Max((x-k[low])/(k[high]-k[low]), 0), 1), true
}

// between returns a row's value the share f on from its cell i.
func between(row []float64, i int, f float64) float64 { return (1-f)*row[i] + f*row[i+1] }

// fluxWithin returns the table's flux within limit of the aim, per lumen.
func (t *table) fluxWithin(limit float64) float64 {
	return t.scale * 2 * math.Pi * curve.SineMoment(t.vertical, t.mean, limit)
}

// bracket returns the last of the table's angles up to 90 degrees that is bright, and the next one.
func (t *table) bracket(bright func(theta float64) bool) (inside, outside float64) {
	outside = math.Pi / 2
	if bright(outside) {
		return outside, outside
	}
	for i := len(t.vertical) - 1; i >= 0; i-- {
		theta := t.vertical[i]
		if theta >= math.Pi/2 {
			continue
		}
		if bright(theta) {
			return theta, outside
		}
		outside = theta
	}
	return 0, outside
}
