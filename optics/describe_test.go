package optics

import (
	"math"
	"testing"

	"fathomlux/scene/curve"
	"fathomlux/scene/parts"
)

func close9(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.9g, want %.9g within %g", what, got, want, tolerance)
	}
}

// TestDescribeRoundBeam: a 40 deg cosine has 1932.68 cd for 1000 lm and a field of 71.16 deg (A20); in the air it makes
// I/d^2 on the axis and I/2 cos^3(20 deg)/d^2 at the edge of a spot 2 d tan(20 deg) wide.
func TestDescribeRoundBeam(t *testing.T) {
	d, err := DescribeBeam(parts.Optic{Name: "own", BeamRad: 40 * deg, BeamAcrossRad: 40 * deg, Efficiency: 0.9}, nil)
	if err != nil {
		t.Fatal(err)
	}
	close9(t, "centre", d.CentreCd, 1932.68, 0.0051)
	close9(t, "beam", d.BeamEdge.AlongRad()/deg, 40, 1e-9)
	close9(t, "field", d.FieldEdge.AcrossRad()/deg, 71.16, 0.0051)
	close9(t, "share in beam", d.InBeam, 0.5302, 5.1e-5)
	close9(t, "share in field", d.InField, 0.9187, 5.1e-5)
	r := d.Cone[1]
	close9(t, "distance", r.DistanceM, 0.2, 0)
	close9(t, "spot", r.SpotAlongM, 0.4*math.Tan(20*deg), 1e-9)
	close9(t, "centre lx", r.CentreLx, d.CentreCd/0.04, 1e-6)
	close9(t, "edge lx", r.EdgeAcrossLx, d.CentreCd/2*math.Pow(math.Cos(20*deg), 3)/0.04, 1e-3)
	middle := len(d.AngleRad) / 2
	if d.AngleRad[middle] != 0 || d.AlongCd[middle] != d.CentreCd || len(d.AlongCd) != 1441 || !d.Round {
		t.Errorf("curve of %d places, %g cd in the middle", len(d.AlongCd), d.AlongCd[middle])
	}
}

// TestDescribeBeamTooWideForASpot: beyond 80 deg to a side there is no spot.
func TestDescribeBeamTooWideForASpot(t *testing.T) {
	d, err := DescribeBeam(parts.Optic{Name: "own", BeamRad: 165 * deg, BeamAcrossRad: 60 * deg, Efficiency: 1}, nil)
	if err != nil {
		t.Fatal(err)
	}
	if r := d.Cone[0]; r.SpotAlongM != 0 || r.EdgeAlongLx != 0 || !(r.SpotAcrossM > 0.1 && r.EdgeAcrossLx > 0) {
		t.Errorf("%+v", r)
	}
}

// TestDescribeMeasuredBeam: half of a ball's light is behind the module.
func TestDescribeMeasuredBeam(t *testing.T) {
	ball := opener([]byte("IESNA91\nTILT=NONE\n1 -1 1 2 1 1 2 0 0 0\n1 1 5\n0 180\n0\n100 100\n"))
	d, err := DescribeBeam(parts.Optic{Name: "ball", File: "lens.ies", Efficiency: 1}, ball)
	if err != nil {
		t.Fatal(err)
	}
	close9(t, "behind", d.Behind, 0.5, 1e-12)
	close9(t, "centre", d.CentreCd, 1000/(4*math.Pi), 1e-9)
}

// TestDescribeSpectrum: LED-B3 has 69.77 lx for 1 umol/m2/s; a line at 555 nm has 147.2 (683 lm/W at one wavelength, H12).
func TestDescribeSpectrum(t *testing.T) {
	lib := parts.Builtin()
	d, err := DescribeSpectrum(lib.Spectra["white-4000"])
	if err != nil {
		t.Fatal(err)
	}
	close9(t, "lx per umol", d.LuxPerPPFD, 69.77, 0.006)
	close9(t, "bands", d.Blue+d.Green+d.Red, 1, 1e-12)
	if d.Blue < 0.1 || d.Red < 0.2 || d.Nm[0] != 380 || d.Power[int(d.PeakNm)-380] != 1 {
		t.Errorf("%+v", d)
	}
	for name, of := range lib.Spectra {
		if d, err := DescribeSpectrum(of); err != nil || d.Blue < 0 || d.Green < 0 || d.Red < 0 {
			t.Errorf("%s: %v, shares %g, %g, %g", name, err, d.Blue, d.Green, d.Red)
		}
	}
	line, err := curve.Linear([]float64{554, 555, 556}, []float64{0, 1, 0})
	if err != nil {
		t.Fatal(err)
	}
	d, err = DescribeSpectrum(parts.Spectrum{Name: "line", Power: line})
	if err != nil {
		t.Fatal(err)
	}
	close9(t, "line", d.LuxPerPPFD, 147.216, 0.05)
	close9(t, "green", d.Green, 1, 1e-12)
	close9(t, "peak", d.PeakNm, 555, 0)
	if _, err := DescribeSpectrum(parts.Spectrum{Name: "dark"}); err == nil {
		t.Error("a spectrum without light was described")
	}
}
