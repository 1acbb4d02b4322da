package circuit

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
)

// Pick is a split and a driver for it, by their indices.
type Pick struct {
	Split, Fit int    // in the list of splits and in Split.Fits; -1 where there is none
	Why        string // in words, also where there is none
	Flagged    bool   // the strings are above 60 V, or the driver does not fit
}

// recommendAll picks from all splits that some driver fits: those that stay at or below 30 V before those at or below 60 V
// before the others, which are flagged; then the fewest strings; then the most efficient driver, then the cheapest.
func recommendAll(all []Split) Pick { return recommend(all, Wish{}) }

// choose does the same among what the wish leaves open. A wish that no driver serves, or that is refused, is picked and
// flagged all the same where the split exists, so that the reasons can be shown; without a wish nothing is picked then.
func choose(job Job, all []Split) (Pick, error) {
	wish := job.Wish
	if _, known := job.Drivers[wish.Driver]; wish.Driver != "" && !known {
		return Pick{}, fmt.Errorf("there is no driver %s; there are %s", wish.Driver, strings.Join(slices.Sorted(maps.Keys(job.Drivers)), ", "))
	}
	if wish.Strings < 0 {
		return Pick{}, fmt.Errorf("%d strings cannot be; wish for 1 or more", wish.Strings)
	}
	if wish.Strings > 0 {
		k := slices.IndexFunc(all, func(s Split) bool { return s.Strings == wish.Strings })
		if k < 0 {
			return Pick{}, fmt.Errorf("%s cannot be divided into %s of equal length; %s", count(len(job.Modules), "module"), count(wish.Strings, "string"), possible(all))
		}
		if all[k].Refused != "" {
			return Pick{}, fmt.Errorf("%s; %s", all[k].Refused, possible(all))
		}
	}
	pick := recommend(all, wish)
	switch {
	case pick.Split < 0 && wish == (Wish{}):
		pick.Why = nothingFeeds(job)
	case pick.Split < 0:
		pick = nearest(all, wish)
	}
	return pick, nil
}

// possible says into how many strings the modules divide.
func possible(all []Split) string {
	var numbers []string
	for _, s := range all {
		if s.Refused == "" {
			numbers = append(numbers, fmt.Sprint(s.Strings))
		}
	}
	return "strings that serve: " + strings.Join(numbers, ", ")
}

func recommend(all []Split, wish Wish) Pick {
	best := Pick{Split: -1, Fit: -1, Flagged: true}
	for i, s := range all {
		k := s.firstFit(wish)
		if k < 0 || (wish.Strings > 0 && s.Strings != wish.Strings) {
			continue
		}
		if best.Split < 0 || s.Touch < all[best.Split].Touch || s.Touch == all[best.Split].Touch && s.Strings < all[best.Split].Strings {
			best = Pick{Split: i, Fit: k}
		}
	}
	if best.Split < 0 {
		best.Why = "no driver fits any way to wire these modules"
		return best
	}
	best.Flagged = all[best.Split].Touch == AboveTouch
	best.Why = why(all[best.Split], best.Fit, wish)
	return best
}

// firstFit returns the best driver that fits and is wished for, -1 where there is none.
func (s Split) firstFit(wish Wish) int {
	return slices.IndexFunc(s.Fits, func(f Fit) bool {
		return f.Fits && (wish.Driver == "" || wish.Driver == f.Driver.Name)
	})
}

// why says in words what spoke for a split and its driver.
func why(s Split, fit int, wish Wish) string {
	lead := fmt.Sprintf("%s of %d: ", count(s.Strings, "string"), s.PerString)
	switch {
	case wish.Strings > 0:
		lead += "as wished; " + sayV(s.HighestV) + " at most, " + s.Touch.String() + " ripple-free DC"
	case s.Touch == AboveTouch:
		lead += fmt.Sprintf("up to %s, above the 60 V ripple-free DC of bare live parts in dry places, as no split at or below 60 V has a driver", sayV(s.HighestV))
	default:
		lead += fmt.Sprintf("the fewest strings that a driver feeds %s ripple-free DC, %s at most", s.Touch, sayV(s.HighestV))
	}
	if s.Touch == DryTouch && wish.Strings == 0 {
		lead += "; no split at or below 30 V, the limit for bare live parts in wet places, has a driver"
	}
	return lead + "; " + whyDriver(s, fit, wish)
}

func whyDriver(s Split, fit int, wish Wish) string {
	name, n := s.Fits[fit].Driver.Name, 0
	for _, f := range s.Fits {
		if f.Fits {
			n++
		}
	}
	facts := fmt.Sprintf("%s at %.0f %% of its rated power, %s", sayShare(s.Fits[fit].Efficiency), 100*s.Fits[fit].LoadShare, sayMargin(s.Fits[fit].MarginShare))
	switch {
	case wish.Driver != "":
		return fmt.Sprintf("%s, as wished, gives %s", name, facts)
	case n == 1:
		return fmt.Sprintf("%s is the only driver that fits: %s", name, facts)
	}
	return fmt.Sprintf("%s is the most efficient of %d drivers that fit, the cheaper where two are alike: %s", name, n, facts)
}

// sayMargin says how much a driver can give beside its load, as a share of the load.
func sayMargin(share float64) string {
	if share >= 1 {
		return say(1+share, 1) + " times the load"
	}
	return fmt.Sprintf("%.0f %% to spare over the load", 100*share)
}

// nothingFeeds says that no driver feeds all modules of a job.
func nothingFeeds(job Job) string {
	if len(job.Modules) == 1 {
		return "no driver of the parts feeds the one module at " + sayA(job.Modules[0].CurrentA)
	}
	return fmt.Sprintf("no driver of the parts feeds all %d modules at %s together, however they are divided into strings", len(job.Modules), sayA(job.Modules[0].CurrentA))
}

// fed tells whether some driver feeds all modules in some way.
func fed(all []Split) bool {
	return slices.ContainsFunc(all, func(s Split) bool { return s.firstFit(Wish{}) >= 0 })
}

// wantedBy says for a job that no driver feeds what a driver would need, for the strings that stay lowest; empty where those are
// above 60 V.
func wantedBy(all []Split, given Assumptions) string {
	pick := nearest(all, Wish{})
	if pick.Split < 0 || all[pick.Split].Touch == AboveTouch {
		return ""
	}
	s := all[pick.Split]
	if s.Strings*s.PerString == 1 {
		return wanted(all, pick, given)
	}
	return fmt.Sprintf("%s, for %s of %d", wanted(all, pick, given), count(s.Strings, "string"), s.PerString)
}

// nearest picks a split although no driver fits, flagged: with a driver that is wished for, the split that it fails for
// the fewest reasons; without, that with the lowest class of voltage. The first of equals has the fewest strings.
func nearest(all []Split, wish Wish) Pick {
	best, least := Pick{Split: -1, Fit: -1, Why: "no driver fits any way to wire these modules", Flagged: true}, 0
	for i, s := range all {
		if s.Refused != "" || (wish.Strings > 0 && s.Strings != wish.Strings) {
			continue
		}
		fit, cost := -1, int(s.Touch)
		if wish.Driver != "" {
			fit = slices.IndexFunc(s.Fits, func(f Fit) bool { return f.Driver.Name == wish.Driver })
			if fit < 0 {
				continue
			}
			cost = len(s.Fits[fit].Reasons)
		}
		if best.Split < 0 || cost < least {
			best.Split, best.Fit, least = i, fit, cost
		}
	}
	if best.Split < 0 {
		return best
	}
	what := fmt.Sprintf("%s of %d", count(all[best.Split].Strings, "string"), all[best.Split].PerString)
	best.Why = what + ": no driver fits"
	if best.Fit >= 0 {
		f := all[best.Split].Fits[best.Fit]
		best.Why = fmt.Sprintf("%s does not fit %s: %s", f.Driver.Name, what, strings.Join(f.Reasons, "; "))
	}
	return best
}

// wanted says what a driver would need to serve a picked split that none of the job's drivers fits, in whole volts and watts;
// empty where one fits or no split was picked.
func wanted(all []Split, pick Pick, given Assumptions) string {
	if pick.Split < 0 || all[pick.Split].firstFit(Wish{}) >= 0 {
		return ""
	}
	s := all[pick.Split]
	return fmt.Sprintf("a driver of %s that covers %.0f to %.0f V and gives %.0f W or more would serve",
		sayA(s.DriverA), math.Floor(s.LowestV), math.Ceil(s.HighestV), math.Ceil(s.LoadW*(1+given.MarginShare)))
}
