// Package wiring answers how the modules of a scene are wired: groups of one current, their strings and drivers, and
// what would serve where no driver fits. It holds no electrical rule.
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
)

// Request is what a wiring needs beyond the scene.
type Request struct {
	JunctionC func(i int) float64 // junction temperature of the i-th module in operation, degrees Celsius
	LeadM     float64             // cable from the driver to the first rail
	FeedRight bool                // the leads reach the rails at their right ends
}

// slackOfLeadM is how much longer a cable from rail to rail is than the straight way. Common practice, no published
// source.
const slackOfLeadM = 0.1

// CircuitJob returns all modules of the scene as one job of wiring, with the library's drivers and the scene's own
// request. A job is for one current: see Wire for scenes with several. Dead modules are wired like all others. The
// light counted is that which leaves the optics, by the parts' drift at the junction temperatures.
func CircuitJob(s *scene.Scene, w Request) circuit.Job {
	job := circuit.Job{
		Drivers: s.Catalogue.Drivers,
		Request: circuit.Request{Strings: s.Wiring.Strings, Driver: s.Wiring.Driver.Name},
		Feed:    circuit.Feed{Right: w.FeedRight, LeadM: w.LeadM, BetweenRailsM: betweenRailsM(s, w.FeedRight)},
		Use:     circuit.Use{HoursPerDay: s.Wiring.HoursPerDay, TariffPerKWh: s.Wiring.TariffPerKWh},
		Given:   circuit.Usual(s.Ambient.AirC),
	}
	for _, r := range s.Rails {
		job.RailLengthsM = append(job.RailLengthsM, r.LengthM)
	}
	job.Modules = slices.Concat(s.Mounted()...)
	for i, at := range s.Seats() {
		one := &job.Modules[i]
		if w.JunctionC != nil {
			one.JunctionC = w.JunctionC(i)
		}
		job.Use.FluxLm += leavingLm(s.Rails[at.Rail].Modules[at.Module], one.JunctionC)
	}
	return job
}

// leavingLm returns the light that leaves a module's optic at a junction temperature, as if it were not dead.
func leavingLm(m scene.Module, junctionC float64) float64 {
	m.Dead, m.Draw = false, nil
	return m.FluxLm() * m.Part.RelativeFlux(junctionC) * m.Optic.Efficiency
}

// betweenRailsM returns the longest way between the fed ends of two neighbouring rails, with some slack; 0 for one
// rail.
func betweenRailsM(s *scene.Scene, right bool) float64 {
	end := func(r scene.Rail) float64 {
		if right {
			return r.LeftM + r.LengthM
		}
		return r.LeftM
	}
	longest := 0.0
	for i := 1; i < len(s.Rails); i++ {
		a, b := s.Rails[i-1], s.Rails[i]
		way := math.Hypot(math.Hypot(end(a)-end(b), a.YM-b.YM), a.AboveWaterM-b.AboveWaterM)
		longest = math.Max(longest, way+slackOfLeadM)
	}
	return longest
}

// Group is the modules of one current with the answer to their wiring: they share a driver.
type Group struct {
	Members     []int // by their number over all rails, from 0; circuit's indices count along this list
	Job         circuit.Job
	Plan        circuit.Plan
	FirstString int               // number of its first string, from 1; strings are numbered through over all groups
	Notes       []finding.Finding // what of the scene's request was left open
	Serve       string            // what would serve where no driver feeds all modules of the group, in words
}

// Wire answers how the scene is wired: one group for each current that modules are for, in the order of the file. Of
// several groups each takes as much of the scene's request as serves it. The error tells why nothing can be wired, or
// why the request cannot be had.
func Wire(s *scene.Scene, w Request) ([]Group, error) {
	groups, err := wireGroups(s, w)
	if err != nil {
		return nil, err
	}
	first := 1
	for i := range groups {
		g := &groups[i]
		g.FirstString, g.Job.Before = first, first-1
		if err := g.design(len(groups) == 1); err != nil {
			return nil, fmt.Errorf("wiring: %w", err)
		}
		g.Serve = serve(s, g)
		first += len(g.Plan.Circuit.Strings)
	}
	return groups, nil
}

// Warnings says why the modules cannot be wired as the scene asks, why the driver that it names does not fit, or which
// modules no driver feeds together, with junctions at the tables' temperature; empty where they can and it does, and
// where the scene asks for no wiring. Of several currents the request is for one at most, and no word is said of it.
func Warnings(s *scene.Scene) (list []finding.Finding) {
	if s.Wiring.At == (finding.Place{}) {
		return nil
	}
	groups, err := wireGroups(s, Request{})
	if err != nil {
		return nil
	}
	for i := range groups {
		g, why := &groups[i], ""
		if len(groups) > 1 {
			g.Job.Request = circuit.Request{}
		}
		if g.Plan, err = circuit.Design(g.Job); err != nil {
			why = err.Error()
		} else if !g.Fed() {
			why = g.Plan.Chosen.Why
		}
		if g.Serve = serve(s, g); g.Serve != "" {
			why += "; " + g.Serve
		}
		if why != "" {
			list = append(list, finding.NotWired.Of(finding.Text(why)).At(s.Wiring.At))
		}
	}
	return list
}

// wireGroups divides the scene's job by current.
func wireGroups(s *scene.Scene, w Request) ([]Group, error) {
	whole := CircuitJob(s, w)
	if len(whole.Modules) == 0 {
		return nil, circuit.ErrNothing
	}
	seats := s.Seats()
	var groups []Group
	for _, members := range circuit.ByCurrent(whole.Modules) {
		g := Group{Members: members, Job: whole}
		g.Job.Modules, g.Job.Use.FluxLm = nil, 0
		for _, i := range members {
			one := whole.Modules[i]
			g.Job.Modules = append(g.Job.Modules, one)
			g.Job.Use.FluxLm += leavingLm(s.Rails[seats[i].Rail].Modules[seats[i].Module], one.JunctionC)
		}
		groups = append(groups, g)
	}
	return groups, nil
}

// design answers the group's job: with the request as it is where the group is alone, otherwise with as much of it as a
// driver serves.
func (g *Group) design(alone bool) (err error) {
	ask := g.Job.Request
	if alone || ask == (circuit.Request{}) {
		g.Plan, err = circuit.Design(g.Job)
		return err
	}
	for _, less := range []circuit.Request{ask, {Strings: ask.Strings}, {Driver: ask.Driver}, {}} {
		g.Job.Request = less
		g.Plan, err = circuit.Design(g.Job)
		if err == nil && g.Fed() {
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

// Split returns the chosen split; ok is false where nothing could be chosen.
func (g *Group) Split() (split circuit.Split, ok bool) {
	if k := g.Plan.Chosen.Split; k >= 0 && k < len(g.Plan.Splits) {
		return g.Plan.Splits[k], true
	}
	return circuit.Split{}, false
}

// Fit returns the chosen driver as it was held against the chosen split, fitting or not; ok is false where there is
// none.
func (g *Group) Fit() (fit circuit.Fit, ok bool) {
	split, ok := g.Split()
	if k := g.Plan.Chosen.Fit; ok && k >= 0 && k < len(split.Fits) {
		return split.Fits[k], true
	}
	return circuit.Fit{}, false
}

// CurrentA returns the wanted current of the group's modules.
func (g *Group) CurrentA() float64 { return g.Job.Modules[0].CurrentA }

// StringMembers returns the modules of the string of a number, from 1, over the groups: by their number over all
// rails. It is nil where there is no such string.
func StringMembers(groups []Group, number int) []int {
	for _, g := range groups {
		k := number - g.FirstString
		if k < 0 || k >= len(g.Plan.Circuit.Number) {
			continue
		}
		return g.members(g.Plan.Circuit.Number[k])
	}
	return nil
}

// members returns modules of the group by their number over all rails.
func (g Group) members(of []int) (all []int) {
	for _, i := range of {
		all = append(all, g.Members[i])
	}
	return all
}

// StringModules returns the modules of each string of the scene, by their number over all rails: the strings of Wire,
// in the balance of heat, with all modules alive and whatever driver there is.
func StringModules(s *scene.Scene) (all [][]int, err error) {
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
	if err != nil {
		return nil, err
	}
	for _, g := range groups {
		for _, members := range g.Plan.Circuit.Number {
			all = append(all, g.members(members))
		}
	}
	return all, nil
}

// WithDead returns a copy of the scene in which the modules of these numbers over all rails, from 0, are dead.
func WithDead(s *scene.Scene, members []int) (*scene.Scene, error) {
	out := s.Copy()
	seats := s.Seats()
	for _, i := range members {
		if i < 0 || i >= len(seats) {
			return nil, fmt.Errorf("no module has the index %d; the scene has %d modules", i, len(seats))
		}
		out.Rails[seats[i].Rail].Modules[seats[i].Module].Dead = true
	}
	return out, nil
}
