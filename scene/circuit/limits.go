package circuit

import (
	"fmt"
	"math"
	"slices"

	"fathomlux/scene/finding"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
)

// Highest ripple-free DC voltage of bare live parts of a luminaire of class III: where it may get wet, and in ordinary
// dry places, under load. Source: IEC 60598-1, for luminaires other than ordinary.
const (
	WetTouchV = 30
	DryTouchV = 60
)

// Highest r.m.s. AC voltage of the same parts. What is pulsed or ripples strongly is no ripple-free DC; its peak is
// held to these, which is on the safe side. Source: IEC 60598-1, as above.
const (
	WetPulsedV = 12
	DryPulsedV = 25
)

// mostRippleShare is the r.m.s. ripple up to which DC counts as ripple-free. Source: IEC 61140; not checked against the
// print.
const mostRippleShare = 0.10

// Touch tells which limit for bare live parts a voltage keeps.
type Touch int

// The classes of a voltage, the safest first.
const (
	WetTouch   Touch = iota // at most WetTouchV, or WetPulsedV where it is pulsed
	DryTouch                // at most DryTouchV, or DryPulsedV
	AboveTouch              // above that: no part may be bare anywhere
	MainsTouch              // the output is not isolated: whatever its voltage, it counts as mains
)

// TouchOf returns the class of a ripple-free DC voltage, V. A voltage that is not a number is AboveTouch.
func TouchOf(voltageV float64) Touch { return touchOf(voltageV, WetTouchV, DryTouchV) }

func touchOf(voltageV, wetV, dryV float64) Touch {
	switch {
	case voltageV <= wetV:
		return WetTouch
	case voltageV <= dryV:
		return DryTouch
	}
	return AboveTouch
}

// String names the class for a reason in words.
func (t Touch) String() string {
	return [...]string{"at or below 30 V", "at or below 60 V", "above 60 V", "counts as mains"}[t]
}

// Verdict is how the output of a driver stands to the limits for bare live parts: at work, and without a load, as when
// a string opens or a plug is pulled.
type Verdict struct {
	WorkV, OpenV float64
	OpenKnown    bool // otherwise OpenV is the highest voltage of its range, and it may be more
	Isolated     bool
	Pulsed       bool // dimmed by pulses, or of more ripple than mostRippleShare: no ripple-free DC
	Work, Touch  Touch
}

// verdict judges a split on a driver; Touch is the worse class of the two voltages.
func verdict(s Split, d parts.Driver, pulsed bool) Verdict {
	v := Verdict{WorkV: s.HighestV, OpenV: d.OpenV, OpenKnown: d.OpenV > 0, Isolated: d.Isolated,
		Pulsed: pulsed || d.RippleShare > mostRippleShare}
	if !v.OpenKnown {
		v.OpenV = d.HighestV
	}
	of := TouchOf
	if v.Pulsed {
		of = func(voltageV float64) Touch { return touchOf(voltageV, WetPulsedV, DryPulsedV) }
	}
	v.Work = of(v.WorkV)
	if v.Touch = max(v.Work, of(v.OpenV)); !v.Isolated {
		v.Work, v.Touch = MainsTouch, MainsTouch
	}
	return v
}

// Words says both voltages with the class of each, and what the output is.
func (v Verdict) Words() finding.Finding {
	kind := finding.RippleFree.Of()
	limits := [...]string{"at or below 30 V", "at or below 60 V", "above 60 V", ""}
	if v.Pulsed {
		kind = finding.NotRippleFree.Of()
		limits = [...]string{"at or below 12 V", "at or below 25 V", "above 25 V", ""}
	}
	open := finding.OpenRises.Of(finding.Volts(v.OpenV))
	if !v.OpenKnown {
		open = finding.OpenUnknown.Of(finding.Volts(v.OpenV))
	}
	if !v.Isolated {
		return finding.OutputIsMains.Of(finding.Volts(v.WorkV), open)
	}
	return finding.OutputOf.Of(finding.Volts(v.WorkV), finding.Text(limits[v.Work]), open, finding.Text(limits[v.Touch]),
		kind)
}

// Judgement is one limit held against an output. LimitA and LimitW are 0 where the limit is one of voltage alone.
type Judgement struct {
	Name, Source           string
	LimitV, LimitA, LimitW float64
	Below                  bool // the voltage must stay below LimitV, rather than at or below it
	RippleFree             bool // it holds for ripple-free DC alone
	AtWork                 bool // met by the strings at work
	Met                    bool // met by them and by the driver without a load
}

// limits are the limits of extra-low-voltage light, the one for wet places first. A planning tool can show them, each
// by the number of its standard alone, for editions and clauses change; whether an installation meets a standard, local
// codes and licensed practice decide. A safety supply may reach 120 V for a short time in a fault. Class 2 is North
// American; its exact rule lets the current depend on the voltage, and these are its outer bounds. All take an output
// that is isolated from the mains.
var limits = []Judgement{
	{Name: "bare live parts in wet places, ripple-free DC", Source: "IEC 60598-1", LimitV: WetTouchV, RippleFree: true},
	{Name: "bare live parts in dry places, ripple-free DC", Source: "IEC 60598-1", LimitV: DryTouchV, RippleFree: true},
	{Name: "bare live parts in wet places, AC or pulses", Source: "IEC 60598-1", LimitV: WetPulsedV},
	{Name: "bare live parts in dry places, AC or pulses", Source: "IEC 60598-1", LimitV: DryPulsedV},
	{Name: "safety extra-low-voltage supply, DC", Source: "IEC 62368-1", LimitV: 60, RippleFree: true},
	{Name: "extra-low voltage, DC", Source: "IEC 61140", LimitV: 120, RippleFree: true},
	{Name: "Class 2 output, wet", Source: classTwo, LimitV: 30, LimitA: 5, LimitW: 100, Below: true, RippleFree: true},
	{Name: "Class 2 output, dry", Source: classTwo, LimitV: 60, LimitA: 5, LimitW: 100, Below: true, RippleFree: true},
}

const classTwo = "UL 1310; NEC, Class 2 power sources"

// judge holds a split's output, with the verdict on it and a driver's current, against all limits.
func judge(s Split, v Verdict, currentA float64) []Judgement {
	all := slices.Clone(limits)
	for i, l := range all {
		keeps := func(voltageV float64) bool {
			return (voltageV < l.LimitV || !l.Below && voltageV == l.LimitV) && (l.LimitA == 0 || currentA <= l.LimitA) &&
				(l.LimitW == 0 || s.LoadW <= l.LimitW) && v.Isolated && !(v.Pulsed && l.RippleFree)
		}
		all[i].AtWork = keeps(v.WorkV)
		all[i].Met = all[i].AtWork && keeps(v.OpenV)
	}
	return all
}

// Guard is what keeps a first fault from driving modules above their highest current where strings share a driver: a
// fuse in the plus lead of each string, or a driver for each string. A series resistor is no guard: it evens out the
// currents of strings, but a driver of constant current presses all of it through those that are left.
type Guard struct {
	Needed bool    // otherwise all else is zero, and all but OpenA where the driver does not fit
	FuseA  float64 // rating of the fuses; 0 where no standard rating serves
	FuseV  float64 // DC voltage that they must be made to break: the driver's without a load
	HoldA  float64 // rating that they must have at least, so as to hold in operation
	OpenA  float64 // current at which they must open: the least that is too much after a first fault
	Each   Pick    // one string on a driver of its own; none where no driver of the job feeds it
	n      int     // strings
	chosen parts.Money
}

// Fuses are of the kind of UL 248-14: they carry their rating, and open within an hour at 1.35 times and within two
// minutes at twice their rating. Those of IEC 60127-2 hold 1.5 times their rating for an hour and open at 2.1 times,
// which one open string of two never reaches. Neither standard was checked against the print.
const (
	fuseOpens     = 1.35
	fuseOpensSoon = 2.0
	// fuseReserveShare is the share of its rating that a fuse carries for years. Common practice, no published source.
	fuseReserveShare = 0.75
)

// fuseRatings are those of small fuses, A: the R10 series of preferred numbers. Source: ISO 3; IEC 60127-2.
var fuseRatings = func() (all []float64) {
	for _, decade := range []float64{0.01, 0.1, 1} {
		for _, r := range []float64{1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8} {
			all = append(all, decade*r)
		}
	}
	return all
}()

// guard plans what keeps the chosen strings from a first fault. A fuse serves whose rating is above the current of its
// string in operation, with reserve and with unlike forward voltages at their worst, and which opens at the current
// that is left after the fault.
func (p *Plan) guard(job Job) (g Guard) {
	g.OpenA = math.Inf(1)
	for _, f := range []Fault{p.Open, p.Short} {
		for _, i := range f.Over {
			g.OpenA = min(g.OpenA, f.Sharing.CurrentA[i])
		}
	}
	if math.IsInf(g.OpenA, 1) || len(p.Circuit.Strings) < 2 {
		return Guard{}
	}
	if g.Needed = true; !p.Chosen.Fed() {
		return g
	}
	_, usualA := p.Sharing.Range()
	_, worstA := p.Worst.Sharing.Range()
	v := p.Chosen.Fit.Verdict
	g.n, g.chosen, g.FuseV = len(p.Circuit.Strings), p.Chosen.Fit.Driver.Price, max(v.OpenV, v.WorkV)
	g.HoldA = max(usualA/fuseReserveShare, worstA)
	k := slices.IndexFunc(fuseRatings, func(a float64) bool { return a >= g.HoldA*(1-roundingShare) })
	if k >= 0 && fuseRatings[k]*fuseOpens <= g.OpenA {
		g.FuseA = fuseRatings[k]
	}
	if all := job.equal(p.Chosen.Split, g.n); len(all) > 0 {
		g.Each = all[0].picks[0]
	}
	return g
}

// FuseName is the rating of the fuses, as it is marked on them, empty where there are none.
func (g Guard) FuseName() string {
	switch {
	case g.FuseA == 0:
		return ""
	case g.FuseA < 1:
		return unit.Current.Say(g.FuseA)
	}
	return unit.Short(g.FuseA, 2) + " A"
}

// Words says what keeps modules from a first fault, and what the ways cost where that is known; nothing where none is
// needed.
func (g Guard) Words() (list finding.All) {
	if g.n == 0 {
		return nil
	}
	own := g.chosen.Amount
	price := func(format string, amount float64, also parts.Money) finding.Text {
		if g.chosen.Currency == "" || also.Currency != g.chosen.Currency {
			return ""
		}
		return finding.Aside(fmt.Sprintf(format, unit.Figure(amount, 2), g.chosen.Currency, unit.Figure(own, 2)))
	}
	list = finding.All{finding.NoGuardFuse.Of(milliamps(math.Ceil(1000*g.HoldA)/1000), milliamps(g.OpenA))}
	if g.FuseA > 0 {
		within := finding.Text("within an hour")
		if g.OpenA >= fuseOpensSoon*g.FuseA {
			within = "within two minutes"
		}
		list = finding.All{finding.GuardFuse.Of(finding.Text(g.FuseName()),
			finding.Value{V: math.Ceil(g.FuseV), Unit: "V DC"},
			milliamps(g.OpenA), within, price("%s %s with the driver rather than %[3]s %[2]s",
				own+float64(g.n)*parts.FusePrice.Amount, parts.FusePrice))}
	}
	if !g.Each.Fed() {
		return append(list, finding.NoGuardDriver.Of())
	}
	d := g.Each.Fit.Driver
	return append(list, finding.GuardDrivers.Of(finding.Text(d.Name),
		price("%s %s rather than %s %[2]s for the one driver",
			float64(g.n)*d.Price.Amount, d.Price)))
}
