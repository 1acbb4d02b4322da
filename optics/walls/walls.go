// Package walls tells what a wall of the tank returns, like a mirror, of a ray that meets it above or below the water.
// It answers with shares 0 to 1 of unpolarised light. What a wall sends back diffusely belongs to the photon tracer.
// Directions are given by cosAir: the cosine, against the wall's horizontal normal, that the ray has in air, or
// had there before it came through the flat surface. Under water the cosine is cosAir/n, by Snell's law.
// Next: package stack for the way down, package direct for the images that walls make.
package walls

import (
	"math"

	"fathomlux/optics/stack"
)

// Kind tells what a wall does with light.
type Kind int

// The kinds of wall.
const (
	Glass   Kind = iota // clear plate of an index, air behind it
	Diffuse             // returns nothing like a mirror
	Mirror              // returns the same share at any angle
)

// Wall is one side of the tank.
type Wall struct {
	Kind        Kind
	Index       float64 // Glass: refractive index of the plate relative to air
	Reflectance float64 // Diffuse or Mirror, 0 to 1
}

// InAir is the share that the wall returns above the water: for glass the two faces of a clear plate,
// all reflections summed without interference, 2r/(1+r) for each polarisation.
func (w Wall) InAir(cosAir float64) float64 {
	if w.Kind != Glass {
		return w.constant()
	}
	s, p := stack.Fresnel(1, w.Index, math.Min(cosAir, 1))
	return s/(1+s) + p/(1+p)
}

// InWater is the share that the wall returns below the surface of water of waterIndex: for glass the faces
// water-glass and glass-air, r1 + (1-r1)^2 r2/(1 - r1 r2) for each polarisation. It is exactly 1 where the
// ray could not leave into the air behind, which is where waterIndex^2 - cosAir^2 >= 1, whatever the glass. Light that
// has turned under water can have a cosAir, waterIndex times its cosine there, from 1 to waterIndex.
func (w Wall) InWater(cosAir, waterIndex float64) float64 {
	if w.Kind != Glass {
		return w.constant()
	}
	cosAir = math.Min(cosAir, waterIndex)
	out2 := 1 - waterIndex*waterIndex + cosAir*cosAir // cosine in the air behind the wall, squared
	if out2 <= 0 {
		return 1
	}
	return w.belowWater(math.Sqrt(out2), cosAir/waterIndex, waterIndex)
}

// belowWater is InWater for a ray that has the cosine cosWater in the water and cosOut > 0 behind the wall.
// A face returns the same share from either side, so the outer one is taken from its air side.
func (w Wall) belowWater(cosOut, cosWater, waterIndex float64) float64 {
	s1, p1 := stack.Fresnel(waterIndex, w.Index, cosWater)
	s2, p2 := stack.Fresnel(1, w.Index, cosOut)
	return (twoFaces(s1, s2) + twoFaces(p1, p2)) / 2
}

func twoFaces(r1, r2 float64) float64 {
	if r1 >= 1 || r2 >= 1 {
		return 1
	}
	return r1 + (1-r1)*(1-r1)*r2/(1-r1*r2)
}

// constant is what walls other than glass return at any angle.
func (w Wall) constant() float64 {
	if w.Kind == Mirror {
		return w.Reflectance
	}
	return 0
}
