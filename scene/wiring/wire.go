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
	"fathomlux/scene/document"
	"fathomlux/scene/finding"
	"fathomlux/scene/operating"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
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

// Group is the modules of one driver with the answer to their wiring.
type Group struct {
	Name, Channel string // of the driver, each another one, and of what it dims with
	Site          scene.Site
	Level         float64 // of the channel, as a share of full light; all else holds for full light
	Job           circuit.Job
	circuit.Plan
	RunnerUp finding.Finding   // what came second where fathomlux splits the modules, in words with why it lost
	FluxLm   float64           // that leaves the optics, by the parts' drift at the junction temperatures
	Notes    []finding.Finding // what of the scene's request was left open
	asked    bool              // the scene names the driver, with what it feeds
}

// wireGroups divides the modules of a scene by the drivers that it names, or else by channel, part and current, with
// the library's drivers and the scene's own request. Dead modules are wired like all others, and count as if they gave
// light.
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
	for _, one := range slices.Concat(s.Mounted()...) {
		if w.JunctionC != nil {
			one.JunctionC = w.JunctionC(one)
		}
		m := s.Rails[one.Rail].Modules[one.Number-1]
		k := slices.IndexFunc(groups, func(g Group) bool {
			first := g.Job.Modules[0]
			of := s.Rails[first.Rail].Modules[first.Number-1]
			return len(s.Wiring.Supplies) > 0 && m.Supply == of.Supply || len(s.Wiring.Supplies) == 0 &&
				m.Channel == of.Channel && m.Part.Name == of.Part.Name && circuit.SameCurrent(m.CurrentA, of.CurrentA)
		})
		if k < 0 {
			k = len(groups)
			groups = append(groups, newGroup(s, m, job))
		}
		groups[k].Job.Modules = append(groups[k].Job.Modules, one)
	}
	return groups
}

// newGroup is the group of a module, still empty.
func newGroup(s *scene.Scene, m scene.Module, job circuit.Job) Group {
	g := Group{Name: m.Part.Name, Level: 1, Job: job}
	if len(s.Wiring.Channels) > 0 {
		c := s.Wiring.Channels[m.Channel]
		g.Channel, g.Level = c.Name, c.Level
		g.Job.Channel = circuit.Channel{Name: c.Name, Dims: c.Level < 1, Pulses: c.Dimming == parts.ByPulses}
	}
	if len(s.Wiring.Supplies) > 0 {
		v := s.Wiring.Supplies[m.Supply]
		g.Name, g.Site, g.asked = v.Name, v.Site, true
		g.Job.Request = circuit.Request{Strings: v.Strings, Driver: v.Driver.Name}
	}
	g.Job.NearWater = g.Site != scene.WallSite
	return g
}

// flux adds up the light of a group's modules behind the optics, lm.
func (g *Group) flux(s *scene.Scene) {
	for _, one := range g.Job.Modules {
		m := s.Rails[one.Rail].Modules[one.Number-1]
		m.Dead, m.Draw, m.Dim = false, nil, parts.Dim{}
		g.FluxLm += m.FluxLm() * m.Part.RelativeFlux(one.JunctionC) * m.Optic.Efficiency
	}
}

// Wire answers how the scene is wired: one group for each driver, in the order of the modules in the file. Where the
// scene names no drivers, the modules of each channel, part and current are split over as few as serve; of several such
// kinds each takes as much of the scene's request as serves it. The error tells why nothing can be wired, or why the
// request cannot be had.
func Wire(s *scene.Scene, w Request) ([]Group, error) {
	kinds, before := wireGroups(s, w), 0
	if len(kinds) == 0 {
		return nil, circuit.ErrNothing
	}
	var groups []Group
	for _, kind := range kinds {
		split, err := kind.split(len(kinds) == 1 || kind.asked)
		for i := range split {
			g := &split[i]
			g.Job.Before = before
			if err == nil {
				g.Plan, err = circuit.Design(g.Job)
			}
			g.flux(s)
			before += len(g.Circuit.Strings)
		}
		if err != nil {
			return nil, fmt.Errorf("wiring: %w", err)
		}
		groups = append(groups, split...)
	}
	nameApart(groups)
	return groups, nil
}

// nameApart numbers the drivers of one name.
func nameApart(groups []Group) {
	count, n := map[string]int{}, map[string]int{}
	for _, g := range groups {
		count[g.Name]++
	}
	for i := range groups {
		if g := &groups[i]; count[g.Name] > 1 {
			n[g.Name]++
			g.Name = fmt.Sprintf("%s %d", g.Name, n[g.Name])
		}
	}
}

// split splits a kind over drivers, where the scene asks for none in particular. Where the request is not for this kind
// alone, it takes as much of it as a driver serves.
func (g Group) split(alone bool) (groups []Group, err error) {
	if err := g.oneCurrent(); err != nil {
		return nil, err
	}
	ask := g.Job.Request
	if g.asked || alone && ask != (circuit.Request{}) {
		return []Group{g}, nil
	}
	for _, g.Job.Request = range []circuit.Request{ask, {Strings: ask.Strings}, {Driver: ask.Driver}, {}} {
		if g.Job.Request == (circuit.Request{}) {
			break
		}
		if p, err := circuit.Choose(g.Job); err == nil && p.Chosen.Fed() {
			g.note(ask)
			return []Group{g}, nil
		}
	}
	g.note(ask)
	d, err := circuit.Divide(g.Job)
	if err != nil || len(d.Jobs) == 0 {
		return []Group{g}, err
	}
	for _, job := range d.Jobs {
		one := g
		one.Job, one.RunnerUp, g.Notes = job, d.RunnerUp, nil // said once, of the first
		groups = append(groups, one)
	}
	return groups, nil
}

// note says what of a request the group leaves open.
func (g *Group) note(ask circuit.Request) {
	if ask.Strings != g.Job.Request.Strings {
		g.Notes = append(g.Notes, finding.StringsNotServing.Of(finding.Text(g.Name), finding.Count{N: ask.Strings,
			Noun: "string"}))
	}
	if ask.Driver != g.Job.Request.Driver {
		g.Notes = append(g.Notes, finding.DriverNotServing.Of(finding.Text(g.Name), finding.Text(ask.Driver)))
	}
}

// oneCurrent refuses modules of several currents on one driver.
func (g Group) oneCurrent() error {
	list := circuit.ByCurrent(g.Job.Modules)
	if len(list) == 1 {
		return nil
	}
	a, b := list[0][0], list[1][0]
	return fmt.Errorf("driver %s: modules %s at %s and %s at %s cannot share a constant-current driver; give them one "+
		"current, or a driver each", g.Name, a.Name, unit.Current.Say(a.CurrentA), b.Name, unit.Current.Say(b.CurrentA))
}

// Number returns the number of the i-th string of the group, from 1; strings are numbered through over all groups.
func (g *Group) Number(i int) int { return g.Job.Before + i + 1 }

// CurrentA returns the wanted current of the group's modules.
func (g *Group) CurrentA() float64 { return g.Job.Modules[0].CurrentA }

// Warnings says why the modules cannot be wired as the scene asks, why the driver that it names does not fit, or which
// modules no drivers feed, with junctions at the tables' temperature; empty where they can and it does, and where the
// scene asks for no wiring. Of several kinds each takes what of a request for strings or a driver serves it.
func Warnings(s *scene.Scene) (list []finding.Finding) {
	if s.Wiring.At == (finding.Place{}) {
		return nil
	}
	groups := wireGroups(s, Request{})
	if len(groups) > 1 && !groups[0].asked && groups[0].Job.Request != (circuit.Request{}) {
		list = append(list, finding.RequestOfOneKind.Of(finding.Count{N: len(groups), Noun: "kind"}).At(s.Wiring.At))
	}
	for i := range groups {
		g := &groups[i]
		if len(groups) > 1 && !g.asked {
			g.Job.Request = circuit.Request{}
		}
		err := g.oneCurrent()
		if err == nil {
			g.Plan, err = circuit.Choose(g.Job)
		}
		if err != nil {
			list = append(list, finding.NotWired.Of(finding.Cause(err)).At(s.Wiring.At))
		} else if one := g.asked || g.Job.Request != (circuit.Request{}); !g.Chosen.Fed() &&
			(one || len(g.Apart) == 0 && !circuit.Feedable(g.Job)) {
			list = append(list, finding.NotWired.Of(g.Choice(s)).At(s.Wiring.At))
		}
	}
	return list
}

// StringV returns the forward voltage of one string right after switching on, the mean over the strings that the scene
// asks for; 0 where it asks for none, where its modules cannot be divided into so many, and where they are of several
// kinds, which have strings of their own.
func StringV(s *scene.Scene) float64 {
	n := s.Wiring.Strings
	if n < 1 || len(s.Seats())%n != 0 || len(wireGroups(s, Request{})) > 1 {
		return 0
	}
	return s.AtSwitchOn().SeriesV / float64(n)
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
	if s.Wiring.Strings < 1 && len(s.Wiring.Supplies) == 0 {
		return nil, errors.New("the scene does not say how many strings there are; give wiring: {strings: 2}")
	}
	groups, err := alive(s)
	return Strings(groups), err
}

// DriverModules returns the modules that the driver of a name feeds, as Wire names it.
func DriverModules(s *scene.Scene, name string) ([]parts.Mounted, error) {
	groups, err := alive(s)
	var names []string
	for _, g := range groups {
		if g.Name == name {
			return g.Job.Modules, nil
		}
		names = append(names, g.Name)
	}
	if err == nil {
		err = errors.New(document.Unknown("driver", name, names))
	}
	return nil, err
}

// alive wires the scene in the balance of heat, with all modules alive.
func alive(s *scene.Scene) ([]Group, error) {
	c := s.Copy()
	for _, at := range c.Seats() {
		c.Rails[at.Rail].Modules[at.Module].Dead = false
	}
	var ask Request
	var err error
	if ask.JunctionC, _, err = operating.WorkingJunctions(c); err != nil {
		return nil, err
	}
	return Wire(c, ask)
}

// WithDead returns a copy of the scene in which these modules are dead.
func WithDead(s *scene.Scene, modules []parts.Mounted) *scene.Scene {
	out := s.Copy()
	for _, m := range modules {
		out.Rails[m.Rail].Modules[m.Number-1].Dead = true
	}
	return out
}
