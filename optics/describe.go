package optics

import (
	"fmt"
	"math"

	"fathomlux/optics/beam"
	"fathomlux/optics/result"
	"fathomlux/scene"
	"fathomlux/scene/colour"
	"fathomlux/scene/parts"
	"fathomlux/scene/photometry"
	"fathomlux/scene/space"
)

// The figures of a cone, in metres and radians.
var coneDistancesM = []float64{0.1, 0.2, 0.3, 0.4, 0.5}

const (
	widestSpotRad = 80 * math.Pi / 180
	curveStepDeg  = 0.125
)

// DescribeBeam says what an optic makes of 1000 lm that leave it. open reads a measured distribution.
func DescribeBeam(o parts.Optic, open scene.Opener) (*result.Beam, error) {
	b, err := newBeam(o, open)
	if err != nil {
		return nil, fmt.Errorf("optic %s: %w", o.Name, err)
	}
	d := &result.Beam{
		Name: o.Name, About: o.About, File: o.File, Efficiency: o.Efficiency, StrayShare: o.StrayShare, Round: b.Round(),
		CentreCd: 1000 * b.CentrePerLumen(), PeakCd: 1000 * b.PeakPerLumen(),
		BeamEdge: result.Edges(b.Edges(0.5)), FieldEdge: result.Edges(b.Edges(0.1)),
		Behind: math.Max(0, 1-b.ShareWithin(math.Pi/2)),
	}
	d.InBeam = b.ShareWithin((d.BeamEdge.AlongRad() + d.BeamEdge.AcrossRad()) / 4)
	d.InField = b.ShareWithin((d.FieldEdge.AlongRad() + d.FieldEdge.AcrossRad()) / 4)
	for deg := -90.0; deg <= 90; deg += curveStepDeg {
		s, c := math.Sincos(deg * math.Pi / 180)
		d.AngleRad = append(d.AngleRad, deg*math.Pi/180)
		d.AlongCd = append(d.AlongCd, 1000*b.PerLumen(space.Vector{X: s, Z: c}))
		d.AcrossCd = append(d.AcrossCd, 1000*b.PerLumen(space.Vector{Y: s, Z: c}))
	}
	for _, m := range coneDistancesM {
		d.Cone = append(d.Cone, coneRow(b, d.BeamEdge, m))
	}
	return d, nil
}

// coneRow returns the spot and the illuminance, I cos^3/d^2, on a level plane.
func coneRow(b *beam.Beam, e result.Edges, distanceM float64) result.ConeRow {
	lux := func(sideways space.Vector, rad float64) float64 {
		s, c := math.Sincos(rad)
		candela := 1000 * b.PerLumen(space.Vector{X: s * sideways.X, Y: s * sideways.Y, Z: c})
		return candela * c * c * c / (distanceM * distanceM)
	}
	x, y := space.Vector{X: 1}, space.Vector{Y: 1}
	r := result.ConeRow{DistanceM: distanceM, CentreLx: lux(x, 0)}
	if math.Max(e.RightRad, e.LeftRad) <= widestSpotRad {
		r.SpotAlongM = distanceM * (math.Tan(e.RightRad) + math.Tan(e.LeftRad))
		r.EdgeAlongLx = math.Min(lux(x, e.RightRad), lux(x, -e.LeftRad))
	}
	if math.Max(e.BackRad, e.FrontRad) <= widestSpotRad {
		r.SpotAcrossM = distanceM * (math.Tan(e.BackRad) + math.Tan(e.FrontRad))
		r.EdgeAcrossLx = math.Min(lux(y, e.BackRad), lux(y, -e.FrontRad))
	}
	return r
}

// DescribeSpectrum weighs a spectrum for the eye and for plants.
func DescribeSpectrum(s parts.Spectrum) (*result.Spectrum, error) {
	weighed, err := photometry.NewSpectrum(s.Power)
	if err != nil {
		return nil, fmt.Errorf("spectrum %s: %w", s.Name, err)
	}
	d := &result.Spectrum{Name: s.Name, About: s.About, LuxPerPPFD: weighed.LuxPerPPFD(),
		LmPerW: weighed.EfficacyOfRadiation(), UmolPerJ: weighed.PhotonsPerWatt()}
	highest := 0.0
	for nm := photometry.LuminousFirstNm; nm <= photometry.LuminousLastNm; nm++ {
		p := s.Power.AtOrZero(nm)
		d.Nm, d.Power, d.Sensitivity = append(d.Nm, nm), append(d.Power, p), append(d.Sensitivity, photometry.V(nm))
		if p > highest {
			highest, d.PeakNm = p, nm
		}
	}
	for i := range d.Power {
		d.Power[i] /= highest
	}
	d.Blue, d.Green, d.Red = bands(weighed)
	d.Colour = appearance(colour.LightOf(weighed))
	return d, nil
}
