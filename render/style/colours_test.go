package style

import (
	"flag"
	"fmt"
	"github.com/lucasb-eyer/go-colorful"
	"image/color"
	"math"
	"os"
	"strings"
	"testing"
)

var renewMap = flag.Bool("renew-map", false, "write data/light_scale.csv from the recipe")

const mapHead = `# Colours of the light map, low end first, sRGB. Our own; made by colours_test.go with -renew-map.
# Recipe: OkLCh with lightness 0.18 to 0.96, hue 300 down to 100 degrees, chroma 0.95 of what sRGB holds but at most
# 0.16; then 256 colours at equal steps of CIEDE2000 along that path.
# The line "none" is the grey of cells without a value; every colour of the map is far from it (CIEDE2000 8 or more).
none,#b4b4b4
`

// pathColour is the recipe's path before it is spaced anew; t from 0 to 1.
func pathColour(t float64) colorful.Color {
	l, hue := 0.18+t*(0.96-0.18), 300-t*200
	low, high := 0.0, 0.4
	for range 50 {
		mid := (low + high) / 2
		if colorful.OkLch(l, mid, hue).IsValid() {
			low = mid
		} else {
			high = mid
		}
	}
	return colorful.OkLch(l, math.Min(0.95*low, 0.16), hue).Clamped()
}

// recipe returns the 256 colours at equal CIEDE2000 steps, unrounded: places on the path are moved along it until
// neighbours are equally far from each other.
func recipe() []colorful.Color {
	colours, at, arc := make([]colorful.Color, 256), make([]float64, 256), make([]float64, 256)
	for i := range at {
		at[i] = float64(i) / (256 - 1)
	}
	for range 40 {
		for i := range at {
			colours[i] = pathColour(at[i])
			if i > 0 {
				arc[i] = arc[i-1] + colours[i-1].DistanceCIEDE2000(colours[i])
			}
		}
		at = evenly(at, arc)
	}
	return colours
}

// evenly returns the values of at, piecewise linear over arc, at equal steps of arc.
func evenly(at, arc []float64) []float64 {
	n := len(at) - 1
	moved, j := make([]float64, n+1), 0
	for i := range moved {
		want := arc[n] * float64(i) / float64(n)
		for j < n-1 && arc[j+1] < want {
			j++
		}
		moved[i] = at[j] + (at[j+1]-at[j])*(want-arc[j])/(arc[j+1]-arc[j])
	}
	return moved
}

func TestMapIsWhatTheRecipeGives(t *testing.T) {
	var b strings.Builder
	b.WriteString(mapHead)
	for _, c := range recipe() {
		fmt.Fprintln(&b, ","+c.Hex())
	}
	if *renewMap {
		if err := os.WriteFile("data/light_scale.csv", []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	got := strings.Split(lightCSV, "\n")
	want := strings.Split(b.String(), "\n")
	if len(got) != len(want) {
		t.Fatalf("table has %d lines; recipe gives %d", len(got), len(want))
	}
	for i := range got {
		if !sameColour(got[i], want[i]) {
			t.Errorf("line %d is %q; recipe gives %q", i+1, got[i], want[i])
		}
	}
}

// sameColour lets each channel differ by 1: rounding may fall the other way where multiply and add are fused.
func sameColour(a, b string) bool {
	if a == b {
		return true
	}
	var x, y [3]uint8
	_, errA := fmt.Sscanf(strings.TrimPrefix(a, ","), "#%02x%02x%02x", &x[0], &x[1], &x[2])
	_, errB := fmt.Sscanf(strings.TrimPrefix(b, ","), "#%02x%02x%02x", &y[0], &y[1], &y[2])
	near := func(k int) bool { return max(x[k], y[k])-min(x[k], y[k]) <= 1 }
	return errA == nil && errB == nil && near(0) && near(1) && near(2)
}

func perceived(c color.RGBA) colorful.Color {
	return colorful.Color{R: float64(c.R) / 255, G: float64(c.G) / 255, B: float64(c.B) / 255}
}

func TestMapIsUniformAndMonotone(t *testing.T) {
	steps := make([]float64, 0, 256)
	sum, last := 0.0, -1.0
	for i, c := range recipe() {
		if i > 0 {
			d := recipe256[i-1].DistanceCIEDE2000(c)
			steps, sum = append(steps, d), sum+d
		}
		if l, _, _ := c.Lab(); l <= last {
			t.Errorf("lightness falls at colour %d: %g after %g", i, l, last)
		} else {
			last = l
		}
	}
	mean := sum / float64(len(steps))
	for i, d := range steps { // the moving stops short of equal by less than this
		if d/mean > 1.01 || d/mean < 0.99 {
			t.Errorf("step %d is %.3f of the mean", i, d/mean)
		}
	}
	if mean*100*255 < 90 {
		t.Errorf("the whole map is only dE %.0f long", mean*100*255)
	}
}

var recipe256 = recipe()

func TestStoredMapRisesInGrey(t *testing.T) {
	var last float64 = -1
	for i, c := range Light().Table() {
		l, _, _ := perceived(c).Lab()
		if l <= last-0.002 { // 8-bit rounding: half a step of one channel
			t.Errorf("lightness falls at colour %d", i)
		}
		last = math.Max(last, l)
	}
	low, _, _ := perceived(Light().At(0)).Lab()
	high, _, _ := perceived(Light().At(1)).Lab()
	if high-low < 0.75 {
		t.Errorf("grey print spans only %.2f of lightness", high-low)
	}
}

// deficiencies are the full-strength matrices of G. M. Machado, M. M. Oliveira, L. A. F. Fernandes 2009, IEEE Trans.
// Visualization and Computer Graphics 15, 1291-1298, table for severity 1.0, on linear RGB. Written from
// memory, not checked against the print; each row sums to 1, as white must stay white.
var deficiencies = map[string][3][3]float64{
	"full sight":   {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}},
	"protanopia":   {{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}},
	"deuteranopia": {{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}},
	"tritanopia":   {{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}},
}

func seenBy(m [3][3]float64, c colorful.Color) colorful.Color {
	r, g, b := c.LinearRgb()
	row := func(i int) float64 { return m[i][0]*r + m[i][1]*g + m[i][2]*b }
	return colorful.LinearRgb(row(0), row(1), row(2)).Clamped()
}

func TestMapServesColourBlindEyes(t *testing.T) {
	for name, m := range deficiencies {
		for i := range m {
			if s := m[i][0] + m[i][1] + m[i][2]; math.Abs(s-1) > 2e-5 {
				t.Errorf("%s: row %d sums to %g", name, i, s)
			}
		}
		table := Light().Table()
		for i := 0; i+51 < len(table); i++ { // 51 colours are a fifth of the scale
			a, b := seenBy(m, perceived(table[i])), seenBy(m, perceived(table[i+51]))
			if d := a.DistanceCIEDE2000(b) * 100; d < 7.5 { // three times what is just seen side by side
				t.Errorf("%s: shares %.2f and %.2f are only dE %.1f apart", name, float64(i)/255, float64(i+51)/255, d)
			}
		}
	}
}

func TestMapAtClampsAndMarksNaN(t *testing.T) {
	m := Light()
	for _, c := range []struct {
		share float64
		want  color.RGBA
	}{
		{-3, m.Table()[0]}, {0, m.Table()[0]}, {0.5, m.Table()[128]}, {1, m.Table()[255]}, {7, m.Table()[255]},
		{math.Inf(1), m.Table()[255]}, {math.Inf(-1), m.Table()[0]}, {math.NaN(), m.None()},
	} {
		if got := m.At(c.share); got != c.want {
			t.Errorf("At(%g) = %v; want %v", c.share, got, c.want)
		}
	}
	for i, c := range m.Table() {
		if d := perceived(c).DistanceCIEDE2000(perceived(m.None())) * 100; d < 8 {
			t.Errorf("colour %d is only dE %.1f from the grey of missing values", i, d)
		}
	}
}

func TestMapHoldsTheWholeTable(t *testing.T) {
	if m := Light(); len(m.Table()) != 256 || m.None() != (color.RGBA{R: 0xb4, G: 0xb4, B: 0xb4, A: 255}) {
		t.Errorf("%d colours, %v for none", len(m.Table()), m.None())
	}
}

func TestInkOnStandsOut(t *testing.T) {
	if InkOn(Light().At(0)) == Ink || InkOn(Light().At(1)) != Ink {
		t.Error("ink does not change between the dark and the pale end")
	}
}

// TestInkIgnoresAThinLine: a pale hatch through the middle of a dark ground leaves the ink of a number there white.
func TestInkIgnoresAThinLine(t *testing.T) {
	c := newCanvas(t, 40, 40, 1)
	ground := Box{Left: 10, Top: 10, Right: 30, Bottom: 30}
	c.FillBox(ground, color.NRGBA{G: 60, B: 80, A: 255})
	c.FillBox(Box{Left: 19, Top: 10, Right: 21, Bottom: 30}, Paper)
	if c.InkIn(ground) == Ink {
		t.Error("dark ink on dark ground")
	}
	if c.FillBox(ground, Paper); c.InkIn(ground) != Ink {
		t.Error("white ink on pale ground")
	}
}
