package circuit

import (
	"fmt"
	"strings"
	"testing"

	"fathomlux/scene/finding"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
)

func TestRecommendStaysBelowTheWetLimit(t *testing.T) {
	job := foyerJob()
	for i := range job.Modules {
		job.Modules[i].Part.HighestA = 1.05 // of three strings at 350 mA one may take all
	}
	got := choose(mustSplits(t, job), Request{})
	if got.Split.Strings != 3 || got.Fit.Driver.Name != "cc-1050" || got.Flagged() { // 28 V; one string of six and two of three are above 30 V
		t.Errorf("%d strings, %+v", got.Split.Strings, got)
	}
	for _, words := range []string{"3 strings of 2", "at or below 30 V", "28.2 V", "cc-1050, the most efficient driver that fits", "87 %", "58 % of its rated power, which is 1.71 times the load"} {
		if !strings.Contains(got.Why.Words(unit.Metric), words) {
			t.Errorf("%q does not say %q", got.Why.Words(unit.Metric), words)
		}
	}
}

// TestRecommendFallsBack takes drivers away: first only two strings of three remain, then only one of six, flagged, and
// then none.
func TestRecommendFallsBack(t *testing.T) {
	job := foyerJob()
	delete(job.Drivers, "cc-1050")
	all := mustSplits(t, job)
	got := choose(all, Request{})
	if got.Split.Strings != 2 || got.Flagged() || !strings.Contains(got.Why.Words(unit.Metric), "at or below 60 V") {
		t.Errorf("without cc-1050: %+v", got)
	}
	high := job.Drivers["cc-350"]
	high.HighestV, high.RatedW = 90, 40
	job.Drivers = map[string]parts.Driver{"high": high}
	all = mustSplits(t, job)
	if got = choose(all, Request{}); got.Split.Strings != 1 || !got.Flagged() || !strings.Contains(got.Why.Words(unit.Metric), "above 60 V") {
		t.Errorf("with a driver of 90 V alone: %+v", got)
	}
	job.Drivers = nil
	if got = choose(mustSplits(t, job), Request{}); got.Fed() || got.Fit != nil || !got.Flagged() || !got.Why.Any() {
		t.Errorf("without drivers: %+v", got)
	}
}

func TestDriverOrder(t *testing.T) {
	all := mustSplits(t, foyerJob())
	fits := split(t, all, 2).Fits
	if fits[0].Driver.Name != "cc-700" || fits[1].Driver.Name != "cc-select-40w" || fits[2].Fits { // 85 % both, 18 EUR before 22 EUR
		t.Errorf("%s, %s, then fits is %v", fits[0].Driver.Name, fits[1].Driver.Name, fits[2].Fits)
	}
	cheap, dear := Fit{Fits: true, Efficiency: 0.85}, Fit{Fits: true, Efficiency: 0.9}
	cheap.Driver.Price, dear.Driver.Price = parts.Money{Amount: 1, Currency: "EUR"}, parts.Money{Amount: 99, Currency: "EUR"}
	if compareFits(cheap, dear) <= 0 {
		t.Error("a cheap driver of 85 % goes before a dear one of 90 %")
	}
	free, priced := Fit{Fits: true, Efficiency: 0.85}, cheap
	if compareFits(free, priced) <= 0 || compareFits(priced, free) >= 0 {
		t.Error("a driver without price goes before a priced one")
	}
	unfit := Fit{Efficiency: 0.99, Reasons: []finding.Finding{finding.NoDriverFits.Of(finding.Text(""))}}
	if compareFits(unfit, cheap) <= 0 || compareFits(cheap, unfit) >= 0 {
		t.Error("a driver that does not fit goes before one that does")
	}
}

func TestChoose(t *testing.T) {
	for name, c := range map[string]struct {
		ask     Request
		strings int
		driver  string // empty where no driver is chosen
		flagged bool
		words   string
	}{
		"open":             {Request{}, 2, "cc-700", false, "fewest strings"},
		"two strings":      {Request{Strings: 2}, 2, "cc-700", false, "as asked for"},
		"a driver":         {Request{Driver: "cc-select-40w"}, 2, "cc-select-40w", false, "cc-select-40w, as asked for"},
		"both":             {Request{Strings: 2, Driver: "cc-select-40w"}, 2, "cc-select-40w", false, "1.33 times"},
		"unfit driver":     {Request{Strings: 2, Driver: "cc-350"}, 2, "cc-350", true, "cc-350 does not fit 2 strings of 3: its output of 350 mA is not the 700 mA that the strings need, its 16.8 W"},
		"unfit everywhere": {Request{Driver: "cc-500"}, 2, "cc-500", true, "cc-500 does not fit 2 strings of 3: its output of 500 mA"},
		"no driver fits":   {Request{Strings: 1}, 1, "", true, "1 string of 6: no driver fits"},
	} {
		job := foyerJob()
		job.Request = c.ask
		got, driver := choose(mustSplits(t, job), c.ask), ""
		if got.Fit != nil {
			driver = got.Fit.Driver.Name
		}
		if got.Split.Strings != c.strings || driver != c.driver || got.Flagged() != c.flagged {
			t.Errorf("%s: driver %q, %+v", name, driver, got)
		}
		if why := got.Why.Words(unit.Metric); !strings.Contains(why, c.words) {
			t.Errorf("%s: %q does not say %q", name, why, c.words)
		}
	}
}

func TestChooseRefuses(t *testing.T) {
	for name, c := range map[string]struct {
		ask  Request
		blue int // of the six modules
		want string
	}{
		"four of six":    {Request{Strings: 4}, 0, "6 modules cannot be divided into 4 strings of equal length; possible numbers of strings: 1, 2, 3, 6"},
		"unlike make-up": {Request{Strings: 3}, 2, "2 quad-blue cannot be divided into 3 strings, and strings of unlike modules do not share current evenly; possible numbers of strings: 1, 2"},
	} {
		job := foyerJob()
		job.Request = c.ask
		for i := range c.blue {
			job.Modules[i].Part.Name = "quad-blue"
		}
		p, err := Design(job)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v; want %q", name, err, c.want)
		}
		if len(p.Splits) == 0 || !p.Recommended.Why.Any() {
			t.Errorf("%s: nothing is recommended instead", name)
		}
	}
}

// TestWhatWouldServeServes reads the wanted driver from the words, puts it into the table, and finds that it fits.
func TestWhatWouldServeServes(t *testing.T) {
	for _, ask := range []Request{{}, {Strings: 1}, {Strings: 2}, {Driver: "small"}} {
		job := foyerJob()
		small := job.Drivers["cc-350"]
		small.RatedW = 2
		job.Drivers, job.Request = map[string]parts.Driver{"small": small}, ask
		p, err := Design(job)
		if err != nil {
			t.Fatal(err)
		}
		words := p.Wanted.Words(unit.Metric)
		d := small
		var mA float64
		if n, err := fmt.Sscanf(words, "a driver of %g mA that covers %g to %g V and gives %g W or more would do", &mA, &d.LowestV, &d.HighestV, &d.RatedW); n != 4 {
			t.Errorf("%+v: %q (%v)", ask, words, err)
			continue
		}
		s := split(t, p.Splits, 3) // what is wanted without a request
		if p.Chosen.Split != nil {
			s = *p.Chosen.Split
		}
		if !strings.HasSuffix(words, fmt.Sprintf(" would serve, for %s", s.Shape().Words(unit.Metric))) {
			t.Errorf("%+v: %q", ask, words)
		}
		if d.LowestV < s.LowestV-1 || d.HighestV > s.HighestV+1 || d.RatedW > s.LoadW*(1+job.Given.MarginShare)+1 {
			t.Errorf("%+v: %q asks for more than %g to %g V and %g W", ask, words, s.LowestV, s.HighestV, s.LoadW)
		}
		d.CurrentsA = []float64{mA / 1000}
		job.Drivers["wanted"], job.Request = d, Request{Strings: s.Strings}
		if p, err = Design(job); err != nil || !p.Chosen.Fed() || p.Chosen.Fit.Driver.Name != "wanted" || p.Wanted.Any() {
			t.Errorf("%+v: the driver of %q does not serve: %+v, %v", ask, words, p.Chosen, err)
		}
	}
}
