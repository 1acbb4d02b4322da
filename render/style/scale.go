// Package style is the common look of every picture: colours and pens, fonts, round scales, and a canvas in points
// that stays sharp at any pixel factor and is written as PNG, SVG or PDF. Coordinates are points from the page's
// upper left corner, x to the right and y down; a point is a pixel at factor 1. It knows no tank and no light. Next:
// package fig for the pieces that pictures are made of.
package style

import (
	_ "embed"
	"fmt"
	"image/color"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"

	"fathomlux/scene/unit"
)

// Scale is the range of values that the colours span, with round ticks inside it, in the field's unit.
// The zero Scale is empty: pictures then make their own.
type Scale struct {
	Low, High float64
	Ticks     []float64
	Log       bool // whether the same factor takes the same room everywhere
}

// Share returns where v lies on the scale: 0 at Low, 1 at High. It may lie beyond, and is NaN for NaN.
func (s Scale) Share(v float64) float64 {
	if s.Log {
		return math.Log(max(v, math.SmallestNonzeroFloat64)/s.Low) / math.Log(s.High/s.Low)
	}
	return (v - s.Low) / (s.High - s.Low)
}

// NewLogScale returns a logarithmic scale over so many decades that ends at the next of 1, 2 or 5 times a power of ten
// at or above high, with ticks at all of those.
func NewLogScale(high float64, decades int) Scale {
	high = RoundStep(high / 0.9) // a round number that high does not pass
	s := Scale{Low: high / math.Pow(10, float64(decades)), High: high, Log: true}
	for power := math.Floor(math.Log10(s.Low)); power <= math.Log10(high)+1e-9; power++ {
		for _, m := range []float64{1, 2, 5} {
			if v := rounded(m*math.Pow(10, power), 3); v >= s.Low*(1-1e-9) && v <= high*(1+1e-9) {
				s.Ticks = append(s.Ticks, v)
			}
		}
	}
	return s
}

// NewScale returns a scale from low to high with about five round ticks. High is raised to a fifth of a tick step,
// so that the scale ends roundly; low is lowered likewise. Where high is not above low it is taken as low + 1.
func NewScale(low, high float64) Scale {
	if !(high > low) || math.IsInf(high-low, 0) {
		if math.IsNaN(low) || math.IsInf(low, 0) {
			low = 0
		}
		high = low + math.Max(1, math.Abs(low)*1e-6)
	}
	step := RoundStep((high - low) / 5)
	fine := step / 5
	low, high = rounded(math.Floor(low/fine+1e-9)*fine, 12), rounded(math.Ceil(high/fine-1e-9)*fine, 12)
	return Scale{Low: low, High: high, Ticks: Levels(low, high, step)}
}

// ScaleFor returns one scale from zero to the highest finite value of all fields, for pictures that are compared.
func ScaleFor(fields ...[]float64) Scale {
	low, high := 0.0, 0.0
	for _, values := range fields {
		if a, b, ok := Range(values); ok {
			low, high = math.Min(low, a), math.Max(high, b)
		}
	}
	return NewScale(low, high)
}

// A CommonScale ends where commonShare of the values lie below, if the highest is beyond spotFactor times that.
const (
	commonShare = 0.98
	spotFactor  = 1.25
)

// CommonScale returns a scale from zero for a field of whose values a few spots may be much higher than all others: it
// leaves these beyond its end.
func CommonScale(values []float64) Scale {
	sorted := slices.DeleteFunc(slices.Sorted(slices.Values(values)), func(v float64) bool { return v-v != 0 })
	if n := len(sorted); n > 0 {
		if high := sorted[int(commonShare*float64(n-1))]; high > 0 && sorted[n-1] > spotFactor*high {
			return NewScale(min(0, sorted[0]), high)
		}
	}
	return ScaleFor(values)
}

// Range returns the lowest and the highest finite value; ok is false where there is none.
func Range(values []float64) (low, high float64, ok bool) {
	low, high = math.Inf(1), math.Inf(-1)
	for _, v := range values {
		if v-v != 0 { // NaN or infinite
			continue
		}
		low, high = math.Min(low, v), math.Max(high, v)
	}
	return low, high, low <= high
}

// RoundStep returns the smallest of 1, 2 or 5 times a power of ten that is at least about x (a tenth less serves).
// x that is not positive and finite gives 1.
func RoundStep(x float64) float64 {
	if !(x > 0) || math.IsInf(x, 0) {
		return 1
	}
	power := math.Pow(10, math.Floor(math.Log10(x)))
	for _, m := range []float64{1, 2, 5} {
		if m*power >= 0.9*x {
			return m * power
		}
	}
	return 10 * power
}

// Levels returns the multiples of step from low to high, both included, without the last bits that multiplying adds:
// 3*0.1 is 0.3. At most 1000 are given.
func Levels(low, high, step float64) (levels []float64) {
	for k := math.Ceil(low/step - 1e-9); k <= high/step+1e-9 && len(levels) < 1000; k++ {
		levels = append(levels, rounded(k*step, 12))
	}
	return levels
}

// rounded returns v to so many digits that count, without a minus zero.
func rounded(v float64, digits int) float64 {
	v, _ = strconv.ParseFloat(strconv.FormatFloat(v, 'g', digits, 64), 64) // reads what was just written
	return v + 0
}

// Number writes v as a reader wants it: whole from 100 on, otherwise three digits ("2410", "31.4", "0.0520"). What is
// not finite is an en dash.
func Number(v float64) string {
	if v-v != 0 {
		return "\u2013"
	}
	size := math.Abs(v)
	switch {
	case size == 0:
		return "0"
	case size >= 1e7 || size < 1e-4:
		return strconv.FormatFloat(v, 'g', 3, 64)
	case size >= 99.95:
		return strconv.FormatFloat(v, 'f', 0, 64)
	}
	return strconv.FormatFloat(v, 'f', 2-int(math.Floor(math.Log10(size))), 64)
}

// TickText writes a round number with no more digits than it has: "0.25", "1200".
func TickText(v float64) string {
	if size := math.Abs(v); size >= 1e7 || size != 0 && size < 1e-4 {
		return strconv.FormatFloat(v, 'g', 4, 64)
	}
	return unit.Short(v, 6)
}

// TickLabel writes a multiple of step with as many decimals as step has, so that all labels of an axis are alike.
func TickLabel(v, step float64) string {
	_, decimals, _ := strings.Cut(TickText(step), ".")
	if len(decimals) == 0 || strings.ContainsAny(decimals, "e") {
		return TickText(v)
	}
	return strconv.FormatFloat(v, 'f', len(decimals), 64)
}

// FourDigits writes v with at most four digits that count, and no more than it has: 250 foot-candles are "2691" lx.
func FourDigits(v float64) string { return TickText(rounded(v, 4)) }

// Units is the system that lengths are shown in.
type Units = unit.System

// The systems of length.
const (
	Metric = unit.Metric
	US     = unit.US
)

//go:generate go test -run TestMapIsWhatTheRecipeGives -renew-map

//go:embed data/light_scale.csv
var lightCSV string

// Map turns a share of a scale into a colour: dark for little, pale for much. Its first colour stands for "no value".
type Map []color.RGBA

// light reads the lines ",#rrggbb", of which the first has a name; the embedded table is ours, and the tests read it.
var light = sync.OnceValue(func() (m Map) {
	for line := range strings.Lines(lightCSV) {
		c := color.RGBA{A: 255}
		if _, value, ok := strings.Cut(line, ",#"); ok {
			_, _ = fmt.Sscanf(value, "%02x%02x%02x", &c.R, &c.G, &c.B)
			m = append(m, c)
		}
	}
	return m
})

// Light returns the map for light: perceptually uniform (CIEDE2000), of monotone lightness, readable by
// colour-blind eyes and in grey print. Its recipe stands in the head of data/light_scale.csv.
func Light() Map { return light() }

// At returns the colour of a share of the scale: 0 is the low end, 1 the high end. Shares beyond the ends take the
// end's colour; NaN takes a grey of its own, None.
func (m Map) At(share float64) color.RGBA {
	if share != share {
		return m.None()
	}
	return m[1+int(min(max(share, 0), 1)*float64(len(m)-2)+0.5)]
}

// None returns the grey that stands for "no value".
func (m Map) None() color.RGBA { return m[0] }

// Table returns the colours from the low end to the high end.
func (m Map) Table() []color.RGBA { return m[1:] }

// The colours of everything but the light.
var (
	Paper    = color.NRGBA{R: 252, G: 252, B: 250, A: 255} // page
	Ink      = color.NRGBA{R: 28, G: 32, B: 38, A: 255}    // text
	SoftInk  = color.NRGBA{R: 96, G: 102, B: 110, A: 255}  // second text, ticks
	Rule     = color.NRGBA{R: 206, G: 208, B: 210, A: 255} // separating lines
	PaleLine = color.NRGBA{R: 255, G: 255, B: 255, A: 235} // outlines over the map
	Shade    = color.NRGBA{R: 16, G: 18, B: 28, A: 105}    // halo below PaleLine, so that it shows on pale ground too
)

// InkOn returns dark or white ink, whichever is easier to read on ground c, by its relative luminance (IEC 61966-2-1
// sRGB). Both inks contrast equally at 0.21; the limit is a little above, as white is easier to read on mid greens.
func InkOn(c color.RGBA) color.NRGBA {
	y := 0.2126*linear(c.R) + 0.7152*linear(c.G) + 0.0722*linear(c.B)
	if y > 0.26 {
		return Ink
	}
	return color.NRGBA{R: 255, G: 255, B: 255, A: 255}
}

// linear undoes the sRGB transfer curve (IEC 61966-2-1).
func linear(v uint8) float64 {
	s := float64(v) / 255
	if s <= 0.04045 {
		return s / 12.92
	}
	return math.Pow((s+0.055)/1.055, 2.4)
}

// Faded returns c with its opacity multiplied by share, 0 to 1.
func Faded(c color.NRGBA, share float64) color.NRGBA {
	c.A = uint8(float64(c.A)*math.Min(math.Max(share, 0), 1) + 0.5)
	return c
}

// series are the pens of lines that are told apart: by colour for most eyes, by dash for all eyes and in grey print.
// Every colour stands out against the page by at least 3 to 1 (WCAG 2.2, 1.4.11).
var series = []Pen{
	{Colour: color.NRGBA{R: 28, G: 58, B: 128, A: 255}},
	{Colour: color.NRGBA{R: 196, G: 92, B: 0, A: 255}, Dash: []float64{10, 4}},
	{Colour: color.NRGBA{R: 0, G: 126, B: 116, A: 255}, Dash: []float64{3, 3}},
	{Colour: color.NRGBA{R: 148, G: 36, B: 108, A: 255}, Dash: []float64{14, 4, 3, 4}},
	{Colour: color.NRGBA{R: 52, G: 132, B: 200, A: 255}},
	{Colour: color.NRGBA{R: 112, G: 108, B: 20, A: 255}, Dash: []float64{6, 3}},
	{Colour: color.NRGBA{R: 104, G: 60, B: 36, A: 255}, Dash: []float64{3, 3, 9, 3}},
	{Colour: color.NRGBA{R: 108, G: 114, B: 122, A: 255}, Dash: []float64{1.5, 2.5}},
}

// SeriesPen returns the pen of the i-th of several lines, from 0; after all colours have been used, they come with
// other dashes.
func SeriesPen(i int, widthPt float64) Pen {
	p := series[i%len(series)]
	p.Dash = series[(i+3*(i/len(series)))%len(series)].Dash
	p.Width = widthPt
	return p
}
