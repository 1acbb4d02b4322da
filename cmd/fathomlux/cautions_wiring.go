package main

import (
	"fmt"
	"strings"

	"fathomlux/scene/circuit"
	"fathomlux/scene/finding"
	"fathomlux/scene/parts"
	"fathomlux/scene/wiring"
)

// stringVoltage speaks of a string above the limit for wet places: one that is wired, or else the worst that there may
// be as the scene says.
func stringVoltage(f situation, say func(...any)) {
	if f.groups != nil {
		beyondTouch("strings reach", highestV(f.groups), say)
		return
	}
	w, all := f.scene.Wiring, f.scene.AtSwitchOn().SeriesV
	for _, s := range w.Supplies {
		beyondTouch("driver "+s.Name+" can give", max(s.Driver.OpenV, s.Driver.HighestV), say)
	}
	switch {
	case all == 0:
	case w.Driver.HighestV > 0:
		beyondTouch("the driver can give", max(w.Driver.OpenV, w.Driver.HighestV), say)
	case w.Strings > 0:
		beyondTouch("all modules in one string take about", all, say)
	}
}

// driverVoltage speaks of a driver that by itself is above the limit for dry places.
func driverVoltage(f situation, say func(...any)) {
	d := f.scene.Wiring.Driver
	if v := max(d.OpenV, d.HighestV); circuit.TouchOf(v) > circuit.DryTouch {
		beyondTouch("the driver can give", v, say)
	}
}

// openVoltage speaks of what a driver rises to with nothing connected, where that is a worse class than the strings'.
func openVoltage(f situation, say func(...any)) {
	for _, g := range f.groups {
		if fit := g.Chosen.Fit; fit != nil && fit.Verdict.Isolated && fit.Verdict.Touch > fit.Verdict.Work {
			beyondTouch("without a load driver "+fit.Driver.Name+" may rise to", fit.Verdict.OpenV, say)
		}
	}
}

// notIsolated names the drivers whose output counts as mains.
func notIsolated(f situation, say func(...any)) {
	drivers := []parts.Driver{f.scene.Wiring.Driver}
	for _, v := range f.scene.Wiring.Supplies {
		drivers = append(drivers, v.Driver)
	}
	for _, g := range f.groups {
		if g.Chosen.Fit != nil {
			drivers = append(drivers, g.Chosen.Fit.Driver)
		}
	}
	for _, d := range drivers {
		if d.Name != "" && !d.Isolated {
			say(d.Name)
		}
	}
}

// pulsedLight speaks of drivers whose output is no ripple-free DC.
func pulsedLight(f situation, say func(...any)) {
	for _, g := range f.groups {
		if fit := g.Chosen.Fit; fit != nil && fit.Verdict.Pulsed {
			say(g.Name, circuit.WetPulsedV, circuit.DryPulsedV, fit.Verdict.WorkV, fit.Verdict.OpenV)
		}
	}
}

// beyondTouch says which limits for bare live parts a voltage is beyond.
func beyondTouch(what string, v float64, say func(...any)) {
	switch circuit.TouchOf(v) {
	case circuit.DryTouch:
		say(what, v, circuit.WetTouchV, " (IEC 60598-1): leave no contact bare")
	case circuit.AboveTouch:
		say(what, v, circuit.WetTouchV, fmt.Sprintf(" and the %d V in dry ones (IEC 60598-1): no live part may be within "+
			"reach anywhere", circuit.DryTouchV))
	}
}

// highestV is the highest voltage of a string when it is switched on.
func highestV(groups []wiring.Group) (v float64) {
	for _, g := range groups {
		if g.Chosen.Split != nil {
			v = max(v, g.Chosen.Split.HighestV)
		}
	}
	return v
}

// sharedDriver finds the groups whose strings overload each other once something fails.
func sharedDriver(f situation, say func(...any)) {
	for _, g := range f.groups {
		if g.Guard.Needed {
			say(g.Name, remedy(g), finding.Then(g.Guard.Words()).Say(f.units))
		}
	}
}

// remedy is what keeps the modules of a group from a first fault, in short.
func remedy(g wiring.Group) string {
	if fuse := g.Guard.FuseName(); fuse != "" {
		return "put a fuse of " + fuse + " into each string, or give each a driver of its own"
	}
	return "give each string a driver of its own"
}

// unfit names the chosen drivers that do not fit, and the modules that have no driver.
func unfit(f situation, say func(...any)) {
	for _, g := range f.groups {
		switch fit := g.Chosen.Fit; {
		case fit == nil:
			say(g.Name+" at "+tenth(1000*g.CurrentA())+" mA: no known driver can feed them as they are wired", "")
		case !fit.Fits:
			say("driver "+fit.Driver.Name+", which does not fit", ": "+strings.Join(words(fit.Reasons), "; "))
		}
	}
}

// protections are what the drivers' protection codes promise, and what one against water does not.
func protections(f situation, say func(...any)) {
	for _, g := range f.groups {
		if g.Chosen.Fit == nil {
			continue
		}
		driver := g.Chosen.Fit.Driver
		promise, limits := protection(driver.IP), ""
		if !strings.HasSuffix(promise, keepDry) {
			limits = "; the test is of new units in fresh water and covers neither salt water nor plugs and joints outside " +
				"the housing, and a driver that has fallen in is not safe to touch"
		}
		say(driver.Name, promise, limits)
	}
}

const keepDry = "; keep it dry"

// protection says what a code promises by its second digit. Source: IEC 60529.
func protection(ip string) string {
	if len(ip) < 4 || ip[:2] != "IP" {
		return "no protection code is known" + keepDry
	}
	promise := map[byte]string{'5': "withstands jets of water", '6': "withstands strong jets of water",
		'7': "withstands 1 m of water for 30 min, but jets only if 5 or 6 is marked too",
		'8': "withstands immersion as its maker states, but jets only if 5 or 6 is marked too"}[ip[3]]
	switch {
	case promise == "":
		return ip + " (IEC 60529) covers dripping or spray at most" + keepDry
	case ip[2] == '6':
		promise = "is dust-tight and " + promise
	}
	return ip + " (IEC 60529) " + promise
}
