package circuit

import (
	"strings"
	"testing"

	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
)

// sharing is n strings of 4 modules at 700 mA, which bear 1000 mA, on one driver for 29 EUR; another one feeds a string for 18 EUR.
func sharing(t *testing.T, n int) Plan {
	t.Helper()
	job := foyerJob()
	job.Modules = modules(4*n, "quad-neutral")
	for i := range job.Modules {
		job.Modules[i].CurrentA, job.Modules[i].Part.HighestA, job.Modules[i].AlongM = 0.7, 1, 0.1*float64(i)
	}
	one, all := wet(0.7, 60, 60, 60), wet(0.7*float64(n), 60, 60, 600)
	one.Price, all.Price = parts.Money{Amount: 18, Currency: "EUR"}, parts.Money{Amount: 29, Currency: "EUR"}
	job.Drivers = map[string]parts.Driver{"one": one, "all": all}
	job.Request = Request{Driver: "all"}
	p, err := Design(job)
	if err != nil || !p.Chosen.Harm || !p.Guard.Needed {
		t.Fatalf("%d strings: %+v, %v", n, p.Guard, err)
	}
	return p
}

// TestFuseWhereStringsShareADriver is by hand. Two strings at 700 mA: an open one leaves the other 1400 mA. A fuse carries 700 mA at 75 % of
// its rating from 933 mA on; 1 A is the next of the R10 series, and opens at 1.35 A, below 1400 mA, though not at twice its rating. With
// driver 29 + 2 x 1.35 = 31.70 EUR; two drivers 36 EUR. So two drivers are recommended, where one is asked for.
func TestFuseWhereStringsShareADriver(t *testing.T) {
	p := sharing(t, 2)
	if g := p.Guard; g.FuseA != 1 || g.FuseV != 60 || !near(g.OpenA, 1.4, 1e-9) || g.HoldA < 0.7/0.75 || g.HoldA > 1 || g.Each.Fit.Driver.Name != "one" {
		t.Errorf("%+v", g)
	}
	if got, want := p.Guard.Words().Say(unit.Metric), "a fuse of 1 A for 60 V DC in the plus lead of each string, of the kind that opens at "+
		"1.35 times its rating (UL 248-14), opens at the 1400 mA of a first fault within an hour, and until then modules carry that (31.70 EUR with "+
		"the driver rather than 29.00 EUR); a driver one for each string instead needs no fuse (36.00 EUR rather than 29.00 EUR for the one driver)"; got != want {
		t.Errorf("%q", got)
	}
	if got := p.Recommended.Why.Words(unit.Metric); p.Recommended.Split != nil || !strings.HasPrefix(got, "2 drivers with 1 string of 4 each; ") {
		t.Errorf("recommended: %q", got)
	}
}

// TestNoFuseBetweenTwoCurrents: of five strings an open one leaves the others 5/4 of 700 mA, 875 mA; at modules that bear 850 mA a fuse would have
// to open there, but the smallest that holds has 933 mA.
func TestNoFuseBetweenTwoCurrents(t *testing.T) {
	p := sharing(t, 5)
	c := p.Circuit.changed(func(_ int, m *parts.Mounted) { m.Part.HighestA = 0.85 })
	p.Open, p.Short = c.open(0), Fault{}
	g := p.guard(Job{})
	if g.FuseA != 0 || !near(g.OpenA, 0.875, 1e-9) || g.FuseName() != "" {
		t.Errorf("%+v", g)
	}
	if got := g.Words().Say(unit.Metric); !strings.HasPrefix(got, "no standard fuse serves: it would have to hold ") || !strings.Contains(got, " and open at 875 mA") || !strings.Contains(got, "no driver of the parts feeds one string alone") {
		t.Errorf("%q", got)
	}
}

// TestNoFuseForOneString: what no fault overloads needs none.
func TestNoFuseForOneString(t *testing.T) {
	if p, err := Design(foyerJob()); err != nil || p.Guard.Needed || len(p.Guard.Words()) > 0 {
		t.Errorf("%+v, %v", p.Guard, err)
	}
}
