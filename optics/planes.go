package optics

import (
	"math"

	"fathomlux/optics/direct"
	"fathomlux/optics/model"
	"fathomlux/optics/result"
	"fathomlux/optics/trace"
	"fathomlux/scene"
	"fathomlux/scene/finding"
	"fathomlux/scene/form"
	"fathomlux/scene/space"
	"fathomlux/scene/unit"
)

// SolidCells marks the cells of a plane of a scene whose middle lies inside an obstacle.
func SolidCells(sc *scene.Scene, depthM float64, g result.Grid) result.Solid {
	return solidCells(emptyModel(sc), depthM, g)
}

// solidCells tells which share of each cell of a plane is not lit: all of one whose middle lies inside an obstacle of
// the model, as the plane cuts the obstacle below its top (what lies on top of one is lit), and what is outside the tank.
func solidCells(st *model.Model, depthM float64, g result.Grid) result.Solid {
	wet, _, _ := st.Layers(depthM)
	shaped, outline := st.Shaped(), form.Outline{}
	if shaped {
		outline = st.Outline()
	} else if wet == nil {
		return nil
	}
	solid, any := make(result.Solid, g.Cells()), false
	for i := range solid {
		at := st.Place(depthM, g.CentreX(i%g.NX), g.CentreY(i/g.NX))
		if wet != nil && wet.Hold(at) {
			solid[i] = 1
		} else if shaped {
			solid[i] = 1 - (1-outside(outline, at, g))*direct.Free(st, depthM, g, i)
		}
		any = any || solid[i] > 0
	}
	if !any {
		return nil
	}
	return solid
}

// outside is the share of a cell about a place that is outside an outline; of a point it is all or nothing.
func outside(o form.Outline, at space.Point, g result.Grid) float64 {
	if g.Points {
		if o.Holds(at) {
			return 0
		}
		return 1
	}
	inside, _ := o.Within(space.Area{FromXM: at.X - g.StepXM/2, ToXM: at.X + g.StepXM/2, FromYM: at.Y - g.StepYM/2,
		ToYM: at.Y + g.StepYM/2})
	if share := 1 - inside/(g.StepXM*g.StepYM); share > 1e-9 {
		return min(share, 1)
	}
	return 0
}

// solidWarnings says of which planes obstacles leave a part out of all figures.
func solidWarnings(t scene.Tank, planes []result.Plane) (list []finding.Finding) {
	inside := 1.0
	if !t.Outline.Empty() {
		inside = t.Outline.AreaM2() / (t.LengthM * t.WidthM)
	}
	for _, p := range planes {
		if share := 1 - (1-p.Field.Solid.Share())/inside; share > 1e-6 {
			list = append(list, finding.ObstaclesFill.Of(finding.Percent(share), finding.Plane(p.Name)))
		}
	}
	return list
}

// roomLight tells what the light of the room would add.
func roomLight(sc *scene.Scene, m *model.Model) (list []finding.Finding) {
	if all := sc.Ambient.LightLx; all > 0 {
		lux := func(v float64) finding.Amount { return finding.Amount{Of: unit.Illuminance, Value: v} }
		list = append(list, finding.RoomLight.Of(lux(all), lux(twoFigures(all*trace.RoomLight(m, usualSeed)))))
	}
	return list
}

// twoFigures rounds a number that is not negative to two significant digits.
func twoFigures(v float64) float64 {
	if v == 0 {
		return 0
	}
	scale := math.Pow(10, math.Floor(math.Log10(v))-1)
	return math.Round(v/scale) * scale
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
