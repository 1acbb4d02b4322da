package optics

import (
	"bytes"
	"context"
	"encoding/binary"
	"math"
	"strings"
	"testing"

	"fathomlux/optics/caustic"
	"fathomlux/optics/result"
	"fathomlux/optics/scenetest"
	"fathomlux/optics/trace"
	"fathomlux/scene"
	"fathomlux/scene/longtest"
)

// bare is a tank without cover and brace whose walls and floor send nothing back, under one module.
func bare(t *testing.T, slope float64) *scene.Scene {
	sc := scenetest.Example(t, "foyer")
	black := scene.Wall{Kind: scene.PaintWall}
	sc.Tank.Walls, sc.Tank.FloorReflectance = scene.Walls{Front: black, Back: black, Left: black, Right: black}, 0
	sc.Tank.Cover, sc.Tank.Obstacles, sc.Tank.Water.Kind.ParticleScatterPerM = nil, nil, 0
	sc.Tank.Water.Ripple = scene.Ripple{Slope: slope, LengthM: 0.16}
	sc.Rails[0].Modules = sc.Rails[0].Modules[2:3]
	sc.Rails[0].Modules[0].Optic = sc.Catalogue.Optics["round-25"]
	return sc
}

// TestMeanOfNetsIsTheTimeAverage is N7 of the worked examples: the mean over moments of frozen surfaces is the map of the mean over
// time, by photons, within three standard errors of both in nearly all cells, and the whole within 0.5 %. Molecules scatter
// a little, which the net leaves out.
func TestMeanOfNetsIsTheTimeAverage(t *testing.T) {
	t.Parallel()
	sc := bare(t, 0.1)
	m, err := newModel(sc)
	if err != nil {
		t.Fatal(err)
	}
	g := result.NewGrid(sc.Tank.LengthM, sc.Tank.WidthM, 0.04)
	net, err := caustic.New(m, 0.16, []caustic.Plane{{DepthM: sc.Tank.Water.DepthM, Grid: g}}, false, 2)
	if err != nil {
		t.Fatal(err)
	}
	surfaces := longtest.Pick(12, 200)
	sums, squares := make([]float64, g.Cells()), make([]float64, g.Cells())
	for k := range surfaces {
		light, err := net.Moment(context.Background(), caustic.NewWaves(0.1, 0.16, sc.Tank.Water.DepthM, uint64(k)), 0.1*float64(k), 2)
		if err != nil {
			t.Fatal(err)
		}
		for i, v := range light[0] {
			sums[i], squares[i] = sums[i]+v, squares[i]+v*v
		}
	}
	a, err := trace.Run(context.Background(), m, trace.Options{Workers: 2, Photons: longtest.Pick[int64](1<<16, 1<<21), Planes: []trace.Plane{{DepthM: sc.Tank.Water.DepthM, Grid: g}}})
	if err != nil {
		t.Fatal(err)
	}
	off, seen, whole, want := 0, 0, 0.0, 0.0
	for i, sum := range sums {
		n, v := float64(surfaces), a.Planes[0].Field.Illuminance[i]
		mean := sum / n
		errorLx := math.Sqrt((squares[i]/n - mean*mean) / (n - 1))
		if whole, want = whole+mean, want+v; mean < 1 {
			continue
		}
		if seen++; math.Abs(mean-v) > 3*math.Hypot(errorLx, a.Planes[0].ErrorLx[i])+0.005*v {
			off++
		}
	}
	if seen < 50 || off > seen/25 || math.Abs(whole/want-1) > 0.005 {
		t.Errorf("%d of %d cells differ; all light is %g times that of the mean over time", off, seen, whole/want)
	}
}

// TestShimmer: contrast grows with the slope, falls with the number of dies, and over still light; the light of a still surface is
// that of the straight sum; one seed gives the same bits for any number of workers; still water is refused.
func TestShimmer(t *testing.T) {
	t.Parallel()
	floor := scene.PlaneRef{Name: "floor", DepthM: 0.42}
	contrast := func(sc *scene.Scene) float64 {
		s, err := Shimmer(context.Background(), sc, ShimmerOptions{Plane: floor, Moments: 3, ContrastsAlone: true, Workers: 2})
		if err != nil {
			t.Fatal(err)
		}
		return s.Contrasts[len(s.Contrasts)-1].All
	}
	weak, strong := contrast(bare(t, 0.02)), contrast(bare(t, 0.08))
	pale := bare(t, 0.08)
	pale.Tank.FloorReflectance, pale.Tank.Walls = 0.9, scene.Walls{}
	if !(weak > 0.01 && strong > 2*weak && contrast(pale) < strong) {
		t.Errorf("contrasts of %g, of steeper waves %g, over a pale floor %g", weak, strong, contrast(pale))
	}
	sc := bare(t, 0.05)
	one, err := Shimmer(context.Background(), sc, ShimmerOptions{Plane: floor, Moments: 1, Workers: 1, StepM: 0.01})
	two, err2 := Shimmer(context.Background(), sc, ShimmerOptions{Plane: floor, Moments: 1, Workers: 3, StepM: 0.01})
	if err != nil || err2 != nil || len(one.Contrasts) != 0 || !bytes.Equal(bits(one.Frames[0]), bits(two.Frames[0])) {
		t.Errorf("workers change the light (%v, %v)", err, err2)
	}
	sc.Tank.Water.Ripple.Slope = 0
	if _, err := Shimmer(context.Background(), sc, ShimmerOptions{Plane: floor, Moments: 1}); err == nil || !strings.Contains(err.Error(), "give water.ripple") {
		t.Errorf("still water: %v", err)
	}
}

// TestStillNetIsTheStraightSum: through a surface without waves, with cover and brace, the net is the straight sum, in the means
// of cells of 20 mm to 1 % of the highest, but at the edges of shadows, and in all to 0.3 %, beside the errors of photons.
func TestStillNetIsTheStraightSum(t *testing.T) {
	t.Parallel()
	sc := scenetest.Example(t, "foyer")
	black := scene.Wall{Kind: scene.PaintWall}
	sc.Tank.Walls = scene.Walls{Front: black, Back: black, Left: black, Right: black}
	m, err := newModel(sc)
	if err != nil {
		t.Fatal(err)
	}
	g := result.NewGrid(sc.Tank.LengthM, sc.Tank.WidthM, 0.04)
	net, err := caustic.New(m, 0.06, []caustic.Plane{{DepthM: 0.42, Grid: g}}, false, 2)
	if err != nil {
		t.Fatal(err)
	}
	got, err := net.Moment(context.Background(), &caustic.Waves{}, 0, 2)
	if err != nil {
		t.Fatal(err)
	}
	a, err := trace.Run(context.Background(), m, trace.Options{Workers: 2, Photons: 1 << 17, Only: trace.Straight, Planes: []trace.Plane{{DepthM: 0.42, Grid: g}}})
	if err != nil {
		t.Fatal(err)
	}
	off, sum, want := 0, 0.0, 0.0
	most := result.Summarise(got[0], 0).Max
	for i, v := range got[0] {
		w := a.Planes[0].Field.Illuminance[i]
		if sum, want = sum+v, want+w; math.Abs(v-w) > 4*a.Planes[0].ErrorLx[i]+0.01*most {
			off++
		}
	}
	if off > len(got[0])/50 || math.Abs(sum-want) > 3*a.Planes[0].MeanErrorLx*float64(len(got[0]))+0.003*want {
		t.Errorf("%d of %d cells differ; all light is %g times the straight sum", off, len(got[0]), sum/want)
	}
}

func bits(values []float64) (b []byte) {
	for _, v := range values {
		b = binary.LittleEndian.AppendUint64(b, math.Float64bits(v))
	}
	return b
}
