package lm63_test

import (
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"fathomlux/scene/lm63"
	"fathomlux/scene/photometry"
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

// at is the intensity towards two angles in degrees, any horizontal one.
func at(f *lm63.File, verticalDeg, horizontalDeg float64) float64 {
	if horizontalDeg != 360 {
		horizontalDeg = math.Mod(math.Mod(horizontalDeg, 360)+360, 360)
	}
	return f.At(verticalDeg*math.Pi/180, horizontalDeg*math.Pi/180)
}

func inDeg(aRad, bRad float64) (aDeg, bDeg float64) {
	return aRad * 180 / math.Pi, bRad * 180 / math.Pi
}

// TestInventedFiles holds intensities, angles and fluxes that were worked out for the three files apart from this reader.
// Tolerances are half of the last printed digit.
func TestInventedFiles(t *testing.T) {
	for _, c := range []struct {
		name         string
		linear       float64
		zonal        float64
		at           [][3]float64 // vertical, horizontal, cd
		along, acros float64      // full beam angles
		warnings     int
	}{
		{"ring.ies", 530.789, 536.330, [][3]float64{{0, 0, 1000}, {37.5, 0, 88.8}, {37.5, 211, 88.8}, {20, 1, 500}, {90.1, 0, 0}, {180, 0, 0}, {-1, 0, 0}}, 40, 40, 0},
		{"bar.ies", 852.943, 878.383, [][3]float64{
			{0, 0, 450}, {37.5, 0, 315}, {37.5, 45, 255}, {37.5, 90, 172.5}, {37.5, 22.5, 285}, {37.5, 337.5, 285},
			{37.5, 157.5, 285}, {37.5, 202.5, 285}, {37.5, 270, 172.5}, {37.5, -22.5, 285}, {37.5, 360 + 22.5, 285}}, 101.25, 61.875, 1},
		{"lean.ies", 596.005, 640.009, [][3]float64{
			{45, 0, 200}, {45, 90, 125}, {45, 180, 70}, {45, 270, 125}, {45, 45, 162.5}, {45, 315, 162.5}, {45, 360, 200}}, 45 + 30*200.0/280, 60, 0},
	} {
		f := load(t, c.name)
		if len(f.Warnings) != c.warnings {
			t.Errorf("%s: warnings %v", c.name, f.Warnings)
		}
		near(t, c.name+" flux", f.FluxWithin(math.Pi), c.linear, 0.00051)
		near(t, c.name+" zonal flux", zonalLm(f), c.zonal, 0.00051)
		for _, p := range c.at {
			near(t, c.name+" intensity", at(f, p[0], p[1]), p[2], 1e-9)
		}
		along, across := inDeg(f.FullAngles(0.5))
		near(t, c.name+" beam along", along, c.along, 0.001)
		near(t, c.name+" beam across", across, c.acros, 0.001)
	}
}

// TestLeaningBeam: half of 400 cd is met at 45 deg towards 0, at 0 + 30*200/280 towards 180, and at 30 to either side across.
func TestLeaningBeam(t *testing.T) {
	f := load(t, "lean.ies")
	along, across := inDeg(f.FullAngles(0.5))
	near(t, "beam along", along, 45+30*200.0/280, 1e-9)
	near(t, "beam across", across, 60, 1e-9)
	near(t, "field across", second(inDeg(f.FullAngles(0.1))), 2*(60+30*10.0/50), 1e-9)
}

func second(_, b float64) float64 { return b }

// TestSymmetries: what is written is what At answers, at its mirror images too, and the mean is that of the whole circle.
func TestSymmetries(t *testing.T) {
	for list, images := range map[string][]func(deg float64) float64{
		"0":                {func(float64) float64 { return 77 }},
		"0 45 90":          {negative, supplement, func(deg float64) float64 { return 180 + deg }},
		"0 30 180":         {negative},
		"90 100 200 270":   {supplement},
		"90 180 270":       {supplement},
		"0 120 240 360":    nil,
		"0 100 200 300":    nil,
		"90 170.5 190 270": {supplement},
	} {
		f := mustRead(t, plain(list))
		h := f.Phi
		if h[0] != 0 || len(h) > 1 && h[len(h)-1] != 2*math.Pi || len(f.Candela) != len(h) || !slices.IsSorted(h) {
			t.Fatalf("%s is the circle %v", list, h)
		}
		for i, word := range strings.Fields(list) {
			deg, _ := strconv.ParseFloat(word, 64)
			near(t, list+": "+word, at(f, 30, deg), float64(30+10*i), 1e-12)
		}
		for deg := -400.0; deg < 400; deg += 12.5 {
			for _, image := range images {
				near(t, list, at(f, 30, image(deg)), at(f, 30, deg), 1e-9)
			}
		}
		sum, n := 0.0, 7200 // midpoints between any listed angles but few
		for i := range n {
			sum += at(f, 30, (float64(i)+0.5)*360/float64(n)) / float64(n)
		}
		near(t, list+" mean", f.MeanRow()[1], sum, 1e-3*sum)
	}
}

func negative(deg float64) float64 { return -deg }

func supplement(deg float64) float64 { return 180 - deg }

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
		cos := math.Cos(f.Theta[i-1]) - math.Cos(f.Theta[i])
		sum += 2 * math.Pi * cos * (mean[i-1] + mean[i]) / 2
	}
	return sum
}

// TestFullAnglesOfATable: the outermost crossing counts, up to 90 degrees, and straight lines run between the rows.
func TestFullAnglesOfATable(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ level, limit, want float64 }{
		{50, 90, 12.5}, {30, 90, 32.5}, {100, 90, 0}, {101, 90, 0},
		{30, 28, 28}, {30, 22, 17.5}, {10, 35, 35}, {50, 11, 11}, {20, 35, 35},
	} {
		f := &photometry.Distribution{Phi: []float64{0}, Candela: [][]float64{{100, 60, 20, 40, 0}}}
		for _, x := range []float64{0, 10, 20, 30, 40} {
			f.Theta = append(f.Theta, x*90/c.limit*math.Pi/180)
		}
		along, across := inDeg(f.FullAngles(c.level / 100))
		if want := 2 * c.want * 90 / c.limit; math.Abs(along-want) > 1e-9 || along != across {
			t.Errorf("%g %% up to %g: %g and %g, want %g", c.level, c.limit, along, across, want)
		}
	}
}
