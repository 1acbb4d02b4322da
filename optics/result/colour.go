package result

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
	Plane            string
	Blue, Green, Red float64 // shares of its photons: 400 to 500, 500 to 600 and 600 to 700 nm

	// The place whose colour is farthest from the mean, and how far, in steps of 0.0011 in u' and v'.
	StepsMost, MostXM, MostYM float64
}
