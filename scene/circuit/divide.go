package circuit

import (
	"math"
	"slices"

	"fathomlux/scene/finding"
	"fathomlux/scene/parts"
)

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
