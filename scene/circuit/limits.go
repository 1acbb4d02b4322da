package circuit

import (
	"slices"

	"fathomlux/scene/finding"
	"fathomlux/scene/parts"
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
