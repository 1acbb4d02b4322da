package circuit

import "slices"

// Highest ripple-free DC voltage of bare live parts of a luminaire of class III: where it may get wet, and in ordinary
// dry places, under load. Source: IEC 60598-1, for luminaires other than ordinary.
const (
	WetTouchV = 30
	DryTouchV = 60
)

// Touch tells which limit for bare live parts a voltage keeps.
type Touch int

// The classes of a voltage, the safest first.
const (
	WetTouch   Touch = iota // at most WetTouchV
	DryTouch                // at most DryTouchV
	AboveTouch              // above DryTouchV: no part may be bare anywhere
)

// TouchOf returns the class of a ripple-free DC voltage, V. A voltage that is not a number is AboveTouch.
func TouchOf(voltageV float64) Touch {
	switch {
	case voltageV <= WetTouchV:
		return WetTouch
	case voltageV <= DryTouchV:
		return DryTouch
	}
	return AboveTouch
}

// String names the class for a reason in words.
func (t Touch) String() string {
	return [...]string{"at or below 30 V", "at or below 60 V", "above 60 V"}[t]
}

// Judgement is one limit held against an output. LimitA and LimitW are 0 where the limit is one of voltage alone.
type Judgement struct {
	Name, Source           string
	LimitV, LimitA, LimitW float64
	Below                  bool // the voltage must stay below LimitV, rather than at or below it
	Met                    bool
}

// limits are the limits of extra-low-voltage light, the one for wet places first. A planning tool can show them, each
// by the number of its standard alone, for editions and clauses change; whether an installation meets a standard, local
// codes and licensed practice decide. A safety supply may reach 120 V for a short time in a fault. Class 2 is North
// American; its exact rule lets the current depend on the voltage, and these are its outer bounds.
var limits = []Judgement{
	{Name: "bare live parts in wet places, ripple-free DC", Source: "IEC 60598-1", LimitV: WetTouchV},
	{Name: "bare live parts in dry places, ripple-free DC", Source: "IEC 60598-1", LimitV: DryTouchV},
	{Name: "safety extra-low-voltage supply, DC", Source: "IEC 62368-1", LimitV: 60},
	{Name: "extra-low voltage, DC", Source: "IEC 61140", LimitV: 120},
	{Name: "Class 2 output, wet", Source: classTwo, LimitV: 30, LimitA: 5, LimitW: 100, Below: true},
	{Name: "Class 2 output, dry", Source: classTwo, LimitV: 60, LimitA: 5, LimitW: 100, Below: true},
}

const classTwo = "UL 1310; NEC, Class 2 power sources"

// judge holds a split's output, at a driver's current, against all limits.
func judge(s Split, currentA float64) []Judgement {
	all := slices.Clone(limits)
	for i, l := range all {
		all[i].Met = (s.HighestV < l.LimitV || !l.Below && s.HighestV == l.LimitV) &&
			(l.LimitA == 0 || currentA <= l.LimitA) && (l.LimitW == 0 || s.LoadW <= l.LimitW)
	}
	return all
}
