package lm63_test

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"fathomlux/scene/lm63"

	"github.com/google/go-cmp/cmp"
)

func load(t testing.TB, name string) *lm63.File {
	t.Helper()
	data, err := os.ReadFile(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	f, err := lm63.Read(name, data)
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s: got %.9g, want %.9g within %g", what, got, want, tolerance)
	}
}

// TestInventedFiles holds intensities, angles and fluxes that were worked out for the three files apart from this reader.
// Tolerances are half of the last printed digit.
func TestInventedFiles(t *testing.T) {
	for _, c := range []struct {
		name         string
		revision     lm63.Revision
		width        float64
		linear       float64
		zonal        float64
		at           [][3]float64 // vertical, horizontal, cd
		along, acros float64      // full beam angles
		warnings     int
	}{
		{"ring.ies", lm63.Revision2002, -0.020, 530.789, 536.330, [][3]float64{{0, 0, 1000}, {37.5, 0, 88.8}, {37.5, 211, 88.8}, {20, 1, 500}, {90.1, 0, 0}, {180, 0, 0}, {-1, 0, 0}}, 40, 40, 0},
		{"bar.ies", lm63.Revision1986, 0.01524, 852.943, 878.383, [][3]float64{
			{0, 0, 450}, {37.5, 0, 315}, {37.5, 45, 255}, {37.5, 90, 172.5}, {37.5, 22.5, 285}, {37.5, 337.5, 285},
			{37.5, 157.5, 285}, {37.5, 202.5, 285}, {37.5, 270, 172.5}, {37.5, -22.5, 285}, {37.5, 360 + 22.5, 285}}, 101.25, 61.875, 1},
		{"lean.ies", lm63.Revision2019, -0.03, 596.005, 640.009, [][3]float64{
			{45, 0, 200}, {45, 90, 125}, {45, 180, 70}, {45, 270, 125}, {45, 45, 162.5}, {45, 315, 162.5}, {45, 360, 200}}, 45 + 30*200.0/280, 60, 0},
	} {
		f := load(t, c.name)
		if f.Revision != c.revision || len(f.Warnings) != c.warnings {
			t.Errorf("%s: revision %d, warnings %v", c.name, f.Revision, f.Warnings)
		}
		near(t, c.name+" width", f.WidthM, c.width, 1e-12)
		near(t, c.name+" flux", f.FluxLm(), c.linear, 0.00051)
		near(t, c.name+" zonal flux", zonalLm(f), c.zonal, 0.00051)
		for _, p := range c.at {
			near(t, c.name+" intensity", f.At(p[0], p[1]), p[2], 1e-9)
		}
		along, across := f.FullAngles(0.5)
		near(t, c.name+" beam along", along, c.along, 0.001)
		near(t, c.name+" beam across", across, c.acros, 0.001)
	}
}

// TestLeaningBeam: half of 400 cd is met at 45 deg towards 0, at 0 + 30*200/280 towards 180, and at 30 to either side across.
func TestLeaningBeam(t *testing.T) {
	f := load(t, "lean.ies")
	along, across := f.FullAngles(0.5)
	near(t, "beam along", along, 45+30*200.0/280, 1e-9)
	near(t, "beam across", across, 60, 1e-9)
	near(t, "field across", second(f.FullAngles(0.1)), 2*(60+30*10.0/50), 1e-9)
	if f.Field12 != 1.0001 {
		t.Errorf("field 12 is %g", f.Field12)
	}
}

func second(_, b float64) float64 { return b }

func TestTiltIsReadAndNotUsed(t *testing.T) {
	f := load(t, "bar.ies")
	want := lm63.Tilt{Kind: lm63.TiltInclude, Geometry: 1, AngleDeg: []float64{0, 45, 90}, Factor: []float64{1, 0.96, 0.9}}
	if d := cmp.Diff(want, f.Tilt); d != "" {
		t.Error(d)
	}
}

// TestUnfoldedIsAt: the unfolded rows are what At answers, for each symmetry, and the flux is that of four quarters.
func TestUnfoldedIsAt(t *testing.T) {
	for _, list := range []string{"0", "0 45 90", "0 30 180", "90 100 200 270", "90 180 270", "0 120 240 360", "0 100 200 300"} {
		f := mustRead(t, plain(list))
		h, rows := f.Unfolded()
		if h[0] != 0 || len(h) > 1 && h[len(h)-1] != 360 || len(rows) != len(h) {
			t.Fatalf("%s unfolds to %v", list, h)
		}
		for i, x := range h {
			if i > 0 && !(x > h[i-1]) {
				t.Fatalf("%s unfolds to %v", list, h)
			}
			for v, at := range f.Vertical {
				near(t, list, rows[i][v], f.At(at, x), 1e-12)
			}
		}
		sum, n := 0.0, 7200 // midpoints between any listed angles but few
		for i := range n {
			sum += f.At(30, (float64(i)+0.5)*360/float64(n)) / float64(n)
		}
		near(t, list+" mean", f.MeanRow()[1], sum, 1e-3*sum)
	}
}

// plain writes a small sound file of 2002 with the given horizontal angles and rows that differ.
func plain(horizontal string) string {
	n := len(strings.Fields(horizontal))
	var b strings.Builder
	b.WriteString("IESNA:LM-63-2002\n[TEST] none\nTILT=NONE\n1 -1 1 3 " + string(rune('0'+n)) + " 1 2 0 0 0\n1 1 5\n0 30 90\n" + horizontal + "\n")
	for i := range n {
		b.WriteString("100 " + string(rune('3'+i)) + "0 0\n")
	}
	return b.String()
}

func mustRead(t *testing.T, text string) *lm63.File {
	t.Helper()
	f, err := lm63.Read("x.ies", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return f
}

// zonalLm is the flux as handbooks add it up, lm: for each zone its constant 2 pi (cos a - cos b) times the mean intensity of
// its ends. It is above that of the straight lines between on coarse grids. Source: IES Lighting Handbook, zonal constants.
func zonalLm(f *lm63.File) float64 {
	mean, sum := f.MeanRow(), 0.0
	for i := 1; i < len(mean); i++ {
		cos := math.Cos(f.Vertical[i-1]*math.Pi/180) - math.Cos(f.Vertical[i]*math.Pi/180)
		sum += 2 * math.Pi * cos * (mean[i-1] + mean[i]) / 2
	}
	return sum
}
