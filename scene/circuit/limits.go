package circuit

// Voltage limits of extra-low-voltage light, and what an output must not exceed to count as limited. A planning tool
// can show them, each by the number of its standard alone, for editions and clauses change; whether an installation
// meets a standard, local codes and licensed practice decide.
const (
	// WetTouchV is the highest ripple-free DC voltage of bare live parts of a luminaire of class III where it may get wet.
	// Source: IEC 60598-1, for luminaires other than ordinary.
	WetTouchV = 30
	// DryTouchV is the same in ordinary dry places, under load. Source: IEC 60598-1.
	DryTouchV = 60
	// extraLowV is the upper end of the extra-low-voltage band, DC. A band, no touch limit. Source: IEC 61140.
	extraLowV = 120
	// safeSupplyV is the highest output of a safety extra-low-voltage supply in normal operation, DC; for a short time in
	// a fault it may reach safeSupplyFaultV. Source: IEC 62368-1.
	safeSupplyV      = 60
	safeSupplyFaultV = 120
	// classTwoDryV and classTwoWetV are what a North american Class 2 output stays below in dry and wet places, DC;
	// classTwoA and classTwoW are its highest current and power. The exact rule lets the current depend on the voltage;
	// these are its outer bounds. Source: UL 1310; NEC, Class 2 power sources.
	classTwoDryV = 60
	classTwoWetV = 30
	classTwoA    = 5
	classTwoW    = 100
)

// Touch tells which limit for bare live parts a voltage keeps.
type Touch int

// The classes of a voltage, the safest first.
const (
	WetTouch   Touch = iota // at most WetTouchV
	DryTouch                // at most DryTouchV
	AboveTouch              // above DryTouchV: no part may be bare anywhere
)

// TouchOf returns the class of a ripple-free DC voltage, V. A voltage that is no number is AboveTouch.
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
	switch t {
	case WetTouch:
		return "at or below 30 V"
	case DryTouch:
		return "at or below 60 V"
	}
	return "above 60 V"
}

// Judgement is one limit held against an output. LimitA and LimitW are 0 where the limit is one of voltage alone.
type Judgement struct {
	Name, Source           string
	LimitV, LimitA, LimitW float64
	Below                  bool // the voltage must stay below LimitV, rather than at or below it
	Met                    bool
}

// judge holds a split's output, at a driver's current, against all limits, the one for wet places first.
func judge(s Split, currentA float64) []Judgement {
	const touch, classTwo = "IEC 60598-1", "UL 1310; NEC, Class 2 power sources"
	all := []Judgement{
		{Name: "bare live parts in wet places, ripple-free DC", Source: touch, LimitV: WetTouchV},
		{Name: "bare live parts in dry places, ripple-free DC", Source: touch, LimitV: DryTouchV},
		{Name: "safety extra-low-voltage supply, DC", Source: "IEC 62368-1", LimitV: safeSupplyV},
		{Name: "extra-low voltage, DC", Source: "IEC 61140", LimitV: extraLowV},
		{Name: "Class 2 output, wet", Source: classTwo, LimitV: classTwoWetV, LimitA: classTwoA, LimitW: classTwoW,
			Below: true},
		{Name: "Class 2 output, dry", Source: classTwo, LimitV: classTwoDryV, LimitA: classTwoA, LimitW: classTwoW,
			Below: true},
	}
	for i, l := range all {
		all[i].Met = (s.HighestV < l.LimitV || !l.Below && s.HighestV == l.LimitV) &&
			(l.LimitA == 0 || currentA <= l.LimitA) && (l.LimitW == 0 || s.LoadW <= l.LimitW)
	}
	return all
}
