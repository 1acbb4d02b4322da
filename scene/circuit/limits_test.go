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
		out  Split
		a    float64
		met  [8]bool // wet, dry, pulsed wet, pulsed dry, safe supply, band, Class 2 wet, Class 2 dry
	}{
		{"two strings of three", Split{HighestV: 42, LoadW: 29.4}, 0.7, [8]bool{false, true, false, false, true, true, false, true}},
		{"at 30 V", Split{HighestV: 30, LoadW: 21}, 0.7, [8]bool{true, true, false, false, true, true, false, true}},
		{"at 60 V", Split{HighestV: 60, LoadW: 42}, 0.7, [8]bool{false, true, false, false, true, true, false, false}},
		{"one string of six", Split{HighestV: 84, LoadW: 29.4}, 0.35, [8]bool{false, false, false, false, false, true, false, false}},
		{"mains", Split{HighestV: 325, LoadW: 114}, 0.35, [8]bool{}},
		{"too much power", Split{HighestV: 28, LoadW: 112}, 4, [8]bool{true, true, false, false, true, true, false, false}},
		{"too much current", Split{HighestV: 12, LoadW: 72}, 6, [8]bool{true, true, true, true, true, true, false, false}},
		{"small", Split{HighestV: 28, LoadW: 29.4}, 1.05, [8]bool{true, true, false, false, true, true, true, true}},
		{"no number", Split{HighestV: math.NaN(), LoadW: 0}, 0, [8]bool{}},
	} {
		all := judge(c.out, Verdict{WorkV: c.out.HighestV, Isolated: true}, c.a)
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
