package circuit

import (
	"cmp"
	"maps"
	"math"
	"slices"
	"strconv"

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

const (
	// copperOhmM is the resistivity of annealed copper at 20 C, ohm m: 1/58 ohm mm2/m. Source: IEC 60028.
	copperOhmM = 1.724e-8
	// copperPerK is its relative change per kelvin at 20 C. Source: IEC 60028.
	copperPerK = 0.00393

	copperAtC = 20
)

// Gauge is a size of wire.
type Gauge struct {
	Name   string // "0.75 mm²" or "AWG 18"
	AreaM2 float64
}

// gauges are the metric sizes, mm2, and the even American ones of about the same areas, the thinnest first. Source of
// the metric ones from 0.5 mm2 on: IEC 60228, nominal cross-sections; the thinner ones are stranded wire in common use,
// common practice, no published source.
var gauges = func() (all [2][]Gauge) {
	for _, mm2 := range []float64{0.14, 0.25, 0.34, 0.5, 0.75, 1, 1.5, 2.5} {
		all[0] = append(all[0], Gauge{Name: strconv.FormatFloat(mm2, 'f', -1, 64) + " mm²", AreaM2: mm2 * 1e-6})
	}
	for n := 28; n >= 14; n -= 2 {
		all[1] = append(all[1], Gauge{Name: "AWG " + strconv.Itoa(n), AreaM2: areaAWG(n)})
	}
	return all
}()

// areaAWG returns the area of a solid round wire of american gauge n, m2. Source: ASTM B258, d = 0.127 mm
// 92^((36-n)/39).
func areaAWG(n int) float64 {
	d := 0.127e-3 * math.Pow(92, float64(36-n)/39)
	return math.Pi / 4 * d * d
}

// ohmPerM returns the resistance of one metre of copper wire at a temperature, ohm.
func (g Gauge) ohmPerM(copperC float64) float64 {
	return copperOhmM * (1 + copperPerK*(copperC-copperAtC)) / g.AreaM2
}

// Drop is a wire and the voltage that drops along it.
type Drop struct {
	Gauge Gauge
	DropV float64
	Share float64 // of the string's voltage
}

// leastWireM2 is the area of the thinnest wire that is advised: thinner wire breaks where it is bent, and many
// terminals do not hold it. AWG 20 is 0.518 mm2. Common practice, no published source.
const leastWireM2 = 0.5e-6

// Wire is the wire of one string, out and back, of a metric and of an American size. Where no size serves, its Gauge
// has no name.
type Wire struct {
	LengthM  float64
	CurrentA float64
	Thinnest [2]Drop // the thinnest that serves
	Advised  [2]Drop // the thinnest that serves and lasts, to be bought
}

// Advice names the wire to be bought, empty where none fits.
func (w Wire) Advice() string {
	if w.Advised[0].Gauge.Name == "" || w.Advised[1].Gauge.Name == "" {
		return ""
	}
	return w.Advised[0].Gauge.Name + " or " + w.Advised[1].Gauge.Name
}

// wires returns the wires of each string. A string has its own pair of leads; it runs from the feed's end to its
// farthest module of each rail and back, so that boards count as wire, which is a little too much. The heating of the
// wire is not judged: sizes below 0.5 mm2 are for bundles of few, up to about 2 A.
func wires(job Job, c Circuit, shared Sharing) (all []Wire) {
	for i, line := range c.Strings {
		w := Wire{LengthM: wireLengthM(job, line), CurrentA: shared.CurrentA[i]}
		for k, sizes := range gauges {
			for _, g := range slices.Backward(sizes) {
				dropV := g.ohmPerM(job.Given.CopperC) * w.LengthM * w.CurrentA
				d := Drop{Gauge: g, DropV: dropV, Share: dropV / shared.VoltageV}
				if !(d.Share <= job.Given.DropShare) {
					break
				}
				if w.Thinnest[k] = d; g.AreaM2 >= leastWireM2 {
					w.Advised[k] = d
				}
			}
		}
		all = append(all, w)
	}
	return all
}

// wireLengthM returns the length of a string's wire out and back, m.
func wireLengthM(job Job, line []parts.Mounted) float64 {
	last := len(line) - 1
	oneWay := job.Feed.LeadM + float64(line[last].Rail)*job.Feed.BetweenRailsM
	for i, m := range line {
		switch {
		case i < last && line[i+1].Rail == m.Rail: // the last one of a rail is the farthest from the feed
		case job.Feed.Right:
			oneWay += job.RailLengthsM[m.Rail] - m.AlongM
		default:
			oneWay += m.AlongM
		}
	}
	return 2 * oneWay
}

// Link is one wire of a string, in the order of the current: from the driver's plus, from module to module, back to its
// minus. An end without module is the driver.
type Link struct {
	From, To string // names of modules, empty for the driver
	Wire     string // "plus", "link" or "minus"
	LengthM  float64
}

// Links returns the wires of a string with their lengths, from middle to middle of the modules, by way of the feed's
// end of each rail; their sum is the length of the string's Wire.
func Links(job Job, line []parts.Mounted) (all []Link) {
	fedM := func(m parts.Mounted) float64 { // from the feed's end of its rail
		if job.Feed.Right {
			return job.RailLengthsM[m.Rail] - m.AlongM
		}
		return m.AlongM
	}
	driverM := func(m parts.Mounted) float64 {
		return job.Feed.LeadM + float64(m.Rail)*job.Feed.BetweenRailsM + fedM(m)
	}
	for i, m := range line {
		switch {
		case i == 0:
			all = append(all, Link{To: m.Name, Wire: "plus", LengthM: driverM(m)})
		case line[i-1].Rail == m.Rail:
			all = append(all, Link{From: line[i-1].Name, To: m.Name, Wire: "link",
				LengthM: math.Abs(m.AlongM - line[i-1].AlongM)})
		default:
			rails := math.Abs(float64(m.Rail - line[i-1].Rail))
			all = append(all, Link{From: line[i-1].Name, To: m.Name, Wire: "link",
				LengthM: fedM(line[i-1]) + rails*job.Feed.BetweenRailsM + fedM(m)})
		}
	}
	last := line[len(line)-1]
	return append(all, Link{From: last.Name, Wire: "minus", LengthM: driverM(last)})
}
