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

// noPick is what stands where nothing can be picked.
var noPick = Pick{Split: -1, Fit: -1, Why: "no driver fits any way to wire these modules", Flagged: true}

// choose picks among what the request leaves open, as recommend does. A request that no driver serves, or that is
// refused, is picked and flagged all the same where the split exists, so that the reasons can be shown; without a
// request nothing is picked then.
func choose(job Job, all []Split) (Pick, error) {
	ask := job.Request
	if _, known := job.Drivers[ask.Driver]; ask.Driver != "" && !known {
		return Pick{}, fmt.Errorf("there is no driver %s; there are %s", ask.Driver,
			strings.Join(sortedKeys(job.Drivers), ", "))
	}
	if ask.Strings < 0 {
		return Pick{}, fmt.Errorf("%d strings cannot be; ask for 1 or more", ask.Strings)
	}
	if ask.Strings > 0 {
		k := slices.IndexFunc(all, func(s Split) bool { return s.Strings == ask.Strings })
		if k < 0 {
			return Pick{}, fmt.Errorf("%s cannot be divided into %s of equal length; %s", count(len(job.Modules), "module"),
				count(ask.Strings, "string"), possible(all))
		}
		if all[k].Refused != "" {
			return Pick{}, fmt.Errorf("%s; %s", all[k].Refused, possible(all))
		}
	}
	pick := recommend(all, ask)
	switch {
	case pick.Split < 0 && ask == (Request{}):
		pick.Why = nothingFeeds(job)
	case pick.Split < 0:
		pick = nearest(all, ask)
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

// recommend picks from the splits that some driver fits and that the request allows: those that stay at or below 30 V
// before those at or below 60 V before the others, which are flagged; then the fewest strings; then the most efficient
// driver, then the cheapest.
func recommend(all []Split, ask Request) Pick {
	best := noPick
	for i, s := range all {
		k := s.firstFit(ask)
		if k >= 0 && s.asked(ask) && (best.Split < 0 || s.Touch < all[best.Split].Touch) {
			best = Pick{Split: i, Fit: k}
		}
	}
	if best.Split < 0 {
		return best
	}
	best.Flagged = all[best.Split].Touch == AboveTouch
	best.Why = why(all[best.Split], best.Fit, ask)
	return best
}

// asked tells whether a request allows the split.
func (s Split) asked(ask Request) bool { return ask.Strings == 0 || s.Strings == ask.Strings }

// firstFit returns the best driver that fits and is asked for, -1 where there is none.
func (s Split) firstFit(ask Request) int {
	return slices.IndexFunc(s.Fits, func(f Fit) bool {
		return f.Fits && (ask.Driver == "" || ask.Driver == f.Driver.Name)
	})
}

// shape writes a split, such as "2 strings of 3".
func (s Split) shape() string {
	return fmt.Sprintf("%s of %d", count(s.Strings, "string"), s.PerString)
}

// why says in words what spoke for a split and its driver.
func why(s Split, fit int, ask Request) string {
	lead := s.shape() + ": "
	switch {
	case ask.Strings > 0:
		lead += "as asked for; " + sayV(s.HighestV) + " at most, " + s.Touch.String() + " ripple-free DC"
	case s.Touch == AboveTouch:
		lead += fmt.Sprintf("up to %s, above the 60 V ripple-free DC of bare live parts in dry places, as no split at or "+
			"below 60 V has a driver", sayV(s.HighestV))
	default:
		lead += fmt.Sprintf("the fewest strings that a driver feeds %s ripple-free DC, %s at most", s.Touch,
			sayV(s.HighestV))
	}
	if s.Touch == DryTouch && ask.Strings == 0 {
		lead += "; no split at or below 30 V, the limit for bare live parts in wet places, has a driver"
	}
	return lead + "; " + whyDriver(s, fit, ask)
}

func whyDriver(s Split, fit int, ask Request) string {
	f, n := s.Fits[fit], 0
	for _, other := range s.Fits {
		if other.Fits {
			n++
		}
	}
	facts := fmt.Sprintf("%s at %.0f %% of its rated power, %s", sayShare(f.Efficiency), 100*f.LoadShare,
		sayMargin(f.MarginShare))
	switch {
	case ask.Driver != "":
		return fmt.Sprintf("%s, as asked for, gives %s", f.Driver.Name, facts)
	case n == 1:
		return fmt.Sprintf("%s is the only driver that fits: %s", f.Driver.Name, facts)
	}
	return fmt.Sprintf("%s is the most efficient of %d drivers that fit, the cheaper where two are alike: %s",
		f.Driver.Name, n, facts)
}

// sayMargin says how much a driver can give beside its load, as a share of the load.
func sayMargin(share float64) string {
	if share >= 1 {
		return say(1+share, 1) + " times the load"
	}
	return fmt.Sprintf("headroom %.0f %% over the load", 100*share)
}

// nothingFeeds says that no driver feeds all modules of a job.
func nothingFeeds(job Job) string {
	current := sayA(job.Modules[0].CurrentA)
	if len(job.Modules) == 1 {
		return "no driver of the parts feeds the one module at " + current
	}
	return fmt.Sprintf("no driver of the parts feeds all %d modules at %s together, however they are divided into strings",
		len(job.Modules), current)
}

// wantedBy says for a job that no driver feeds what a driver would need, for the strings that stay lowest; empty where
// those are above 60 V.
func wantedBy(all []Split, given Assumptions) string {
	pick := nearest(all, Request{})
	if pick.Split < 0 || all[pick.Split].Touch == AboveTouch {
		return ""
	}
	s := all[pick.Split]
	if s.Strings*s.PerString == 1 {
		return wanted(all, pick, given)
	}
	return wanted(all, pick, given) + ", for " + s.shape()
}

// nearest picks a split although no driver fits, flagged: with a driver that is asked for, the split that it fails for
// the fewest reasons; without, that with the lowest class of voltage. The first of equals has the fewest strings.
func nearest(all []Split, ask Request) Pick {
	best, least := noPick, 0
	for i, s := range all {
		fit, cost := -1, int(s.Touch)
		if ask.Driver != "" {
			if fit = slices.IndexFunc(s.Fits, func(f Fit) bool { return f.Driver.Name == ask.Driver }); fit >= 0 {
				cost = len(s.Fits[fit].Reasons)
			}
		}
		if s.Refused == "" && s.asked(ask) && (ask.Driver == "" || fit >= 0) && (best.Split < 0 || cost < least) {
			best.Split, best.Fit, least = i, fit, cost
		}
	}
	if best.Split < 0 {
		return best
	}
	s := all[best.Split]
	best.Why = s.shape() + ": no driver fits"
	if best.Fit >= 0 {
		f := s.Fits[best.Fit]
		best.Why = fmt.Sprintf("%s does not fit %s: %s", f.Driver.Name, s.shape(), strings.Join(f.Reasons, "; "))
	}
	return best
}

// wanted says what a driver would need to serve a picked split that none of the job's drivers fits, in whole volts and
// watts; empty where one fits or no split was picked.
func wanted(all []Split, pick Pick, given Assumptions) string {
	if pick.Split < 0 || all[pick.Split].firstFit(Request{}) >= 0 {
		return ""
	}
	s := all[pick.Split]
	return fmt.Sprintf("a driver of %s that covers %.0f to %.0f V and gives %.0f W or more would serve",
		sayA(s.DriverA), math.Floor(s.LowestV), math.Ceil(s.HighestV), math.Ceil(s.LoadW*(1+given.MarginShare)))
}

func sortedKeys[K interface{ ~int | ~string }, V any](m map[K]V) []K {
	return slices.Sorted(maps.Keys(m))
}
