package optics

import (
	"fathomlux/optics/model"
	"fathomlux/optics/result"
	"fathomlux/scene"
	"fathomlux/scene/finding"
	"fathomlux/scene/space"
)

// SolidCells marks the cells of a plane of a scene whose middle lies inside an obstacle.
func SolidCells(sc *scene.Scene, depthM float64, g result.Grid) result.Solid {
	return solidCells(emptyModel(sc), depthM, g)
}

// solidCells marks the cells of a plane whose middle lies inside an obstacle of the model: the plane cuts the obstacle
// below its top. What lies on top of one is lit.
func solidCells(st *model.Model, depthM float64, g result.Grid) result.Solid {
	wet, _, _ := st.Layers(depthM)
	if wet == nil {
		return nil
	}
	var solid result.Solid
	for i := range g.Cells() {
		if wet.Hold(space.Point{X: g.CentreX(i % g.NX), Y: g.CentreY(i / g.NX), Z: st.DepthM - depthM}) {
			if solid == nil {
				solid = make(result.Solid, g.Cells())
			}
			solid[i] = 1
		}
	}
	return solid
}

// solidWarnings says of which planes a part is left out of all figures.
func solidWarnings(planes []result.Plane) (list []finding.Finding) {
	for _, p := range planes {
		if share := p.Field.Solid.Share(); share > 0 {
			list = append(list, finding.ObstaclesFill.Of(finding.Percent(share), finding.Plane(p.Name)))
		}
	}
	return list
}

// kinds measures the light of each spectrum on a plane, in the order in which the spectra first occur in the scene:
// fields, or where there are none those of modules, added up.
func kinds(sc *scene.Scene, p result.Plane, fields []result.Field) []result.Kind {
	index := map[string]int{}
	var list []result.Kind
	for i, rm := range Modules(sc) {
		name := rm.Module.Part.Spectrum
		at, ok := index[name]
		if !ok {
			at = len(list)
			index[name] = at
			one := result.Kind{Name: name, Share: make([]float64, p.Field.Grid.Cells()), Field: newField(p.Field.Grid)}
			if fields != nil {
				one.Field = fields[at]
			}
			one.Field.Solid = p.Field.Solid
			list = append(list, one)
		}
		list[at].Modules++
		if fields == nil {
			list[at].Field.Add(p.Modules[i])
		}
	}
	for k := range list {
		one := &list[k]
		for i, all := range p.Field.PPFD {
			if all > 0 {
				one.Share[i] = min(1, one.Field.PPFD[i]/all)
			}
		}
		g, solid := p.Field.Grid, p.Field.Solid
		one.Illuminance = g.Summarise(one.Field.Illuminance, solid, 0)
		one.PPFD, one.Shares = g.Summarise(one.Field.PPFD, solid, 0), g.Summarise(one.Share, solid, 0)
	}
	return list
}

func newField(g result.Grid) result.Field {
	return result.Field{Grid: g, Illuminance: make([]float64, g.Cells()), PPFD: make([]float64, g.Cells())}
}
