package result

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"

	"fathomlux/scene/colour"
	"fathomlux/scene/finding"
)

// Quantity is which light of a field is meant. What an answer is judged, drawn and tabulated in follows from the goal
// alone, and stands in the answer's Shown.
type Quantity int

// The quantities of a field.
const (
	Illuminance Quantity = iota // lx
	PPFD                        // umol/m2/s
	Share                       // of the photons, %, given where a field has PPFD
	DailyLight                  // mol/m2/day, in the place of PPFD
)

// Name returns the quantity's name for people.
func (q Quantity) Name() string {
	return [...]string{"illuminance", "PPFD", "share of the photons", "daily light integral"}[q]
}

// Unit returns the unit that fields have it in, for people.
func (q Quantity) Unit() string { return [...]string{"lx", "µmol/m²/s", "%", "mol/m²/day"}[q] }

// Decimals returns how many decimals people read a value with: none of lx from 100 on.
func (q Quantity) Decimals(v float64) int {
	if q == Illuminance && v >= 99.95 {
		return 0
	}
	return 1
}

// Value is a light with its unit, for people.
func (q Quantity) Value(v float64) finding.Value {
	return finding.Value{V: v, Decimals: q.Decimals(v), Unit: q.Unit()}
}

// Other returns the quantity that stands beside the one shown.
func (q Quantity) Other() Quantity {
	if q == Illuminance {
		return PPFD
	}
	return Illuminance
}

// Of returns the one of two things that belongs to the quantity.
func Of[T any](q Quantity, illuminance, ppfd T) T {
	if q == Illuminance {
		return illuminance
	}
	return ppfd
}

// Drawn returns the field's values of the quantity with NaN, which is drawn grey and without lines, where an obstacle
// is and outside the tank.
func (q Quantity) Drawn(f Field) []float64 {
	values := Of(q, f.Illuminance, f.PPFD)
	if len(f.Solid) != len(values) {
		return values
	}
	values = slices.Clone(values)
	for i := range values {
		if f.Solid.Closed(i) {
			values[i] = math.NaN()
		}
	}
	return values
}

// Light returns the statistics of a quantity on the plane.
func (p *Plane) Light(q Quantity) Statistics { return Of(q, p.Illuminance, p.PPFD) }

// Light returns the statistics of a quantity of the candidate.
func (c Candidate) Light(q Quantity) Statistics { return Of(q, c.Illuminance, c.PPFD) }

// Light returns the slice's values of a quantity.
func (s *Section) Light(q Quantity) []float64 { return Of(q, s.Illuminance, s.PPFD) }

// Spread returns the values of a grid with nx cells a row for painting: cells outside of the tank take the mean of
// their neighbours inside, two cells far, so that colours go on smoothly to the tank's edge.
func Spread(values []float64, nx int, outside func(i int) bool) []float64 {
	known := slices.Clone(values)
	for i := range known {
		if outside(i) {
			known[i] = math.NaN()
		}
	}
	for range 2 {
		next := slices.Clone(known)
		for i, v := range known {
			if v == v || !outside(i) {
				continue
			}
			if near := around(known, i, nx); len(near) > 0 {
				next[i] = floats.Sum(near) / float64(len(near))
			}
		}
		known = next
	}
	return known
}

// around are the values of the up to eight cells around one that have any.
func around(values []float64, i, nx int) (near []float64) {
	for dy := -1; dy <= 1; dy++ {
		for dx := -1; dx <= 1; dx++ {
			x, at := i%nx+dx, i+dy*nx+dx
			if x < 0 || x >= nx || at < 0 || at >= len(values) {
				continue
			}
			if v := values[at]; v-v == 0 {
				near = append(near, v)
			}
		}
	}
	return near
}

// Colour is what some light looks like.
type Colour struct {
	X, Y      float64 // CIE 1931 chromaticity
	CCTK, Duv float64 // correlated colour temperature and the distance from the Planckian locus
	Temperate bool    // whether it has such a temperature
	Ra, R9    float64 // colour rendering after CIE 13.3
	White     bool    // whether colour rendering means anything
}

// PlaneColour is the colour of the light on a plane, in the mean, and how it differs from place to place.
type PlaneColour struct {
	Colour
	Bands
	Plane string

	// The place whose colour is farthest from the mean, and how far, in steps of 0.0011 in u' and v'.
	StepsMost, MostXM, MostYM float64
}

// Bands are the shares of photons from 400 to 500, 500 to 600 and 600 to 700 nm.
type Bands struct{ Blue, Green, Red float64 }

// PlaceLight is the light at one place in the water, as it comes down through a level plane there.
type PlaceLight struct {
	Name           string
	XM, YM, DepthM float64
	Lux, PPFD      float64
	FarRed         float64 // photons from 700 to 750 nm, umol/m2/s
	Colour         Colour
	Bands          Bands
	Nm             []float64
	Power, Photons []float64 // by Nm, W/m2/nm and umol/m2/s/nm
}

// Tint is the light of one spectrum on a plane, by cell, and its colour there with Y of 1.
type Tint struct {
	Spectrum string
	Lux      []float64
	Hue      colour.Tristimulus
}
