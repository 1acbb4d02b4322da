package scene

import (
	"fathomlux/scene/key"
)

// Tolerance is how far what is built may be off what the scene says, to each side.
type Tolerance struct {
	FluxShare      float64 // of each module by itself: the half width of a flux bin, 0 to 1
	BeamShare      float64 // of all beam angles of one optic together, 0 to 1
	PositionM      float64 // of each module along its rail, after drilling
	HeightM        float64 // of each rail
	AbsorptionPerM float64 // extra absorption of the water, 1/m
	Given          bool    // whether the file names any
}

// UsualTolerance is what holds where a scene names none. Common practice, no published source.
func UsualTolerance() Tolerance {
	return Tolerance{FluxShare: 0.05, BeamShare: 0.05, PositionM: 0.001, HeightM: 0.002, AbsorptionPerM: 0.05}
}

// readTolerance reads the tolerances; each that is not given is the usual one.
func readTolerance(f key.Fields) Tolerance {
	t := UsualTolerance()
	t.Given = f.At().Exists()
	t.FluxShare, t.BeamShare = f.Value("flux", t.FluxShare), f.Value("beam", t.BeamShare)
	t.PositionM, t.HeightM = f.Value("position", t.PositionM), f.Value("height", t.HeightM)
	t.AbsorptionPerM = f.Value("absorption", t.AbsorptionPerM)
	return t
}
