// Package colour says what light looks like: tristimulus values, chromaticity, colour temperature, colour rendering,
// and what a screen shows of it. Light comes as a photometry.Spectrum or as tristimulus values, on any scale.
// It knows no scene and no picture; how an eye adapts is a matrix here, and whose white it adapts to is the caller's.
// Next: package photometry for spectra, package style for the colours of pictures.
package colour

import (
	_ "embed"
	"iter"
	"math"
	"sync"

	"gonum.org/v1/gonum/floats"

	"fathomlux/scene/curve"
	"fathomlux/scene/photometry"
)

//go:embed data/colorimetry.csv
var colorimetryCSV string

// samples is the number of test colour samples, usualSamples that of those of which Ra is the mean.
const (
	samples      = 14
	usualSamples = 8
)

// Rows of the tables, nm.
const (
	firstNm, stepNm = 380.0, 5.0
	rows            = 81
)

// tables are those of colorimetry.csv by row; their sources stand in its head.
type tables struct {
	observer [3][]float64 // x, y, z
	daylight [3][]float64
	samples  [samples][]float64
}

var published = sync.OnceValue(func() *tables {
	all := curve.MustParseTable(colorimetryCSV)
	column := func(name string) []float64 {
		_, values := all.MustCurve("wavelength_nm", name).Points()
		return values
	}
	t := &tables{}
	for i, name := range []string{"x_bar", "y_bar", "z_bar"} {
		t.observer[i] = column(name)
	}
	for i, name := range []string{"S0", "S1", "S2"} {
		t.daylight[i] = column(name)
	}
	for i, name := range []string{"T1", "T2", "T3", "T4", "T5", "T6", "T7", "T8", "T9", "T10", "T11", "T12",
		"T13", "T14"} {
		t.samples[i] = column(name)
	}
	return t
})

// Light is the power of some light at each row of the tables, between which it runs straight; nil is dark.
type Light []float64

// LightOf returns a spectrum's light with Y of 1; a dark one stays dark.
func LightOf(s photometry.Spectrum) Light {
	l := make(Light, rows)
	for nm, watts := range s.Powers() {
		at := min(max((nm-firstNm)/stepNm, 0), rows-1)
		i := min(int(at), rows-2)
		l[i] += watts * (1 - (at - float64(i)))
		l[i+1] += watts * (at - float64(i))
	}
	if y := l.Tristimulus().Y; y > 0 {
		floats.Scale(1/y, l)
	}
	return l
}

// Plus returns the mix of some light with y times another.
func (l Light) Plus(o Light, y float64) Light {
	mix := make(Light, rows)
	copy(mix, l)
	return floats.AddScaledTo(mix, mix, y, o)
}

// Irradiance yields the wavelengths of the rows in nm and the spectral irradiance of a light whose Y is an illuminance
// in lx, W/m2/nm: 683 lm/W times its sum with y over steps of 5 nm gives the lux. Source: CIE 015:2018, 7.
func (l Light) Irradiance() iter.Seq2[float64, float64] {
	return func(yield func(nm, wattsPerNm float64) bool) {
		for i, power := range l {
			if !yield(firstNm+stepNm*float64(i), power/(photometry.Efficacy*stepNm)) {
				return
			}
		}
	}
}

// Tristimulus returns the values of the light.
func (l Light) Tristimulus() Tristimulus { return sum(l, nil) }

// Tristimulus are the values X, Y and Z of the CIE 1931 2 degree observer, on one common scale; Y is proportional to
// luminous flux. They add up when lights are mixed.
type Tristimulus struct{ X, Y, Z float64 }

// Of returns the tristimulus values of a spectrum with Y of 1, all 0 for a dark one. Source: CIE 015:2018, 7.
func Of(s photometry.Spectrum) Tristimulus { return LightOf(s).Tristimulus() }

// sum are the values of a power by row, times a factor by row where there is one.
func sum(power Light, factor []float64) (t Tristimulus) {
	o := &published().observer
	for i, p := range power {
		if factor != nil {
			p *= factor[i]
		}
		t.X += p * o[0][i]
		t.Y += p * o[1][i]
		t.Z += p * o[2][i]
	}
	return t
}

// Times returns the same colour with another Y.
func (t Tristimulus) Times(y float64) Tristimulus {
	if t.Y == 0 {
		return Tristimulus{}
	}
	return Tristimulus{t.X / t.Y * y, y, t.Z / t.Y * y}
}

// Plus returns the mix of two lights.
func (t Tristimulus) Plus(o Tristimulus) Tristimulus {
	return Tristimulus{t.X + o.X, t.Y + o.Y, t.Z + o.Z}
}

// Chromaticity returns CIE 1931 x and y, 0 for no light.
func (t Tristimulus) Chromaticity() (x, y float64) {
	all := t.X + t.Y + t.Z
	if all == 0 {
		return 0, 0
	}
	return t.X / all, t.Y / all
}

// UCS returns CIE 1976 u' and v', 0 for no light. Source: CIE 015:2018, 8.1.
func (t Tristimulus) UCS() (u, v float64) {
	all := t.X + 15*t.Y + 3*t.Z
	if all == 0 {
		return 0, 0
	}
	return 4 * t.X / all, 9 * t.Y / all
}

// stepUCS is the size of one step in u' and v'. Source: CIE TN 001:2014.
const stepUCS = 0.0011

// Steps returns how far two colours are apart in steps: about 3 are hard to see side by side, 5 to 7 are seen by most
// (common practice, no published source).
func Steps(a, b Tristimulus) float64 {
	ua, va := a.UCS()
	ub, vb := b.UCS()
	return math.Hypot(ua-ub, va-vb) / stepUCS
}

// D65 is the white of screens, Y of 1. Source: IEC 61966-2-1:1999, from x 0.3127, y 0.3290.
var D65 = Tristimulus{X: 0.3127 / 0.3290, Y: 1, Z: (1 - 0.3127 - 0.3290) / 0.3290}

type matrix [3][3]float64

func (m *matrix) times(v [3]float64) (out [3]float64) {
	for i, row := range m {
		out[i] = float64(row[0]*v[0]) + float64(row[1]*v[1]) + float64(row[2]*v[2])
	}
	return out
}

// bradford turns X, Y, Z into responses of cones, and back. Source: ICC.1:2010, annex E.
var (
	bradford = matrix{{0.8951, 0.2664, -0.1614}, {-0.7502, 1.7135, 0.0367}, {0.0389, -0.0685, 1.0296}}
	fromCone = matrix{{0.9869929, -0.1470543, 0.1599627}, {0.4323053, 0.5183603, 0.0492912},
		{-0.0085287, 0.0400428, 0.9684867}}
)

// Adapted returns light as it looks to an eye that has adapted from one white to another.
func (t Tristimulus) Adapted(from, to Tristimulus) Tristimulus {
	cone := bradford.times([3]float64{t.X, t.Y, t.Z})
	a, b := bradford.times([3]float64{from.X, from.Y, from.Z}), bradford.times([3]float64{to.X, to.Y, to.Z})
	for i := range cone {
		cone[i] *= b[i] / a[i] * from.Y / to.Y
	}
	v := fromCone.times(cone)
	return Tristimulus{v[0], v[1], v[2]}
}

// Adapting is how far an eye adapts to the light in a dim room, 0 to 1, whose field of view has a mean luminance,
// cd/m2; the rest of the light's tint is seen. Source: CIE 159:2004, the degree of adaptation of CIECAM02, with its
// factor of 0.9 for a dim surround; not checked against the print.
func Adapting(meanCd float64) float64 { return 0.9 * (1 - math.Exp(-(meanCd+42)/92)/3.6) }

// AdaptedPartly returns light of the same luminance with the colour that it has for an eye that has adapted by a
// degree, 0 to 1, from one white to another. Light for which a cone would respond below 0, as deep blue does by the
// matrix, makes no response there.
func (t Tristimulus) AdaptedPartly(from, to Tristimulus, degree float64) Tristimulus {
	cone := bradford.times([3]float64{t.X, t.Y, t.Z})
	a, b := bradford.times([3]float64{from.X, from.Y, from.Z}), bradford.times([3]float64{to.X, to.Y, to.Z})
	for i := range cone {
		cone[i] = max(cone[i], 0) * (degree*b[i]/a[i]*from.Y/to.Y + 1 - degree)
	}
	v := fromCone.times(cone)
	return Tristimulus{v[0], v[1], v[2]}.Times(t.Y)
}

// toLinear turns X, Y, Z into linear sRGB. Source: IEC 61966-2-1:1999.
var toLinear = matrix{{3.2406, -1.5372, -0.4986}, {-0.9689, 1.8758, 0.0415}, {0.0557, -0.2040, 1.0570}}

// beyond is what rounding of the matrix may do to a colour within the gamut.
const beyond = 2e-3

// Screen returns the sRGB values, 0 to 1, of light whose white has Y of 1. Light as bright or brighter is white; a
// colour that the screen has not is moved towards grey of the same Y until it fits, which outside tells.
func (t Tristimulus) Screen() (rgb [3]float64, outside bool) {
	if t.Y >= 1 {
		return [3]float64{1, 1, 1}, false
	}
	linear := toLinear.times([3]float64{t.X, t.Y, t.Z})
	grey, keep := t.Y, 1.0
	for _, v := range linear {
		outside = outside || v < -beyond*grey || v > 1+beyond
		switch {
		case v < 0:
			keep = min(keep, grey/(grey-v))
		case v > 1:
			keep = min(keep, (1-grey)/(v-grey))
		}
	}
	for i, v := range linear {
		rgb[i] = encoded(min(max(grey+keep*(v-grey), 0), 1))
	}
	return rgb, outside
}

// encoded is the curve of sRGB. Source: IEC 61966-2-1:1999.
func encoded(linear float64) float64 {
	if linear <= 0.0031308 {
		return 12.92 * linear
	}
	return 1.055*math.Pow(linear, 1/2.4) - 0.055
}
