package circuit

import (
	"math"
	"slices"

	"fathomlux/scene/finding"
	"fathomlux/scene/parts"
)

const (
	// mostTried is the number of modules up to which every dealing is tried: 945 of them for ten modules in five strings.
	mostTried = 10
	// mostClimb is the number of modules up to which every exchange of two modules is tried; a longer row keeps the best
	// of the plain patterns, which differ less and less the longer it is.
	mostClimb = 48
	// nearestShare tells scores apart, as a share of the row's length.
	nearestShare = 1e-9
)

// gapM returns the largest gap in a row of modules, from left to right, after the worst of its strings has died,
// metres: from one of the remaining modules to the next, or twice the way from an end of the row to the first that
// remains, as beyond the end there is no light at all. It is the whole row's length twice where nothing remains. A gap
// opens where a run of neighbours of one string dies.
func gapM(at []float64, of []int) float64 {
	last := len(at) - 1
	largest := 0.0
	for start := 0; start <= last; {
		end := start
		for end < last && of[end+1] == of[start] {
			end++
		}
		switch {
		case start == 0 && end == last:
			return 2 * (at[last] - at[0])
		case start == 0:
			largest = max(largest, 2*(at[end+1]-at[0]))
		case end == last:
			largest = max(largest, 2*(at[last]-at[start-1]))
		default:
			largest = max(largest, at[end+1]-at[start-1])
		}
		start = end + 1
	}
	return largest
}

// dealer deals a row, in order from left to right, to strings.
type dealer struct {
	at      []float64
	kind    []int // numbered in the order of the row; strings must have the same number of each kind
	strings int
	kinds   [][]int   // by kind: its modules, by their index in the row
	sums    []float64 // room to add up in, by string
	best    []int     // dealing so far, the first of equals, and its score
	least   score
}

// assign deals the modules of one row to strings of equal size, so that the light stays even when a string dies: no two
// neighbours in one string where it can be helped, each string spread about the row's middle, and each kind of module
// spread over the strings alike. It returns a string, from 0, for each place, in metres from left to right; nil where
// the modules of a kind do not divide into the strings. The first measure is gapM; among dealings that it finds equal,
// the middles of the strings lie as near the row's middle as can be: exactly so up to ten modules, nearly so beyond.
func assign[Kind comparable](at []float64, kinds []Kind, strings int) []int {
	d := dealer{at: at, kind: numbered(kinds), strings: strings, sums: make([]float64, strings)}
	d.kinds = make([][]int, slices.Max(d.kind)+1)
	for i, k := range d.kind {
		d.kinds[k] = append(d.kinds[k], i)
	}
	switch {
	case slices.ContainsFunc(d.kinds, func(members []int) bool { return len(members)%strings != 0 }):
		return nil
	case len(at) <= mostTried:
		d.tryAll()
	default:
		d.tryPatterns()
	}
	return numbered(d.best)
}

// keep keeps a dealing that is better than the best so far.
func (d *dealer) keep(of []int) {
	if s := d.score(of); d.best == nil || d.better(s, d.least) {
		d.best, d.least = slices.Clone(of), s
	}
}

func (d *dealer) tryAll() {
	var each []int
	for _, members := range d.kinds {
		each = append(each, len(members)/d.strings)
	}
	of, left := make([]int, len(d.at)), slices.Repeat(each, d.strings) // what a string may still take, kind by kind
	var deal func(i, begun int)
	deal = func(i, begun int) {
		if i == len(of) {
			d.keep(of)
			return
		}
		for s := range min(begun+1, d.strings) { // strings are begun in order, as their numbers mean nothing
			if n := &left[s*len(each)+d.kind[i]]; *n > 0 {
				*n--
				of[i] = s
				deal(i+1, max(begun, s+1))
				*n++
			}
		}
	}
	deal(0, 0)
}

// tryPatterns deals each kind by plain patterns, from left to right, in turns of as many seats as there are strings,
// and betters each where the row is not too long. A further kind begins one string later, so that neighbours of unlike
// kinds do not share a string.
func (d *dealer) tryPatterns() {
	for pattern := range 3 { // 1 2 3, 1 2 3
		of, dealt := make([]int, len(d.at)), make([]int, len(d.kinds))
		for i, kind := range d.kind {
			turn, seat := dealt[kind]/d.strings, dealt[kind]%d.strings
			switch {
			case pattern == 1 && turn%2 == 1: // 1 2 3, 3 2 1
				seat = d.strings - 1 - seat
			case pattern == 2: // 1 2 3, 2 3 1
				seat += turn
			}
			of[i] = (seat + kind) % d.strings
			dealt[kind]++
		}
		if len(of) <= mostClimb {
			d.climb(of)
		}
		d.keep(of)
	}
}

// climb exchanges two modules of a kind as long as the score gets better.
func (d *dealer) climb(of []int) {
	now := d.score(of)
	for better := true; better; {
		better = false
		for i := range of {
			for k := i + 1; k < len(of); k++ {
				if of[i] == of[k] || d.kind[i] != d.kind[k] {
					continue
				}
				of[i], of[k] = of[k], of[i]
				if s := d.score(of); d.better(s, now) {
					now, better = s, true
				} else {
					of[i], of[k] = of[k], of[i]
				}
			}
		}
	}
}

// score measures a dealing; the smaller the better, the first measure first: the largest gap over all modules, the
// largest imbalance of a string, the largest gap within one kind, and the root of the summed squares of the imbalances.
type score [4]float64

func (d *dealer) better(s, than score) bool {
	for i := range s {
		if math.Abs(s[i]-than[i]) > nearestShare*(d.at[len(d.at)-1]-d.at[0]) {
			return s[i] < than[i]
		}
	}
	return false
}

// score returns the measures of a dealing. An imbalance is how far the middle of a string lies from the row's middle.
func (d *dealer) score(of []int) score {
	s := score{0: gapM(d.at, of)}
	clear(d.sums)
	for i, str := range of {
		d.sums[str] += d.at[i]
	}
	middle, each := (d.at[0]+d.at[len(d.at)-1])/2, float64(len(of)/d.strings)
	for _, sum := range d.sums {
		off := math.Abs(sum/each - middle)
		s[1], s[3] = max(s[1], off), s[3]+off*off
	}
	s[3] = math.Sqrt(s[3])
	if len(d.kinds) > 1 {
		for _, members := range d.kinds {
			at, str := make([]float64, len(members)), make([]int, len(members))
			for k, i := range members {
				at[k], str[k] = d.at[i], of[i]
			}
			s[2] = max(s[2], gapM(at, str))
		}
	}
	return s
}

// numbered numbers values from 0 in the order in which they appear.
func numbered[T comparable](values []T) []int {
	number, out := map[T]int{}, make([]int, len(values))
	for i, v := range values {
		if _, seen := number[v]; !seen {
			number[v] = len(number)
		}
		out[i] = number[v]
	}
	return out
}

// Division is how one or several drivers feed all modules of a job, each a job of its own with its strings dealt.
type Division struct {
	Jobs     []Job // none where nothing feeds the modules
	Why      finding.Finding
	RunnerUp finding.Finding // what came second, and why it lost; none where nothing did
	harm     bool            // a first fault drives modules above their highest current
}

// candidate is one way to feed all modules: equal drivers with the strings of a split shared out among them, or
// portions of the row.
type candidate struct {
	strings [][][]parts.Mounted // by driver and string
	picks   []Pick              // one a driver
	cost    []float64           // see merits
	shape   finding.Finding
	rough   bool // the strings are not dealt well yet
}

// merits are what candidates are ranked by, the first first, each with the words for what the second lacks.
var merits = []finding.Finding{finding.LostVoltage.Of(), finding.LostFault.Of(), finding.LostSplash.Of(),
	finding.LostDrivers.Of(), finding.LostClass.Of(), finding.LostClass.Of(), finding.LostStrings.Of(),
	finding.LostEfficiency.Of(), finding.LostPrice.Of()}

// Divide splits the modules of a job, all of one kind, over drivers: at or below 60 V first, then so that no first
// fault drives a module above its limit, then protected against splashing where they hang, then over the fewest
// drivers, then in the lowest class of voltage, then by the fewest strings, efficiency and price.
func Divide(job Job) (d Division, err error) {
	if err := job.check(); err != nil {
		return d, err
	}
	rails := byRail(job.Modules)
	var all []candidate
	splits := job.splits(rails, false)
	for i := range splits {
		s := &splits[i]
		for drivers := 1; drivers <= s.Strings && !s.Refused.Any(); drivers++ {
			if s.Strings%drivers == 0 {
				all = append(all, job.equal(s, drivers)...)
			}
		}
	}
	portions := job.apart(rails)
	same := func(c candidate) bool { return len(c.picks) == len(portions) }
	if len(portions) > 1 && !slices.ContainsFunc(all, same) {
		all = append(all, portioned(portions))
	}
	if len(all) == 0 {
		d.Why = finding.NothingFeeds.Of(finding.Count{N: len(job.Modules), Noun: "module"},
			milliamps(job.Modules[0].CurrentA))
		return d, nil
	}
	slices.SortStableFunc(all, func(a, b candidate) int { return slices.Compare(a.cost, b.cost) })
	best := all[0]
	d.harm = best.cost[1] > 0
	for k, p := range best.picks {
		one := job
		one.Modules, one.Request = slices.Concat(best.strings[k]...), Request{Driver: p.Fit.Driver.Name}
		if one.Dealt = best.strings[k]; best.rough { // they are dealt better when the driver's job is designed
			one.Dealt, one.Request.Strings = nil, p.Split.Strings
		}
		one.Why = finding.Divided.Of(best.shape, p.Fit.Verdict.Words(), finding.Text(p.Fit.Driver.Name),
			finding.Percent(p.Fit.Efficiency), finding.Percent(p.Fit.LoadShare))
		d.Jobs = append(d.Jobs, one)
	}
	d.Why = d.Jobs[0].Why
	if len(all) > 1 { // one with fewer drivers, if there is any, or the next
		fewer := func(c candidate) bool { return len(c.picks) < len(best.picks) }
		second := all[max(slices.IndexFunc(all, fewer), 1)]
		k := 0
		for k < len(merits)-1 && best.cost[k] == second.cost[k] {
			k++
		}
		d.RunnerUp = finding.SecondBest.Of(second.shape, finding.Text(second.picks[0].Fit.Driver.Name), merits[k])
	}
	return d, nil
}

// equal shares the strings of a split out among drivers that are all alike; nothing where none fits.
func (job Job) equal(s *Split, drivers int) []candidate {
	part := *s
	n := s.Strings / drivers
	part.Strings, part.Of, part.DriverA = n, s.Of[:n], s.DriverA/float64(drivers)
	part.LoadW, part.ColdLoadW = s.LoadW/float64(drivers), s.ColdLoadW/float64(drivers)
	part.Fits = job.fits(part, true)
	if len(part.Fits) == 0 || !part.Fits[0].Fits {
		return nil
	}
	p := Pick{Split: &part, Fit: &part.Fits[0]}
	p.Harm = part.harm(p.Fit.CurrentA)
	c := candidate{picks: slices.Repeat([]Pick{p}, drivers), shape: finding.DriversOf.Of(
		finding.Count{N: drivers, Noun: "driver"}, part.Shape())}
	for k := range drivers {
		c.strings = append(c.strings, s.Of[k*n:(k+1)*n])
	}
	c.weigh()
	return []candidate{c}
}

// portioned is a division of the row into runs.
func portioned(picks []Pick) candidate {
	c := candidate{picks: picks, rough: true,
		shape: finding.DriversUnlike.Of(finding.Count{N: len(picks), Noun: "driver"})}
	for _, p := range picks {
		c.strings = append(c.strings, p.Split.Of)
	}
	c.weigh()
	return c
}

// weigh sums up what counts against a candidate.
func (c *candidate) weigh() {
	c.cost = make([]float64, len(merits))
	for _, p := range c.picks {
		v := p.Fit.Verdict
		price := p.Fit.Driver.Price.Amount
		if p.Fit.Driver.Price.Currency == "" {
			price = math.Inf(1)
		}
		for i, flaw := range []bool{v.Touch >= AboveTouch, p.Harm, p.Fit.Exposed} {
			if flaw {
				c.cost[i] = 1
			}
		}
		c.cost[3]++
		c.cost[4] = max(c.cost[4], float64(v.Touch))
		c.cost[5] = max(c.cost[5], float64(v.Work))
		c.cost[6] += float64(p.Split.Strings)
		c.cost[7] -= math.Round(p.Fit.Efficiency*100) / float64(len(c.picks))
		c.cost[8] += price
	}
}
