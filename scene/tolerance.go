package scene

import (
	"fathomlux/scene/document"
	"fathomlux/scene/unit"
)

// Tolerance is how far what is built may be off what the scene says, to each side.
type Tolerance struct {
	FluxShare   float64 // of each module by itself: the half width of a flux bin, 0 to 1
	BeamShare   float64 // of all beam angles of one optic together, 0 to 1
	PositionM   float64 // of each module along its rail, after drilling
	HeightM     float64 // of each rail
	ClarityPerM float64 // extra absorption of the water, 1/m
	Given       bool    // whether the file names any
}

// UsualTolerance is what holds where a scene names none. Common practice, no published source.
func UsualTolerance() Tolerance {
	return Tolerance{FluxShare: 0.05, BeamShare: 0.05, PositionM: 0.001, HeightM: 0.002, ClarityPerM: 0.05}
}

// tolerance reads the tolerances; each that is not given is the usual one.
func (r *reader) tolerance(n document.Node) {
	t := UsualTolerance()
	if n.Exists() {
		t.Given = true
		f := n.Fields("flux", "beam", "position", "height", "clarity")
		for _, one := range []struct {
			key string
			to  *float64
		}{{"flux", &t.FluxShare}, {"beam", &t.BeamShare}} {
			if n := f.Get(one.key); n.Exists() {
				*one.to = n.Number(document.Range{Low: 0, High: 0.5, Percent: true})
			}
		}
		t.PositionM = quantity(f.Get("position"), unit.Length, document.Range{Low: 0, High: 0.1}, t.PositionM)
		t.HeightM = quantity(f.Get("height"), unit.Length, document.Range{Low: 0, High: 0.5}, t.HeightM)
		t.ClarityPerM = quantity(f.Get("clarity"), unit.Attenuation, document.Range{Low: 0, High: 10}, t.ClarityPerM)
	}
	r.scene.Tolerance = t
}
