package trace

import (
	"math"

	"fathomlux/optics/stage"
	"fathomlux/optics/walls"
	"fathomlux/scene/space"
)

// world is a stage laid out for flights. Heights count from the floor, as in package space.
type world struct {
	lengthM, widthM, depthM float64
	rimM                    float64 // where walls end
	index                   float64 // of the water, relative to air
	sides                   [4]side
	floor                   float64 // diffuse reflectance
	cover                   cover
	acrossX, acrossY        [2]float64 // the high and the low plane across each axis
	surface                 face
	wet, dry, overCover     []space.Box // the boxes' parts under water, between water and cover or over open water, and over the cover
	asymmetry               float64
	lamps                   []lamp
	flux                    float64 // lm of all lamps that goes into their front hemispheres
	behind                  float64 // lm that leave the optics backwards
	emitted, leaving        float64
}

// side is one wall. table is nil for a diffuse one.
type side struct {
	table *walls.Table
	share float64 // diffuse reflectance
}

// cover is the pane; there is none where present is false.
type cover struct {
	present                      bool
	bottomM, topM, thickM, index float64
	face                         face
}

// lamp is one source: its lens, its colours, and its share of the flux.
type lamp struct {
	source  *stage.Source
	lens    *lens
	palette []colour
	flux    float64
}

// newWorld lays a stage out as it is seen from some planes.
func newWorld(st *stage.Stage, planes []Plane) *world {
	w := &world{lengthM: st.LengthM, widthM: st.WidthM, depthM: st.DepthM, rimM: st.DepthM + st.WallsEndM(),
		index: st.Water.Index(), floor: st.FloorReflectance, asymmetry: st.Water.Asymmetry()}
	for i, wall := range st.Walls {
		if wall.Kind == walls.Diffuse {
			w.sides[i].share = wall.Reflectance
		} else {
			w.sides[i].table = walls.NewTable(wall, w.index)
		}
	}
	if c := st.Cover; c != nil {
		bottom := st.DepthM + c.UndersideM
		w.cover = cover{present: true, bottomM: bottom, topM: bottom + c.ThicknessM, thickM: c.ThicknessM, index: c.Index}
	}
	w.place(st, planes)
	w.derive()
	w.hang(st)
	return w
}

// place sorts the boxes by their layers.
func (w *world) place(st *stage.Stage, planes []Plane) {
	depths := make([]float64, len(planes))
	for i, p := range planes {
		depths[i] = p.DepthM
	}
	for _, b := range st.BoxesFrom(depths...) {
		switch {
		case b.Max.Z <= w.depthM:
			w.wet = append(w.wet, b)
		case w.cover.present && b.Min.Z >= w.cover.topM:
			w.overCover = append(w.overCover, b)
		default:
			w.dry = append(w.dry, b)
		}
	}
}

// derive fills what follows from the measures and the indices.
func (w *world) derive() {
	w.acrossX[0], w.acrossY[0] = w.lengthM, w.widthM
	w.surface, w.cover.face = newFace(w.index), newFace(w.cover.index)
}

// hang makes the lamps.
func (w *world) hang(st *stage.Stage) {
	lenses := make([]*lens, len(st.Beams))
	palettes := make([][]colour, len(st.Spectra))
	for i := range st.Sources {
		src := &st.Sources[i]
		w.emitted, w.leaving = w.emitted+src.EmittedLm, w.leaving+src.LeavingLm
		if src.LeavingLm == 0 {
			continue
		}
		if lenses[src.Beam] == nil {
			lenses[src.Beam] = newLens(st.Beams[src.Beam])
		}
		if palettes[src.Spectrum] == nil {
			palettes[src.Spectrum] = palette(st.Spectra[src.Spectrum], st)
		}
		before := src.LeavingLm * st.Beams[src.Beam].ShareWithin(math.Pi/2) // a measured optic may send light behind the module
		w.lamps = append(w.lamps, lamp{source: src, lens: lenses[src.Beam], palette: palettes[src.Spectrum], flux: before})
		w.flux += before
		w.behind += src.LeavingLm - before
	}
}

// gap is the length of way to the far one of two planes between which a photon is, and whether that is the low (0) or the high
// one (1). Where d is 0 it is infinite or not a number, and so not below any other. The plane is looked up by the sign of d,
// as half of all branches on it would be foreseen wrongly.
func gap(at, d float64, across *[2]float64) (s float64, face stage.Side) {
	down := math.Float64bits(d) >> 63
	return (across[down] - at) / d, stage.Side(1 - down)
}

// firstBox is the length of way to the nearest box, of those that stand within s.
func firstBox(boxes []space.Box, p *photon, s float64) float64 {
	first := math.MaxFloat64
	perX, perY, perZ := 1/p.dx, 1/p.dy, 1/p.dz
	for i := range boxes {
		b := &boxes[i]
		if toX := p.x + p.dx*s; (p.x < b.Min.X && toX < b.Min.X) || (p.x > b.Max.X && toX > b.Max.X) {
			continue
		}
		in, out := 0.0, first
		in, out = between(b.Min.X, b.Max.X, p.x, perX, in, out)
		in, out = between(b.Min.Y, b.Max.Y, p.y, perY, in, out)
		in, out = between(b.Min.Z, b.Max.Z, p.z, perZ, in, out)
		if in < out {
			first = in
		}
	}
	return first
}

// between narrows a range of way to that within low and high along one axis, perM being way for each metre along it; an
// empty range has in above out.
func between(low, high, at, perM, in, out float64) (float64, float64) {
	if math.IsInf(perM, 0) {
		if at < low || at > high {
			return 1, 0
		}
		return in, out
	}
	a, b := (low-at)*perM, (high-at)*perM
	return max(in, min(a, b)), min(out, max(a, b))
}
