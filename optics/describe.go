package optics

import (
	"context"
	"fmt"
	"io"
	"math"

	"fathomlux/optics/beam"
	"fathomlux/optics/emit"
	"fathomlux/optics/result"
	"fathomlux/scene"
	"fathomlux/scene/colour"
	"fathomlux/scene/parts"
	"fathomlux/scene/photometry"
	"fathomlux/scene/space"
	"fathomlux/scene/unit"
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

// Emit writes the light and the tank of a scene as plain text for other tracers (package emit), as Map sees them with
// the same cold, with the planes of a map. Errors: those of w and of the scene's files.
func Emit(w io.Writer, sc *scene.Scene, cold bool, planes []result.Plane) error {
	sc, _ = Warmed(sc, cold)
	m, err := newModel(sc)
	if err != nil {
		return err
	}
	var list []emit.Plane
	for _, p := range planes {
		list = append(list, emit.Plane{Name: p.Name, DepthM: p.DepthM})
	}
	return emit.Write(w, sc.Title, m, list)
}

// NamedPoint is a place in the water with what it is called.
type NamedPoint struct {
	Name string
	Point
}

// SpectraAt returns the light at places in the water with its spectrum, as it comes down through a level plane there.
// Options say Workers, Seed and Cold. The spectrum is that of the lamps behind a way in the water that leaves as many
// photons for a lumen as the light there has. A place that is not in the water is an error: see CheckPlace.
func SpectraAt(ctx context.Context, sc *scene.Scene, places []NamedPoint, o Options) ([]result.PlaceLight, error) {
	warm, _ := Warmed(sc, o.Cold)
	var points []Point
	mixes := make([]mixture, len(places))
	list := make([]result.PlaceLight, len(places))
	m := emptyModel(warm)
	for i, p := range places {
		if err := CheckPlace(sc, p); err != nil {
			return nil, err
		}
		p.DepthM = m.DepthM - m.Place(p.DepthM, p.X, p.Y).Z // on the ground, where that is not level
		points = append(points, p.Point)
		mixes[i] = mixture{model: m, depthM: p.DepthM}
		list[i] = result.PlaceLight{Name: p.Name, XM: p.X, YM: p.Y, DepthM: p.DepthM}
	}
	for _, one := range bySpectrum(warm) {
		at, err := NewPoints(ctx, one.scene, points, o)
		if err != nil {
			return nil, err
		}
		lux, ppfd, err := at.At(ctx, 0)
		if err != nil {
			return nil, err
		}
		for i := range list {
			mixes[i].add(warm, one.spectrum, lux[i], ppfd[i])
			list[i].Lux, list[i].PPFD = list[i].Lux+lux[i], list[i].PPFD+ppfd[i]
		}
	}
	for i := range list {
		tell(&list[i], &mixes[i])
	}
	return list, nil
}

// farRedNm is the end of the photons that are told beside those from 400 to 700 nm; plants use some of them.
const farRedNm = 750

// tell fills in what the spectrum at a place says.
func tell(p *result.PlaceLight, m *mixture) {
	p.Colour, p.Bands = appearance(m.light), m.bands()
	for nm, watts := range m.light.Irradiance() {
		p.Nm, p.Power = append(p.Nm, nm), append(p.Power, watts)
		p.Photons = append(p.Photons, watts*photometry.PhotonsPerJoule(nm))
	}
	for i := 1; i < len(p.Nm); i++ { // trapezium rule
		if p.Nm[i-1] >= photometry.PhotonLastNm && p.Nm[i] <= farRedNm {
			p.FarRed += (p.Nm[i] - p.Nm[i-1]) / 2 * (p.Photons[i-1] + p.Photons[i])
		}
	}
}

// ofSpectrum is a scene with its modules of one spectrum alone.
type ofSpectrum struct {
	spectrum string
	scene    *scene.Scene
}

// bySpectrum splits a scene by the spectra of its modules, in the order in which these first occur.
func bySpectrum(sc *scene.Scene) (list []ofSpectrum) {
	known := map[string]bool{}
	for _, rm := range Modules(sc) {
		name := rm.Module.Part.Spectrum
		if known[name] {
			continue
		}
		known[name] = true
		own := *sc
		own.Rails = nil
		for _, r := range sc.Rails {
			var modules []scene.Module
			for _, m := range r.Modules {
				if m.Part.Spectrum == name {
					modules = append(modules, m)
				}
			}
			r.Modules = modules
			own.Rails = append(own.Rails, r)
		}
		list = append(list, ofSpectrum{name, &own})
	}
	return list
}

// CheckPlace refuses a place that is not in the water of a scene.
func CheckPlace(sc *scene.Scene, p NamedPoint) error {
	t, m := &sc.Tank, emptyModel(sc)
	at := m.Place(p.DepthM, p.X, p.Y)
	switch wet, _, _ := m.Layers(m.DepthM); {
	case at.X < 0 || at.X > t.LengthM || at.Y < 0 || at.Y > t.WidthM || !m.Outline().Holds(at):
		return fmt.Errorf("%s is outside the tank, which is %s long and %s wide", p.Name, unit.Metric.Length(t.LengthM),
			unit.Metric.Length(t.WidthM))
	case m.Filled(at) || wet != nil && wet.Hold(at):
		return fmt.Errorf("%s is inside the ground, an obstacle or a thing, where no light is", p.Name)
	}
	return nil
}
