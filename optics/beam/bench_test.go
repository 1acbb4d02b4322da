package beam_test

import (
	"testing"

	"fathomlux/optics/beam"
	"fathomlux/scene/space"
)

func benchmarkFast(b *testing.B, s beam.Shape, value func(*beam.Beam, space.Vector) float64) {
	shape := mustNew(b, s)
	var directions [1024]space.Vector
	for i := range directions {
		directions[i] = towards(float64(i)/1024*1.2, float64(i)*0.7)
	}
	sum := 0.0
	for i := 0; b.Loop(); i++ {
		sum += value(shape, directions[i&1023])
	}
	if !(sum >= 0) {
		b.Fatal(sum)
	}
}

func BenchmarkFastRound(b *testing.B) { benchmarkFast(b, beam.Shape{BeamRad: 0.7}, (*beam.Beam).Fast) }
func BenchmarkFastField(b *testing.B) {
	benchmarkFast(b, beam.Shape{BeamRad: 0.7, FieldRad: 1.2, StrayShare: 0.05}, (*beam.Beam).Fast)
}
func BenchmarkFastElliptical(b *testing.B) {
	benchmarkFast(b, beam.Shape{BeamRad: 0.7, BeamAcrossRad: 1.2}, (*beam.Beam).Fast)
}
func BenchmarkFastTwoFields(b *testing.B) {
	benchmarkFast(b, beam.Shape{BeamRad: 0.7, BeamAcrossRad: 1.2, FieldRad: 1.2, FieldAcrossRad: 1.9}, (*beam.Beam).Fast)
}
func BenchmarkExactRound(b *testing.B) {
	benchmarkFast(b, beam.Shape{BeamRad: 0.7}, (*beam.Beam).PerLumen)
}
func BenchmarkNewElliptical(b *testing.B) {
	for b.Loop() {
		mustNew(b, beam.Shape{BeamRad: 0.7, BeamAcrossRad: 1.2})
	}
}
