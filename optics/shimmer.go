package optics

import (
	"context"
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"

	"fathomlux/optics/caustic"
	"fathomlux/optics/model"
	"fathomlux/optics/result"
	"fathomlux/optics/trace"
	"fathomlux/scene"
)

// ShimmerOptions say what to follow of a surface that moves.
type ShimmerOptions struct {
	Plane          scene.PlaneRef
	StepM          float64 // cells of its picture; 0 chooses by waves and tank
	Moments        int     // evenly over the time after which the surface is as it was; of more than one contrasts are told
	Seed           uint64  // of the waves; 0 for the usual one
	Workers        int
	Cold           bool
	ContrastsAlone bool                    // of the plane, without pictures
	Progress       func(done, total int64) // in moments; may be nil
}

// Sizes of what is shown: cells of a picture, a wave and in all; squares whose contrast is told, about the head of a
// light meter; cells on which the rest is laid, and photons traced for it.
const (
	cellsOfWave  = 30.0
	filmCells    = 20.0 // of a wave, where there are many pictures
	mostCells    = 400_000
	squareM      = 0.010
	leastSquares = 8
	restCells    = 12
	netPhotons   = 1 << 18
)

// shimmerDepths are the depths of contrasts beside the plane that is asked for, in parts of the water's.
var shimmerDepths = [...]float64{0.25, 0.5, 0.75}

// Shimmer follows the net of light that the moving surface of a scene throws into the water. What the net leaves out,
// light that is mirrored, scattered or bounces, is added as still light: its mean over time, on coarse cells. It is an
// error where the surface is still.
func Shimmer(ctx context.Context, sc *scene.Scene, o ShimmerOptions) (*result.Shimmer, error) {
	t, ripple := sc.Tank, sc.Tank.Water.Ripple
	if ripple.Slope == 0 {
		return nil, fmt.Errorf("%s: the water's surface is still; give water.ripple: gentle, brisk, or "+
			"{slope: 0.05, length: 60 mm}", sc.File)
	}
	sc, junctions := Warmed(sc, o.Cold)
	m, err := newModel(sc)
	if err != nil {
		return nil, err
	}
	waves := caustic.NewWaves(ripple.Slope, ripple.LengthM, t.Water.DepthM, max(o.Seed, usualSeed))
	planes := shimmerPlanes(t, ripple, o)
	s := &result.Shimmer{Title: sc.Title, Plane: o.Plane.Name, DepthM: o.Plane.DepthM,
		Shown: Shown(sc.Goal), PeriodS: waves.PeriodS,
		Grid: planes[0].Grid, Junctions: junctions}
	net, err := caustic.New(m, ripple.LengthM, planes, s.Shown == result.PPFD, o.Workers)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", sc.File, err)
	}
	s.Rays = net.Rays
	rest, err := restOf(ctx, m, net, planes, s.Shown, o.Workers)
	if err != nil {
		return nil, err
	}
	s.RestMean = floats.Sum(rest[0]) / float64(len(rest[0]))
	return s, moments(ctx, net, waves, s, planes, rest, o)
}

// moments follows the surface from moment to moment.
func moments(ctx context.Context, net *caustic.Net, waves *caustic.Waves, s *result.Shimmer, planes []caustic.Plane,
	rest [][]float64, o ShimmerOptions) error {
	sums, squares := make([][]float64, len(planes)), make([][]float64, len(planes))
	for p, plane := range planes {
		sums[p], squares[p] = make([]float64, plane.Grid.Cells()), make([]float64, plane.Grid.Cells())
	}
	for k := range o.Moments {
		light, err := net.Moment(ctx, waves, waves.PeriodS*float64(k)/float64(o.Moments), o.Workers)
		if err != nil {
			return err
		}
		for p := range planes {
			for i, v := range light[p] {
				v += rest[p][i]
				light[p][i] = v
				sums[p][i] += v
				squares[p][i] += float64(v * v)
			}
		}
		if !o.ContrastsAlone {
			s.Frames = append(s.Frames, light[0])
		}
		if o.Progress != nil {
			o.Progress(int64(k+1), int64(o.Moments))
		}
	}
	for p := range planes {
		if o.Moments > 1 && (p > 0 || o.ContrastsAlone) {
			s.Contrasts = append(s.Contrasts, contrastOf(planes[p], sums[p], squares[p], o.Moments))
		}
	}
	return nil
}

// contrastOf sums up how far the light of squares sways, from sums over n moments of it and of its squares.
func contrastOf(plane caustic.Plane, sums, squares []float64, n int) result.Contrast {
	g, k := plane.Grid, float64(n)
	c := result.Contrast{DepthM: plane.DepthM, SquareM: math.Sqrt(g.StepXM * g.StepYM),
		Mean: floats.Sum(sums) / k / float64(len(sums))}
	var parts [6]float64 // all, left, middle, right, front, back
	var counts [6]float64
	for i, sum := range sums {
		x, y := i%g.NX*3/g.NX, i/g.NX*3/g.NY
		sway := 0.0
		if sum > 0 {
			sway = math.Sqrt(max(0, squares[i]/k-sum*sum/k/k)) / (sum / k)
		}
		for part, in := range [6]bool{true, x == 0, x == 1, x == 2, y == 0, y == 2} {
			if in {
				parts[part], counts[part] = parts[part]+sway, counts[part]+1
			}
		}
		if sway > c.Highest {
			c.Highest, c.HighestXM, c.HighestYM = sway, g.CentreX(i%g.NX), g.CentreY(i/g.NX)
		}
	}
	for part, to := range []*float64{&c.All, &c.Left, &c.Middle, &c.Right, &c.Front, &c.Back} {
		*to = parts[part] / max(counts[part], 1)
	}
	return c
}

// restOf returns what the net leaves out of the light on planes, by cell: the mean over time of all light, by photons
// on coarse cells, less what the net throws there through a still surface, which lands in the same cells but for a few
// millimetres. Between the coarse cells it is interpolated.
func restOf(ctx context.Context, m *model.Model, net *caustic.Net, planes []caustic.Plane, q result.Quantity,
	workers int) ([][]float64, error) {
	still, err := net.Moment(ctx, &caustic.Waves{}, 0, workers)
	if err != nil {
		return nil, err
	}
	o := trace.Options{Workers: workers, Photons: netPhotons, Seed: usualSeed}
	for _, p := range planes {
		g := p.Grid
		wide := max(float64(g.NX)*g.StepXM, float64(g.NY)*g.StepYM) / restCells
		o.Planes = append(o.Planes, trace.Plane{DepthM: p.DepthM, Grid: result.NewGrid(float64(g.NX)*g.StepXM,
			float64(g.NY)*g.StepYM, wide)})
	}
	all, err := trace.Run(ctx, m, o)
	if err != nil {
		return nil, err
	}
	rest := make([][]float64, len(planes))
	for p := range planes {
		f := all.Planes[p].Field
		left := result.Of(q, f.Illuminance, f.PPFD)
		fine, share := planes[p].Grid, planes[p].Grid.StepXM*planes[p].Grid.StepYM/(f.Grid.StepXM*f.Grid.StepYM)
		for i, v := range still[p] {
			x, y := int(fine.CentreX(i%fine.NX)/f.Grid.StepXM), int(fine.CentreY(i/fine.NX)/f.Grid.StepYM)
			left[min(y, f.Grid.NY-1)*f.Grid.NX+min(x, f.Grid.NX-1)] -= v * share
		}
		for i := range left {
			left[i] = max(left[i], 0) // noise
		}
		rest[p] = make([]float64, fine.Cells())
		for i := range rest[p] {
			rest[p][i] = f.Grid.Between(left, fine.CentreX(i%fine.NX), fine.CentreY(i/fine.NX))
		}
	}
	return rest, nil
}

// shimmerPlanes are the plane of the pictures and, where contrasts are asked for, those of each depth.
func shimmerPlanes(t scene.Tank, ripple scene.Ripple, o ShimmerOptions) []caustic.Plane {
	step, cells := o.StepM, cellsOfWave
	if o.Moments > 1 {
		cells = filmCells
	}
	if step == 0 {
		step = max(ripple.LengthM/cells, math.Sqrt(t.LengthM*t.WidthM/mostCells))
	}
	grid := func(stepM float64) result.Grid { return result.NewGrid(t.LengthM, t.WidthM, stepM) }
	planes := []caustic.Plane{{DepthM: o.Plane.DepthM, Grid: grid(step)}}
	if o.Moments > 1 {
		square := grid(min(squareM, min(t.LengthM, t.WidthM)/leastSquares))
		for _, share := range shimmerDepths {
			if d := share * t.Water.DepthM; d < o.Plane.DepthM-squareM && !o.ContrastsAlone {
				planes = append(planes, caustic.Plane{DepthM: d, Grid: square})
			}
		}
		planes = append(planes, caustic.Plane{DepthM: o.Plane.DepthM, Grid: square})
		if o.ContrastsAlone {
			planes = planes[1:]
		}
	}
	return planes
}
