package optics

import (
	"fmt"

	"fathomlux/optics/model"
	"fathomlux/optics/result"
)

// SolidCells marks the cells of a plane whose middle lies inside an obstacle of the model: the plane cuts the obstacle below
// its top. What lies on top of one is lit.
func SolidCells(st *model.Model, depthM float64, g result.Grid) result.Solid {
	var solid result.Solid
	z := st.DepthM - depthM
	for _, b := range st.BoxesFrom(depthM) {
		if z < b.Min.Z || z > b.Max.Z {
			continue
		}
		for iy := range g.NY {
			if y := g.CentreY(iy); y < b.Min.Y-model.TouchM || y > b.Max.Y+model.TouchM {
				continue
			}
			for ix := range g.NX {
				if x := g.CentreX(ix); x < b.Min.X-model.TouchM || x > b.Max.X+model.TouchM {
					continue
				}
				if solid == nil {
					solid = make(result.Solid, g.Cells())
				}
				solid[iy*g.NX+ix] = true
			}
		}
	}
	return solid
}

// solidWarnings says of which planes a part is left out of all figures.
func solidWarnings(planes []result.Plane) []string {
	var list []string
	for _, p := range planes {
		if share := p.Field.Solid.Share(); share > 0 {
			list = append(list, fmt.Sprintf("obstacles fill %.2g %% of the %s: no figure counts what is inside them", 100*share, PlaceName(p.Name)))
		}
	}
	return list
}
