// Package day computes a day of light: how much light each plane gets while the channels rise and fall by the clock,
// what that takes of energy, and how warm it gets.
//
// One field a channel and plane is computed, and scaled by the flux of the channel at each time; the flux follows from
// the balance of heat at the levels of that time, as if they had held for long. Between the knots of the programs the
// balance is found at even steps of level, and figures run straight from one to the next.
// Next: package operating for the balance, package optics for the fields.
package day

import (
	"context"
	"errors"
	"slices"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/scene"
	"fathomlux/scene/finding"
	"fathomlux/scene/operating"
	"fathomlux/scene/wiring"
)

// Options say what is asked of a day.
type Options struct {
	Planes    []scene.PlaneRef // the first is that of the goal
	Groups    []wiring.Group   // the drivers; none: the power from the mains is not known
	StepM     float64          // cells; 0 for about 6000
	Workers   int
	AbovePPFD float64 // whose hours are told
	Weeks     int     // of a gentle start; 0 for none
	From      float64 // its first factor
}

// ErrNoDay is that a scene has no day.
var ErrNoDay = errors.New("the scene has no day; give one such as day: [{on: 9:00, off: 19:00, ramp: 1 h}]")

// molPerUmolHours is a PPFD of 1 umol/m2/s for an hour in mol/m2. Exact.
const molPerUmolHours = 0.0036

// Of computes the day of a scene.
func Of(ctx context.Context, sc *scene.Scene, o Options) (*result.Day, error) {
	if sc.Day == nil {
		return nil, ErrNoDay
	}
	d := &result.Day{}
	for _, c := range sc.Wiring.Channels {
		d.Channels = append(d.Channels, c.Name)
	}
	b := balancer{scene: sc, groups: o.Groups, days: operating.NewDays(sc)}
	var err error
	if d.Moments, err = b.moments(ctx, sc.Day); err != nil {
		return nil, err
	}
	d.ElectricalWh = integral(d.Moments, func(m result.Moment) float64 { return m.ElectricalW })
	if slices.ContainsFunc(d.Moments, func(m result.Moment) bool { return m.MainsW > 0 }) {
		d.MainsWh = integral(d.Moments, func(m result.Moment) float64 { return m.MainsW })
	}
	for _, m := range d.Moments {
		if m.HeatW > d.PeakHeatW {
			d.PeakHeatW, d.PeakHeatAtH = m.HeatW, m.AtH
		}
		d.HottestC = max(d.HottestC, m.JunctionC)
	}
	if err := planes(ctx, sc, o, d); err != nil {
		return nil, err
	}
	d.Goal = judge(sc, d)
	return d, b.weeks(ctx, o, d)
}

// judge holds the daily light against what the scene's goal asks of it.
func judge(sc *scene.Scene, d *result.Day) result.Goal {
	daily := sc.Goal.Daily()
	var lights []result.PartLight
	for _, p := range daily.Parts() {
		var l result.PartLight
		for _, plane := range d.Planes {
			if plane.DepthM == p.Plane.DepthM {
				f := plane.Field
				f.Solid = f.Grid.Within(p.Area, f.Solid)
				l.PPFD = f.Grid.Summarise(f.PPFD, f.Solid, p.DLI)
				l.DLI = l.PPFD.Mean
				l.Dimmest, l.Brightest = f.Spots(result.PPFD)
			}
		}
		lights = append(lights, l)
	}
	return optics.Judge(daily, lights, optics.Maintained(sc), finding.Finding{})
}

// planes computes the fields of the channels at their rated flux, and sums them up over the day.
func planes(ctx context.Context, sc *scene.Scene, o Options, d *result.Day) error {
	full := sc.Copy()
	for c := range full.Wiring.Channels {
		full.SetLevel(c, 1)
	}
	light, err := optics.NewLight(full, optics.LightOptions{StepM: o.StepM, Workers: o.Workers})
	if err != nil {
		return err
	}
	all := optics.Modules(full)
	for _, ref := range o.Planes {
		lit, err := light.Compute(ctx, optics.Set{Scene: full, Modules: all, DepthM: ref.DepthM})
		if err != nil {
			return err
		}
		p := result.DayPlane{Plane: result.Plane{Name: ref.Name, DepthM: ref.DepthM, Shown: result.DailyLight,
			Field: result.Field{Grid: light.Grid(), Solid: lit[0].Solid(), PPFD: make([]float64, light.Grid().Cells())}}}
		p.Field.Illuminance = make([]float64, len(p.Field.PPFD)) // none: only photons are summed up
		for c := range d.Channels {
			one := make([]float64, len(p.Field.PPFD))
			for i, m := range all {
				if m.Module.Channel == c {
					lit[0].Add(one, result.PPFD, i, lit[0].LumensOf(i))
				}
			}
			p.FullPPFD = append(p.FullPPFD, p.Field.Grid.Extremes(one, p.Field.Solid).Mean)
			shareH := integral(d.Moments, func(m result.Moment) float64 { return m.Share[c] })
			for i, v := range one {
				p.Field.PPFD[i] += float64(v * shareH * molPerUmolHours)
			}
		}
		part, _ := sc.Goal.On(p.DepthM)
		p.Plane.PPFD = p.Field.Grid.Summarise(p.Field.PPFD, p.Field.Solid, part.DLI)
		p.DLI = p.Plane.PPFD.Mean
		p.AboveH = above(d.Moments, p.Sum, o.AbovePPFD)
		for _, m := range d.Moments {
			p.PeakPPFD = max(p.PeakPPFD, p.Sum(m))
		}
		d.Planes = append(d.Planes, p)
	}
	return nil
}

// weeks computes a gentle start: the levels rise evenly from week to week, up to those of the day.
func (b *balancer) weeks(ctx context.Context, o Options, d *result.Day) error {
	for w := range o.Weeks {
		week := result.Week{Factor: 1}
		if o.Weeks > 1 {
			week.Factor = o.From + (1-o.From)*float64(w)/float64(o.Weeks-1)
		}
		programs := make([]scene.Program, len(b.scene.Day))
		for c, p := range b.scene.Day {
			programs[c] = p.Scaled(week.Factor)
		}
		moments, err := b.moments(ctx, programs)
		if err != nil {
			return err
		}
		week.DLI = molPerUmolHours * integral(moments, d.Planes[0].Sum)
		d.Weeks = append(d.Weeks, week)
	}
	return nil
}

// integral sums a figure up over the day, in its unit times hours.
func integral(list []result.Moment, of func(result.Moment) float64) float64 {
	return operating.Over(list, func(m result.Moment) float64 { return m.AtH }, of)
}

// above returns the hours in which a figure is at or above a limit.
func above(list []result.Moment, of func(result.Moment) float64, limit float64) (hours float64) {
	for i := 1; i < len(list); i++ {
		low, high := of(list[i-1]), of(list[i])
		if low > high {
			low, high = high, low
		}
		share := 1.0
		switch {
		case high < limit:
			share = 0
		case low < limit:
			share = (high - limit) / (high - low)
		}
		hours += share * (list[i].AtH - list[i-1].AtH)
	}
	return hours
}

// balancer finds the scene in its balance of heat through a day.
type balancer struct {
	scene  *scene.Scene
	groups []wiring.Group
	days   *operating.Days
}

// moments returns the day by programs.
func (b *balancer) moments(ctx context.Context, programs []scene.Program) (list []result.Moment, err error) {
	instants, err := b.days.Instants(ctx, programs)
	for _, one := range instants {
		m := result.Moment{AtH: one.AtH, Levels: one.Levels, Share: one.Share, ElectricalW: one.Point.ElectricalW,
			HeatW: one.Point.HeatW, MainsW: wiring.MainsAt(b.groups, one.Point)}
		if _, high, ok := one.Point.JunctionsC(); ok {
			m.JunctionC = high
		}
		list = append(list, m)
	}
	return list, err
}
