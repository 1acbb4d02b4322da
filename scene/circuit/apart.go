package circuit

import (
	"slices"

	"fathomlux/scene/parts"
)

// apart divides the modules of a job, which was checked, over several drivers: by rail where each rail by itself has a
// driver at or below 60 V that no fault overloads, otherwise along the rails, with as few others, then as few drivers,
// then as even parts as can be. It is nil where some module has no driver however the others are divided.
func (job Job) apart(rails [][]parts.Mounted) []Pick {
	var each []Pick
	for _, rail := range rails {
		if p := job.portion(rail); p.Fed() && p.Fit.Verdict.Touch < AboveTouch && !p.Harm {
			each = append(each, p)
		}
	}
	if len(rails) > 1 && len(each) == len(rails) {
		return each
	}
	return job.fewest(slices.Concat(rails...))
}

// portion finds, roughly, the strings and the driver for some modules.
func (job Job) portion(run []parts.Mounted) Pick {
	return choose(job.splits([][]parts.Mounted{run}, true), Request{})
}

// Feedable tells whether drivers of a job can feed all its modules, together or divided among several. A job that is
// wrong in itself counts as one that they can: what is wrong is told where it is wired.
func Feedable(job Job) bool {
	rails := byRail(job.Modules)
	return job.check() != nil || job.portion(slices.Concat(rails...)).Fed() || job.apart(rails) != nil
}

// division is the best way found to feed a row from some place to its end.
type division struct {
	cost  [3]int // portions above 60 V or that a fault overloads, all portions, and the sum of their squared lengths
	picks []Pick // nil where there is none
}

// fewest divides a row of modules into runs, from its end to its beginning; of equal ways that whose first run is the
// longest.
func (job Job) fewest(row []parts.Mounted) []Pick {
	best := make([]division, len(row)+1)
	best[len(row)].picks = []Pick{}
	for i := len(row) - 1; i >= 0; i-- {
		for k := job.longestRun(row[i:]); k >= 1; k-- {
			rest := best[i+k]
			p := job.portion(row[i : i+k])
			if !p.Fed() || rest.picks == nil {
				continue
			}
			now := division{[3]int{rest.cost[0], rest.cost[1] + 1, rest.cost[2] + k*k}, append([]Pick{p}, rest.picks...)}
			if p.Fit.Verdict.Touch >= AboveTouch || p.Harm {
				now.cost[0]++
			}
			if best[i].picks == nil || slices.Compare(now.cost[:], best[i].cost[:]) < 0 {
				best[i] = now
			}
		}
	}
	return best[0].picks
}

// longestRun returns how many modules from the first on the strongest driver could feed by its power alone.
func (job Job) longestRun(row []parts.Mounted) int {
	strongestW, loadW := 0.0, 0.0
	for _, d := range job.Drivers {
		strongestW = max(strongestW, d.RatedW)
	}
	for n, m := range row {
		loadW += at(m, m.JunctionC) * m.CurrentA
		if loadW*(1+job.Given.MarginShare) > strongestW*(1+roundingShare) {
			return n
		}
	}
	return len(row)
}
