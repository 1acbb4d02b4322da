package main

import (
	"fmt"
	"sort"

	"fathomlux/scene"
)

const (
	// narrowBeamDeg is the beam angle up to which a beam is named narrow here. A chosen limit, not a risk class:
	// IEC 62471 classes go by radiance, which a scene does not hold.
	narrowBeamDeg = 25
	// wetTouchV is the ripple-free DC voltage of bare live parts where it is wet, IEC 60598-1:2008, 8.2.3.
	wetTouchV = 30
)

// cautions returns short lines about what can hurt somebody or break something in this scene. They judge nothing:
// local codes and licensed practice decide.
func cautions(sc *scene.Scene) []string {
	var lines []string
	lines = append(lines, narrowBeams(sc)...)
	if len(sc.Rails) > 0 && overGlass(sc.Tank) {
		lines = append(lines, "a rail above glass: hang it so that it can neither fall in nor load a pane that was not made to carry it")
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
	return fmt.Sprintf("narrow bright beam (%s, %s deg): do not look into it, and screen it from eye level", name, number(roundTo(deg, 0.1))), true
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
	if totalFigures(sc).PowerW == 0 {
		return nil
	}
	lines := []string{"mains beside water: mount the driver where it can neither fall in nor be splashed, with drip loops and a residual-current device; local codes and licensed practice decide"}
	v, what := stringV(sc), "a string takes about"
	if v == 0 {
		v, what = sc.Wiring.Driver.HighestV, "the driver can give"
	}
	if v > wetTouchV {
		lines = append(lines, fmt.Sprintf("%s %.0f V, above the %d V ripple-free DC of bare live parts in wet places (IEC 60598-1, 8.2.3): leave no contact bare; local codes and licensed practice decide", what, v, wetTouchV))
	}
	return lines
}
