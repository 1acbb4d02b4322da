package circuit

import (
	"cmp"
	"slices"

	"fathomlux/scene/finding"
	"fathomlux/scene/parts"
)

// Split is one way to wire all modules as strings of equal make-up, in parallel on one driver.
type Split struct {
	Strings, PerString int
	Refused            finding.Finding // why the modules do not split so; none where they do, and then the rest holds
	Of                 [][]int         // modules of each string by index, from the driver's plus on
	WarmV              float64         // mean voltage of the strings at the given junction temperatures
	LowestV, HighestV  float64         // over all strings, from those temperatures to a cold start
	DriverA            float64
	LoadW              float64 // at the given junction temperatures
	ColdLoadW          float64
	Touch              Touch // class of HighestV
	LargestGapM        float64
	Fits               []Fit // every driver of the job, those that fit first, the better ones before the others
}

// splits returns the splits of the job's modules into 1, 2, ... strings of equal length, those that are refused with
// the reason. Voltages are at the modules' wanted current; what the strings really share, share says. The error tells
// why the job cannot be wired at all.
func splits(job Job) (all []Split, err error) {
	if err := job.check(); err != nil {
		return nil, err
	}
	kinds := kindsOf(job.Modules)
	for strings := 1; strings <= len(job.Modules); strings++ {
		if len(job.Modules)%strings != 0 {
			continue
		}
		s := Split{Strings: strings, PerString: len(job.Modules) / strings, Refused: unequal(job.Modules, kinds, strings)}
		if !s.Refused.Any() {
			s.wire(job, kinds)
			s.measure(job)
			s.Fits = fits(job, s)
		}
		all = append(all, s)
	}
	return all, nil
}

// kindsOf numbers the parts of the modules in the order in which they appear.
func kindsOf(modules []parts.Mounted) []int {
	return numbered(modules, func(m parts.Mounted) string { return m.Part.Name })
}

// unequal says why strings cannot have the same make-up, nothing where they can. Strings of unlike make-up have unlike
// voltages and would not share the driver's current.
func unequal(modules []parts.Mounted, kinds []int, strings int) finding.Finding {
	counts := make([]int, len(modules))
	for _, k := range kinds {
		counts[k]++
	}
	for i, k := range kinds {
		if n := counts[k]; n%strings != 0 {
			return finding.UnequalStrings.Of(number(n), finding.Text(modules[i].Part.Name),
				finding.Count{N: strings, Noun: "string"})
		}
	}
	return finding.Finding{}
}

// measure adds up voltages and powers at the modules' wanted current.
func (s *Split) measure(job Job) {
	for n, members := range s.Of {
		warmV, coldV := 0.0, 0.0
		for _, i := range members {
			m := job.Modules[i]
			warm, cold := at(m, m.JunctionC), at(m, job.Given.ColdC)
			warmV, coldV = warmV+warm, coldV+cold
			s.LoadW += warm * m.CurrentA
			s.ColdLoadW += cold * m.CurrentA
		}
		if n == 0 {
			s.LowestV = warmV
		}
		s.LowestV, s.HighestV = min(s.LowestV, warmV, coldV), max(s.HighestV, warmV, coldV)
		s.WarmV += warmV / float64(s.Strings)
	}
	s.DriverA = float64(s.Strings) * job.Modules[0].CurrentA
	s.Touch = TouchOf(s.HighestV)
}

// wire deals the modules to strings and puts each string in the order of the current: rail by rail, on each from the
// feed's end on.
func (s *Split) wire(job Job, kinds []int) {
	rails := railsOf(job.Modules)
	of := deal(job.Modules, rails, kinds, s.Strings)
	s.Of = make([][]int, s.Strings)
	for _, members := range rails {
		s.LargestGapM = max(s.LargestGapM, gapM(places(job.Modules, members), pick(of, members)))
		if job.Feed.Right {
			slices.Reverse(members)
		}
		for _, i := range members {
			s.Of[of[i]] = append(s.Of[of[i]], i)
		}
	}
}

// deal deals the modules to strings. Where each rail holds as many of each kind for every string, each rail is dealt by
// itself, and every other rail begins one string later, so that strings stand in a chequered pattern; otherwise the
// rails are dealt as one row, to and fro.
func deal(modules []parts.Mounted, rails [][]int, kinds []int, strings int) []int {
	of := make([]int, len(modules))
	for turn, members := range rails {
		dealt := assign(places(modules, members), pick(kinds, members), strings)
		if dealt == nil {
			row, at := oneRow(modules, rails)
			for k, s := range assign(at, pick(kinds, row), strings) {
				of[row[k]] = s
			}
			return of
		}
		for k, i := range members {
			of[i] = (dealt[k] + turn) % strings
		}
	}
	return of
}

// railsOf groups the modules by rail, as indices: the rails in their order, the modules of each from left to right.
func railsOf(modules []parts.Mounted) (rails [][]int) {
	order := make([]int, len(modules))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(modules[a].Rail, modules[b].Rail), cmp.Compare(modules[a].AlongM, modules[b].AlongM))
	})
	for k, i := range order {
		if k == 0 || modules[i].Rail != modules[order[k-1]].Rail {
			rails = append(rails, nil)
		}
		rails[len(rails)-1] = append(rails[len(rails)-1], i)
	}
	return rails
}

// oneRow returns the modules of all rails as one row with their places along it, every other rail from right to left.
// From rail to rail it takes the mean distance of the modules.
func oneRow(modules []parts.Mounted, rails [][]int) (row []int, at []float64) {
	begin := 0.0
	for turn, members := range rails {
		x := places(modules, members)
		left, right := x[0], x[len(x)-1]
		for k := range members {
			along := x[k] - left
			if turn%2 == 1 {
				k = len(x) - 1 - k
				along = right - x[k]
			}
			row, at = append(row, members[k]), append(at, begin+along)
		}
		begin += (right - left) * float64(len(x)) / float64(max(1, len(x)-1))
	}
	return row, at
}

func places(modules []parts.Mounted, members []int) (along []float64) {
	for _, i := range members {
		along = append(along, modules[i].AlongM)
	}
	return along
}
