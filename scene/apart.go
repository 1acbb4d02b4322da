package scene

import (
	"fmt"
	"slices"
	"strings"

	"fathomlux/scene/circuit"
)

// mostPortions is how many drivers are named one by one where one cannot feed all modules; nobody reads more in a sentence.
const mostPortions = 8

// Fed tells whether a driver fits the group as it is wired.
func (g *WireGroup) Fed() bool {
	fit, ok := g.Fit()
	return ok && fit.Fits
}

// serve says what would serve a group whose modules no driver feeds all together: several drivers, or one that the
// parts do not hold; empty where one of theirs feeds them or nothing is known.
func (s *Scene) serve(g *WireGroup) string {
	if len(g.Plan.Apart) == 0 {
		return g.Plan.Wanted
	}
	var list []string
	for _, p := range g.Plan.Apart {
		if len(list) == mostPortions {
			list = append(list, fmt.Sprintf("and %d more", len(g.Plan.Apart)-mostPortions))
			break
		}
		var members []int
		for _, k := range p.Members {
			members = append(members, g.Members[k])
		}
		strings := "strings"
		if p.Strings == 1 {
			strings = "string"
		}
		line := fmt.Sprintf("%s as %d %s of %d (up to %.0f V) on %s", s.ranges(members), p.Strings, strings, p.PerString, p.HighestV, p.Driver)
		if p.Touch == circuit.AboveTouch {
			line += ", above the 60 V of bare live parts even in dry places"
		}
		list = append(list, line)
	}
	return fmt.Sprintf("split them over %d drivers and write a scene for each, as one scene has one driver for all its modules of one current: %s",
		len(g.Plan.Apart), strings.Join(list, "; "))
}

// ranges writes modules, by their number over all rails, as the command line takes them: "front:1-8,11 and middle:1".
func (s *Scene) ranges(members []int) string {
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
