package lm63

import (
	"maps"
	"math"
	"slices"

	"fathomlux/scene/finding"
	"fathomlux/scene/photometry"
)

// File is one measured distribution of photometric type C over the whole circle, whatever symmetry it was written with.
type File struct {
	photometry.Distribution // factors applied
	Warnings                []finding.Finding
}

// unfold turns what was written in degrees, by the symmetry that its horizontal angles stand for, into the whole circle
// in radians.
func (f *File) unfold() {
	low, high := f.Phi[0], f.Phi[len(f.Phi)-1]
	at := map[float64][]float64{}
	for i, x := range f.Phi {
		at[x] = f.Candela[i]
		switch {
		case high == 0 || high == 360:
		case low == 90: // mirrored about the plane from 90 to 270
			at[math.Mod(540-x, 360)] = f.Candela[i]
		case high <= 180:
			at[360-x] = f.Candela[i]
			if high == 90 {
				at[180-x], at[180+x] = f.Candela[i], f.Candela[i]
			}
		}
	}
	if at[0] == nil { // what stands at 180 is mirrored there, and between two rows it is their mean
		at[0] = make([]float64, len(f.Theta))
		for v, theta := range f.Theta {
			at[0][v] = f.At(theta, 180)
		}
	}
	if high > 0 && at[360] == nil {
		at[360] = at[0]
	}
	f.Phi, f.Candela = slices.Sorted(maps.Keys(at)), nil
	for _, x := range f.Phi {
		f.Candela = append(f.Candela, at[x])
	}
	for _, angles := range [][]float64{f.Theta, f.Phi} {
		for i, deg := range angles {
			angles[i] = deg * math.Pi / 180
		}
	}
}
