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
	centre float64   // mean over the circle on the aim
	tilt2  evenTable // (theta/sin(theta))^2 over cos(theta)
	arc    evenTable // arc tangent over 0 to 1
}

// Measured makes a beam of a measured distribution, normalised to 1 lm that leaves the optic: the flux of the whole
// sphere, light behind the module (beyond 90 degrees) included. That light is sent nowhere; ShareWithin(pi/2) is below
// 1 by its share, and the flux balance call it spill. Phi counts from along the rail (+x) towards the back (+y):
// counter-clockwise as seen from above a module that looks down. strayShare of the light, 0 to 1, is spread as a
// Lambertian on top. The error says what does not serve.
func Measured(d photometry.Distribution, strayShare float64) (*Beam, error) {
	m, mean := &table{Distribution: d, tilt2: tiltSquared(), arc: newEvenTable(0, 1, 64, math.Atan)}, d.MeanRow()
	within := func(limit float64) float64 { return 2 * math.Pi * curve.SineMoment(d.Theta, mean, limit) }
	flux := within(math.Pi)
	if !(within(math.Pi/2) > 1e-9*flux) || math.IsInf(flux, 0) {
		return nil, errors.New("the table has no light within 90° of the aim")
	}
	if d.Theta[0] == 0 {
		m.centre = mean[0]
	}
	unlike := func(row []float64) bool { return !slices.Equal(row, d.Candela[0]) }
	b := &Beam{round: !slices.ContainsFunc(d.Candela, unlike), scale: (1 - strayShare) / flux,
		stray: strayShare / math.Pi, form: form{exact: m.exact, fast: m.quick, within: within, turns: d.Theta}}
	b.centre = b.scale*m.centre + b.stray
	b.peak = m.highest(b.scale, b.stray)
	b.findTangents()
	return b, nil
}

// tiltSquared tabulates (theta/sin(theta))^2 over cos(theta).
func tiltSquared() evenTable {
	return newEvenTable(0, 1, 128, func(c float64) float64 { return square(arc(1-c)) / math.Abs(1-c*c) })
}

// highest returns the highest intensity before the module, cd per lm. Between two angles of a row the table runs
// straight and the stray light falls as the cosine, so that the highest may lie where slope = stray*sin(theta).
func (t *table) highest(scale, stray float64) float64 {
	peak := stray
	for _, row := range t.Candela {
		for v := 1; v < len(row); v++ {
			from, to := t.Theta[v-1], t.Theta[v]
			if from <= math.Pi/2 {
				slope := scale * (row[v] - row[v-1]) / (to - from)
				top := math.Asin(min(max(slope/max(stray, 1e-300), 0), 1))
				theta := min(max(top, from), to, math.Pi/2)
				peak = math.Max(peak, scale*row[v-1]+slope*(theta-from)+stray*math.Cos(theta))
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
	return t.At(math.Atan2(sin, local.Z), phi)
}

// quick is exact with tables in place of arc functions, and the centre on the axis.
func (t *table) quick(local space.Vector) float64 {
	sin2 := local.X*local.X + local.Y*local.Y
	if sin2 == 0 {
		return t.centre
	}
	phi := 0.0
	if len(t.Phi) > 1 {
		phi = t.azimuth(local.X, local.Y)
	}
	return t.At(math.Sqrt(t.tilt2.at(local.Z)*sin2), phi)
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
