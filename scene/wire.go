package scene

import (
	"errors"
	"fmt"
	"math"
	"strconv"

	"fathomlux/scene/circuit"
	"fathomlux/scene/heat"
)

// Seat is a module's place in the scene: the index of its rail, and its own on that rail, both from 0.
type Seat struct{ Rail, Module int }

// Seats returns the places of all modules, rail by rail in the order of the file. Indices over all rails follow this order;
// no word shows them.
func (s *Scene) Seats() []Seat {
	var all []Seat
	for r := range s.Rails {
		for m := range s.Rails[r].Modules {
			all = append(all, Seat{Rail: r, Module: m})
		}
	}
	return all
}

// SeatName writes a place as the command line takes it and as all words, tables and documents name it: modules are counted
// from 1 on each rail, "blue:3" where there are several rails and "3" on the only one.
func (s *Scene) SeatName(at Seat) string {
	return seatName(len(s.Rails), s.Rails[at.Rail].Name, at.Module)
}

func seatName(rails int, name string, module int) string {
	if rails == 1 {
		return strconv.Itoa(module + 1)
	}
	return fmt.Sprintf("%s:%d", name, module+1)
}

// WireWish is what a wiring needs beyond the scene.
type WireWish struct {
	JunctionC func(i int) float64 // junction temperature of the i-th module in operation, degrees Celsius
	LeadM     float64             // cable from the driver to the first rail
	FeedRight bool                // the leads reach the rails at their right ends
}

// slackOfLeadM is how much longer a cable from rail to rail is than the straight way. Common practice, no published
// source.
const slackOfLeadM = 0.1

// CircuitJob returns all modules of the scene as one job of wiring, with the library's drivers and the scene's own
// wish. A job is for one current: see Wire for scenes with several. Dead modules are wired like all others. The light
// counted is that which leaves the optics, by the parts' drift at the junction temperatures.
func (s *Scene) CircuitJob(w WireWish) circuit.Job {
	job := circuit.Job{
		Drivers: s.Catalogue.Drivers,
		Wish:    circuit.Wish{Strings: s.Wiring.Strings, Driver: s.Wiring.Driver.Name},
		Feed:    circuit.Feed{Right: w.FeedRight, LeadM: w.LeadM, BetweenRailsM: s.betweenRailsM(w.FeedRight)},
		Use:     circuit.Use{HoursPerDay: s.Wiring.HoursPerDay, TariffPerKWh: s.Wiring.TariffPerKWh},
		Given:   circuit.Usual(s.Ambient.AirC),
	}
	for _, r := range s.Rails {
		job.RailLengthsM = append(job.RailLengthsM, r.LengthM)
	}
	for i, at := range s.Seats() {
		rail := s.Rails[at.Rail]
		m := rail.Modules[at.Module]
		one := circuit.Module{Name: s.SeatName(at), Part: m.Part, CurrentA: m.CurrentA, JunctionC: m.Part.ReferenceC,
			Rail: at.Rail, AlongM: m.XM - rail.LeftM}
		if w.JunctionC != nil {
			one.JunctionC = w.JunctionC(i)
		}
		job.Modules = append(job.Modules, one)
		job.Use.FluxLm += m.leavingLm(one.JunctionC)
	}
	return job
}

// leavingLm returns the light that leaves a module's optic at a junction temperature, as if it were not dead.
func (m Module) leavingLm(junctionC float64) float64 {
	m.Dead, m.Warmth = false, nil
	d, _ := heat.Module{Part: m.Part, CurrentA: m.CurrentA}.Draw(junctionC) // range was checked when the scene was read
	return m.FluxLm() * d.RelativeFlux * m.Optic.Efficiency
}

// JunctionC returns the junction temperature of the i-th module over all rails, from 0, as WireWish takes it.
func (o *Operating) JunctionC(i int) float64 {
	for _, r := range o.Rails {
		if i < len(r.Modules) {
			return r.Modules[i].JunctionC
		}
		i -= len(r.Modules)
	}
	return o.AirC
}

// betweenRailsM returns the longest way between the fed ends of two neighbouring rails, with some slack; 0 for one
// rail.
func (s *Scene) betweenRailsM(right bool) float64 {
	end := func(r Rail) float64 {
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

// WireGroup is the modules of one current with the answer to their wiring: they share a driver.
type WireGroup struct {
	Members     []int // by their number over all rails, from 0; circuit's indices count along this list
	Job         circuit.Job
	Plan        circuit.Plan
	FirstString int      // number of its first string, from 1; strings are numbered through over all groups
	Notes       []string // what of the scene's wish was left open, and why
	Serve       string   // what would serve where no driver feeds all modules of the group, in words
}

// Wire answers how the scene is wired: one group for each current that modules are for, in the order of the file. Of
// several groups each takes as much of the scene's wish as serves it. The error tells why nothing can be wired, or why
// the wish cannot be had.
func (s *Scene) Wire(w WireWish) ([]WireGroup, error) {
	groups, err := s.wireGroups(w)
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
		g.Serve = s.serve(g)
		first += len(g.Plan.Circuit.Strings)
	}
	return groups, nil
}

// wiringMisfits says why the modules cannot be wired as the scene asks, why the driver that it names does not fit, or
// which modules no driver feeds together, with junctions at the tables' temperature; empty where they can and it does.
// Of several currents the wish is for one at most, and no word is said of it.
func (s *Scene) wiringMisfits() (lines []string) {
	groups, err := s.wireGroups(WireWish{})
	if err != nil {
		return nil
	}
	for i := range groups {
		g := &groups[i]
		if len(groups) > 1 {
			g.Job.Wish = circuit.Wish{}
		}
		if g.Plan, err = circuit.Design(g.Job); err != nil {
			lines = append(lines, err.Error())
		} else if !g.Fed() {
			lines = append(lines, g.Plan.Chosen.Why)
		}
		if g.Serve = s.serve(g); g.Serve != "" {
			lines[len(lines)-1] += "; " + g.Serve
		}
	}
	return lines
}

// wireGroups divides the scene's job by current.
func (s *Scene) wireGroups(w WireWish) ([]WireGroup, error) {
	whole := s.CircuitJob(w)
	if len(whole.Modules) == 0 {
		return nil, circuit.ErrNothing
	}
	seats := s.Seats()
	var groups []WireGroup
	for _, members := range circuit.ByCurrent(whole.Modules) {
		g := WireGroup{Members: members, Job: whole}
		g.Job.Modules, g.Job.Use.FluxLm = nil, 0
		for _, i := range members {
			one := whole.Modules[i]
			g.Job.Modules = append(g.Job.Modules, one)
			g.Job.Use.FluxLm += s.Rails[seats[i].Rail].Modules[seats[i].Module].leavingLm(one.JunctionC)
		}
		groups = append(groups, g)
	}
	return groups, nil
}

// design answers the group's job: with the wish as it is where the group is alone, otherwise with as much of it as a
// driver serves.
func (g *WireGroup) design(alone bool) (err error) {
	wish := g.Job.Wish
	if alone || wish == (circuit.Wish{}) {
		g.Plan, err = circuit.Design(g.Job)
		return err
	}
	for _, less := range []circuit.Wish{wish, {Strings: wish.Strings}, {Driver: wish.Driver}, {}} {
		g.Job.Wish = less
		g.Plan, err = circuit.Design(g.Job)
		if err == nil && g.Fed() {
			break
		}
	}
	if wish.Strings != g.Job.Wish.Strings {
		g.Notes = append(g.Notes, fmt.Sprintf("%d strings, which the scene asks for, do not serve these modules",
			wish.Strings))
	}
	if wish.Driver != g.Job.Wish.Driver {
		g.Notes = append(g.Notes, fmt.Sprintf("driver %s, which the scene asks for, does not serve these modules",
			wish.Driver))
	}
	return err
}

// Split returns the chosen split; ok is false where nothing could be chosen.
func (g *WireGroup) Split() (split circuit.Split, ok bool) {
	if k := g.Plan.Chosen.Split; k >= 0 && k < len(g.Plan.Splits) {
		return g.Plan.Splits[k], true
	}
	return circuit.Split{}, false
}

// Fit returns the chosen driver as it was held against the chosen split, fitting or not; ok is false where there is
// none.
func (g *WireGroup) Fit() (fit circuit.Fit, ok bool) {
	split, ok := g.Split()
	if k := g.Plan.Chosen.Fit; ok && k >= 0 && k < len(split.Fits) {
		return split.Fits[k], true
	}
	return circuit.Fit{}, false
}

// CurrentA returns the wanted current of the group's modules.
func (g *WireGroup) CurrentA() float64 { return g.Job.Modules[0].CurrentA }

// StringMembers returns the modules of the string of a number, from 1, over the groups: by their number over all
// rails. It is nil where there is no such string.
func StringMembers(groups []WireGroup, number int) []int {
	for _, g := range groups {
		k := number - g.FirstString
		if k < 0 || k >= len(g.Plan.Circuit.Number) {
			continue
		}
		var all []int
		for _, i := range g.Plan.Circuit.Number[k] {
			all = append(all, g.Members[i])
		}
		return all
	}
	return nil
}

// stringMembers returns the modules of each string of the scene, by their number over all rails. Where all modules are
// for one current they are dealt to the strings that the scene asks for, whatever driver there is; otherwise the
// strings are those of Wire, in the balance of heat.
func (s *Scene) stringMembers() ([][]int, error) {
	if s.Wiring.Strings < 1 {
		return nil, errors.New("the scene does not say how many strings there are; give wiring: {strings: 2}")
	}
	groups, err := s.wireGroups(WireWish{})
	if err != nil {
		return nil, err
	}
	if len(groups) > 1 {
		return s.wiredStrings()
	}
	dealt, err := circuit.Deal(groups[0].Job, s.Wiring.Strings)
	if err != nil {
		return nil, fmt.Errorf("wiring.strings: %w", err)
	}
	return dealt, nil // one group holds all modules, in their order
}

// wiredStrings returns the modules of the strings of Wire with all modules alive.
func (s *Scene) wiredStrings() (all [][]int, err error) {
	alive := s.bare()
	for _, at := range alive.Seats() {
		alive.Rails[at.Rail].Modules[at.Module].Dead = false
	}
	var w WireWish
	if w.JunctionC, _, err = alive.WorkingJunctions(); err != nil {
		return nil, err
	}
	groups, err := alive.Wire(w)
	for number := 1; err == nil; number++ {
		members := StringMembers(groups, number)
		if members == nil {
			break
		}
		all = append(all, members)
	}
	return all, err
}

// WorkingJunctions returns the junction temperature of each module over all rails in the balance of heat, and that
// balance; where there is none, the highest temperatures that the parts allow, and nil.
func (s *Scene) WorkingJunctions() (junctionC func(i int) float64, o *Operating, err error) {
	o, err = s.Operate()
	switch {
	case err == nil:
		return o.JunctionC, o, nil
	case errors.Is(err, heat.ErrTooHot):
		seats := s.Seats()
		return func(i int) float64 { return s.Rails[seats[i].Rail].Modules[seats[i].Module].Part.HighestJunctionC }, nil, nil
	}
	return nil, nil, err
}

// WithDead returns a copy of the scene in which the modules of these numbers over all rails, from 0, are dead.
func (s *Scene) WithDead(members []int) (*Scene, error) {
	out, err := s.With()
	if err != nil {
		return nil, err
	}
	seats := s.Seats()
	for _, i := range members {
		if i < 0 || i >= len(seats) {
			return nil, fmt.Errorf("no module has the index %d; the scene has %d modules", i, len(seats))
		}
		out.Rails[seats[i].Rail].Modules[seats[i].Module].Dead = true
	}
	return out, nil
}
