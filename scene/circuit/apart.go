package circuit

import (
	"math"
	"slices"

	"fathomlux/scene/parts"
)

// Portion is a part of a job's modules that one driver feeds by itself.
type Portion struct {
	Members            []int // by their index in the job, along the rails
	Strings, PerString int
	Driver             string  // the best that fits
	HighestV           float64 // of its strings, from warm to a cold start
	Touch              Touch   // class of HighestV
}

// apart divides the modules of a job, which was checked, over several drivers: by rail where each rail by itself has a
// driver at or below 60 V, otherwise along the rails, with as few strings above 60 V, then as few drivers, then as even
// parts as can be. It is nil where some module has no driver however the others are divided.
func apart(job Job) []Portion {
	rails := railsOf(job.Modules)
	var row []int
	var byRail []Portion
	for _, members := range rails {
		along := pick(members, orderOf(places(job.Modules, members)))
		row = append(row, along...)
		if p, ok := portion(job, along); ok && p.Touch != AboveTouch {
			byRail = append(byRail, p)
		}
	}
	if len(rails) > 1 && len(byRail) == len(rails) {
		return byRail
	}
	return fewest(job, row)
}

// Feedable tells whether drivers of a job can feed all its modules, together or divided among several. A job that is
// wrong in itself counts as one that they can: what is wrong is told where it is wired.
func Feedable(job Job) bool {
	if job.check() != nil {
		return true
	}
	all := slices.Concat(railsOf(job.Modules)...)
	_, together := portion(job, all)
	return together || apart(job) != nil
}

// division is the best way found to feed a row from some place to its end.
type division struct {
	cost  [3]int // portions above 60 V, all portions, and the sum of their squared lengths
	first Portion
	found bool
}

// fewest divides a row of modules into runs, from its end to its beginning; of equal ways that whose first run is the
// longest.
func fewest(job Job, row []int) []Portion {
	best := make([]division, len(row)+1)
	best[len(row)].found = true
	for i := len(row) - 1; i >= 0; i-- {
		for k := longestRun(job, row[i:]); k >= 1; k-- {
			rest := best[i+k]
			p, ok := portion(job, row[i:i+k])
			if !ok || !rest.found {
				continue
			}
			now := division{cost: [3]int{rest.cost[0], rest.cost[1] + 1, rest.cost[2] + k*k}, first: p, found: true}
			if p.Touch == AboveTouch {
				now.cost[0]++
			}
			if !best[i].found || slices.Compare(now.cost[:], best[i].cost[:]) < 0 {
				best[i] = now
			}
		}
	}
	var all []Portion
	for i := 0; i < len(row) && best[i].found; i += len(best[i].first.Members) {
		all = append(all, best[i].first)
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

// portion finds the strings and the driver for some modules as recommend does. They are dealt to strings in turn, which
// moves voltages by no more than unlike junctions do.
func portion(job Job, members []int) (best Portion, ok bool) {
	part := job
	part.Modules = pick(job.Modules, members)
	kinds, names := kindsOf(part.Modules)
	for strings := 1; strings <= len(members); strings++ {
		if len(members)%strings != 0 || unequal(kinds, names, strings) != "" ||
			!someGives(job, float64(strings)*part.Modules[0].CurrentA) {
			continue
		}
		s := Split{Strings: strings, PerString: len(members) / strings, Of: inTurn(kinds, strings)}
		s.measure(part)
		if part.Drivers = holding(job, s); len(part.Drivers) == 0 || ok && s.Touch >= best.Touch {
			continue
		}
		s.Fits = fits(part, s)
		if k := s.firstFit(Request{}); k >= 0 {
			best, ok = Portion{Members: members, Strings: strings, PerString: s.PerString, Driver: s.Fits[k].Driver.Name,
				HighestV: s.HighestV, Touch: s.Touch}, true
		}
	}
	return best, ok
}

// someGives tells whether a driver gives a current.
func someGives(job Job, currentA float64) bool {
	for _, d := range job.Drivers {
		if slices.ContainsFunc(d.CurrentsA, func(a float64) bool {
			return math.Abs(a-currentA) <= driverCurrentShare*currentA*(1+roundingShare)
		}) {
			return true
		}
	}
	return false
}

// holding returns the drivers whose voltages hold a split's and whose power is above its load; most splits have none,
// and the reasons of the others are not wanted.
func holding(job Job, s Split) map[string]parts.Driver {
	some := map[string]parts.Driver{}
	for name, d := range job.Drivers {
		if d.LowestV <= s.LowestV && s.HighestV <= d.HighestV && s.LoadW < d.RatedW {
			some[name] = d
		}
	}
	return some
}

// inTurn deals modules to strings one by one, each kind for itself.
func inTurn(kinds []int, strings int) [][]int {
	of, dealt := make([][]int, strings), map[int]int{}
	for i, kind := range kinds {
		s := dealt[kind] % strings
		of[s] = append(of[s], i)
		dealt[kind]++
	}
	return of
}
