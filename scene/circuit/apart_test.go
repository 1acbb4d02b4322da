package circuit

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
)

// fragJob is as many rails as there are lists of parts, one letter a module: c quad-cool, b quad-blue, s single-warm.
func fragJob(rails ...string) Job {
	job := foyerJob()
	job.Modules, job.RailLengthsM = nil, nil
	names := map[rune]string{'c': "quad-cool", 'b': "quad-blue", 's': "single-warm"}
	for r, letters := range rails {
		for i, letter := range letters {
			m := modules(1, names[letter])[0]
			m.Rail, m.AlongM = r, 0.1+0.17*float64(i)
			job.Modules = append(job.Modules, m)
		}
		job.RailLengthsM = append(job.RailLengthsM, 1.9)
	}
	return job
}

// sayApart writes portions in short: modules, strings x modules, driver.
func sayApart(all []Pick) string {
	var list []string
	for _, p := range all {
		list = append(list, fmt.Sprintf("%d: %dx%d %s", p.Split.Strings*p.Split.PerString, p.Split.Strings, p.Split.PerString, p.Fit.Driver.Name))
	}
	return strings.Join(list, ", ")
}

// TestApart: rails by themselves where each has a driver, otherwise as few drivers as can be; nothing where a module has none.
// Modules bear 1000 mA: more than two strings at 350 mA on one driver could be overloaded by a first fault. Three of 14 V are the most below 48 V. Two of 3 V stay below every driver's 9 V.
func TestApart(t *testing.T) {
	for name, c := range map[string]struct {
		rails []string
		want  string
	}{
		"each rail":    {[]string{"cccccccc", "cccccccc", "cccccccc"}, "6: 2x3 cc-700, 6: 2x3 cc-700, 6: 2x3 cc-700, 6: 2x3 cc-700"},
		"across rails": {[]string{"cbcbcbcbcbc", "bcbcbcbcbcb", "cbcbcbcbcbc"}, "4: 2x2 cc-700, 4: 2x2 cc-700, 4: 2x2 cc-700, 4: 2x2 cc-700, 4: 2x2 cc-700, 4: 2x2 cc-700, 3: 1x3 cc-select-40w, 3: 1x3 cc-select-40w, 3: 1x3 cc-select-40w"},
		"one rail":     {[]string{"cccccccccccccccccccc"}, "6: 2x3 cc-700, 6: 2x3 cc-700, 4: 2x2 cc-700, 4: 2x2 cc-700"},
		"too little":   {[]string{"s", "s"}, ""},
	} {
		job := fragJob(c.rails...)
		all := job.apart(byRail(job.Modules))
		if Feedable(job) != (c.want != "") {
			t.Errorf("%s: that it can be fed is said to be %v", name, Feedable(job))
		}
		if got := sayApart(all); got != c.want {
			t.Errorf("%s: %q, want %q", name, got, c.want)
		}
		fed := 0
		for _, p := range all {
			alone := job
			alone.Modules = slices.Concat(p.Split.Of...)
			plan, err := Design(alone)
			if err != nil || plan.Recommended.Split == nil {
				t.Fatalf("%s: %+v by itself: %v", name, p, err)
			}
			s, driver := plan.Recommended.Split, plan.Recommended.Fit.Driver.Name
			if s.Strings != p.Split.Strings || s.PerString != p.Split.PerString || driver != p.Fit.Driver.Name || s.Touch != p.Split.Touch || !near(s.HighestV, p.Split.HighestV, 0.01) {
				t.Errorf("%s: %+v by itself is recommended otherwise: %+v", name, p.Split, s)
			}
			fed += len(alone.Modules)
		}
		if c.want != "" && fed != len(job.Modules) {
			t.Errorf("%s: %d of %d modules are fed", name, fed, len(job.Modules))
		}
	}
}

// TestApartAboveSixtyVolts: where modules of 70 V have no driver below 60 V they are fed all the same, and the class says so.
func TestApartAboveSixtyVolts(t *testing.T) {
	job := foyerJob()
	job.Modules = []parts.Mounted{line(t, 65, 10), line(t, 65, 10), line(t, 65, 10)} // 68.5 V at 350 mA
	for i := range job.Modules {
		job.Modules[i].AlongM = float64(i)
	}
	got := job.apart(byRail(job.Modules))
	if got != nil { // no driver gives the third its 350 mA at 68 V
		t.Errorf("%+v", got)
	}
	job.Modules = append(job.Modules, line(t, 65, 10))
	if got = job.apart(byRail(job.Modules)); sayApart(got) != "2: 2x1 cc-700-56w, 2: 2x1 cc-700-56w" || got[0].Split.Touch != AboveTouch {
		t.Errorf("%+v", got)
	}
}

// TestDesignSaysWhatIsApart: only where no driver feeds all modules, with and without a request.
func TestDesignSaysWhatIsApart(t *testing.T) {
	job := fragJob("cbcbcbcbcbc", "bcbcbcbcbcb", "cbcbcbcbcbc")
	for _, ask := range []Request{{}, {Strings: 1}, {Driver: "cc-700"}} {
		job.Request = ask
		p, err := Design(job)
		if err != nil || len(p.Apart) != 9 || p.Wanted.Any() {
			t.Errorf("%+v: %d portions, %q, %v", ask, len(p.Apart), p.Wanted.Words(unit.Metric), err)
		}
		if picked := p.Chosen.Split != nil; picked != (ask != Request{}) || picked != (len(p.Card) > 0) || !p.Chosen.Flagged() {
			t.Errorf("%+v: %+v, %d points of a card", ask, p.Chosen, len(p.Card))
		}
	}
	if p, err := Design(foyerJob()); err != nil || p.Apart != nil || p.Wanted.Any() {
		t.Errorf("where a driver feeds all: %+v, %v", p.Apart, err)
	}
}
