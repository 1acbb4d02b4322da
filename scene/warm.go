package scene

import (
	"encoding/binary"
	"math"
)

// Warmth is the state of a module in the balance of heat: what Operate found.
type Warmth struct {
	JunctionC    float64
	VoltageV     float64 // of the whole module
	RelativeFlux float64 // flux over that of the part's tables
}

// Warm returns a copy of the scene in which FluxLm and PowerW of every module are those in the balance of heat; see
// Operate, whose errors it returns. Copies of it that With or Without make are cold again.
func (s *Scene) Warm() (*Scene, error) {
	o, err := s.Operate()
	if err != nil {
		return nil, err
	}
	return s.Warmed(o.Warmth()), nil
}

// Warmth returns the warmth of each module, by rail and module.
func (o *Operating) Warmth() [][]Warmth {
	all := make([][]Warmth, len(o.Rails))
	for i, r := range o.Rails {
		all[i] = make([]Warmth, len(r.Modules))
		for k, m := range r.Modules {
			all[i][k] = Warmth{JunctionC: m.JunctionC, VoltageV: m.VoltageV, RelativeFlux: m.RelativeFlux}
		}
	}
	return all
}

// Warmed returns a copy of the scene with the warmth, by rail and module, that was found for it, or for a scene with an
// equal HeatKey.
func (s *Scene) Warmed(warmth [][]Warmth) *Scene {
	c := s.bare()
	for i := range c.Rails {
		for k := range c.Rails[i].Modules {
			if m := &c.Rails[i].Modules[k]; !m.Dead {
				m.Warmth = &warmth[i][k]
			}
		}
	}
	return c
}

// bare returns a copy of the scene without warmth. Parts and files stay shared.
func (s *Scene) bare() *Scene {
	c := *s
	c.Rails = append([]Rail(nil), s.Rails...)
	for i := range c.Rails {
		c.Rails[i].Modules = append([]Module(nil), s.Rails[i].Modules...)
		for k := range c.Rails[i].Modules {
			c.Rails[i].Modules[k].Warmth = nil
		}
	}
	return &c
}

// HeatKey returns a text, not for people, that is equal for those copies of one scene that have the same balance of
// heat: wherever rails hang and optics point. Places count in nanometres.
func (s *Scene) HeatKey() string {
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
