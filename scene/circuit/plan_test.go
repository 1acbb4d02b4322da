package circuit

import (
	"math"
	"reflect"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

func TestCardOfTwoStringsOfThree(t *testing.T) {
	job, c := foyerJob(), wiredAs(t, 2, "cc-700")
	card := card(job.Given, c, share(c.Strings, c.DriverA))
	if len(card) != 2+2*(2+6) { // driver, and for each string itself and three modules
		t.Fatalf("%d points", len(card))
	}
	const joint = 1e-6 // what a joint of 1 microohm moves
	if p := card[0]; p.String != -1 || p.Terminal != "+" || !near(p.VoltageV, 42, joint) || p.CurrentA != 0.7 ||
		!near(p.LowV, 42*0.97, joint) || !near(p.HighV, 42*1.03, joint) || !near(p.ColdV, 42.264, joint) {
		t.Errorf("driver: %+v", p)
	}
	if p := card[1]; p.Terminal != "-" || p.VoltageV != 0 || p.HighV != 0 || p.ColdV != 0 {
		t.Errorf("driver's minus: %+v", p)
	}
	wantV := []float64{42, 28, 28, 14, 14, 0}
	for i, p := range card[4:10] { // the modules of string 1
		if p.String != 0 || p.Module != i/2 || p.Terminal != []string{"+", "-"}[i%2] {
			t.Errorf("point %d: %+v", i, p)
		}
		if !near(p.VoltageV, wantV[i], joint) || !near(p.AcrossV, 14, joint) || !near(p.CurrentA, 0.35, joint) || !near(p.LowV, 0.97*wantV[i], joint) {
			t.Errorf("point %d: %+v; want %g V", i, p, wantV[i])
		}
		if !near(p.ColdV, wantV[i]*42.264/42, joint) {
			t.Errorf("point %d cold: %g V", i, p.ColdV)
		}
	}
	if last := card[len(card)-1]; last.VoltageV != 0 || last.String != 1 {
		t.Errorf("last point: %+v", last)
	}
}

func TestDesignOfTheFoyer(t *testing.T) {
	job := foyerJob()
	job.Request = Request{Strings: 2, Driver: "cc-700"}
	p, err := Design(job)
	if err != nil {
		t.Fatal(err)
	}
	if p.Chosen.Split.Strings != 2 || p.Recommended.Split.Strings != 2 {
		t.Errorf("chosen %+v, recommended %+v", p.Chosen, p.Recommended)
	}
	if !near(p.Open.HighestShare, 2, 1e-9) || !near(p.Short.Sharing.CurrentA[0], 0.7, 1e-9) || p.Worst.HighestShare <= p.Likely.HighestShare {
		t.Errorf("open %+v, short %+v, worst %+v", p.Open, p.Short, p.Worst)
	}
	if !near(p.Chosen.Fit.MainsW, 34.6, 0.05) || len(p.Wires) != 2 || len(p.Card) != 18 || p.Limits[0].Met || !p.Limits[1].Met {
		t.Errorf("%+v, %d wires, %d points, limits %+v", p.Chosen.Fit, len(p.Wires), len(p.Card), p.Limits)
	}
	again, err := Design(job)
	if err != nil || !reflect.DeepEqual(p.Card, again.Card) || !reflect.DeepEqual(p.Chosen, again.Chosen) || !reflect.DeepEqual(p.Wires, again.Wires) {
		t.Error("the same job has two answers")
	}
}

// TestDesignFaultsWhereItMatters makes one module of the second string warm, so that its string has the lowest voltage
// and it is not the one to be bridged.
func TestDesignFaultsWhereItMatters(t *testing.T) {
	job := foyerJob()
	job.Request.Strings = 2
	job.Modules[1].JunctionC = 90
	p, err := Design(job)
	if err != nil {
		t.Fatal(err)
	}
	if p.Open.String != 0 || p.Short.String != 1 || p.Chosen.Split.Of[1][p.Short.Module].JunctionC == 90 {
		t.Errorf("string %d opens, module %d of string %d is bridged", p.Open.String, p.Short.Module, p.Short.String)
	}
	if !(p.Sharing.CurrentA[1] > p.Sharing.CurrentA[0]) {
		t.Errorf("the warm string carries %g A, the other %g A", p.Sharing.CurrentA[1], p.Sharing.CurrentA[0])
	}
}

func TestDesignWithoutDriver(t *testing.T) {
	job := foyerJob()
	job.Drivers = nil
	p, err := Design(job)
	if err != nil || p.Chosen.Split != nil || p.Chosen.Fit != nil || !p.Chosen.Flagged() || len(p.Card) != 0 || p.Apart != nil {
		t.Errorf("no drivers: %+v, %d points, %v", p.Chosen, len(p.Card), err) // nobody asked for strings
	}
	job.Request.Strings = 2
	if p, err = Design(job); err != nil || p.Chosen.Split.Strings != 2 || p.Chosen.Fit != nil || !p.Chosen.Flagged() || len(p.Card) == 0 {
		t.Errorf("no drivers for two strings: %+v, %v", p.Chosen, err)
	}
}

// TestDesignNeverPanics draws jobs with wild numbers: they are refused or answered, with finite numbers.
func TestDesignNeverPanics(t *testing.T) {
	wild := []float64{0, -1, 1e300, math.NaN(), math.Inf(1), math.Inf(-1)}
	names := []string{"quad-neutral", "quad-red", "single-neutral", "strip-blue"}
	rapid.Check(t, func(t *rapid.T) {
		value := func(what string, usual float64) float64 {
			if rapid.IntRange(0, 60).Draw(t, what+" is wild") == 0 {
				return rapid.SampledFrom(wild).Draw(t, what)
			}
			return usual
		}
		job := foyerJob()
		job.Modules = nil
		for range rapid.IntRange(0, 2).Draw(t, "kinds") {
			job.Modules = append(job.Modules, modules(rapid.IntRange(0, 8).Draw(t, "modules"), rapid.SampledFrom(names).Draw(t, "part"))...)
		}
		for i := range job.Modules {
			m := &job.Modules[i]
			m.CurrentA, m.JunctionC = value("current", 0.35), value("junction", 60)
			m.Rail = rapid.IntRange(0, 1).Draw(t, "rail")
		}
		job.RailLengthsM = []float64{1.1, 1.1}
		job.Given.ColdC, job.Feed.Right = value("cold", 5), rapid.Bool().Draw(t, "right")
		job.Request.Strings = rapid.IntRange(0, 4).Draw(t, "strings")
		p, err := Design(job)
		if err != nil {
			return
		}
		figures := []float64{p.Sharing.VoltageV, p.Open.HighestShare, p.Short.HighestShare, p.Worst.HighestShare}
		for _, w := range p.Wires {
			figures = append(figures, w.LengthM, w.CurrentA)
		}
		if slices.ContainsFunc(figures, func(v float64) bool { return math.IsNaN(v) || math.IsInf(v, 0) }) {
			t.Errorf("%v of %+v", figures, p)
		}
	})
}
