package optics

import (
	"context"
	"math"

	"fathomlux/optics/direct"
	"fathomlux/optics/result"
	"fathomlux/optics/water"
	"fathomlux/scene"
)

const (
	seriesDepths = 6    // of a depth series, down to the floor
	shallowM     = 0.02 // of the first of them: a sensor's body needs room
	besideM      = 0.03 // room of a hand beside an obstacle
	nudgeM       = 0.01 // how far a sensor may be off its place, for choosing the place of the series
)

// MeterSheet returns where to hold a light meter: the measurement grid of the lighting standards on the goal's plane, and a
// series in depth at that point of the grid where the light changes least from place to place.
func MeterSheet(ctx context.Context, sc *scene.Scene, workers int) (*result.MeterSheet, error) {
	warm, _ := warmed(sc, false)
	st, err := newStage(warm)
	if err != nil {
		return nil, err
	}
	engine, err := direct.New(ctx, st, direct.Options{Workers: workers, Attenuation: water.Direct})
	if err != nil {
		return nil, err
	}
	plane, depth := judgedPlane(sc), sc.Tank.Water.DepthM
	out := &result.MeterSheet{Plane: plane.Name, Photons: sc.Goal.Photons()}
	g := result.StandardGrid(sc.Tank.LengthM, sc.Tank.WidthM)
	solid := solidCells(st, plane.DepthM, g)
	for i := range g.Cells() {
		out.Grid = append(out.Grid, result.SheetPlace{XM: g.CentreX(i % g.NX), YM: g.CentreY(i / g.NX), DepthM: plane.DepthM, Inside: solid != nil && solid[i]})
	}
	best, err := calmest(ctx, engine, open(sc, out.Grid), []float64{depth / 4, depth})
	if err != nil {
		return nil, err
	}
	for k := range seriesDepths {
		at := best
		first := math.Min(shallowM, depth/10)
		at.DepthM = first + (depth-first)*float64(k)/(seriesDepths-1)
		out.Series = append(out.Series, at)
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
			clear = clear && (p.XM < b.Min.X-besideM || p.XM > b.Max.X+besideM || p.YM < b.Min.Y-besideM || p.YM > b.Max.Y+besideM)
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

// calmest returns the place at which a small step aside changes the light least, at the worst of some depths. Places with
// less than half the mean light at the deepest do not count.
func calmest(ctx context.Context, e *direct.Engine, places []result.SheetPlace, depthsM []float64) (result.SheetPlace, error) {
	steps := [][2]float64{{0, 0}, {nudgeM, 0}, {-nudgeM, 0}, {0, nudgeM}, {0, -nudgeM}}
	var points []direct.Point
	for _, p := range places {
		for _, depthM := range depthsM {
			for _, s := range steps {
				points = append(points, direct.Point{X: p.XM + s[0], Y: p.YM + s[1], DepthM: depthM})
			}
		}
	}
	lux, _, err := e.At(ctx, points)
	if err != nil {
		return result.SheetPlace{}, err
	}
	per := len(depthsM) * len(steps)
	deepest := (len(depthsM) - 1) * len(steps)
	var mean float64
	for i := range places {
		mean += lux[i*per+deepest] / float64(len(places))
	}
	best, least := places[len(places)/2], math.Inf(1)
	for i, p := range places {
		worst := 0.0
		for d := range depthsM {
			middle := lux[i*per+d*len(steps)]
			for s := 1; s < len(steps); s++ {
				worst = math.Max(worst, math.Abs(lux[i*per+d*len(steps)+s]-middle)/math.Max(middle, 1e-9*mean+1e-300))
			}
		}
		if lux[i*per+deepest] >= mean/2 && worst < least {
			best, least = p, worst
		}
	}
	return best, nil
}
