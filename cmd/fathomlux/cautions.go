package main

import (
	"fmt"
	"sort"
	"strings"

	"fathomlux/scene"
	"fathomlux/scene/circuit"
)

// narrowBeamDeg is the beam angle up to which a beam is named narrow here. A chosen limit, not a risk class:
// IEC 62471 classes go by radiance, which a scene does not hold.
const narrowBeamDeg = 25

// Cautions that stand in several answers.
const (
	codesDecide = "local codes and licensed practice decide"
	mainsBeside = "mains beside water: mount the driver where it can neither fall in nor be splashed, with drip loops and a residual-current device; " + codesDecide
	aboveGlass  = "a rail above glass: hang it so that it can neither fall in nor load a pane that was not made to carry it"
)

// cautions returns short lines about what can hurt somebody or break something in this scene. They judge nothing:
// local codes and licensed practice decide.
func cautions(sc *scene.Scene) []string {
	var lines []string
	lines = append(lines, narrowBeams(sc)...)
	if len(sc.Rails) > 0 && overGlass(sc.Tank) {
		lines = append(lines, aboveGlass)
	}
	return append(lines, electric(sc)...)
}

// narrowBeams names each optic in use with a narrow beam, once, by name.
func narrowBeams(sc *scene.Scene) []string {
	named := map[string]bool{}
	var lines []string
	for _, rail := range sc.Rails {
		for _, m := range rail.Modules {
			line, narrow := narrowBeam(m.Optic.Name, min(m.Optic.BeamRad, m.Optic.BeamAcrossRad))
			if narrow && !named[m.Optic.Name] {
				named[m.Optic.Name] = true
				lines = append(lines, line)
			}
		}
	}
	sort.Strings(lines)
	return lines
}

// narrowBeam returns the caution about an optic whose smaller beam angle is narrow; narrow is false where it is not.
func narrowBeam(name string, beamRad float64) (line string, narrow bool) {
	deg := degrees(beamRad)
	if !(deg > 0 && deg <= narrowBeamDeg) {
		return "", false
	}
	return fmt.Sprintf("narrow bright beam (%s, %s deg): do not look into it, and screen it from eye level", name, tenth(deg)), true
}

// overGlass tells whether the tank has glass that a rail could load or break.
func overGlass(t scene.Tank) bool {
	if t.Cover != nil && t.Cover.Material != scene.Acrylic {
		return true
	}
	for _, w := range []scene.Wall{t.Walls.Front, t.Walls.Back, t.Walls.Left, t.Walls.Right} {
		if w.Kind == scene.GlassWall {
			return true
		}
	}
	return false
}

// electric cautions about mains beside water, and about a string voltage above the limit for wet places.
func electric(sc *scene.Scene) []string {
	if sc.AtSwitchOn().SeriesV == 0 {
		return nil
	}
	lines := []string{mainsBeside}
	v, what := sc.StringV(), "a string takes about"
	if v == 0 {
		v, what = sc.Wiring.Driver.HighestV, "the driver can give"
	}
	if v == 0 && sc.Wiring.Strings > 0 { // strings that cannot be: the worst that there may be
		v, what = sc.AtSwitchOn().SeriesV, "all modules in one string take about"
	}
	if line := touchCaution(what, v); line != "" {
		lines = append(lines, line)
	}
	return lines
}

// touchCaution says which limit for bare live parts a voltage is beyond; empty where it is beyond none.
func touchCaution(what string, v float64) string {
	switch circuit.TouchOf(v) {
	case circuit.WetTouch:
		return ""
	case circuit.DryTouch:
		return fmt.Sprintf("%s %.0f V, above the %d V ripple-free DC of bare live parts in wet places (IEC 60598-1): leave no contact bare; %s", what, v, circuit.WetTouchV, codesDecide)
	}
	return fmt.Sprintf("%s %.0f V, above the %d V ripple-free DC of bare live parts in wet places and the %d V in dry ones (IEC 60598-1): no live part may be within reach anywhere; %s",
		what, v, circuit.WetTouchV, circuit.DryTouchV, codesDecide)
}

// unfit names the chosen drivers that do not fit, and the modules that have no driver.
func unfit(a wired) []string {
	var lines []string
	for i := range a.groups {
		g := &a.groups[i]
		if g.Fed() {
			continue
		}
		if fit, ok := g.Fit(); ok {
			lines = append(lines, "do not connect driver "+fit.Driver.Name+", which does not fit: "+strings.Join(fit.Reasons, "; "))
			continue
		}
		lines = append(lines, fmt.Sprintf("do not connect the modules at %s mA: no driver of the parts feeds them so", tenth(1000*g.CurrentA())))
	}
	return lines
}

// wiringCautions returns the cautions for whoever wires, builds and hangs the light: mains, protection codes, voltages,
// heat, beams and glass.
func wiringCautions(a wired) []string {
	lines := append(unfit(a), mainsBeside)
	highest, rises := 0.0, 0.0
	named := map[string]bool{}
	for i := range a.groups {
		if s, ok := a.groups[i].Split(); ok {
			highest = max(highest, s.HighestV)
		}
		fit, ok := a.groups[i].Fit()
		if !ok {
			continue
		}
		rises = max(rises, fit.Driver.HighestV)
		if !named[fit.Driver.Name] {
			named[fit.Driver.Name] = true
			lines = append(lines, "driver "+fit.Driver.Name+": "+protection(fit.Driver.IP))
		}
	}
	if line := touchCaution("strings reach", highest); line != "" {
		lines = append(lines, line)
	}
	if circuit.TouchOf(rises) > circuit.TouchOf(highest) {
		lines = append(lines, touchCaution("with nothing connected the driver may rise to", rises))
	}
	lines = append(lines, touchHeat(a.op)...)
	lines = append(lines, brightBeams(a.scene)...)
	if overGlass(a.scene.Tank) {
		lines = append(lines, aboveGlass)
	}
	return lines
}

// brightBeams names each narrow optic, or cautions about bright modules as such where there is none.
func brightBeams(sc *scene.Scene) []string {
	if lines := narrowBeams(sc); len(lines) > 0 {
		return lines
	}
	return []string{"bright beams: do not look into them, and screen them from eye level"}
}

// protection says what a code promises by its second digit, and what it does not. Source: IEC 60529.
func protection(ip string) string {
	const notMore = "; tested new and in fresh water, it says nothing of salt, of plugs and joints outside the housing, or of touching what fell in"
	if len(ip) < 4 || ip[:2] != "IP" {
		return "no protection code is known; keep it dry"
	}
	promise := map[byte]string{'5': "withstands jets of water", '6': "withstands strong jets of water",
		'7': "withstands 1 m of water for 30 min, but jets only where 5 or 6 is marked too",
		'8': "withstands lying in water as its maker states, but jets only where 5 or 6 is marked too"}[ip[3]]
	if promise == "" {
		return ip + " (IEC 60529) promises no more than drops or spray at best; keep it dry"
	}
	if ip[2] == '6' {
		promise = "is dust-tight and " + promise
	}
	return ip + " (IEC 60529) " + promise + notMore
}
