package result

import "fathomlux/scene/colour"

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
