// Package model is the optical model of a lit tank, which both engines read: sources, flat layers, the faces of the
// tank, obstacles and water, all in SI units and in the tank's axes (package space). It knows no file, no part by
// name and no picture, and computes nothing but what both engines must see the same: which faces touch, and what a
// straight way meets first.
// Next: package direct for the engine that reads it, package optics for how it is made of a scene.
package model

import (
	"fathomlux/optics/beam"
	"fathomlux/optics/water"
	"fathomlux/scene/form"
	"fathomlux/scene/photometry"
	"fathomlux/scene/space"
)

// Model is a tank with its light. Heights in the air are given above the water surface.
type Model struct {
	Faces    []Face  // of the tank's inside, see Tank and Upright
	DepthM   float64 // of the water
	Cover    *Cover  // nil for an open tank
	Hood     *Hood   // nil where none reflects
	Water    water.Body
	Boxes    []space.Box  // opaque boxes in the tank's axes
	Ground   *form.Ground // nil where it is level, at height 0
	Solids   []Solid      // things of any form
	Leaves   []Leaves     // under water
	Floating Floating
	Slope    float64 // standard deviation of the surface's slope along x as along y, 0 for still water
	Spectra  []photometry.Spectrum
	Beams    []*beam.Beam
	Sources  []Source
}

// Cover is a pane between the sources and the water. AbsorbPerM is its absorption, 1/m base e, against wavelength in
// nm. A hollow sheet is two panes of half the thickness each. Scatter is the share of the light through the pane that
// is thrown aside by an angle of the mean cosine Asymmetry, though still through it; straight light is what is left.
type Cover struct {
	UndersideM, ThicknessM, Index float64
	AbsorbPerM                    func(nm float64) float64
	Hollow                        bool
	Scatter, Asymmetry            float64
}

// Hood is a box over the tank, open below, whose inside reflects diffusely, 0 to 1. Its lower edge lies on the rim or
// the cover or above both, and in plan it is at least as large as the tank, so that it hides none of the straight
// light.
type Hood struct {
	space.Box
	Reflectance float64
}

// Source is one die with its optic, as a point. Beam and Spectrum are indices into the model's lists; Module numbers
// the board it sits on. Position.Z counts from the floor, as all of space does.
type Source struct {
	Module         int
	Position       space.Point
	Frame          space.Frame
	Beam, Spectrum int
	EmittedLm      float64 // by the die
	LeavingLm      float64 // after the optic
}

// Modules returns one more than the highest module number of the sources.
func (m *Model) Modules() int {
	n := 0
	for _, src := range m.Sources {
		n = max(n, src.Module+1)
	}
	return n
}

// HeightM returns the height of a source above the water surface.
func (m *Model) HeightM(src Source) float64 { return src.Position.Z - m.DepthM }
