package curve

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func must(t interface{ Fatal(...any) }, c Curve, err error) Curve {
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// ExampleMonotone reads the flux of a white die between the rows of its table. Ratios to 350 mA: common practice, no
// published source (H10 of the worked examples).
func ExampleMonotone() {
	flux, _ := Monotone([]float64{0.35, 0.5, 0.7, 1}, []float64{1, 1.35, 1.78, 2.35})
	at600, _ := flux.At(0.6)
	_, ok := flux.At(1.2)
	fmt.Printf("%.2f %v\n", at600, ok)
	// Output: 1.57 false
}

func TestLinearIsExactOnALine(t *testing.T) {
	curve, err := Linear([]float64{0, 1, 4}, []float64{1, 3, 9}) // y = 1 + 2x
	c := must(t, curve, err)
	for _, x := range []float64{0, 0.25, 1, 2.5, 4} {
		if y, ok := c.At(x); !ok || math.Abs(y-(1+2*x)) > 1e-14 { // a few last bits of numbers below 10
			t.Errorf("at %g: %g, %v", x, y, ok)
		}
	}
}

func TestCurvesMeetTheirRows(t *testing.T) {
	x, y := []float64{1, 2, 4, 8}, []float64{3, 5, 4, 4}
	for name, build := range map[string]func(x, y []float64) (Curve, error){"linear": Linear, "monotone": Monotone} {
		curve, err := build(x, y)
		c := must(t, curve, err)
		for i := range x {
			if got, ok := c.At(x[i]); !ok || got != y[i] {
				t.Errorf("%s at %g: %g, %v; want the row's own %g", name, x[i], got, ok, y[i])
			}
		}
	}
}

func TestMonotoneBendsWhereLinearDoesNot(t *testing.T) {
	x, y := []float64{0, 1, 2}, []float64{0, 1, 4}
	bent, err := Monotone(x, y)
	smooth := must(t, bent, err).AtOrZero(0.5)
	if smooth <= 0 || smooth >= 0.5 { // below the chord, as the table steepens
		t.Errorf("at 0.5: %g, want between 0 and the chord's 0.5", smooth)
	}
}

// points draws a table of 1 to 12 rows with rising x.
func points(t *rapid.T) (x, y []float64) {
	n := rapid.IntRange(1, 12).Draw(t, "rows")
	at := rapid.Float64Range(-1e3, 1e3).Draw(t, "start")
	for range n {
		at += rapid.Float64Range(1e-3, 1e3).Draw(t, "step")
		x = append(x, at)
		y = append(y, rapid.OneOf(rapid.Float64Range(-1e6, 1e6), rapid.SampledFrom([]float64{0, 1, 2})).Draw(t, "y"))
	}
	return x, y
}

func TestMonotoneNeverOvershoots(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, y := points(t)
		curve, err := Monotone(x, y)
		c := must(t, curve, err)
		slack := 1e-9 * (1 + math.Abs(slices.Max(y)) + math.Abs(slices.Min(y))) // rounding of a cubic in x up to 1e4
		for i := 1; i < len(x); i++ {
			low, high := math.Min(y[i-1], y[i]), math.Max(y[i-1], y[i])
			last := y[i-1]
			for k := range 21 {
				got, ok := c.At(x[i-1] + float64(k)/20*(x[i]-x[i-1])*(1-1e-15))
				if !ok || got < low-slack || got > high+slack {
					t.Fatalf("between rows %d and %d: %g, %v, beyond %g to %g", i, i+1, got, ok, low, high)
				}
				if (got-last)*(y[i]-y[i-1]) < -slack*math.Abs(y[i]-y[i-1]) {
					t.Fatalf("between rows %d and %d: turns back from %g to %g", i, i+1, last, got)
				}
				last = got
			}
		}
	})
}

func TestOutsideIsRefused(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x, y := points(t)
		build := rapid.SampledFrom([]func(x, y []float64) (Curve, error){Linear, Monotone}).Draw(t, "build")
		curve, err := build(x, y)
		c := must(t, curve, err)
		first, last := c.Domain()
		if first != x[0] || last != x[len(x)-1] {
			t.Fatalf("domain %g to %g of %v", first, last, x)
		}
		out := []float64{math.Nextafter(first, math.Inf(-1)), math.Nextafter(last, math.Inf(1)), math.Inf(1), math.NaN()}
		for _, x := range out {
			if y, ok := c.At(x); ok {
				t.Fatalf("at %g: %g, beyond the table", x, y)
			}
			if y := c.AtOrZero(x); y != 0 {
				t.Fatalf("at %g: %g, want 0", x, y)
			}
		}
	})
}

func TestZeroCurve(t *testing.T) {
	var c Curve
	if y, ok := c.At(0); ok || !c.Empty() {
		t.Errorf("the zero curve gave %g at 0; empty: %v", y, c.Empty())
	}
	if first, last := c.Domain(); first != 0 || last != 0 {
		t.Errorf("domain of the zero curve: %g to %g", first, last)
	}
}

func TestOneRowHoldsAtItsOwnPlace(t *testing.T) {
	one, err := Monotone([]float64{5}, []float64{7})
	c := must(t, one, err)
	if y, ok := c.At(5); !ok || y != 7 || c.Empty() {
		t.Errorf("at its row: %g, %v; empty: %v", y, ok, c.Empty())
	}
	if y, ok := c.At(5.1); ok {
		t.Errorf("beside its row: %g", y)
	}
}

func TestCurveKeepsItsOwnColumns(t *testing.T) {
	x, y := []float64{0, 1}, []float64{0, 10}
	curve, err := Linear(x, y)
	c := must(t, curve, err)
	x[1], y[1] = 99, 99
	px, py := c.Points()
	px[0], py[0] = 42, 42
	if got := c.AtOrZero(0.5); got != 5 {
		t.Errorf("a change from outside came through: %g, want 5", got)
	}
}

func TestWrongPoints(t *testing.T) {
	cases := []struct {
		name string
		x, y []float64
		want string
	}{
		{"no row", nil, nil, "a table needs at least one row"},
		{"columns of two lengths", []float64{1, 2}, []float64{1}, "as many values as places, not 1 and 2"},
		{"x stands still", []float64{1, 1}, []float64{1, 2}, "row 2 does not rise: 1 after 1"},
		{"x falls", []float64{1, 3, 2}, []float64{1, 2, 3}, "row 3 does not rise: 2 after 3"},
		{"x is NaN", []float64{1, math.NaN()}, []float64{1, 2}, "row 2 is not finite"},
		{"y is infinite", []float64{1, 2}, []float64{math.Inf(-1), 2}, "row 1 is not finite"},
		{"infinities that cancel", []float64{math.Inf(-1)}, []float64{math.Inf(1)}, "row 1 is not finite"},
	}
	for _, c := range cases {
		for _, build := range []func(x, y []float64) (Curve, error){Linear, Monotone} {
			if _, err := build(c.x, c.y); err == nil || !strings.Contains(err.Error(), c.want) {
				t.Errorf("%s: %v, want %q", c.name, err, c.want)
			}
		}
	}
}
