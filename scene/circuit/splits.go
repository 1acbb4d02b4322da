package circuit

import (
	"fmt"
	"slices"
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
// the reason. Voltages are at the modules' wanted current; what the strings really share, Share says. The error tells why
// the job cannot be wired at all.
func Splits(job Job) ([]Split, error) {
	if err := job.check(); err != nil {
		return nil, err
	}
	var all []Split
	for strings := 1; strings <= len(job.Modules); strings++ {
		if len(job.Modules)%strings != 0 {
			continue
		}
		split, err := newSplit(job, strings)
		if err != nil {
			return nil, err
		}
		all = append(all, split)
	}
	return all, nil
}

func newSplit(job Job, strings int) (Split, error) {
	s := Split{Strings: strings, PerString: len(job.Modules) / strings}
	kinds, names := kindsOf(job.Modules)
	if s.Refused = unequal(kinds, names, strings); s.Refused != "" {
		return s, nil
	}
	of := dealModules(job, kinds, strings)
	s.Of = seriesOrder(job, of, strings)
	s.LargestGapM = largestGap(job.Modules, of)
	if err := s.measure(job); err != nil {
		return s, err
	}
	s.Touch = TouchOf(s.HighestV)
	s.Fits = fits(job, s)
	return s, nil
}

// kindsOf numbers the parts of the modules in the order in which they appear.
func kindsOf(modules []Module) (kinds []int, names []string) {
	for _, m := range modules {
		k := slices.Index(names, m.Part.Name)
		if k < 0 {
			k = len(names)
			names = append(names, m.Part.Name)
		}
		kinds = append(kinds, k)
	}
	return kinds, names
}

// unequal says why strings cannot have the same make-up, "" where they can. Strings of unlike make-up have unlike
// voltages and would not share the driver's current.
func unequal(kinds []int, names []string, strings int) string {
	for k, name := range names {
		n := 0
		for _, kind := range kinds {
			if kind == k {
				n++
			}
		}
		if n%strings != 0 {
			return fmt.Sprintf("%d %s cannot be divided into %s, and strings of unlike modules share no current evenly", n, name, count(strings, "string"))
		}
	}
	return ""
}

// measure adds up voltages and powers at the modules' wanted current.
func (s *Split) measure(job Job) error {
	for _, members := range s.Of {
		warmV, coldV := 0.0, 0.0
		for _, i := range members {
			m := job.Modules[i]
			warm, err := m.voltageAt(m.CurrentA, m.JunctionC)
			if err != nil {
				return fmt.Errorf("module %s: %w", m.called(i), err)
			}
			cold, err := m.voltageAt(m.CurrentA, job.Given.ColdC)
			if err != nil {
				return fmt.Errorf("module %s: %w", m.called(i), err)
			}
			warmV, coldV = warmV+warm, coldV+cold
			s.LoadW += warm * m.CurrentA
			s.ColdLoadW += cold * m.CurrentA
		}
		if s.LowestV == 0 {
			s.LowestV = min(warmV, coldV)
		}
		s.LowestV, s.HighestV = min(s.LowestV, warmV, coldV), max(s.HighestV, warmV, coldV)
		s.WarmV += warmV / float64(s.Strings)
	}
	s.DriverA = float64(s.Strings) * job.Modules[0].CurrentA
	return nil
}

// dealModules deals the modules to strings. Where each rail holds as many of each kind for every string, each rail is
// dealt by itself, and every other rail begins one string later, so that strings stand in a chequered pattern; otherwise the
// rails are dealt as one row, to and fro.
func dealModules(job Job, kinds []int, strings int) []int {
	of, rails := make([]int, len(job.Modules)), railsOf(job.Modules)
	for turn, members := range rails {
		dealt := assign(places(job.Modules, members), pick(kinds, members), strings)
		if dealt == nil {
			return assign(snake(job.Modules, rails), kinds, strings)
		}
		for k, i := range members {
			of[i] = (dealt[k] + turn) % strings
		}
	}
	return of
}

// railsOf groups the modules by rail, as indices, in the order of the rails.
func railsOf(modules []Module) [][]int {
	var numbers []int
	for _, m := range modules {
		if !slices.Contains(numbers, m.Rail) {
			numbers = append(numbers, m.Rail)
		}
	}
	slices.Sort(numbers)
	groups := make([][]int, len(numbers))
	for i, m := range modules {
		k := slices.Index(numbers, m.Rail)
		groups[k] = append(groups[k], i)
	}
	return groups
}

// snake returns places along all rails as one row, every other rail from right to left. From rail to rail it takes the
// mean distance of the modules.
func snake(modules []Module, rails [][]int) []float64 {
	at := make([]float64, len(modules))
	begin := 0.0
	for turn, members := range rails {
		x := places(modules, members)
		left, right := slices.Min(x), slices.Max(x)
		for k, i := range members {
			if turn%2 == 0 {
				at[i] = begin + x[k] - left
			} else {
				at[i] = begin + right - x[k]
			}
		}
		begin += (right - left) * float64(len(x)) / float64(max(1, len(x)-1))
	}
	return at
}

func places(modules []Module, members []int) []float64 {
	var at []float64
	for _, i := range members {
		at = append(at, modules[i].AlongM)
	}
	return at
}

// pick returns the values at some indices.
func pick[T any](from []T, indices []int) []T {
	out := make([]T, len(indices))
	for k, i := range indices {
		out[k] = from[i]
	}
	return out
}

// largestGap returns the largest largestGapM over the rails.
func largestGap(modules []Module, of []int) float64 {
	largest := 0.0
	for _, members := range railsOf(modules) {
		largest = max(largest, largestGapM(places(modules, members), pick(of, members)))
	}
	return largest
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
		for _, k := range order {
			i := members[k]
			out[of[i]] = append(out[of[i]], i)
		}
	}
	return out
}
