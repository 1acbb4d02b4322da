package optics

import (
	"fathomlux/optics/result"
	"fathomlux/scene"
)

// kinds sums the modules' fields of a plane by spectrum, in the order in which the spectra first occur in the scene.
func kinds(sc *scene.Scene, p result.Plane) []result.Kind {
	index := map[string]int{}
	var list []result.Kind
	for i, rm := range Modules(sc) {
		name := rm.Module.Part.Spectrum
		at, ok := index[name]
		if !ok {
			at = len(list)
			index[name] = at
			n := p.Field.Grid.Cells()
			list = append(list, result.Kind{Name: name, Share: make([]float64, n),
				Field: result.Field{Grid: p.Field.Grid, Solid: p.Field.Solid, Illuminance: make([]float64, n), PPFD: make([]float64, n)}})
		}
		list[at].Modules++
		AddRow(list[at].Field.Illuminance, p.Modules[i].Illuminance, 1)
		AddRow(list[at].Field.PPFD, p.Modules[i].PPFD, 1)
	}
	for k := range list {
		one := &list[k]
		for i, all := range p.Field.PPFD {
			if all > 0 {
				one.Share[i] = min(1, one.Field.PPFD[i]/all)
			}
		}
		one.Illuminance, one.PPFD = result.Summarise(p.Field.Solid.Open(one.Field.Illuminance), 0), result.Summarise(p.Field.Solid.Open(one.Field.PPFD), 0)
		one.Shares = result.Summarise(p.Field.Solid.Open(one.Share), 0)
	}
	return list
}
