package circuit

import (
	"maps"
	"slices"

	"fathomlux/scene/parts"
)

// apart divides the modules of a job, which was checked, over several drivers: by rail where each rail by itself has a
// driver at or below 60 V, otherwise along the rails, with as few strings above 60 V, then as few drivers, then as even
// parts as can be. It is nil where some module has no driver however the others are divided. Splits are of a part of
// the job's modules.
func apart(job Job) []Pick {
	rails := railsOf(job.Modules)
	var byRail []Pick
	for _, members := range rails {
		if p := portion(job, members); p.Fed() && p.Split.Touch != AboveTouch {
			byRail = append(byRail, p)
		}
	}
	if len(rails) > 1 && len(byRail) == len(rails) {
		return byRail
	}
	return fewest(job, slices.Concat(rails...))
}

// Feedable tells whether drivers of a job can feed all its modules, together or divided among several. A job that is
// wrong in itself counts as one that they can: what is wrong is told where it is wired.
func Feedable(job Job) bool {
	return job.check() != nil || portion(job, slices.Concat(railsOf(job.Modules)...)).Fed() || apart(job) != nil
}

// division is the best way found to feed a row from some place to its end.
type division struct {
	cost  [3]int // portions above 60 V, all portions, and the sum of their squared lengths
	first Pick
	found bool
}

// fewest divides a row of modules into runs, from its end to its beginning; of equal ways that whose first run is the
// longest.
func fewest(job Job, row []int) []Pick {
	best := make([]division, len(row)+1)
	best[len(row)].found = true
	for i := len(row) - 1; i >= 0; i-- {
		for k := longestRun(job, row[i:]); k >= 1; k-- {
			rest := best[i+k]
			p := portion(job, row[i:i+k])
			if !p.Fed() || !rest.found {
				continue
			}
			now := division{cost: [3]int{rest.cost[0], rest.cost[1] + 1, rest.cost[2] + k*k}, first: p, found: true}
			if p.Split.Touch == AboveTouch {
				now.cost[0]++
			}
			if !best[i].found || slices.Compare(now.cost[:], best[i].cost[:]) < 0 {
				best[i] = now
			}
		}
	}
	var all []Pick
	for i := 0; i < len(row) && best[i].found; {
		first := best[i].first
		all, i = append(all, first), i+first.Split.Strings*first.Split.PerString
	}
	return all
}

// longestRun returns how many modules from the first on the strongest driver could feed by its power alone.
func longestRun(job Job, row []int) int {
	strongestW, loadW := 0.0, 0.0
	for _, d := range job.Drivers {
		strongestW = max(strongestW, d.RatedW)
	}
	for n, i := range row {
		m := job.Modules[i]
		loadW += at(m, m.JunctionC) * m.CurrentA
		if loadW*(1+job.Given.MarginShare) > strongestW*(1+roundingShare) {
			return n
		}
	}
	return len(row)
}

// portion finds the strings and the driver for some modules as choose does; nothing where no driver fits. They are
// dealt to strings in turn, each kind for itself, which moves voltages by no more than unlike junctions do.
func portion(job Job, members []int) (best Pick) {
	part := job
	part.Modules = pick(job.Modules, members)
	kinds := kindsOf(part.Modules)
	for strings := 1; strings <= len(members); strings++ {
		s := Split{Strings: strings, PerString: len(members) / strings, Of: make([][]int, strings)}
		if len(members)%strings != 0 || unequal(part.Modules, kinds, strings).Any() {
			continue
		}
		part.Drivers = maps.Clone(job.Drivers) // only those that give the current: most splits have none
		maps.DeleteFunc(part.Drivers, func(_ string, d parts.Driver) bool {
			return !slices.ContainsFunc(d.CurrentsA, func(a float64) bool {
				return gives(a, float64(strings)*part.Modules[0].CurrentA)
			})
		})
		if len(part.Drivers) == 0 {
			continue
		}
		dealt := make([]int, len(kinds))
		for i, kind := range kinds {
			s.Of[dealt[kind]%strings] = append(s.Of[dealt[kind]%strings], i)
			dealt[kind]++
		}
		s.measure(part)
		s.Fits = fits(part, s)
		if fit := s.fit(""); fit != nil && (!best.Fed() || s.Touch < best.Split.Touch) {
			for n, of := range s.Of {
				s.Of[n] = pick(members, of)
			}
			best = Pick{Split: &s, Fit: fit}
		}
	}
	return best
}
