package beam

import (
	"errors"
	"math"
	"slices"

	"fathomlux/scene/curve"
	"fathomlux/scene/photometry"
	"fathomlux/scene/space"
)

// table is a measured distribution made ready.
type table struct {
	photometry.Distribution
	scale float64   // cd per lm for 1 in its rows
	mean  []float64 // over the circle, as its rows
	peak  float64   // cd per lm, stray light counted
	tilt2 evenTable // (theta/sin(theta))^2 over cos(theta)
	arc   evenTable // arc tangent over 0 to 1
}

// Measured makes a beam of a measured distribution, normalised to 1 lm that leaves the optic: the flux of the whole
// sphere, light behind the module (beyond 90 degrees) included. That light is sent nowhere; ShareWithin(pi/2) is below
// 1 by its share, and the flux balance call it spill. Phi counts from along the rail (+x) towards the back (+y):
// counter-clockwise as seen from above a module that looks down. strayShare of the light, 0 to 1, is spread as a
// Lambertian on top. The error says what does not serve.
func Measured(d photometry.Distribution, strayShare float64) (*Beam, error) {
	m := &table{Distribution: d, mean: d.MeanRow(), scale: 1}
	flux := m.fluxWithin(math.Pi)
	if !(m.fluxWithin(math.Pi/2) > 1e-9*flux) || math.IsInf(flux, 0) {
		return nil, errors.New("the table has no light within 90° of the aim")
	}
	m.scale = (1 - strayShare) / flux
	m.tilt2 = tiltSquared()
	m.arc = newEvenTable(0, 1, 64, math.Atan)
	unlike := func(row []float64) bool { return !slices.Equal(row, d.Candela[0]) }
	b := &Beam{table: m, round: !slices.ContainsFunc(d.Candela, unlike), stray: strayShare / math.Pi}
	if d.Theta[0] == 0 {
		b.peak = m.scale * m.mean[0]
	}
	m.peak = m.highest(b.stray)
	return b, nil
}

// tiltSquared tabulates (theta/sin(theta))^2 over cos(theta).
func tiltSquared() evenTable {
	return newEvenTable(0, 1, 128, func(c float64) float64 { return square(arc(1-c)) / math.Abs(1-c*c) })
}

// highest returns the highest intensity before the module, cd per lm. Between two angles of a row the table runs
// straight and the stray light falls as the cosine, so that the highest may lie where slope = stray*sin(theta).
func (t *table) highest(stray float64) float64 {
	peak := stray
	for _, row := range t.Candela {
		for v := 1; v < len(row); v++ {
			from, to := t.Theta[v-1], t.Theta[v]
			if from <= math.Pi/2 {
				slope := t.scale * (row[v] - row[v-1]) / (to - from)
				top := math.Asin(min(max(slope/max(stray, 1e-300), 0), 1))
				theta := min(max(top, from), to, math.Pi/2)
				peak = math.Max(peak, t.scale*row[v-1]+slope*(theta-from)+stray*math.Cos(theta))
			}
		}
	}
	return peak
}

// exact returns the intensity towards local, whose sine to the aim is sin and not 0.
func (t *table) exact(local space.Vector, sin float64) float64 {
	phi := math.Atan2(local.Y, local.X)
	if phi < 0 {
		phi += 2 * math.Pi
	}
	return t.scale * t.At(math.Atan2(sin, local.Z), phi)
}

// quick is exact with tables in place of arc functions, and centre on the axis.
func (t *table) quick(local space.Vector, centre float64) float64 {
	sin2 := local.X*local.X + local.Y*local.Y
	if sin2 == 0 {
		return centre
	}
	phi := 0.0
	if len(t.Phi) > 1 {
		phi = t.azimuth(local.X, local.Y)
	}
	return t.scale * t.At(math.Sqrt(t.tilt2.at(local.Z)*sin2), phi)
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

// fluxWithin returns the table's flux within limit of the aim, per lumen.
func (t *table) fluxWithin(limit float64) float64 {
	return t.scale * 2 * math.Pi * curve.SineMoment(t.Theta, t.mean, limit)
}
