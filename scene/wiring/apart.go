package wiring

import (
	"fmt"
	"slices"
	"strings"

	"fathomlux/scene"
	"fathomlux/scene/circuit"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
)

// mostPortions is how many drivers are named one by one where one cannot feed all modules; nobody reads more in a
// sentence.
const mostPortions = 8

// Fed tells whether a driver fits the group as it is wired.
func (g *Group) Fed() bool {
	fit, ok := g.Fit()
	return ok && fit.Fits
}

// Unfeedable says why no driver at hand feeds the modules, whichever the scene names; empty where some do, and where
// the scene does not speak of its wiring. A goal is not met by a light that has no driver.
func Unfeedable(s *scene.Scene) string {
	if w := s.Wiring; w.Driver.Name == "" && w.Strings == 0 && w.HoursPerDay == 0 && w.TariffPerKWh.Currency == "" {
		return ""
	}
	s = s.Copy()
	s.Wiring.Driver, s.Wiring.Strings = parts.Driver{}, 0
	return Unfed(s)
}

// Unfed says why the modules have no driver, empty where they have one: that which the scene names does not feed them
// in the strings that it asks for, or, where it asks for neither, none at hand does, nor several. Junctions are at the
// tables' temperature. Of several currents the request is for one at most, and none counts.
func Unfed(s *scene.Scene) string {
	groups, _ := wireGroups(s, Request{}) // without modules there is nothing to feed
	for i := range groups {
		g := &groups[i]
		if len(groups) > 1 || g.Job.Request == (circuit.Request{}) {
			if !circuit.Feedable(g.Job) {
				return fmt.Sprintf("no driver feeds the modules at %s, however they are divided into strings and over drivers",
					unit.Current.Say(g.CurrentA()))
			}
			continue
		}
		var err error
		if g.Plan, err = circuit.Design(g.Job); err != nil {
			return err.Error()
		}
		if !g.Fed() {
			return g.Plan.Chosen.Why
		}
	}
	return ""
}

// serve says what would serve a group whose modules no driver feeds all together: several drivers, or one that the
// parts do not hold; empty where one of theirs feeds them or nothing is known.
func serve(s *scene.Scene, g *Group) string {
	if len(g.Plan.Apart) == 0 {
		return g.Plan.Wanted
	}
	var list []string
	for _, p := range g.Plan.Apart {
		if len(list) == mostPortions {
			list = append(list, fmt.Sprintf("and %d more", len(g.Plan.Apart)-mostPortions))
			break
		}
		line := fmt.Sprintf("%s (up to %.0f V) on %s", PortionName(s, g, p), p.HighestV, p.Driver)
		if p.Touch == circuit.AboveTouch {
			line += ", above the 60 V of bare live parts even in dry places"
		}
		list = append(list, line)
	}
	return fmt.Sprintf("split them over %d drivers and write a scene for each, as one scene has one driver for all "+
		"its modules of one current: %s",
		len(g.Plan.Apart), strings.Join(list, "; "))
}

// PortionName says which modules of a group one driver feeds, and in which strings.
func PortionName(s *scene.Scene, g *Group, p circuit.Portion) string {
	members := g.members(p.Members)
	word := "strings"
	if p.Strings == 1 {
		word = "string"
	}
	return fmt.Sprintf("%s as %d %s of %d", ranges(s, members), p.Strings, word, p.PerString)
}

// ranges writes modules, by their number over all rails, as the command line takes them: "front:1-8,11 and middle:1".
func ranges(s *scene.Scene, members []int) string {
	seats := s.Seats()
	members = slices.Sorted(slices.Values(members))
	var words []string
	for i := 0; i < len(members); {
		at := seats[members[i]]
		lead := ","
		if i == 0 || seats[members[i-1]].Rail != at.Rail {
			lead = s.Rails[at.Rail].Name + ":"
		}
		last := i
		for last+1 < len(members) && members[last+1] == members[last]+1 && seats[members[last+1]].Rail == at.Rail {
			last++
		}
		word := fmt.Sprintf("%d", at.Module+1)
		if last > i {
			word += fmt.Sprintf("-%d", seats[members[last]].Module+1)
		}
		if lead == "," {
			words[len(words)-1] += lead + word
		} else {
			words = append(words, lead+word)
		}
		i = last + 1
	}
	return strings.Join(words, " and ")
}
