package main

import (
	"math"

	"fathomlux/scene"
)

// coldJunctionC is the junction temperature of the summary's figures: what a maker's short test at switch-on shows.
// Warm junctions give less light at a lower voltage.
const coldJunctionC = 25

// moduleFigures are what one module, or a sum of modules, gives and takes at cold junctions.
type moduleFigures struct {
	DiesLm, OpticsLm float64 // flux of the dies, and what of it leaves the optics
	PowerW           float64 // electrical power at the modules, without the driver's loss
	SeriesV          float64 // forward voltage; of a sum: all modules in one series string
}

// figuresOf returns the figures of one module: flux and voltage of the part's tables, carried from the tables'
// junction temperature to coldJunctionC by the part's own coefficients.
func figuresOf(m scene.Module) moduleFigures {
	paths := float64(m.Part.ParallelPaths)
	kelvins := coldJunctionC - m.Part.ReferenceC
	dieV, _ := m.Part.ForwardV.At(m.CurrentA / paths) // range was checked when the scene was read
	dieV += m.Part.VoltsPerK * kelvins
	diesLm := m.FluxLm() * (1 + m.Part.FluxPerK*kelvins)
	volts := dieV * float64(m.Part.Dies()) / paths
	return moduleFigures{DiesLm: diesLm, OpticsLm: diesLm * m.Optic.Efficiency, PowerW: volts * m.CurrentA, SeriesV: volts}
}

// totalFigures returns the sum over all modules of a scene.
func totalFigures(sc *scene.Scene) moduleFigures {
	var sum moduleFigures
	for _, rail := range sc.Rails {
		for _, m := range rail.Modules {
			f := figuresOf(m)
			sum.DiesLm += f.DiesLm
			sum.OpticsLm += f.OpticsLm
			sum.PowerW += f.PowerW
			sum.SeriesV += f.SeriesV
		}
	}
	return sum
}

// stringV returns the forward voltage of one string at cold junctions, the mean over the strings, and 0 where the
// scene does not say how many strings there are.
func stringV(sc *scene.Scene) float64 {
	if sc.Wiring.Strings < 1 {
		return 0
	}
	return totalFigures(sc).SeriesV / float64(sc.Wiring.Strings)
}

// degrees returns an angle in degrees, rounded to 1e-9 so that 40 deg comes back as 40.
func degrees(rad float64) float64 { return roundTo(rad*180/math.Pi, 1e-9) }

// millimetres returns a length in mm, rounded to a nanometre so that 1180 mm comes back as 1180.
func millimetres(m float64) float64 { return roundTo(m*1000, 1e-6) }

// roundTo returns v rounded to a multiple of step, a power of ten below 1.
func roundTo(v, step float64) float64 {
	n := math.Round(1 / step)
	return math.Round(v*n) / n
}
