package operating

import (
	"encoding/binary"
	"math"

	"fathomlux/scene"
)

// Warm returns a copy of the scene in which FluxLm and PowerW of every module are those in the balance of heat; see
// Operate, whose errors it returns. Copies of it that With or Without make are cold again.
func Warm(s *scene.Scene) (*scene.Scene, error) {
	o, err := Of(s)
	if err != nil {
		return nil, err
	}
	return s.Warmed(o.Warmth()), nil
}

// Warmth returns the warmth of each module, by rail and module.
func (o *Point) Warmth() [][]scene.Warmth {
	all := make([][]scene.Warmth, len(o.Rails))
	for i, r := range o.Rails {
		all[i] = make([]scene.Warmth, len(r.Modules))
		for k, m := range r.Modules {
			all[i][k] = scene.Warmth{JunctionC: m.JunctionC, VoltageV: m.VoltageV, RelativeFlux: m.RelativeFlux}
		}
	}
	return all
}

// Key returns a text, not for people, that is equal for those copies of one scene that have the same balance of
// heat: wherever rails hang and optics point. Places count in nanometres.
func Key(s *scene.Scene) string {
	var b []byte
	number := func(v uint64) { b = binary.LittleEndian.AppendUint64(b, v) }
	word := func(text string) { b = append(append(b, text...), 0) }
	for _, r := range s.Rails {
		word(r.Profile.Name)
		number(math.Float64bits(r.LengthM))
		number(uint64(len(r.Modules)))
		for _, m := range r.Modules {
			word(m.Part.Name)
			number(math.Float64bits(m.CurrentA))
			number(math.Float64bits(m.Optic.Efficiency))
			number(uint64(int64(math.Round((m.XM - r.LeftM) * 1e9))))
			if m.Dead {
				word("dead")
			}
		}
	}
	return string(b)
}
