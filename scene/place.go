package scene

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"fathomlux/scene/document"
	"fathomlux/scene/parts"
)

// Seat is a module's place in the scene: the index of its rail, and its own on that rail, both from 0.
type Seat struct{ Rail, Module int }

// Seats returns the places of all modules, rail by rail in the order of the file. Indices over all rails follow this order;
// no word shows them.
func (s *Scene) Seats() []Seat {
	var all []Seat
	for r := range s.Rails {
		for m := range s.Rails[r].Modules {
			all = append(all, Seat{Rail: r, Module: m})
		}
	}
	return all
}

// SeatName writes a place as the command line takes it and as all words, tables and documents name it: modules are counted
// from 1 on each rail, "blue:3" where there are several rails and "3" on the only one.
func (s *Scene) SeatName(at Seat) string {
	return SeatName(len(s.Rails), s.Rails[at.Rail].Name, at.Module)
}

// SeatName names the module with an index on a rail of that name; see Scene.SeatName.
func SeatName(rails int, name string, module int) string {
	if rails == 1 {
		return strconv.Itoa(module + 1)
	}
	return fmt.Sprintf("%s:%d", name, module+1)
}

// RailWord names a rail in a sentence; one without a name of its own is called "rail 2" already.
func RailWord(name string) string {
	if strings.HasPrefix(name, "rail ") {
		return name
	}
	return "rail " + name
}

// Rail returns the rail of that name; the error names a near one, or all.
func (s *Scene) Rail(name string) (*Rail, error) {
	var names []string
	for i := range s.Rails {
		if s.Rails[i].Name == name {
			return &s.Rails[i], nil
		}
		names = append(names, s.Rails[i].Name)
	}
	return nil, errors.New(document.Unknown("rail", name, names))
}

// Warmed returns a copy of the scene with the warmth, by rail and module, that was found for it, or for a scene with an
// equal HeatKey.
func (s *Scene) Warmed(warmth [][]Warmth) *Scene {
	c := s.Copy()
	for i := range c.Rails {
		for k := range c.Rails[i].Modules {
			if m := &c.Rails[i].Modules[k]; !m.Dead {
				m.Warmth = &warmth[i][k]
			}
		}
	}
	return c
}

// Copy returns a copy of the scene without warmth. Parts and files stay shared.
func (s *Scene) Copy() *Scene {
	c := *s
	c.Rails = slices.Clone(s.Rails)
	for i := range c.Rails {
		c.Rails[i].Modules = slices.Clone(s.Rails[i].Modules)
		for k := range c.Rails[i].Modules {
			c.Rails[i].Modules[k].Warmth = nil
		}
	}
	return &c
}

// Warmth is the state of a module in the balance of heat: what Operate found.
type Warmth struct {
	JunctionC    float64
	VoltageV     float64 // of the whole module
	RelativeFlux float64 // flux over that of the part's tables
}

// SortModules puts the modules of a rail in the order of their places; it changes the rail.
func (r *Rail) SortModules() {
	slices.SortStableFunc(r.Modules, func(a, b Module) int { return cmp.Compare(a.XM, b.XM) })
}

// Mounted returns the modules of all rails as heat, circuit and drilling take them, by rail: with junctions at the parts'
// test temperature. Dead ones are as all others.
func (s *Scene) Mounted() [][]parts.Mounted {
	all := make([][]parts.Mounted, len(s.Rails))
	for i, r := range s.Rails {
		for k, m := range r.Modules {
			one := m.mounted()
			one.Name, one.Rail, one.AlongM = s.SeatName(Seat{Rail: i, Module: k}), i, m.XM-r.LeftM
			all[i] = append(all[i], one)
		}
	}
	return all
}

func (m Module) mounted() parts.Mounted {
	return parts.Mounted{Part: m.Part, CurrentA: m.CurrentA, JunctionC: m.Part.ReferenceC, OpticLoss: 1 - m.Optic.Efficiency}
}
