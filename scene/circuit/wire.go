package circuit

import (
	_ "embed"
	"math"
	"strconv"
	"sync"

	"fathomlux/scene/curve"
	"fathomlux/scene/parts"
)

const (
	// copperOhmM is the resistivity of annealed copper at 20 C, ohm m: 1/58 ohm mm2/m. Source: IEC 60028.
	copperOhmM = 1.724e-8
	// copperPerK is its relative change per kelvin at 20 C. Source: IEC 60028.
	copperPerK = 0.00393

	copperAtC = 20
	// thinnestAWG and thickestAWG bound the american gauges that are listed: about the metric sizes.
	thinnestAWG, thickestAWG = 28, 14
)

// Gauge is a size of wire.
type Gauge struct {
	Name   string // "0.75 mm²" or "AWG 18"
	AreaM2 float64
}

//go:embed data/sections.csv
var sectionsCSV string

// metric is the metric sizes, the thinnest first; sources are in the file. It panics where the embedded table is
// broken.
var metric = sync.OnceValue(func() (all []Gauge) {
	mm2, err := curve.MustParseTable(sectionsCSV).Column("section_mm2")
	if err != nil {
		panic(err)
	}
	for _, v := range mm2 {
		all = append(all, Gauge{Name: say(v, 2) + " mm²", AreaM2: v * 1e-6})
	}
	return all
})

// american returns even american wire gauges, the thinnest first.
func american() []Gauge {
	var all []Gauge
	for n := thinnestAWG; n >= thickestAWG; n -= 2 {
		all = append(all, Gauge{Name: "AWG " + strconv.Itoa(n), AreaM2: areaAWG(n)})
	}
	return all
}

// areaAWG returns the area of a solid round wire of american gauge n, m2. Source: ASTM B258, d = 0.127 mm
// 92^((36-n)/39).
func areaAWG(n int) float64 {
	d := 0.127e-3 * math.Pow(92, float64(36-n)/39)
	return math.Pi / 4 * d * d
}

// ohmPerM returns the resistance of one metre of copper wire at a temperature, ohm.
func (g Gauge) ohmPerM(copperC float64) float64 {
	return copperOhmM * (1 + copperPerK*(copperC-copperAtC)) / g.AreaM2
}

// Drop is what a wire takes.
type Drop struct {
	Gauge        Gauge
	DropV, LossW float64
	Share        float64 // of the string's voltage
	Serves       bool    // at most the share that was allowed
}

// Wire is the wire of one string, out and back.
type Wire struct {
	String           int
	LengthM          float64
	CurrentA         float64
	VoltageV         float64
	Metric, American []Drop // by size, the thinnest first
	UseMetric        int    // the thinnest size that serves, -1 where none does
	UseAmerican      int
}

// wires returns the wires of each string: lengths, and what each gauge takes. A string has its own pair of leads; it
// runs from the feed's end to its farthest module of each rail and back, so that boards count as wire, which is a
// little too much. The heating of the wire is not judged: sizes below 0.5 mm2 are for bundles of few, up to about 2 A.
func wires(job Job, c Circuit, shared Sharing) (all []Wire) {
	for i, line := range c.Strings {
		w := Wire{String: i, LengthM: wireLengthM(job, line), CurrentA: shared.CurrentA[i], VoltageV: shared.VoltageV}
		w.Metric, w.UseMetric = w.drops(metric(), job.Given)
		w.American, w.UseAmerican = w.drops(american(), job.Given)
		all = append(all, w)
	}
	return all
}

// wireLengthM returns the length of a string's wire out and back, m.
func wireLengthM(job Job, line []parts.Mounted) float64 {
	farthest := map[int]float64{}
	lastRail := 0
	for _, m := range line {
		from := m.AlongM
		if job.Feed.Right {
			from = job.RailLengthsM[m.Rail] - m.AlongM
		}
		farthest[m.Rail] = max(farthest[m.Rail], from)
		lastRail = max(lastRail, m.Rail)
	}
	oneWay := job.Feed.LeadM + float64(lastRail)*job.Feed.BetweenRailsM
	for rail := range lastRail + 1 { // in order, so that the sum is always the same
		oneWay += farthest[rail]
	}
	return 2 * oneWay
}

func (w Wire) drops(gauges []Gauge, given Assumptions) (drops []Drop, use int) {
	use = -1
	for i, g := range gauges {
		d := Drop{Gauge: g, DropV: g.ohmPerM(given.CopperC) * w.LengthM * w.CurrentA}
		d.LossW, d.Share = d.DropV*w.CurrentA, d.DropV/w.VoltageV
		d.Serves = d.Share <= given.DropShare
		if d.Serves && use < 0 {
			use = i
		}
		drops = append(drops, d)
	}
	return drops, use
}
