package wiring

import (
	"fmt"
	"slices"

	"fathomlux/scene"
	"fathomlux/scene/circuit"
	"fathomlux/scene/finding"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
)

// Unfeedable says why no driver at hand feeds the modules, whichever the scene names; nothing where some do, and where
// the scene does not speak of its wiring. A goal is not met by a light that has no driver.
func Unfeedable(s *scene.Scene) (why finding.Finding) {
	if w := s.Wiring; w.Driver.Name == "" && w.Strings == 0 && len(w.Supplies) == 0 && w.HoursPerDay == 0 &&
		w.TariffPerKWh.Currency == "" {
		return why
	}
	s = s.Copy()
	s.Wiring.Driver, s.Wiring.Strings, s.Wiring.Supplies = parts.Driver{}, 0, nil
	return Unfed(s)
}

// Key returns a text, not for people, that is equal for those copies of one scene whose modules drivers feed alike:
// wherever they sit and whatever their optics.
func Key(s *scene.Scene) string {
	var b []byte
	for i, r := range s.Rails {
		for _, m := range r.Modules {
			b = fmt.Appendf(b, "%d %q %x %v %x %d %d\n", i, m.Part.Name, m.CurrentA, m.Dead, m.Dim.Below, m.Dim.By, m.Supply)
		}
	}
	return string(b)
}

// Unfed says why the modules have no driver, if they have none: that which the scene names does not feed them
// in the strings that it asks for, or, where it asks for neither, none at hand does, nor several. Junctions are at the
// tables' temperature. Of several currents the request is for one at most, and none counts.
func Unfed(s *scene.Scene) (why finding.Finding) {
	groups := wireGroups(s, Request{})
	for i := range groups {
		g := &groups[i]
		if !g.asked && (len(groups) > 1 || g.Job.Request == (circuit.Request{})) {
			if !circuit.Feedable(g.Job) {
				return finding.NotFeedable.Of(finding.Amount{Of: unit.Current, Value: g.CurrentA()})
			}
			continue
		}
		plan, err := circuit.Choose(g.Job)
		if other := g.oneCurrent(); err == nil {
			err = other
		}
		switch {
		case err != nil:
			return finding.NotWired.Of(finding.Cause(err))
		case !plan.Chosen.Fed():
			return plan.Chosen.Why
		}
	}
	return why
}

// Serve says what would serve a group whose modules no driver feeds all together: one that the parts do not hold, or
// several drivers; nothing where one of theirs feeds them or nothing is known.
func (g *Group) Serve(s *scene.Scene) (list []finding.Finding) {
	if g.Wanted.Any() {
		list = append(list, g.Wanted)
	}
	var portions finding.List
	for _, p := range g.Apart {
		portions = append(portions, finding.PortionDriver.Of(g.Portion(s, p), finding.Value{V: p.Split.HighestV, Unit: "V"},
			finding.Text(p.Fit.Verdict.Touch.String()), finding.Text(p.Fit.Driver.Name)))
	}
	if len(portions) > 0 {
		list = append(list, finding.SplitOver.Of(finding.Count{N: len(portions), Noun: "driver"}, portions))
	}
	return list
}

// Choice says why something was chosen or nothing was, and what would serve.
func (g *Group) Choice(s *scene.Scene) finding.All {
	return append(finding.All{g.Chosen.Why}, g.Serve(s)...)
}

// Portion says which modules of a group one driver feeds, and in which strings.
func (g *Group) Portion(s *scene.Scene, p circuit.Pick) finding.Finding {
	return finding.Portion.Of(finding.Text(runs(s, slices.Concat(p.Split.Of...))), p.Split.Shape())
}

// runs writes modules as the command line takes them: "front:1-8,11 and middle:1".
func runs(s *scene.Scene, modules []parts.Mounted) string {
	var seats []scene.Seat
	for _, m := range modules {
		seats = append(seats, scene.Seat{Rail: m.Rail, Module: m.Number - 1})
	}
	return s.Runs(seats)
}
