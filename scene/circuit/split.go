package circuit

import (
	"cmp"
	"math"
	"slices"

	"fathomlux/scene/finding"
	"fathomlux/scene/parts"
)

// Split is one way to wire all modules as strings of equal make-up, in parallel on one driver.
type Split struct {
	Strings, PerString int
	Refused            finding.Finding   // why the modules do not split so; none where they do, and then the rest holds
	Of                 [][]parts.Mounted // modules of each string, from the driver's plus on
	WarmV              float64           // mean voltage of the strings at the given junction temperatures
	LowestV, HighestV  float64           // over all strings, from those temperatures to a cold start
	DriverA            float64
	LoadW              float64 // at the given junction temperatures
	ColdLoadW          float64
	Touch              Touch // class of HighestV
	LargestGapM        float64
	rough              bool
	Fits               []Fit // every driver of the job, those that fit first, the better ones before the others
}

// splits returns the splits of modules, by rail, into 1, 2, ... strings of equal length, those that are refused with
// the reason. Voltages are at the modules' wanted current; what the strings really share, share says. A rough answer
// knows only the drivers that give the current, and deals the modules to strings in turn, each kind for itself, which
// moves voltages by no more than unlike junctions do.
func (job Job) splits(rails [][]parts.Mounted, rough bool) (all []Split) {
	row := slices.Concat(rails...)
	if job.Dealt != nil {
		s := Split{Strings: len(job.Dealt), PerString: len(job.Dealt[0]), Of: job.Dealt,
			DriverA: float64(len(job.Dealt)) * row[0].CurrentA}
		s.measure(job.Given.ColdC)
		s.Fits = job.fits(s, false)
		return []Split{s}
	}
	for strings := 1; strings <= len(row); strings++ {
		if len(row)%strings != 0 {
			continue
		}
		s := Split{Strings: strings, PerString: len(row) / strings, DriverA: float64(strings) * row[0].CurrentA, rough: rough}
		if rough && !job.anyGives(s.DriverA) {
			s.Refused = finding.NoDriverFits.Of(s.Shape())
		} else if s.Refused = unequal(row, strings); !s.Refused.Any() {
			if rough {
				s.Of = inTurn(row, strings)
			} else {
				s.deal(rails, job.Feed.Right)
			}
			s.measure(job.Given.ColdC)
			s.Fits = job.fits(s, rough)
		}
		all = append(all, s)
	}
	return all
}

// anyGives tells whether some driver gives a current.
func (job Job) anyGives(amps float64) bool {
	for _, d := range job.Drivers {
		if gives(d, amps) {
			return true
		}
	}
	return false
}

// unequal says why strings cannot have the same make-up, nothing where they can. Strings of unlike make-up have unlike
// voltages and would not share the driver's current.
func unequal(row []parts.Mounted, strings int) finding.Finding {
	counts := map[string]int{}
	for _, m := range row {
		counts[m.Part.Name]++
	}
	for _, m := range row {
		if n := counts[m.Part.Name]; n%strings != 0 {
			return finding.UnequalStrings.Of(number(n), finding.Text(m.Part.Name), finding.Count{N: strings, Noun: "string"})
		}
	}
	return finding.Finding{}
}

// measure adds up voltages and powers at the modules' wanted current.
func (s *Split) measure(coldC float64) {
	s.LowestV = math.Inf(1)
	for _, line := range s.Of {
		warmV, coldV := 0.0, 0.0
		for _, m := range line {
			warm, cold := at(m, m.JunctionC), at(m, coldC)
			warmV, coldV = warmV+warm, coldV+cold
			s.LoadW += warm * m.CurrentA
			s.ColdLoadW += cold * m.CurrentA
		}
		s.LowestV, s.HighestV = min(s.LowestV, warmV, coldV), max(s.HighestV, warmV, coldV)
		s.WarmV += warmV / float64(s.Strings)
	}
	s.Touch = TouchOf(s.HighestV)
}

// inTurn deals a row to strings in turn, each kind for itself.
func inTurn(row []parts.Mounted, strings int) [][]parts.Mounted {
	of, dealt := make([][]parts.Mounted, strings), map[string]int{}
	for _, m := range row {
		n := dealt[m.Part.Name] % strings
		of[n] = append(of[n], m)
		dealt[m.Part.Name]++
	}
	return of
}

// deal deals the modules to strings and puts each string in the order of the current: rail by rail, on each from the
// feed's end on. Where each rail holds as many of each kind for every string, each rail is dealt by itself, and every
// other rail begins one string later, so that strings stand in a chequered pattern; otherwise the rails are dealt as
// one row, to and fro.
func (s *Split) deal(rails [][]parts.Mounted, fromRight bool) {
	dealt := make([][]int, len(rails))
	for r, rail := range rails {
		if dealt[r] = assign(places(rail), names(rail), s.Strings); dealt[r] == nil {
			dealt = toAndFro(rails, s.Strings)
			break
		}
		for k := range rail {
			dealt[r][k] = (dealt[r][k] + r) % s.Strings
		}
	}
	s.Of = make([][]parts.Mounted, s.Strings)
	for r, rail := range rails {
		s.LargestGapM = max(s.LargestGapM, gapM(places(rail), dealt[r]))
		for k := range rail {
			if fromRight {
				k = len(rail) - 1 - k
			}
			s.Of[dealt[r][k]] = append(s.Of[dealt[r][k]], rail[k])
		}
	}
}

// toAndFro deals all rails as one row, every other rail from right to left; from rail to rail it takes the mean
// distance of the modules.
func toAndFro(rails [][]parts.Mounted, strings int) (dealt [][]int) {
	var at []float64
	var row []string
	begin := 0.0
	for r, rail := range rails {
		x, kinds := places(rail), names(rail)
		left, right := x[0], x[len(x)-1]
		for k := range x {
			if r%2 == 0 {
				x[k] = begin + (x[k] - left)
			} else {
				x[k] = begin + (right - x[k])
			}
		}
		if r%2 == 1 {
			slices.Reverse(x)
			slices.Reverse(kinds)
		}
		at, row = append(at, x...), append(row, kinds...)
		begin += (right - left) * float64(len(x)) / float64(max(1, len(x)-1))
	}
	of := assign(at, row, strings)
	for r, rail := range rails {
		dealt, of = append(dealt, of[:len(rail)]), of[len(rail):]
		if r%2 == 1 {
			slices.Reverse(dealt[r])
		}
	}
	return dealt
}

// byRail groups modules by rail: the rails in their order, the modules of each from left to right.
func byRail(modules []parts.Mounted) (rails [][]parts.Mounted) {
	row := slices.SortedStableFunc(slices.Values(modules), func(a, b parts.Mounted) int {
		return cmp.Or(cmp.Compare(a.Rail, b.Rail), cmp.Compare(a.AlongM, b.AlongM))
	})
	for k, m := range row {
		if k == 0 || m.Rail != row[k-1].Rail {
			rails = append(rails, nil)
		}
		rails[len(rails)-1] = append(rails[len(rails)-1], m)
	}
	return rails
}

func places(rail []parts.Mounted) (along []float64) {
	for _, m := range rail {
		along = append(along, m.AlongM)
	}
	return along
}

func names(rail []parts.Mounted) (all []string) {
	for _, m := range rail {
		all = append(all, m.Part.Name)
	}
	return all
}

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
	row := slices.Concat(rails...)
	return job.check() != nil || job.portion(row).Fed() || job.divides(row)
}

// divides tells whether a row of modules can be cut into runs that have a driver each.
func (job Job) divides(row []parts.Mounted) bool {
	fed := make([]bool, len(row)+1) // from a module to the end
	fed[len(row)] = true
	for i := len(row) - 1; i >= 0; i-- {
		for k := job.longestRun(row[i:]); k >= 1 && !fed[i]; k-- {
			fed[i] = fed[i+k] && job.portion(row[i:i+k]).Fed()
		}
	}
	return fed[0]
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
			now := division{cost: [3]int{rest.cost[0], rest.cost[1] + 1, rest.cost[2] + k*k}}
			better := func() bool { return best[i].picks == nil || slices.Compare(now.cost[:], best[i].cost[:]) < 0 }
			if rest.picks == nil || !better() { // nor will it be with its driver
				continue
			}
			p := job.portion(row[i : i+k])
			if !p.Fed() {
				continue
			}
			if p.Fit.Verdict.Touch >= AboveTouch || p.Harm {
				now.cost[0]++
			}
			if better() {
				now.picks = append([]Pick{p}, rest.picks...)
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
