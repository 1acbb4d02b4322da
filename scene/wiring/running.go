package wiring

import (
	"context"

	"fathomlux/scene"
	"fathomlux/scene/operating"
	"fathomlux/scene/parts"
)

// Running is what the light takes and costs while nothing is wrong.
type Running struct {
	LoadW       float64 // at the modules
	MainsW      float64 // 0 where not all modules have a driver of known efficiency; then the rest is 0 too
	KWhPerYear  float64
	CostPerYear parts.Money // without amount where there is no tariff
	FluxLm      float64     // that leaves the optics
	LmPerMainsW float64
}

const daysPerYear = 365

// MainsW returns what the group's driver takes from the mains at a load, its stand-by left out; ok is false where it
// has none of known efficiency.
func (g Group) MainsW(loadW float64) (mainsW float64, ok bool) {
	fit := g.Chosen.Fit
	if fit == nil || fit.MainsW == 0 {
		return 0, false
	}
	lossW, ok := fit.Driver.LossW(loadW)
	return loadW + lossW, ok
}

// dimmed returns load and light of a group at the levels of its channels, and whether any is below full.
func (g Group) dimmed() (loadW, fluxLm float64, is bool) {
	for _, m := range g.Job.Modules {
		d := m.Draw(m.JunctionC)
		loadW += d.ElectricalW
		fluxLm += d.RatedLm * d.RelativeFlux * (1 - m.OpticLoss)
		is = is || m.Dim.Below > 0
	}
	return loadW, fluxLm, is
}

// MainsAt returns what the drivers of groups take from the mains at a point of the scene, with their stand-by; 0 where
// one of unknown efficiency is among them.
func MainsAt(groups []Group, op *operating.Point) (sumW float64) {
	for _, g := range groups {
		loadW := 0.0
		for _, m := range g.Job.Modules {
			loadW += op.Rails[m.Rail].Modules[m.Number-1].ElectricalW
		}
		w, known := g.MainsW(loadW)
		if !known {
			return 0
		}
		sumW += w + g.Chosen.Fit.Driver.StandbyW
	}
	return sumW
}

// RunningOf sums up what some groups take at the levels of their channels, and what a year costs at the scene's tariff:
// over its day where it has one, else at those levels for its hours. The stand-by of drivers counts all day.
func RunningOf(s *scene.Scene, groups []Group) (r Running) {
	complete, standbyW := true, 0.0
	for _, g := range groups {
		loadW, fluxLm, mainsW := g.Splits[0].LoadW, g.FluxLm, 0.0 // of one string of all, which is never refused
		known := g.Chosen.Fit != nil && g.Chosen.Fit.MainsW > 0
		if known {
			mainsW = g.Chosen.Fit.MainsW
			standbyW += g.Chosen.Fit.Driver.StandbyW
		}
		if load, flux, is := g.dimmed(); is {
			loadW, fluxLm = load, flux
			mainsW, known = g.MainsW(load)
		}
		r.LoadW, r.FluxLm, r.MainsW = r.LoadW+loadW, r.FluxLm+fluxLm, r.MainsW+mainsW
		complete = complete && known
	}
	if !complete || r.MainsW == 0 {
		return Running{LoadW: r.LoadW}
	}
	dayWh := r.MainsW*s.Wiring.HoursPerDay + 24*standbyW
	if len(s.Day) > 0 {
		if list, err := operating.NewDays(s).Instants(context.Background(), s.Day); err == nil {
			dayWh = operating.Over(list, func(at operating.Instant) float64 { return at.AtH },
				func(at operating.Instant) float64 { return MainsAt(groups, at.Point) })
		}
	}
	r.KWhPerYear = dayWh / 1000 * daysPerYear
	tariff := s.Wiring.TariffPerKWh
	r.CostPerYear = parts.Money{Amount: r.KWhPerYear * tariff.Amount, Currency: tariff.Currency}
	r.LmPerMainsW = r.FluxLm / r.MainsW
	return r
}
