package circuit

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"

	"fathomlux/scene/parts"
)

// Fit is one driver held against one split.
type Fit struct {
	Driver      parts.Driver
	Fits        bool
	Reasons     []string // why it does not fit
	Cautions    []string // what to know although it fits
	CurrentA    float64  // the output current that comes nearest to the wanted one
	LoadShare   float64  // load as a share of the rated power
	MarginShare float64  // rated power over the load, as a share of the load
	Efficiency  float64  // at that load; 0 where it is not known
	MainsW      float64  // power from the mains; 0 where the efficiency is not known
}

// fits holds all drivers of the job against a split, those that fit first, then by efficiency, price and name. Prices
// of unlike currencies are not compared but sorted by the currency's code; a driver without a price comes last.
func fits(job Job, s Split) []Fit {
	var all []Fit
	for _, name := range slices.Sorted(maps.Keys(job.Drivers)) {
		driver := job.Drivers[name]
		driver.Name = name
		all = append(all, fit(driver, s, job.Given))
	}
	slices.SortStableFunc(all, compareFits)
	return all
}

func compareFits(a, b Fit) int {
	return cmp.Or(
		first(a.Fits, b.Fits),
		cmp.Compare(math.Round(b.Efficiency*1000), math.Round(a.Efficiency*1000)), // catalogues give no more digits
		first(a.Driver.Price.Currency != "", b.Driver.Price.Currency != ""),
		cmp.Compare(a.Driver.Price.Currency, b.Driver.Price.Currency),
		cmp.Compare(a.Driver.Price.Amount, b.Driver.Price.Amount),
		cmp.Compare(a.Driver.Name, b.Driver.Name),
	)
}

// first sorts what holds before what does not.
func first(a, b bool) int {
	switch {
	case a == b:
		return 0
	case a:
		return -1
	}
	return 1
}

// fit holds one driver against a split: its current, its voltage range from the warm strings to a cold start, its power
// with the margin, and the load at which its efficiency is known.
func fit(d parts.Driver, s Split, given Assumptions) Fit {
	f := Fit{Driver: d}
	f.current(s)
	f.voltage(s)
	f.power(s, given.MarginShare)
	if f.Fits = len(f.Reasons) == 0; f.Fits {
		f.caution(s, given)
	}
	return f
}

func (f *Fit) refuse(format string, args ...any) {
	f.Reasons = append(f.Reasons, fmt.Sprintf(format, args...))
}

func (f *Fit) current(s Split) {
	if len(f.Driver.CurrentsA) == 0 {
		f.refuse("it has no output current")
		return
	}
	off := func(a float64) float64 { return math.Abs(a - s.DriverA) }
	f.CurrentA = slices.MinFunc(f.Driver.CurrentsA, func(a, b float64) int { return cmp.Compare(off(a), off(b)) })
	if !(off(f.CurrentA) <= driverCurrentShare*s.DriverA*(1+roundingShare)) {
		f.refuse("it gives %s, not %s", sayA(f.CurrentA), sayA(s.DriverA))
	}
}

func (f *Fit) voltage(s Split) {
	d := f.Driver
	if !(d.LowestV <= s.LowestV && s.HighestV <= d.HighestV) {
		f.refuse("its %s to %s do not hold the strings' %s", sayV(d.LowestV), sayV(d.HighestV), sayStringsV(d, s))
	}
}

// sayStringsV writes the range of a split's strings that a driver does not hold: once where both ends are alike, and
// with a second decimal where one would hide how they differ, or that they are beyond the driver's.
func sayStringsV(d parts.Driver, s Split) string {
	for decimals := 1; decimals <= 2; decimals++ {
		scale := math.Pow(10, float64(decimals))
		low, high := math.Round(s.LowestV*scale)/scale, math.Round(s.HighestV*scale)/scale
		if low != high && (low < d.LowestV || high > d.HighestV) {
			return say(low, decimals) + " V to " + say(high, decimals) + " V"
		}
	}
	if low, high := say(s.LowestV, 2), say(s.HighestV, 2); low != high {
		return low + " V to " + high + " V"
	}
	return say(s.LowestV, 2) + " V"
}

func (f *Fit) power(s Split, marginShare float64) {
	rated := f.Driver.RatedW
	if !(rated > 0) || math.IsInf(rated, 0) {
		f.refuse("it has no rated power")
		return
	}
	f.LoadShare, f.MarginShare = s.LoadW/rated, rated/s.LoadW-1
	if needW := s.LoadW * (1 + marginShare); !(rated >= needW*(1-roundingShare)) {
		f.refuse("its %s are less than the load of %s with %s over it, %s", sayW(rated), sayW(s.LoadW),
			sayShare(marginShare), sayW(needW))
	}
	share, err := f.Driver.Efficiency.At(f.LoadShare)
	switch first, last := f.Driver.Efficiency.Domain(); {
	case f.Driver.Efficiency.Empty():
		f.refuse("its efficiency is not known")
	case err != nil:
		f.refuse("its efficiency is known from %s to %s of its rated power, and the load is %s", sayShare(first),
			sayShare(last), sayShare(f.LoadShare))
	case !(share > 0 && share <= 1):
		f.refuse("an efficiency of %s cannot be", sayShare(share))
	default:
		f.Efficiency, f.MainsW = share, s.LoadW/share
	}
}

// caution notes what the tolerance of the forward voltage, a cold start and an open string may do to a driver that
// fits.
func (f *Fit) caution(s Split, given Assumptions) {
	note := func(format string, args ...any) { f.Cautions = append(f.Cautions, fmt.Sprintf(format, args...)) }
	d := f.Driver
	perString := Tolerance{Volts: given.Forward.Volts * float64(s.PerString), Share: given.Forward.Share}
	low, high := s.LowestV-perString.ofV(s.LowestV), s.HighestV+perString.ofV(s.HighestV)
	if low < d.LowestV || high > d.HighestV {
		note("with the tolerance of the forward voltage the strings take %s to %s, beyond its %s to %s", sayV(low),
			sayV(high), sayV(d.LowestV), sayV(d.HighestV))
	}
	if s.ColdLoadW > d.RatedW {
		note("a cold start takes %s for a while, above its rated %s", sayW(s.ColdLoadW), sayW(d.RatedW))
	}
	if open := TouchOf(d.HighestV); open > s.Touch {
		limit := map[Touch]string{DryTouch: "30 V of bare live parts in wet", AboveTouch: "60 V of bare live parts in dry"}
		note("with nothing connected it may rise to %s, above the %s places", sayV(d.HighestV), limit[open])
	}
	if off := f.CurrentA - s.DriverA; math.Abs(off) > sameCurrentShare*s.DriverA {
		note("it gives %s, not %s; voltages and powers are for the latter", sayA(f.CurrentA), sayA(s.DriverA))
	}
}
