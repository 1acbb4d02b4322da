package colour

import "math"

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

// Adapting is how far an eye adapts to the light in a dim room, 0 to 1, whose field of view has a mean luminance, cd/m2;
// the rest of the light's tint is seen. Source: CIE 159:2004, the degree of adaptation of CIECAM02, with its factor of 0.9
// for a dim surround; not checked against the print.
func Adapting(meanCd float64) float64 { return 0.9 * (1 - math.Exp(-(meanCd+42)/92)/3.6) }

// AdaptedPartly returns light of the same luminance with the colour that it has for an eye that has adapted by a degree, 0
// to 1, from one white to another. Light for which a cone would respond below 0, as deep blue does by the matrix, makes no
// response there.
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

// Screen returns the sRGB values, 0 to 1, of light whose white has Y of 1. Light as bright or brighter is white; a colour that
// the screen has not is moved towards grey of the same Y until it fits, which outside tells.
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
