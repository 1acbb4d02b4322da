package optics

import (
	"cmp"
	"math"

	"fathomlux/optics/model"
	"fathomlux/optics/result"
	"fathomlux/scene"
	"fathomlux/scene/colour"
	"fathomlux/scene/finding"
	"fathomlux/scene/photometry"
)

// colourSteps is how far along the Planckian locus a light may be from the temperature that a goal asks for. Most people
// see 5 to 7 steps (common practice, no published source).
const colourSteps = 5

// colourHeld are the colour of a part's light and its evenness, each against what is asked of it.
func colourHeld(g scene.Goal, c result.PartColour) (list []result.Miss) {
	held := func(steps, most float64) finding.Held {
		return finding.Held{Found: steps, Asked: most, Unit: "steps", Most: true}
	}
	if g.ColourK > 0 {
		steps, k := stepsFrom(c.Mean, g.ColourK)
		list = append(list, result.Miss{What: result.MeanColour, Held: held(steps, colourSteps), OfK: math.Round(k), FromK: g.ColourK})
	}
	if g.StepsAtMost > 0 {
		list = append(list, result.Miss{What: result.EvenColour, Held: held(c.StepsMost, g.StepsAtMost)})
	}
	return list
}

// stepsFrom is how far a light is from a colour temperature along the Planckian locus, in steps, and its own
// temperature; where it has none, 0 and how far it is from the locus there, which is always too far.
func stepsFrom(light colour.Tristimulus, asked float64) (steps, k float64) {
	target := colour.Planckian(asked)
	if k, _, ok := light.Temperature(); ok {
		return colour.Steps(colour.Planckian(k), target), k
	}
	return max(2*colourSteps, colour.Steps(light, target)), 0
}

// ColourMargin is by which share light of one spectrum alone keeps the colour that a part of a scene's goal asks for, 1
// where it just does or none is asked for; more counts no more. k is the light's own colour temperature, K, where one
// is asked for and it has one, else 0.
func ColourMargin(sc *scene.Scene, part scene.Goal, spectrum photometry.Spectrum) (share, k float64) {
	if part.ColourK == 0 {
		return 1, 0
	}
	arrived := arriving(spectrum, emptyModel(sc), part.Plane.DepthM, 0, 0)
	steps, k := stepsFrom(colour.Of(arrived), part.ColourK)
	return min(1, colourSteps/max(steps, 1e-9)), k
}

// partColour is the colour of light over the open cells of a grid.
func partColour(tints []result.Tint, g result.Grid, solid result.Solid) (c result.PartColour) {
	c.Known = true
	for _, t := range tints {
		c.Mean = c.Mean.Plus(t.Hue.Times(meanOpen(t.Lux, solid)))
	}
	if len(tints) < 2 || c.Mean.Y == 0 {
		return c
	}
	for i := range tints[0].Lux {
		if solid.Closed(i) {
			continue
		}
		if away := stepsAt(tints, i, c.Mean); away > c.StepsMost {
			c.StepsMost, c.Farthest = away, result.Spot{XM: g.CentreX(i % g.NX), YM: g.CentreY(i / g.NX)}
		}
	}
	return c
}

func meanOpen(values []float64, solid result.Solid) (mean float64) {
	all := 0.0
	for i, v := range values {
		open := solid.Open(i)
		mean, all = mean+float64(v*open), all+open
	}
	return mean / max(all, math.SmallestNonzeroFloat64)
}

// stepsAt is how far the colour of a cell is from the mean, in steps; 0 where it is dark.
func stepsAt(tints []result.Tint, cell int, mean colour.Tristimulus) float64 {
	var here colour.Tristimulus
	for _, t := range tints {
		here = here.Plus(t.Hue.Times(t.Lux[cell]))
	}
	if here.Y == 0 {
		return 0
	}
	return colour.Steps(here, mean)
}

// coloured tells whether a part of a goal that speaks of a depth asks for a colour.
func coloured(g scene.Goal, depthM float64) bool {
	for _, part := range g.Parts() {
		if part.Coloured() && part.Plane.DepthM == depthM {
			return true
		}
	}
	return false
}

// takeKinds notes the light of unlike spectra on a plane: for the map where the plane is that of the goal, for the plane
// where the goal asks for a colour there.
func takeKinds(m *result.Map, sc *scene.Scene, of *model.Model, r planeRequest, p *result.Plane, fields []result.Field) {
	asked := coloured(sc.Goal, r.ref.DepthM)
	if r.kinds == 0 && !asked {
		return
	}
	list := whole(sc, p)
	if r.kinds > 0 {
		list = kinds(sc, *p, fields)
	}
	if r.kinds > 0 && r.ref.DepthM == JudgedPlane(sc).DepthM {
		m.KindsPlane, m.Kinds = p.Name, list
	}
	if asked {
		p.Tints = tints(sc, of, p, list)
		findColoured(sc, p)
	}
}

// usualSteps is how far the colour of a place is from the mean where it is told as a coloured one, unless the goal says:
// 5 to 7 steps are seen by most (common practice, no published source).
const usualSteps = 7

// findColoured finds the patches of a plane, or of the area that one part of the goal alone speaks of, whose colour is
// far from the mean.
func findColoured(sc *scene.Scene, p *result.Plane) {
	p.ColourLimit = usualSteps
	f := p.Field
	if part, alone := sc.Goal.On(p.DepthM); alone {
		f.Solid = f.Grid.Within(part.Area, f.Solid)
		p.ColourLimit = cmp.Or(part.StepsAtMost, p.ColourLimit)
	}
	mean := partColour(p.Tints, f.Grid, f.Solid).Mean
	off := make([]float64, f.Grid.Cells())
	if len(p.Tints) > 1 {
		for i := range off {
			off[i] = -stepsAt(p.Tints, i, mean)
		}
	}
	p.Coloured = result.DarkCorners(f, off, -p.ColourLimit, sc.Tank.Outline)
}

// whole is the light on a plane as that of one spectrum, none without modules.
func whole(sc *scene.Scene, p *result.Plane) []result.Kind {
	if len(sc.Seats()) == 0 {
		return nil
	}
	return []result.Kind{{Name: Modules(sc)[0].Module.Part.Spectrum, Field: p.Field, Illuminance: p.Illuminance,
		PPFD: p.PPFD}}
}

// tints are the light of kinds on a plane.
func tints(sc *scene.Scene, m *model.Model, p *result.Plane, kinds []result.Kind) (list []result.Tint) {
	mix := mixture{model: m, depthM: p.DepthM}
	for _, k := range kinds {
		if !mix.add(sc, k.Name, k.Illuminance.Mean, k.PPFD.Mean) {
			return nil
		}
		list = append(list, result.Tint{Spectrum: k.Name, Lux: k.Field.Illuminance, Hue: mix.hues[len(mix.hues)-1]})
	}
	if list == nil {
		list = []result.Tint{}
	}
	return list
}

// mixed finds how far the light of one spectrum has to be dimmed for the colour that a part of a goal asks for, where
// that serves: of the spectra that it does for, that which leaves most light.
func mixed(part scene.Goal, tints []result.Tint, mean []float64) (spectrum string, level float64) {
	most := 0.0
	for dimmed := range tints {
		at := func(level float64) (k, lux float64) {
			var all colour.Tristimulus
			for i, t := range tints {
				share := 1.0
				if i == dimmed {
					share = level
				}
				all = all.Plus(t.Hue.Times(share * mean[i]))
			}
			k, _, ok := all.Temperature()
			if !ok {
				return 0, all.Y
			}
			return k, all.Y
		}
		found, ok := levelFor(part.ColourK, func(level float64) float64 { k, _ := at(level); return k })
		if _, lux := at(found); ok && lux > most {
			spectrum, level, most = tints[dimmed].Spectrum, found, lux
		}
	}
	return spectrum, level
}

// levelSteps is how finely levels are looked through for one from which the temperature passes what is asked.
const levelSteps = 50

// levelFor finds the highest level from 0 to 1 at which a light has a temperature, by the temperature at a level, 0 for
// none.
func levelFor(asked float64, kelvin func(level float64) float64) (level float64, ok bool) {
	for i := levelSteps; i > 0; i-- {
		low, high := float64(i-1)/levelSteps, float64(i)/levelSteps
		a, b := kelvin(low), kelvin(high)
		if a == 0 || b == 0 || (a-asked)*(b-asked) > 0 {
			continue
		}
		for range 30 {
			if middle := (low + high) / 2; (kelvin(middle)-asked)*(a-asked) > 0 {
				low = middle
			} else {
				high = middle
			}
		}
		return (low + high) / 2, true
	}
	return 0, false
}

// mixNotes say which mix of the spectra would have the colour that parts of a goal miss.
func mixNotes(sc *scene.Scene, m *result.Map) (list []finding.Finding) {
	for i, part := range sc.Goal.Parts() {
		if part.ColourK == 0 || i >= len(m.Goal.Parts) {
			continue
		}
		missed := false
		for _, miss := range m.Goal.Misses {
			missed = missed || miss.Part == i && miss.What == result.MeanColour
		}
		for k := range m.Planes {
			p := &m.Planes[k]
			if !missed || p.DepthM != part.Plane.DepthM || len(p.Tints) < 2 {
				continue
			}
			var means []float64
			for _, t := range p.Tints {
				means = append(means, meanOpen(t.Lux, p.Field.Grid.Within(part.Area, p.Field.Solid)))
			}
			if name, level := mixed(part, p.Tints, means); name != "" {
				list = append(list, finding.ColourMix.Of(finding.Text(name), finding.Percent(level), finding.Text(part.Label()),
					finding.Value{V: part.ColourK, Unit: "K"}))
			}
		}
	}
	return list
}
