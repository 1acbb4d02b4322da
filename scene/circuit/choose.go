package circuit

import (
	"math"
	"slices"

	"fathomlux/scene/finding"
)

// Pick is a split and a driver for it, both within the plan's splits.
type Pick struct {
	Split *Split // nil where nothing is picked
	Fit   *Fit   // nil where no driver fits and none is asked for
	Harm  bool   // one open or short circuit drives modules above their highest current
	Why   finding.Finding
}

// cost is what counts against a pick, the first first.
func (p Pick) cost() []int {
	flag := func(is bool) int { return map[bool]int{true: 1}[is] }
	switch {
	case p.Fit == nil:
		return []int{2, int(p.Split.Touch)}
	case !p.Fit.Fits:
		return []int{1, len(p.Fit.Reasons)}
	}
	v := p.Fit.Verdict
	return []int{0, flag(v.Touch >= AboveTouch), flag(p.Harm), int(v.Touch), int(v.Work)}
}

// harm tells whether one open or short circuit in strings that share driverA drives a module above its highest current.
// A single string keeps the driver's current.
func (s *Split) harm(driverA float64) bool {
	if s.Strings < 2 {
		return false
	}
	lowest := math.Inf(1)
	for _, m := range slices.Concat(s.Of...) {
		if m.Part.HighestA > 0 {
			lowest = min(lowest, m.Part.HighestA*(1+roundingShare))
		}
	}
	switch {
	case driverA <= lowest: // one string may take all
		return false
	case s.rough: // the short string may take all
		return true
	case driverA/float64(s.Strings-1) > lowest: // an open string leaves each of the others so much at least on average
		return true
	}
	c := Circuit{Strings: s.Of, DriverA: driverA}
	_, low, module := c.extremes()
	return len(c.short(low, module).Over) > 0 || len(c.open((low+1)%s.Strings).Over) > 0
}

// Fed tells whether a driver fits what is picked.
func (p Pick) Fed() bool { return p.Fit != nil && p.Fit.Fits }

// Flagged tells whether the driver does not fit, or the strings are above 60 V.
func (p Pick) Flagged() bool { return !p.Fed() || p.Fit.Verdict.Touch >= AboveTouch }

// choose picks among the splits that a request allows: those that a driver feeds, or the driver that is asked for,
// before all others; of these what stays at or below 60 V with its driver, then what no first fault overloads, then the
// lowest class of voltage, of the driver and then of the strings, then the fewest strings. Where none is fed and a
// driver is asked for, it picks the split that it fails for the fewest reasons. It picks none where the modules do not
// divide as asked.
func choose(all []Split, ask Request) (p Pick) {
	var least []int
	for i := range all {
		s := &all[i]
		if s.Refused.Any() || ask.Strings > 0 && s.Strings != ask.Strings {
			continue
		}
		now := Pick{Split: s, Fit: s.fit(ask.Driver)}
		now.Harm = now.Fed() && s.harm(now.Fit.CurrentA)
		if cost := now.cost(); least == nil || slices.Compare(cost, least) < 0 {
			least, p = cost, now
		}
	}
	switch {
	case p.Fed():
		p.Why = p.why(ask)
	case ask == (Request{}):
		p.Why = finding.NothingFeeds.Of(finding.Count{N: all[0].PerString, Noun: "module"}, milliamps(all[0].DriverA))
	case p.Fit != nil:
		var reasons finding.List
		for _, r := range p.Fit.Reasons {
			reasons = append(reasons, r)
		}
		p.Why = finding.DriverUnfit.Of(finding.Text(p.Fit.Driver.Name), p.Split.Shape(), reasons)
	case p.Split != nil:
		p.Why = finding.NoDriverFits.Of(p.Split.Shape())
	}
	return p
}

// refusal says why a request cannot be had: into how many strings the modules divide.
func refusal(job Job, all []Split) error {
	var serve finding.List
	why := finding.NotDivided.Of(finding.Count{N: len(job.Modules), Noun: "module"},
		finding.Count{N: job.Request.Strings, Noun: "string"})
	for _, s := range all {
		if !s.Refused.Any() {
			serve = append(serve, number(s.Strings))
		} else if s.Strings == job.Request.Strings {
			why = s.Refused
		}
	}
	return finding.StringsServing.Of(why, serve)
}

// fit returns the best driver that fits, or the one that is asked for, nil where there is none.
func (s *Split) fit(driver string) *Fit {
	for i := range s.Fits {
		if f := &s.Fits[i]; f.Driver.Name == driver || driver == "" && f.Fits {
			return f
		}
	}
	return nil
}

// Shape says how many strings of how many modules a split is.
func (s *Split) Shape() finding.Finding {
	return finding.StringsOf.Of(finding.Count{N: s.Strings, Noun: "string"}, number(s.PerString))
}

// why says what spoke for a split and a driver that fits.
func (p Pick) why(ask Request) finding.Finding {
	split, driver := finding.AsAskedFor.Of(), finding.AsAskedFor.Of()
	switch {
	case ask.Strings == 0 && p.Harm:
		split = finding.Harmful.Of(finding.FewestStrings.Of())
	case ask.Strings == 0:
		split = finding.Harmless.Of(finding.FewestStrings.Of())
	case p.Harm:
		split = finding.Harmful.Of(split)
	}
	if ask.Driver == "" {
		driver = finding.MostEfficient.Of()
	}
	return finding.Chosen.Of(p.Split.Shape(), split, p.Fit.Verdict.Words(), finding.Text(p.Fit.Driver.Name), driver,
		finding.Percent(p.Fit.Efficiency), finding.Percent(p.Fit.LoadShare),
		finding.Value{V: 1 / p.Fit.LoadShare, Decimals: 2})
}

// wanted says what a driver would need to serve a split that none of the job's drivers fits, in whole volts and watts.
func (s *Split) wanted(given Assumptions) finding.Finding {
	return finding.DriverWanted.Of(milliamps(s.DriverA), finding.Value{V: math.Floor(s.LowestV)},
		finding.Value{V: math.Ceil(s.HighestV), Unit: "V"},
		finding.Value{V: math.Ceil(s.LoadW * (1 + given.MarginShare)), Unit: "W"}, s.Shape())
}
