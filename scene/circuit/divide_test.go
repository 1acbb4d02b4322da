package circuit

import (
	"strings"
	"testing"

	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
)

// wet is a driver of one current from 8 V on that may be splashed.
func wet(currentA, highestV, openV, ratedW float64) parts.Driver {
	d := parts.Driver{CurrentsA: []float64{currentA}, LowestV: 8, HighestV: highestV, OpenV: openV, RatedW: ratedW, IP: "IP67", Isolated: true, Dimming: "both"}
	d.Efficiency = flat(0.85)
	return d
}

// TestVerdictOfBothVoltages: a string of two modules of 14.1 V when cold is below 30 V, but an open string lifts the terminals to the
// open-circuit voltage of the driver, and that is what the class goes by. Limits 30 and 60 V ripple-free DC, 12 and 25 V r.m.s. AC: IEC 60598-1 (H5, H6).
func TestVerdictOfBothVoltages(t *testing.T) {
	s := Split{HighestV: 28.2}
	for _, c := range []struct {
		name        string
		d           parts.Driver
		pulsed      bool
		work, touch Touch
		words       string
	}{
		{"low", parts.Driver{Isolated: true, OpenV: 30, HighestV: 29}, false, WetTouch, WetTouch, "28.2 V at work (at or below 30 V), up to 30.0 V without a load (at or below 30 V), isolated, ripple-free DC"},
		{"rises", parts.Driver{Isolated: true, OpenV: 51, HighestV: 46}, false, WetTouch, DryTouch, "28.2 V at work (at or below 30 V), up to 51.0 V without a load (at or below 60 V)"},
		{"above", parts.Driver{Isolated: true, OpenV: 66, HighestV: 46}, false, WetTouch, AboveTouch, "up to 66.0 V without a load (above 60 V)"},
		{"unknown", parts.Driver{Isolated: true, HighestV: 46}, false, WetTouch, DryTouch, "without a load at least 46.0 V, as its open-circuit voltage is not given"},
		{"pulses", parts.Driver{Isolated: true, OpenV: 30, HighestV: 29}, true, AboveTouch, AboveTouch, "28.2 V at work (above 25 V), up to 30.0 V without a load (above 25 V), isolated, pulsed or rippling, so no ripple-free DC"},
		{"ripple", parts.Driver{Isolated: true, OpenV: 30, HighestV: 29, RippleShare: 0.11}, false, AboveTouch, AboveTouch, "no ripple-free DC"},
		{"little ripple", parts.Driver{Isolated: true, OpenV: 30, HighestV: 29, RippleShare: 0.10}, false, WetTouch, WetTouch, "ripple-free DC"},
		{"mains", parts.Driver{OpenV: 30, HighestV: 29}, false, MainsTouch, MainsTouch, "is not isolated (the part does not say so) and counts as mains"},
	} {
		v := verdict(s, c.d, c.pulsed)
		if v.Work != c.work || v.Touch != c.touch || !strings.Contains(v.Words().Words(unit.Metric), c.words) {
			t.Errorf("%s: %+v, %q", c.name, v, v.Words().Words(unit.Metric))
		}
		for _, l := range judge(s, v, 0.7) {
			if l.Met && (!v.Isolated || l.LimitV < v.OpenV || v.Pulsed && l.RippleFree) || l.AtWork && l.LimitV < 28.2 {
				t.Errorf("%s meets %+v", c.name, l)
			}
		}
	}
}

// TestTwoStringsOnOneDriverOverload is the case of the issue: 8 modules of 4 x 3.69 V at 700 mA that bear 1000 mA. Two strings of four
// (59.0 V) on a driver of 1400 mA: an open string leaves the other 1400 mA, 40 % above 1000 mA. So a driver of 700 mA for
// each string comes first, though it is one more, and the other is named with why it lost. Asked for, it says so.
func TestTwoStringsOnOneDriverOverload(t *testing.T) {
	job := foyerJob()
	job.Modules = modules(8, "quad-neutral")
	for i := range job.Modules {
		job.Modules[i].CurrentA, job.Modules[i].Part.HighestA = 0.7, 1
	}
	job.Drivers = map[string]parts.Driver{"one": wet(0.7, 60, 60, 60), "two": wet(1.4, 60, 60, 120)}
	d, err := Divide(job)
	if err != nil || len(d.Jobs) != 2 {
		t.Fatalf("%d jobs, %q, %v", len(d.Jobs), d.Why.Words(unit.Metric), err)
	}
	seen := map[float64]bool{}
	for _, one := range d.Jobs {
		p, err := Design(one)
		if err != nil || !p.Chosen.Fed() || p.Chosen.Fit.Driver.Name != "one" || len(p.Circuit.Strings) != 1 || len(one.Modules) != 4 || len(p.Open.Over)+len(p.Short.Over) > 0 {
			t.Errorf("%+v, %v", p.Chosen, err)
		}
		for _, m := range one.Modules {
			seen[m.AlongM] = true
		}
	}
	if len(seen) != 8 {
		t.Errorf("%d of 8 modules are fed", len(seen))
	}
	if got := d.Why.Words(unit.Metric); !strings.HasPrefix(got, "2 drivers with 1 string of 4 each; 59.4 V at work (at or below 60 V), up to 60.0 V without a load (at or below 60 V)") {
		t.Errorf("%q", got)
	}
	if got := d.RunnerUp.Words(unit.Metric); got != "1 driver with 2 strings of 4 each on two, where a first fault drives modules above their highest current" {
		t.Errorf("%q", got)
	}
	job.Request = Request{Driver: "two"}
	p, err := Design(job)
	if err != nil || !p.Chosen.Harm || len(p.Open.Over) != 1 || !near(p.Open.Sharing.CurrentA[1-p.Open.String], 1.4, 1e-9) || !strings.Contains(p.Chosen.Why.Words(unit.Metric), "although one open or short circuit drives modules above") {
		t.Errorf("%+v, %v", p.Chosen, err)
	}
}

// TestLikeStringsMayShareWhereNothingIsOverloaded: at 350 mA the same strings may share a driver of 700 mA, as 700 mA are below 1000 mA: one driver.
func TestLikeStringsMayShareWhereNothingIsOverloaded(t *testing.T) {
	job := foyerJob()
	job.Modules = modules(8, "quad-neutral")
	job.Drivers = map[string]parts.Driver{"one": wet(0.35, 59, 60, 60), "two": wet(0.7, 59, 60, 120)}
	d, err := Divide(job)
	if err != nil || len(d.Jobs) != 1 || d.Jobs[0].Request.Driver != "two" || !strings.Contains(d.RunnerUp.Words(unit.Metric), "which takes more drivers") {
		t.Errorf("%d jobs, %q, %v", len(d.Jobs), d.RunnerUp.Words(unit.Metric), err)
	}
}

// TestSplashBeforeEfficiency: over the water a driver of IP67 goes before one of IP20 that is 1 % more efficient; on a dry wall it does not.
func TestSplashBeforeEfficiency(t *testing.T) {
	job := foyerJob()
	dry := wet(0.7, 48, 50, 60)
	dry.IP, dry.Efficiency = "IP20", flat(0.86)
	job.Drivers = map[string]parts.Driver{"wet": wet(0.7, 48, 50, 60), "dry": dry}
	for near, want := range map[bool]string{true: "wet", false: "dry"} {
		job.NearWater = near
		p, err := Design(job)
		if err != nil || p.Chosen.Fit.Driver.Name != want {
			t.Errorf("near %v: %+v, %v", near, p.Chosen, err)
		}
	}
	for ip, want := range map[string]bool{"IP67": true, "IP44": true, "IP20": false, "IP2X": false, "": false, "IPX4": true} {
		if splashProof(ip) != want {
			t.Errorf("%q is splash proof: %v", ip, !want)
		}
	}
}

// TestDriverMustDimAsItsChannel: a driver that cannot dim, or not in the way, is refused where its channel needs it.
func TestDriverMustDimAsItsChannel(t *testing.T) {
	for _, c := range []struct {
		dimming string
		channel Channel
		fits    bool
		caution bool
	}{{"none", Channel{}, true, false}, {"none", Channel{Dims: true}, false, false}, {"current", Channel{Dims: true}, true, false}, {"current", Channel{Pulses: true}, false, false},
		{"both", Channel{Pulses: true, Dims: true}, true, false}, {"pulses", Channel{Dims: true}, false, false}, {"", Channel{Dims: true}, true, true}} {
		job := foyerJob()
		d := wet(0.7, 48, 50, 60)
		d.Dimming = c.dimming
		job.Drivers, job.Channel = map[string]parts.Driver{"d": d}, c.channel
		job.Channel.Name = "blue"
		f := fitOf(t, split(t, mustSplits(t, job), 2), "d")
		if f.Fits != c.fits || (len(f.Cautions) > 0) != c.caution {
			t.Errorf("%+v: %v, %v", c, f.Fits, words(append(f.Reasons, f.Cautions...)...))
		}
	}
}
