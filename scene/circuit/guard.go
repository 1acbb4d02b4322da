package circuit

import (
	"fmt"
	"math"
	"slices"

	"fathomlux/scene/finding"
	"fathomlux/scene/parts"
	"fathomlux/scene/unit"
)

// Guard is what keeps a first fault from driving modules above their highest current where strings share a driver: a
// fuse in the plus lead of each string, or a driver for each string. A series resistor is no guard: it evens out the
// currents of strings, but a driver of constant current presses all of it through those that are left.
type Guard struct {
	Needed bool    // otherwise all else is zero, and all but OpenA where the driver does not fit
	FuseA  float64 // rating of the fuses; 0 where no standard rating serves
	FuseV  float64 // DC voltage that they must be made to break: the driver's without a load
	HoldA  float64 // rating that they must have at least, so as to hold in operation
	OpenA  float64 // current at which they must open: the least that is too much after a first fault
	Each   Pick    // one string on a driver of its own; none where no driver of the job feeds it
	n      int     // strings
	chosen parts.Money
}

// Fuses are of the kind of UL 248-14: they carry their rating, and open within an hour at 1.35 times and within two
// minutes at twice their rating. Those of IEC 60127-2 hold 1.5 times their rating for an hour and open at 2.1 times,
// which one open string of two never reaches. Neither standard was checked against the print.
const (
	fuseOpens     = 1.35
	fuseOpensSoon = 2.0
	// fuseReserveShare is the share of its rating that a fuse carries for years. Common practice, no published source.
	fuseReserveShare = 0.75
)

// fuseRatings are those of small fuses, A: the R10 series of preferred numbers. Source: ISO 3; IEC 60127-2.
var fuseRatings = func() (all []float64) {
	for _, decade := range []float64{0.01, 0.1, 1} {
		for _, r := range []float64{1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8} {
			all = append(all, decade*r)
		}
	}
	return all
}()

// guard plans what keeps the chosen strings from a first fault. A fuse serves whose rating is above the current of its
// string in operation, with reserve and with unlike forward voltages at their worst, and which opens at the current
// that is left after the fault.
func (p *Plan) guard(job Job) (g Guard) {
	g.OpenA = math.Inf(1)
	for _, f := range []Fault{p.Open, p.Short} {
		for _, i := range f.Over {
			g.OpenA = min(g.OpenA, f.Sharing.CurrentA[i])
		}
	}
	if math.IsInf(g.OpenA, 1) || len(p.Circuit.Strings) < 2 {
		return Guard{}
	}
	if g.Needed = true; !p.Chosen.Fed() {
		return g
	}
	_, usualA := p.Sharing.Range()
	_, worstA := p.Worst.Sharing.Range()
	v := p.Chosen.Fit.Verdict
	g.n, g.chosen, g.FuseV = len(p.Circuit.Strings), p.Chosen.Fit.Driver.Price, max(v.OpenV, v.WorkV)
	g.HoldA = max(usualA/fuseReserveShare, worstA)
	k := slices.IndexFunc(fuseRatings, func(a float64) bool { return a >= g.HoldA*(1-roundingShare) })
	if k >= 0 && fuseRatings[k]*fuseOpens <= g.OpenA {
		g.FuseA = fuseRatings[k]
	}
	if all := job.equal(p.Chosen.Split, g.n); len(all) > 0 {
		g.Each = all[0].picks[0]
	}
	return g
}

// FuseName is the rating of the fuses, as it is marked on them, empty where there are none.
func (g Guard) FuseName() string {
	switch {
	case g.FuseA == 0:
		return ""
	case g.FuseA < 1:
		return unit.Current.Say(g.FuseA)
	}
	return unit.Short(g.FuseA, 2) + " A"
}

// Words says what keeps modules from a first fault, and what the ways cost where that is known; nothing where none is
// needed.
func (g Guard) Words() (list finding.All) {
	if g.n == 0 {
		return nil
	}
	own := g.chosen.Amount
	price := func(format string, amount float64, also parts.Money) finding.Text {
		if g.chosen.Currency == "" || also.Currency != g.chosen.Currency {
			return ""
		}
		return finding.Aside(fmt.Sprintf(format, unit.Figure(amount, 2), g.chosen.Currency, unit.Figure(own, 2)))
	}
	list = finding.All{finding.NoGuardFuse.Of(milliamps(math.Ceil(1000*g.HoldA)/1000), milliamps(g.OpenA))}
	if g.FuseA > 0 {
		within := finding.Text("within an hour")
		if g.OpenA >= fuseOpensSoon*g.FuseA {
			within = "within two minutes"
		}
		list = finding.All{finding.GuardFuse.Of(finding.Text(g.FuseName()),
			finding.Value{V: math.Ceil(g.FuseV), Unit: "V DC"},
			milliamps(g.OpenA), within, price("%s %s with the driver rather than %[3]s %[2]s",
				own+float64(g.n)*parts.FusePrice.Amount, parts.FusePrice))}
	}
	if !g.Each.Fed() {
		return append(list, finding.NoGuardDriver.Of())
	}
	d := g.Each.Fit.Driver
	return append(list, finding.GuardDrivers.Of(finding.Text(d.Name),
		price("%s %s rather than %s %[2]s for the one driver",
			float64(g.n)*d.Price.Amount, d.Price)))
}
