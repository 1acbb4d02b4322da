package optics

import (
	"context"
	"testing"
	"time"

	"fathomlux/optics/result"
	"fathomlux/optics/scenetest"
	"fathomlux/optics/trace"
	"fathomlux/scene"
)

// BenchmarkMerit holds the rest of the light as maps find it, from tables and flights, against photons followed one by one:
// the figure of merit of each is 1 over the product of mean variance of a cell of 10 mm and time, on one core; the metric is
// that of maps over that of photons, whose histories split where the rest begins. The white tank and the cloudy one are as
// long and wide as they are deep.
func BenchmarkMerit(b *testing.B) {
	tanks := map[string]*scene.Scene{"foyer": scenetest.Example(b, "foyer")}
	for name, text := range map[string]string{
		"white":  "kind: clear}\n  walls: {front: {paint: 0.8}, left: {paint: 0.8}, right: {paint: 0.8}, back: {paint: 0.8}}\n  floor: {diffuse: 0.8}",
		"cloudy": "kind: cloudy}\n  walls: {front: glass, left: {paint: 0.5}, right: {paint: 0.5}, back: {paint: 0.5}}\n  floor: {diffuse: 0.5}",
	} {
		sc, err := scene.Parse("tank.yaml", []byte("tank:\n  length: 300 mm\n  width: 300 mm\n  height: 320 mm\n  water: {depth: 290 mm, "+text+
			"\nrails:\n  - {length: 200 mm, above_water: 130 mm, modules: {part: quad-neutral, optic: round-60, count: 1, spacing: 130 mm, current: 350 mA}}\n"), nil)
		if err != nil {
			b.Fatal(err)
		}
		tanks[name] = sc
	}
	for name, sc := range tanks {
		b.Run(name, func(b *testing.B) {
			merits := [2]float64{}
			for b.Loop() {
				merits[0] += meritOfMaps(b, sc)
				merits[1] += meritOfPhotons(b, sc)
			}
			b.ReportMetric(merits[0]/merits[1], "times")
		})
	}
}

// merit is the figure of merit of some cells' standard errors found in a time.
func merit(errorsLx []float64, took time.Duration) float64 {
	sum := 0.0
	for _, v := range errorsLx {
		sum += v * v
	}
	return float64(len(errorsLx)) / sum / took.Seconds()
}

// meritOfMaps is that of a map with all that comes before it, the sum of straight light too.
func meritOfMaps(b *testing.B, sc *scene.Scene) float64 {
	began := time.Now()
	m, err := Map(context.Background(), sc, Options{StepM: 0.01, Workers: 1, Planes: []scene.PlaneRef{JudgedPlane(sc)}})
	if err != nil {
		b.Fatal(err)
	}
	return merit(m.Planes[0].ErrorLx, time.Since(began))
}

func meritOfPhotons(b *testing.B, sc *scene.Scene) float64 {
	m, err := newModel(sc)
	if err != nil {
		b.Fatal(err)
	}
	began := time.Now()
	a, err := trace.Run(context.Background(), m, trace.Options{Workers: 1, Photons: 1 << 19, Only: trace.Rest,
		Planes: []trace.Plane{{DepthM: JudgedPlane(sc).DepthM, Grid: result.NewGrid(sc.Tank.LengthM, sc.Tank.WidthM, 0.01)}}})
	if err != nil {
		b.Fatal(err)
	}
	return merit(a.Planes[0].ErrorLx, time.Since(began))
}
