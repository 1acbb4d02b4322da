package circuit

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"fathomlux/scene/curve"
	"fathomlux/scene/parts"
	"fathomlux/scene/practicetest"
	"fathomlux/scene/unit"
)

// TestTwoStringsOfThree: six modules of 14 V at 350 mA as two strings of three need 42 V and 700 mA, 29.4 W; a driver of
// 33.6 W for 9 to 48 V holds them and draws 34.6 W at 85 %. Common practice, no published source; the sums are H2.
func TestTwoStringsOfThree(t *testing.T) {
	job := foyerJob()
	s := split(t, mustSplits(t, job), 2)
	const rounding = 1e-9 // sums of six
	if !near(s.WarmV, 42, rounding) || !near(s.DriverA, 0.7, rounding) || !near(s.LoadW, 29.4, rounding) || s.PerString != 3 {
		t.Errorf("%g V, %g A, %g W, %d a string; want 42 V, 0.7 A, 29.4 W, 3", s.WarmV, s.DriverA, s.LoadW, s.PerString)
	}
	// 24 dies in two strings, 11 K colder than the table's 25 C, -2 mV/K each: 12 x 22 mV a string.
	if !near(s.HighestV, 42.264, rounding) || !near(s.LowestV, 42, rounding) || s.Touch != DryTouch {
		t.Errorf("%g V to %g V, %v; want 42 V to 42.264 V, at or below 60 V", s.LowestV, s.HighestV, s.Touch)
	}
	f := fitOf(t, s, "cc-700")
	if !f.Fits || f.CurrentA != 0.7 || !near(f.LoadShare, 0.875, rounding) {
		t.Errorf("cc-700: %+v", f)
	}
	if f.Efficiency != 0.85 || !near(f.MainsW, 34.6, 0.05) { // printed to a tenth
		t.Errorf("cc-700 draws %g W at %g, want 34.6 W at 0.85", f.MainsW, f.Efficiency)
	}
	if got := fmt.Sprint(dealt(job, s)); got != "[[0 2 4] [1 3 5]]" || !near(s.LargestGapM, 0.36, rounding) {
		t.Errorf("dealt %s with a gap of %g m, want every other one and 0.36 m", got, s.LargestGapM)
	}
}

// TestOneStringOfSix: 84 V, above the 60 V of bare live parts in dry places (H5), and no built-in driver gives it.
func TestOneStringOfSix(t *testing.T) {
	s := split(t, mustSplits(t, foyerJob()), 1)
	if !near(s.WarmV, 84, 1e-9) || s.Touch != AboveTouch || s.DriverA != 0.35 {
		t.Errorf("%g V, %v, %g A; want 84 V, above 60 V, 0.35 A", s.WarmV, s.Touch, s.DriverA)
	}
	if slices.ContainsFunc(s.Fits, func(f Fit) bool { return f.Fits }) {
		t.Errorf("a driver fits 84 V: %+v", s.Fits[0])
	}
}

func TestAllSplitsOfSix(t *testing.T) {
	all := mustSplits(t, foyerJob())
	var numbers []int
	for _, s := range all {
		numbers = append(numbers, s.Strings)
		if s.Refused.Any() || s.Strings*s.PerString != 6 || len(s.Of) != s.Strings || len(s.Fits) != len(foyerJob().Drivers) {
			t.Errorf("%d strings: %+v", s.Strings, s)
		}
		if !near(s.LoadW, 29.4, 1e-9) { // the load does not depend on the split
			t.Errorf("%d strings take %g W", s.Strings, s.LoadW)
		}
	}
	if !slices.Equal(numbers, []int{1, 2, 3, 6}) {
		t.Errorf("splits into %v strings", numbers)
	}
}

func TestUnlikeModules(t *testing.T) {
	job := foyerJob()
	job.Modules = append(modules(4, "quad-neutral"), modules(2, "quad-blue")...)
	all := mustSplits(t, job)
	two := split(t, all, 2)
	for _, line := range two.Of {
		blue := 0
		for _, m := range line {
			if m.Part.Name == "quad-blue" {
				blue++
			}
		}
		if len(line) != 3 || blue != 1 {
			t.Errorf("a string of %d has %d blue ones, want 1 of 3", len(line), blue)
		}
	}
	if want := 2*14 + 4*2.95; !near(two.WarmV, want, 1e-9) {
		t.Errorf("%g V, want %g V", two.WarmV, want)
	}
	three := split(t, all, 3)
	if !strings.Contains(three.Refused.Words(unit.Metric), "4 quad-neutral cannot be divided into 3 strings") || len(three.Fits) != 0 {
		t.Errorf("three strings: %+v", three)
	}
}

func TestUnlikeCurrents(t *testing.T) {
	job := foyerJob()
	job.Modules[4].CurrentA = 0.2
	job.Modules[5].CurrentA = 0.2 * (1 + 1e-9) // the same, by another unit
	groups := ByCurrent(job.Modules)
	if len(groups) != 2 || len(groups[0]) != 4 || len(groups[1]) != 2 {
		t.Errorf("groups %v", groups)
	}
	job.Modules = groups[1]
	if all := mustSplits(t, job); len(all) != 2 {
		t.Errorf("a group of two has %d splits, want 2", len(all))
	}
}

// TestRailsStandChequered: two rails of four in two strings, alternating, and the other way round on the second rail.
func TestRailsStandChequered(t *testing.T) {
	job := foyerJob()
	job.Modules = append(modules(4, "quad-neutral"), modules(4, "quad-neutral")...)
	for i := range 4 {
		job.Modules[4+i].Rail = 1
	}
	s := split(t, mustSplits(t, job), 2)
	if got := fmt.Sprint(dealt(job, s)); got != "[[0 2 5 7] [1 3 4 6]]" {
		t.Errorf("dealt %s", got)
	}
	// Rails of three and one: two strings of two, dealt to and fro along both.
	job.Modules[3].Rail = 1
	job.Modules = job.Modules[:4]
	s = split(t, mustSplits(t, job), 2)
	if of := dealt(job, s); len(of[0]) != 2 || len(of[1]) != 2 || slices.Contains(of[0], 0) == slices.Contains(of[0], 1) {
		t.Errorf("rails of three and one: %v", of)
	}
}

func TestFeedAtTheRight(t *testing.T) {
	job := foyerJob()
	job.Feed.Right = true
	if got := fmt.Sprint(dealt(job, split(t, mustSplits(t, job), 2))); got != "[[4 2 0] [5 3 1]]" {
		t.Errorf("order of the current %s, want from the right", got)
	}
}

func TestDriverReasons(t *testing.T) {
	all := mustSplits(t, foyerJob())
	for _, c := range []struct {
		strings        int
		driver, reason string
	}{
		{2, "cc-350", "its output of 350 mA is not the 700 mA that the strings need"},
		{2, "cc-700-56w", "its 43.0 V to 86.0 V do not cover the strings' 42.00 V to 42.26 V"},
		{2, "cc-700-20w", "its 19.6 W is less than the 32.3 W that a load of 29.4 W takes with a margin of 10 %"},
		{1, "cc-350", "its 9.0 V to 48.0 V do not cover the strings' 84.00 V to 84.53 V"},
	} {
		f := fitOf(t, split(t, all, c.strings), c.driver)
		if f.Fits || !slices.Contains(words(f.Reasons...), c.reason) {
			t.Errorf("%s on %d strings: %q, want %q among them", c.driver, c.strings, words(f.Reasons...), c.reason)
		}
	}
	if f := fitOf(t, split(t, all, 2), "cc-select-40w"); !f.Fits || f.CurrentA != 0.7 {
		t.Errorf("a switch at 700 mA: %+v", f)
	}
}

// TestOddDrivers holds drivers with holes in their data against two strings of three.
func TestOddDrivers(t *testing.T) {
	cc700 := practicetest.Parts().Drivers["cc-700"]
	change := func(do func(d *parts.Driver)) parts.Driver { d := cc700; do(&d); return d }
	table, err := curve.Linear([]float64{0.9, 1}, []float64{0.84, 0.85})
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		driver parts.Driver
		reason string // empty where it fits
	}{
		"2 % off":               {change(func(d *parts.Driver) { d.CurrentsA = []float64{0.714} }), ""},
		"more than 2 % off":     {change(func(d *parts.Driver) { d.CurrentsA = []float64{0.715} }), "its output of 715 mA is not the 700 mA that the strings need"},
		"just its margin":       {change(func(d *parts.Driver) { d.RatedW = 32.34 }), ""},
		"below its margin":      {change(func(d *parts.Driver) { d.RatedW = 32.3 }), "its 32.3 W is less than the 32.3 W that a load of 29.4 W takes with a margin of 10 %"},
		"efficiency elsewhere":  {change(func(d *parts.Driver) { d.Efficiency = table }), "its efficiency is known from 90 % to 100 % of its rated power and not at the load of 87 %"},
		"starts above the cold": {change(func(d *parts.Driver) { d.HighestV = 42.1 }), "its 9.0 V to 42.1 V do not cover the strings' 42.00 V to 42.26 V"},
	} {
		job := foyerJob()
		job.Drivers = map[string]parts.Driver{"odd": c.driver}
		f := fitOf(t, split(t, mustSplits(t, job), 2), "odd")
		if f.Fits != (c.reason == "") || c.reason != "" && !slices.Contains(words(f.Reasons...), c.reason) {
			t.Errorf("%s: %v, %q; want %q", name, f.Fits, words(f.Reasons...), c.reason)
		}
	}
}

func TestCautions(t *testing.T) {
	job := foyerJob()
	d := job.Drivers["cc-700"]
	d.HighestV, d.RatedW, d.CurrentsA = 43, 29.5, []float64{0.71}
	job.Drivers["cc-700"], job.Given.MarginShare = d, 0
	got := fitOf(t, split(t, mustSplits(t, job), 2), "cc-700")
	want := []string{
		"with the tolerance of the forward voltage the strings take 40.7 V to 43.5 V, beyond its 9.0 V to 43.0 V",
		"a cold start takes 29.6 W for a while, above its rated 29.5 W",
		"it gives 710 mA, not 700 mA; voltages and powers are for the latter",
	}
	if !got.Fits || !slices.Equal(words(got.Cautions...), want) {
		t.Errorf("%v, %q; want %q", got.Fits, words(got.Cautions...), want)
	}
}

func TestBadJobs(t *testing.T) {
	nan, endless := math.NaN(), math.Inf(1)
	for name, spoil := range map[string]func(j *Job){
		"current NaN":      func(j *Job) { j.Modules[2].CurrentA = nan },
		"current endless":  func(j *Job) { j.Modules[2].CurrentA = endless },
		"current too high": func(j *Job) { j.Modules[2].CurrentA = 3 },
		"junction NaN":     func(j *Job) { j.Modules[2].JunctionC = nan },
		"cold NaN":         func(j *Job) { j.Given.ColdC = nan },
		"too hot to be":    func(j *Job) { j.Modules[2].JunctionC = 1e6 },
		"no dies":          func(j *Job) { j.Modules[2].Part.DiesAlong = 0 },
	} {
		job := foyerJob()
		spoil(&job)
		if p, err := Design(job); err == nil || err.Error() != strings.TrimSuffix(err.Error(), ".") {
			t.Errorf("%s: designed as %v, %v", name, p.Chosen, err)
		}
	}
	for _, job := range []Job{{}, {Given: Usual(24)}} {
		if _, err := Design(job); !errors.Is(err, ErrNothing) {
			t.Errorf("no modules: %v", err)
		}
	}
	if got := ByCurrent(nil); got != nil {
		t.Errorf("groups of nothing: %v", got)
	}
}
