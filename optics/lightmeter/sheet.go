package lightmeter

import (
	"context"
	"math"
	"slices"

	"fathomlux/optics"
	"fathomlux/optics/result"
	"fathomlux/scene"
)

const (
	seriesDepths = 6    // of a depth series, down to the floor
	shallowM     = 0.02 // of the first of them: a sensor's body needs room
	besideM      = 0.03 // room of a hand beside an obstacle
	nudgeM       = 0.01 // how far a sensor may be off its place, for choosing the place of the series
)

// Sheet returns where to hold a light meter: the measurement grid of the lighting standards on the goal's plane, and a
// series in depth at that point of the grid, or under a module, where the light changes least from place to place, of
// those where it falls with depth: beside a beam it rises, and says little of the water.
func Sheet(ctx context.Context, sc *scene.Scene, workers int) (*result.MeterSheet, error) {
	warm, _ := optics.Warmed(sc, false)
	plane, depth := optics.JudgedPlane(sc), sc.Tank.Water.DepthM
	out := &result.MeterSheet{Plane: plane.Name, Quantity: optics.Shown(sc.Goal)}
	g := result.StandardGrid(sc.Tank.LengthM, sc.Tank.WidthM)
	solid := optics.SolidCells(sc, plane.DepthM, g)
	for i := range g.Cells() {
		out.Grid = append(out.Grid, result.SheetPlace{XM: g.CentreX(i % g.NX), YM: g.CentreY(i / g.NX), DepthM: plane.DepthM,
			Inside: solid.Closed(i)})
	}
	first := math.Min(shallowM, depth/10)
	series := make([]float64, seriesDepths)
	for k := range series {
		series[k] = first + (depth-first)*float64(k)/(seriesDepths-1)
	}
	places := slices.Clone(out.Grid)
	for _, rm := range optics.Modules(sc) {
		if p := (result.SheetPlace{XM: rm.Module.XM, YM: rm.Rail.YM, DepthM: plane.DepthM}); p.XM > 0 &&
			p.XM < sc.Tank.LengthM && p.YM > 0 && p.YM < sc.Tank.WidthM {
			places = append(places, p)
		}
	}
	best, err := calmest(ctx, warm, open(sc, places), series, workers)
	if err != nil {
		return nil, err
	}
	for _, best.DepthM = range series {
		out.Series = append(out.Series, best)
	}
	return out, nil
}

// open returns the places that no obstacle stands at or hangs over; all of them where there are no others.
func open(sc *scene.Scene, places []result.SheetPlace) []result.SheetPlace {
	var free []result.SheetPlace
	for _, p := range places {
		clear := true
		for _, o := range sc.Tank.Obstacles {
			b := o.Box
			clear = clear && (p.XM < b.Min.X-besideM || p.XM > b.Max.X+besideM || p.YM < b.Min.Y-besideM ||
				p.YM > b.Max.Y+besideM)
		}
		if clear {
			free = append(free, p)
		}
	}
	if len(free) == 0 {
		return places
	}
	return free
}

// calmest returns the place at which a small step aside changes the light least, at the worst of some rising depths, of
// those places where the light falls from each depth to the next; where there is none, the place where it rises least.
// Places with less than half the mean light at the deepest do not count.
func calmest(ctx context.Context, sc *scene.Scene, places []result.SheetPlace, depthsM []float64,
	workers int) (result.SheetPlace, error) {
	steps := [][2]float64{{0, 0}, {nudgeM, 0}, {-nudgeM, 0}, {0, nudgeM}, {0, -nudgeM}}
	var points []optics.Point
	for _, p := range places {
		for _, depthM := range depthsM {
			for _, s := range steps {
				points = append(points, optics.Point{X: p.XM + s[0], Y: p.YM + s[1], DepthM: depthM})
			}
		}
	}
	light, err := optics.NewPoints(ctx, sc, points, optics.Options{Workers: workers})
	if err != nil {
		return result.SheetPlace{}, err
	}
	lux, _, err := light.At(ctx, sc.Tank.Water.ExtraAbsorbPerM)
	if err != nil {
		return result.SheetPlace{}, err
	}
	per := len(depthsM) * len(steps)
	var mean float64
	for i := range places {
		mean += lux[(i+1)*per-len(steps)] / float64(len(places))
	}
	best, leastRise, leastChange := places[len(places)/2], math.Inf(1), math.Inf(1)
	for i, p := range places {
		here := lux[i*per : (i+1)*per]
		rise, change := unrest(here, len(steps), 1e-9*mean+math.SmallestNonzeroFloat64)
		if here[per-len(steps)] >= mean/2 && (rise < leastRise || rise == leastRise && change < leastChange) {
			best, leastRise, leastChange = p, rise, change
		}
	}
	return best, nil
}

// unrest returns how far the light of one place rises at most from one depth to the next, 0 where it falls, and how far
// a step aside changes it at the worst depth, both in parts of the light there. Each depth has steps values, the first
// of the place itself; below least they count as that.
func unrest(lux []float64, steps int, least float64) (rise, change float64) {
	for d := 0; d < len(lux); d += steps {
		middle := math.Max(lux[d], least)
		for s := 1; s < steps; s++ {
			change = math.Max(change, math.Abs(lux[d+s]-lux[d])/middle)
		}
		if d > 0 {
			rise = math.Max(rise, (lux[d]-lux[d-steps])/middle)
		}
	}
	return rise, change
}
