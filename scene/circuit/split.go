package circuit

import (
	"fmt"
	"slices"

	"fathomlux/scene/parts"
)

// Split is one way to wire all modules as strings of equal make-up, in parallel on one driver.
type Split struct {
	Strings, PerString int
	Refused            string  // why the modules do not split so; empty where they do, and then the rest holds
	Of                 [][]int // modules of each string by index, from the driver's plus on
	WarmV              float64 // mean voltage of the strings at the given junction temperatures
	LowestV, HighestV  float64 // over all strings, from those temperatures to a cold start
	DriverA            float64
	LoadW              float64 // at the given junction temperatures
	ColdLoadW          float64
	Touch              Touch // class of HighestV
	LargestGapM        float64
	Fits               []Fit // every driver of the job, those that fit first, the better ones before the others
}

// Splits returns the splits of the job's modules into 1, 2, ... strings of equal length, those that are refused with
// the reason. Voltages are at the modules' wanted current; what the strings really share, share says. The error tells
// why the job cannot be wired at all.
func Splits(job Job) ([]Split, error) {
	if err := job.check(); err != nil {
		return nil, err
	}
	var all []Split
	for strings := 1; strings <= len(job.Modules); strings++ {
		if len(job.Modules)%strings == 0 {
			all = append(all, newSplit(job, strings))
		}
	}
	return all, nil
}

func newSplit(job Job, strings int) Split {
	s := Split{Strings: strings, PerString: len(job.Modules) / strings}
	kinds, names := kindsOf(job.Modules)
	if s.Refused = unequal(kinds, names, strings); s.Refused != "" {
		return s
	}
	of := dealModules(job, kinds, strings)
	s.Of = seriesOrder(job, of, strings)
	for _, members := range railsOf(job.Modules) {
		s.LargestGapM = max(s.LargestGapM, largestGapM(places(job.Modules, members), pick(of, members)))
	}
	s.measure(job)
	s.Fits = fits(job, s)
	return s
}

// kindsOf numbers the parts of the modules in the order in which they appear.
func kindsOf(modules []parts.Mounted) (kinds []int, names []string) {
	for _, m := range modules {
		k := slices.Index(names, m.Part.Name)
		if k < 0 {
			names, k = append(names, m.Part.Name), len(names)
		}
		kinds = append(kinds, k)
	}
	return kinds, names
}

// unequal says why strings cannot have the same make-up, "" where they can. Strings of unlike make-up have unlike
// voltages and would not share the driver's current.
func unequal(kinds []int, names []string, strings int) string {
	counts := make([]int, len(names))
	for _, k := range kinds {
		counts[k]++
	}
	for k, n := range counts {
		if n%strings != 0 {
			return fmt.Sprintf("%d %s cannot be divided into %s, and strings of unlike modules share no current evenly", n,
				names[k], count(strings, "string"))
		}
	}
	return ""
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

// dealModules deals the modules to strings. Where each rail holds as many of each kind for every string, each rail is
// dealt by itself, and every other rail begins one string later, so that strings stand in a chequered pattern;
// otherwise the rails are dealt as one row, to and fro.
func dealModules(job Job, kinds []int, strings int) []int {
	of, rails := make([]int, len(job.Modules)), railsOf(job.Modules)
	for turn, members := range rails {
		dealt := assign(places(job.Modules, members), pick(kinds, members), strings)
		if dealt == nil {
			return assign(oneRow(job.Modules, rails), kinds, strings)
		}
		for k, i := range members {
			of[i] = (dealt[k] + turn) % strings
		}
	}
	return of
}

// railsOf groups the modules by rail, as indices, in the order of the rails.
func railsOf(modules []parts.Mounted) [][]int {
	byRail := map[int][]int{}
	for i, m := range modules {
		byRail[m.Rail] = append(byRail[m.Rail], i)
	}
	var groups [][]int
	for _, rail := range sortedKeys(byRail) {
		groups = append(groups, byRail[rail])
	}
	return groups
}

// oneRow returns places along all rails as one row, every other rail from right to left. From rail to rail it takes the
// mean distance of the modules.
func oneRow(modules []parts.Mounted, rails [][]int) []float64 {
	row := make([]float64, len(modules))
	begin := 0.0
	for turn, members := range rails {
		x := places(modules, members)
		left, right := slices.Min(x), slices.Max(x)
		for k, i := range members {
			row[i] = begin + x[k] - left
			if turn%2 == 1 {
				row[i] = begin + right - x[k]
			}
		}
		begin += (right - left) * float64(len(x)) / float64(max(1, len(x)-1))
	}
	return row
}

func places(modules []parts.Mounted, members []int) []float64 {
	var along []float64
	for _, i := range members {
		along = append(along, modules[i].AlongM)
	}
	return along
}

// pick returns the values at some indices.
func pick[T any](from []T, indices []int) []T {
	out := make([]T, len(indices))
	for k, i := range indices {
		out[k] = from[i]
	}
	return out
}

// seriesOrder returns the modules of each string in the order of the current: rail by rail, on each from the feed's end
// on.
func seriesOrder(job Job, of []int, strings int) [][]int {
	out := make([][]int, strings)
	for _, members := range railsOf(job.Modules) {
		order := orderOf(places(job.Modules, members))
		if job.Feed.Right {
			slices.Reverse(order)
		}
		for _, i := range pick(members, order) {
			out[of[i]] = append(out[of[i]], i)
		}
	}
	return out
}
