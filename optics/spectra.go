package optics

import (
	"context"
	"fmt"

	"fathomlux/optics/result"
	"fathomlux/scene"
	"fathomlux/scene/photometry"
	"fathomlux/scene/unit"
)

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
