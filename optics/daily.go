package optics

import (
	"context"
	"math"

	"fathomlux/optics/result"
	"fathomlux/optics/water"
	"fathomlux/scene"
	"fathomlux/scene/photometry"
	"fathomlux/scene/space"
)

// dayLm returns the mean flux of a module over the day of its scene, 0 where there is none or it was not followed.
func dayLm(m *scene.Module) float64 {
	if m.Draw == nil || m.Dead {
		return 0
	}
	return m.Draw.DayLm
}

// LightHours returns for how many hours the light of a scene, as bright as it is, adds up to that of a day: by the flux
// over its day where it has one and is in its balance of heat, otherwise as the scene gives them. Where the channels
// have unlike days it holds for all modules together and not in each place.
func LightHours(sc *scene.Scene) float64 {
	lm, day := 0.0, 0.0
	for _, rm := range Modules(sc) {
		lm, day = lm+rm.Module.FluxLm(), day+dayLm(rm.Module)
	}
	if lm == 0 || day == 0 {
		return sc.Wiring.HoursPerDay
	}
	return 24 * day / lm
}

// daily adds up the mean PPFD over the day of the scene; an empty field where it has none.
func (l *Lit) daily() (f result.Field) {
	for i, s := range l.shares {
		if s.dayLm == 0 {
			continue
		}
		if f.PPFD == nil {
			f = result.Field{Grid: l.tank.grid, Solid: l.tank.solid, PPFD: make([]float64, l.tank.grid.Cells())}
		}
		l.Add(f.PPFD, result.PPFD, i, s.dayLm)
	}
	return f
}

// dailyFields returns Plane.Daily of the planes of a map, on the grid on which a day is summed up.
func dailyFields(ctx context.Context, sc *scene.Scene, requests []planeRequest, workers int) ([]result.Field, error) {
	list := make([]result.Field, len(requests))
	if sc.Day == nil {
		return list, nil
	}
	for i, r := range requests {
		light, err := NewLight(sc, LightOptions{Workers: workers}) // one a plane: what a light keeps is large
		if err != nil {
			return nil, err
		}
		lit, err := light.Compute(ctx, Set{Scene: sc, Modules: Modules(sc), DepthM: r.ref.DepthM})
		if err != nil {
			return nil, err
		}
		list[i] = lit[0].daily()
	}
	return list, nil
}

// dailyLight returns the mean daily light integral of an area of a plane, mol/m2/day: the sum over the day of the scene
// where it has one, otherwise the mean PPFD there for the hours that the scene gives.
func dailyLight(sc *scene.Scene, p *result.Plane, area space.Area, meanPPFD float64) float64 {
	f := p.Daily
	if len(f.PPFD) == 0 {
		return photometry.DLI(meanPPFD, sc.Wiring.HoursPerDay)
	}
	within := f.Solid
	if area != (space.Area{}) {
		within = f.Grid.Within(area, f.Solid)
	}
	return photometry.DLI(f.Grid.Extremes(f.PPFD, within).Mean, 24)
}

// yellowNm is the wavelength for which a scene gives yellowing, yellowSlopePerNm how fast it falls with wavelength in
// water whose kind does not say: a middle value of natural waters, from memory (IOCCG 2018: 0.010 to 0.022 1/nm).
const (
	yellowNm         = 440
	yellowSlopePerNm = 0.017
)

// Maintained returns the light-loss factor, above 0 up to 1, of what a scene says of lamps, lid and water before
// anything is renewed, by the light that its goal counts. What yellow water takes is that of a vertical way down to the
// deepest plane of the goal, behind the water as it is when fresh, so that no part of the goal is judged too well.
func Maintained(sc *scene.Scene) float64 {
	m := sc.Maintenance
	if m == (scene.Maintenance{}) { // made by hand, not read
		return 1
	}
	if m.YellowingPerM == 0 {
		return m.Lamp * m.Lid
	}
	depthM := 0.0
	for _, part := range sc.Goal.Parts() {
		depthM = max(depthM, part.Plane.DepthM)
	}
	if !sc.Goal.Set() {
		depthM = sc.Tank.Water.DepthM
	}
	slope := sc.Tank.Water.Kind.CDOMSlopePerNm
	if slope == 0 {
		slope = yellowSlopePerNm
	}
	own := body(sc.Tank.Water)
	fresh := func(nm float64) float64 { return math.Exp(-own.AttenuationPerM(nm, water.Absorbed) * depthM) }
	yellow := func(nm float64) float64 {
		return math.Exp(-m.YellowingPerM * math.Exp(-slope*(nm-yellowNm)) * depthM)
	}
	left, all := 0.0, 0.0
	for _, rm := range Modules(sc) {
		s, err := photometry.NewSpectrum(sc.Catalogue.Spectra[rm.Module.Part.Spectrum].Power)
		if err != nil { // the same parts make sources
			continue
		}
		lm := rm.Module.FluxLm()
		s = s.Filtered(fresh)
		all += lm
		left += lm * result.Of(Shown(sc.Goal), s.LuminousShare(yellow), s.PhotonShare(yellow))
	}
	if all == 0 {
		return m.Lamp * m.Lid
	}
	return m.Lamp * m.Lid * left / all
}
