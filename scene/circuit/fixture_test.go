package circuit

import (
	"maps"
	"math"
	"slices"
	"testing"

	"fathomlux/scene/curve"
	"fathomlux/scene/finding"
	"fathomlux/scene/parts"
	"fathomlux/scene/practicetest"
	"fathomlux/scene/unit"
)

const quadA = 0.35 // the current of most tests

// modules returns n modules of a name at 350 mA and 25 C, 180 mm apart on one rail.
func modules(n int, name string) []parts.Mounted {
	part := practicetest.Parts().Modules[name]
	var all []parts.Mounted
	for i := range n {
		all = append(all, parts.Mounted{Part: part, CurrentA: quadA, JunctionC: 25, AlongM: 0.1 + 0.18*float64(i)})
	}
	return all
}

// foyerJob is six modules of 14 V at 350 mA with the drivers of common practice, fed from the left over a lead of 2 m.
func foyerJob() Job {
	return Job{
		Modules: modules(6, "quad-neutral"), RailLengthsM: []float64{1.1}, Drivers: maps.Clone(practicetest.Parts().Drivers),
		Feed:  Feed{LeadM: 2, BetweenRailsM: 0.5},
		Given: Usual(24),
	}
}

// line returns a module of one die with the straight curve V = atNoneV + ohm I from 10 mA to 1 A.
func line(t interface{ Fatal(...any) }, atNoneV, ohm float64) parts.Mounted {
	forward, err := curve.Linear([]float64{0.01, 1}, []float64{atNoneV + 0.01*ohm, atNoneV + ohm})
	if err != nil {
		t.Fatal(err)
	}
	part := parts.Module{Name: "line", DiesAlong: 1, DiesAcross: 1, ParallelPaths: 1, ForwardV: forward, ReferenceC: 25, HighestA: 0.5}
	return parts.Mounted{Part: part, CurrentA: quadA, JunctionC: 25}
}

// near tells whether got is within tolerance of want; a NaN is near nothing.
func near(got, want, tolerance float64) bool { return math.Abs(got-want) <= tolerance }

// mustSplits returns the splits of a job that must not fail.
func mustSplits(t *testing.T, job Job) []Split {
	t.Helper()
	if err := job.check(); err != nil {
		t.Fatal(err)
	}
	return job.splits(byRail(job.Modules), false)
}

// dealt returns the modules of each string by their index in the job.
func dealt(job Job, s Split) [][]int {
	of := make([][]int, len(s.Of))
	for n, line := range s.Of {
		for _, m := range line {
			of[n] = append(of[n], slices.IndexFunc(job.Modules, func(o parts.Mounted) bool { return o.Rail == m.Rail && o.AlongM == m.AlongM }))
		}
	}
	return of
}

// words are those of findings.
func words(list ...finding.Finding) []string { return finding.Lines(list, finding.Note, unit.Metric) }

// split returns the split into a number of strings.
func split(t *testing.T, all []Split, strings int) Split {
	t.Helper()
	for _, s := range all {
		if s.Strings == strings {
			return s
		}
	}
	t.Fatalf("no split into %d strings among %d", strings, len(all))
	return Split{}
}

// fitOf returns how a driver fits a split.
func fitOf(t *testing.T, s Split, driver string) Fit {
	t.Helper()
	for _, f := range s.Fits {
		if f.Driver.Name == driver {
			return f
		}
	}
	t.Fatalf("driver %s is not held against %d strings", driver, s.Strings)
	return Fit{}
}

// flat is an efficiency that is the same at any load.
func flat(share float64) curve.Curve {
	c, _ := curve.Linear([]float64{0, 2}, []float64{share, share}) // two fixed rows always serve
	return c
}
