package circuit

import (
	"cmp"
	"maps"
	"math"
	"slices"

	"fathomlux/scene/finding"
	"fathomlux/scene/parts"
)

// Fit is one driver held against one split.
type Fit struct {
	Driver     parts.Driver
	Fits       bool
	Reasons    []finding.Finding // why it does not fit
	Cautions   []finding.Finding // what to know although it fits
	CurrentA   float64           // the output current that comes nearest to the wanted one
	LoadShare  float64           // load as a share of the rated power
	Efficiency float64           // at that load; 0 where it is not known
	MainsW     float64           // power from the mains; 0 where the efficiency is not known
	Verdict    Verdict
	Exposed    bool // it hangs near the water, and its code is none against splashing
}

// fits holds the drivers of the job against a split, those that fit first, then by class of voltage, protection against
// splashing where they need it, efficiency, price and name. A rough answer leaves out drivers that do not give the
// current.
func (job Job) fits(s Split, rough bool) (all []Fit) {
	for _, name := range slices.Sorted(maps.Keys(job.Drivers)) {
		driver := job.Drivers[name]
		driver.Name = name
		if !rough || gives(driver, s.DriverA) {
			all = append(all, fit(driver, s, job))
		}
	}
	slices.SortStableFunc(all, compareFits)
	return all
}

func compareFits(a, b Fit) int {
	return cmp.Or(
		cmp.Compare(min(len(a.Reasons), 1), min(len(b.Reasons), 1)),
		cmp.Compare(a.Verdict.Touch, b.Verdict.Touch),
		worse(a.Exposed, b.Exposed),
		cmp.Compare(math.Round(b.Efficiency*1000), math.Round(a.Efficiency*1000)), // catalogues give no more digits
		a.Driver.Price.Compare(b.Driver.Price),
		cmp.Compare(a.Driver.Name, b.Driver.Name),
	)
}

// worse compares two flaws, nothing before some.
func worse(a, b bool) int {
	switch {
	case a == b:
		return 0
	case a:
		return 1
	}
	return -1
}

// splashProof tells whether a code promises protection against splashing water. Source: IEC 60529, second digit.
func splashProof(ip string) bool { return len(ip) == 4 && ip[3] >= '4' && ip[3] <= '9' }

// gives tells whether an output current of a driver is as good as the wanted one.
func gives(d parts.Driver, wantedA float64) bool {
	return slices.ContainsFunc(d.CurrentsA, func(a float64) bool {
		return math.Abs(a-wantedA) <= driverCurrentShare*wantedA*(1+roundingShare)
	})
}

// fit holds one driver against a split: its current, its voltage range from the warm strings to a cold start, its power
// with the margin, and the load at which its efficiency is known. Cautions are what the tolerance of the forward
// voltage and a cold start may do to it where it fits.
func fit(d parts.Driver, s Split, job Job) Fit {
	given := job.Given
	off := func(a, b float64) int { return cmp.Compare(math.Abs(a-s.DriverA), math.Abs(b-s.DriverA)) }
	f := Fit{Driver: d, CurrentA: slices.MinFunc(d.CurrentsA, off), LoadShare: s.LoadW / d.RatedW,
		Verdict: verdict(s, d, job.Channel.Pulses), Exposed: job.NearWater && !splashProof(d.IP)}
	refuse := func(why finding.Finding) { f.Reasons = append(f.Reasons, why) }
	if !gives(d, s.DriverA) {
		refuse(finding.DriverCurrent.Of(milliamps(f.CurrentA), milliamps(s.DriverA)))
	}
	if !(d.LowestV <= s.LowestV && s.HighestV <= d.HighestV) {
		refuse(finding.DriverVoltage.Of(finding.Volts(d.LowestV), finding.Volts(d.HighestV),
			finding.Value{V: s.LowestV, Decimals: 2, Unit: "V"}, finding.Value{V: s.HighestV, Decimals: 2, Unit: "V"}))
	}
	if needW := s.LoadW * (1 + given.MarginShare); !(d.RatedW >= needW*(1-roundingShare)) {
		refuse(finding.DriverPower.Of(finding.Watts(d.RatedW), finding.Watts(needW), finding.Watts(s.LoadW),
			finding.Percent(given.MarginShare)))
	}
	var known bool
	if f.Efficiency, known = d.Efficiency.At(f.LoadShare); !known {
		first, last := d.Efficiency.Domain()
		refuse(finding.DriverEfficiency.Of(finding.Percent(first), finding.Percent(last), finding.Percent(f.LoadShare)))
	} else {
		f.MainsW = s.LoadW / f.Efficiency
	}
	way := map[bool]string{false: "current", true: "pulses"}[job.Channel.Pulses]
	needs := job.Channel.Dims || job.Channel.Pulses
	if needs && d.Dimming != "" && d.Dimming != "both" && d.Dimming != way {
		refuse(finding.CannotDim.Of(finding.Text(way), finding.Text(job.Channel.Name)))
	}
	f.Fits = len(f.Reasons) == 0
	caution := func(what finding.Finding) { f.Cautions = append(f.Cautions, what) }
	if needs && d.Dimming == "" {
		caution(finding.DimUnknown.Of(finding.Text(job.Channel.Name), finding.Text(way)))
	}
	low, high := s.LowestV*(1-given.ForwardShare), s.HighestV*(1+given.ForwardShare)
	if f.Fits && (low < d.LowestV || high > d.HighestV) {
		caution(finding.ForwardBeyondDriver.Of(finding.Volts(low), finding.Volts(high), finding.Volts(d.LowestV),
			finding.Volts(d.HighestV)))
	}
	if f.Fits && s.ColdLoadW > d.RatedW {
		caution(finding.ColdLoad.Of(finding.Watts(s.ColdLoadW), finding.Watts(d.RatedW)))
	}
	if f.Fits && math.Abs(f.CurrentA-s.DriverA) > sameCurrentShare*s.DriverA {
		caution(finding.CurrentOff.Of(milliamps(f.CurrentA), milliamps(s.DriverA)))
	}
	return f
}
