package tolerance

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"fathomlux/optics/scenetest"
	"fathomlux/scene"
	"fathomlux/scene/parts"
)

// TestTailsAlone: a beam angle alone leaves the lowest value open much more than the mean; an optic with a field angle leaves
// nothing open, and nothing is said of it.
func TestTailsAlone(t *testing.T) {
	t.Parallel()
	sc := scenetest.DimFoyer(t)
	sc.Tolerance = scene.Tolerance{FieldShare: 0.2}
	out := tolerance(t, sc)
	wide := func(low, high float64) float64 { return math.Log(high / low) }
	if mean, lowest := wide(out.Mean.Low, out.Mean.High), wide(out.Min.Low, out.Min.High); lowest < 0.1 || lowest < 2*mean {
		t.Errorf("mean %+v, lowest %+v", out.Mean, out.Min)
	}
	if !strings.Contains(fmt.Sprint(out.Notes), "round-40 gives a beam angle and no field angle") {
		t.Errorf("notes %v", out.Notes)
	}
	for i := range sc.Rails[0].Modules {
		sc.Rails[0].Modules[i].Optic = sc.Catalogue.Optics["wide-60f"]
	}
	out = tolerance(t, sc)
	if out.Min.High > out.Min.Low*(1+1e-9) || strings.Contains(fmt.Sprint(out.Notes), "field angle") {
		t.Errorf("lowest %+v, notes %v", out.Min, out.Notes)
	}
}

// TestGuessedField: cos^m falls to half at half the beam angle and to a tenth at half the field angle; a bare die is no guess.
func TestGuessedField(t *testing.T) {
	t.Parallel()
	for _, deg := range []float64{10, 25, 60, 90} {
		beam := deg * math.Pi / 180
		field := parts.Optic{BeamRad: beam, BeamAcrossRad: beam}.GuessedFieldRad(false)
		if half, tenth := math.Log(math.Cos(beam/2)), math.Log(math.Cos(field/2)); math.Abs(tenth/half-math.Log(10)/math.Ln2) > 1e-9 {
			t.Errorf("%g deg: field %g deg", deg, field*180/math.Pi)
		}
	}
	if bare := (parts.Optic{BeamRad: 2 * math.Pi / 3}).GuessedFieldRad(false); bare != 0 {
		t.Errorf("a bare die has a guess of %g", bare)
	}
}
