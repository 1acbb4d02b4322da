// Package wiring answers how the modules of a scene are wired: groups of one current, their strings and drivers, what
// would serve where no driver fits, and what the light costs to run. It holds no electrical rule.
// Next: package circuit for the modules of one current.
package wiring

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"fathomlux/scene"
	"fathomlux/scene/circuit"
	"fathomlux/scene/finding"
	"fathomlux/scene/operating"
	"fathomlux/scene/parts"
)

// Request is what a wiring needs beyond the scene.
type Request struct {
	JunctionC func(parts.Mounted) float64 // junction temperature in operation, degrees Celsius; nil for that of the tables
	LeadM     float64                     // cable from the driver to the first rail
	FeedRight bool                        // the leads reach the rails at their right ends
}

// slackOfLeadM is how much longer a cable from rail to rail is than the straight way. Common practice, no published
// source.
const slackOfLeadM = 0.1

// betweenRailsM returns the longest way between the fed ends of two neighbouring rails, with some slack; 0 for one
// rail.
func betweenRailsM(s *scene.Scene, right bool) (longest float64) {
	for i := 1; i < len(s.Rails); i++ {
		a, b := s.Rails[i-1], s.Rails[i]
		apart := a.LeftM - b.LeftM
		if right {
			apart += a.LengthM - b.LengthM
		}
		way := math.Hypot(math.Hypot(apart, a.YM-b.YM), a.AboveWaterM-b.AboveWaterM)
		longest = math.Max(longest, way+slackOfLeadM)
	}
	return longest
}

// Group is the modules of one current with the answer to their wiring: they share a driver.
type Group struct {
	Job circuit.Job
	circuit.Plan
	FluxLm float64           // that leaves the optics, by the parts' drift at the junction temperatures
	Notes  []finding.Finding // what of the scene's request was left open
}

// wireGroups divides the modules of a scene by current, with the library's drivers and the scene's own request. Dead
// modules are wired like all others, and count as if they gave light.
func wireGroups(s *scene.Scene, w Request) (groups []Group) {
	job := circuit.Job{
		Drivers: s.Catalogue.Drivers,
		Request: circuit.Request{Strings: s.Wiring.Strings, Driver: s.Wiring.Driver.Name},
		Feed:    circuit.Feed{Right: w.FeedRight, LeadM: w.LeadM, BetweenRailsM: betweenRailsM(s, w.FeedRight)},
		Given:   circuit.Usual(s.Ambient.AirC),
	}
	for _, r := range s.Rails {
		job.RailLengthsM = append(job.RailLengthsM, r.LengthM)
	}
	all := slices.Concat(s.Mounted()...)
	for i := range all {
		if w.JunctionC != nil {
			all[i].JunctionC = w.JunctionC(all[i])
		}
	}
	for _, job.Modules = range circuit.ByCurrent(all) {
		g := Group{Job: job}
		for _, one := range job.Modules {
			m := s.Rails[one.Rail].Modules[one.Number-1]
			m.Dead, m.Draw = false, nil
			g.FluxLm += m.FluxLm() * m.Part.RelativeFlux(one.JunctionC) * m.Optic.Efficiency
		}
		groups = append(groups, g)
	}
	return groups
}

// Wire answers how the scene is wired: one group for each current that modules are for, in the order of the file. Of
// several groups each takes as much of the scene's request as serves it. The error tells why nothing can be wired, or
// why the request cannot be had.
func Wire(s *scene.Scene, w Request) ([]Group, error) {
	groups, before := wireGroups(s, w), 0
	if len(groups) == 0 {
		return nil, circuit.ErrNothing
	}
	for i := range groups {
		g := &groups[i]
		g.Job.Before = before
		if err := g.design(len(groups) == 1); err != nil {
			return nil, fmt.Errorf("wiring: %w", err)
		}
		before += len(g.Circuit.Strings)
	}
	return groups, nil
}

// design answers the group's job: with the request as it is where the group is alone, otherwise with as much of it as a
// driver serves.
func (g *Group) design(alone bool) (err error) {
	ask := g.Job.Request
	less := []circuit.Request{ask, {Strings: ask.Strings}, {Driver: ask.Driver}, {}}
	if alone {
		less = less[:1]
	}
	for _, g.Job.Request = range less {
		if g.Plan, err = circuit.Design(g.Job); err == nil && g.Chosen.Fed() {
			break
		}
	}
	if ask.Strings != g.Job.Request.Strings {
		g.Notes = append(g.Notes, finding.StringsNotServing.Of(finding.Count{N: ask.Strings, Noun: "string"}))
	}
	if ask.Driver != g.Job.Request.Driver {
		g.Notes = append(g.Notes, finding.DriverNotServing.Of(finding.Text(ask.Driver)))
	}
	return err
}

// Number returns the number of the i-th string of the group, from 1; strings are numbered through over all groups.
func (g *Group) Number(i int) int { return g.Job.Before + i + 1 }

// CurrentA returns the wanted current of the group's modules.
func (g *Group) CurrentA() float64 { return g.Job.Modules[0].CurrentA }

// Warnings says why the modules cannot be wired as the scene asks, why the driver that it names does not fit, or which
// modules no driver feeds together, with junctions at the tables' temperature; empty where they can and it does, and
// where the scene asks for no wiring. Of several currents the request is for one at most, and no word is said of it.
func Warnings(s *scene.Scene) (list []finding.Finding) {
	if s.Wiring.At == (finding.Place{}) {
		return nil
	}
	groups := wireGroups(s, Request{})
	for i := range groups {
		g := &groups[i]
		if len(groups) > 1 {
			g.Job.Request = circuit.Request{}
		}
		var err error
		if g.Plan, err = circuit.Choose(g.Job); err != nil {
			list = append(list, finding.NotWired.Of(finding.Cause(err)).At(s.Wiring.At))
		} else if !g.Chosen.Fed() {
			list = append(list, finding.NotWired.Of(g.Choice(s)).At(s.Wiring.At))
		}
	}
	return list
}

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

// RunningOf sums up what some groups take and cost, at the scene's hours and tariff.
func RunningOf(s *scene.Scene, groups []Group) (r Running) {
	complete := true
	for _, g := range groups {
		r.FluxLm += g.FluxLm
		r.LoadW += g.Splits[0].LoadW // of one string of all, which is never refused; the same in all strings
		complete = complete && g.Chosen.Fit != nil && g.Chosen.Fit.MainsW > 0
		if complete {
			r.MainsW += g.Chosen.Fit.MainsW
		}
	}
	if !complete || r.MainsW == 0 {
		return Running{LoadW: r.LoadW}
	}
	r.KWhPerYear = r.MainsW / 1000 * s.Wiring.HoursPerDay * daysPerYear
	tariff := s.Wiring.TariffPerKWh
	r.CostPerYear = parts.Money{Amount: r.KWhPerYear * tariff.Amount, Currency: tariff.Currency}
	r.LmPerMainsW = r.FluxLm / r.MainsW
	return r
}

// Strings returns the modules of each string of all groups.
func Strings(groups []Group) (all [][]parts.Mounted) {
	for _, g := range groups {
		all = append(all, g.Circuit.Strings...)
	}
	return all
}

// StringModules returns the modules of each string of the scene: the strings of Wire, in the balance of heat, with all
// modules alive and whatever driver there is.
func StringModules(s *scene.Scene) (all [][]parts.Mounted, err error) {
	if s.Wiring.Strings < 1 {
		return nil, errors.New("the scene does not say how many strings there are; give wiring: {strings: 2}")
	}
	alive := s.Copy()
	for _, at := range alive.Seats() {
		alive.Rails[at.Rail].Modules[at.Module].Dead = false
	}
	var ask Request
	if ask.JunctionC, _, err = operating.WorkingJunctions(alive); err != nil {
		return nil, err
	}
	groups, err := Wire(alive, ask)
	return Strings(groups), err
}

// WithDead returns a copy of the scene in which these modules are dead.
func WithDead(s *scene.Scene, modules []parts.Mounted) *scene.Scene {
	out := s.Copy()
	for _, m := range modules {
		out.Rails[m.Rail].Modules[m.Number-1].Dead = true
	}
	return out
}
