package circuit

import (
	"math"
	"regexp"
	"testing"
)

// TestTouchLimits: 30 V where it is wet, 60 V where it is dry, ripple-free DC. Source: IEC 60598-1 (H5, H6).
func TestTouchLimits(t *testing.T) {
	for _, c := range []struct {
		v    float64
		want Touch
	}{{12, WetTouch}, {30, WetTouch}, {30.1, DryTouch}, {42, DryTouch}, {60, DryTouch}, {60.1, AboveTouch}, {84, AboveTouch}, {math.NaN(), AboveTouch}, {math.Inf(1), AboveTouch}} {
		if got := TouchOf(c.v); got != c.want {
			t.Errorf("%g V is %v, want %v", c.v, got, c.want)
		}
	}
}

// edition is a year, a clause, or IEC 60950-1, which IEC 62368-1 follows.
var edition = regexp.MustCompile(`:(19|20)\d\d|\d\.\d|60950|table`)

// TestJudge holds outputs against the limits of H4 (120 V DC, IEC 61140), H5 and H6, H7 (Class 2: below 60 V dry
// and 30 V wet, 5 A, 100 W; UL 1310) and H8 (60 V, IEC 62368-1). The order is that of judge,
// and standards are cited without edition.
func TestJudge(t *testing.T) {
	for _, c := range []struct {
		name string
		out  Output
		met  [6]bool // wet, dry, safe supply, band, Class 2 wet, Class 2 dry
	}{
		{"two strings of three", Output{HighestV: 42, CurrentA: 0.7, LoadW: 29.4}, [6]bool{false, true, true, true, false, true}},
		{"at 30 V", Output{HighestV: 30, CurrentA: 0.7, LoadW: 21}, [6]bool{true, true, true, true, false, true}},
		{"at 60 V", Output{HighestV: 60, CurrentA: 0.7, LoadW: 42}, [6]bool{false, true, true, true, false, false}},
		{"one string of six", Output{HighestV: 84, CurrentA: 0.35, LoadW: 29.4}, [6]bool{false, false, false, true, false, false}},
		{"mains", Output{HighestV: 325, CurrentA: 0.35, LoadW: 114}, [6]bool{}},
		{"too much power", Output{HighestV: 28, CurrentA: 4, LoadW: 112}, [6]bool{true, true, true, true, false, false}},
		{"too much current", Output{HighestV: 12, CurrentA: 6, LoadW: 72}, [6]bool{true, true, true, true, false, false}},
		{"small", Output{HighestV: 28, CurrentA: 1.05, LoadW: 29.4}, [6]bool{true, true, true, true, true, true}},
		{"no number", Output{HighestV: math.NaN()}, [6]bool{}},
	} {
		all := judge(c.out)
		if len(all) != len(c.met) {
			t.Fatalf("%d limits, want %d", len(all), len(c.met))
		}
		for i, j := range all {
			if j.Met != c.met[i] {
				t.Errorf("%s: %s met is %v, want %v", c.name, j.Name, j.Met, c.met[i])
			}
			if edition.MatchString(j.Source) {
				t.Errorf("%s cites an edition, a clause or a withdrawn standard: %s", j.Name, j.Source)
			}
			if j.Source == "" || j.LimitV <= 0 {
				t.Errorf("%s has no source or no limit", j.Name)
			}
		}
	}
}
