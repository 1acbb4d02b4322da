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
	rimM                    float64
	index                   float64 // of the water, relative to air
	sides                   [4]side
	floor                   float64 // diffuse reflectance
	cover                   cover
	dry, wet                []space.Box // the boxes' parts above and below the water surface
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
}

// lamp is one source: its lens, its colours, and its share of the flux.
type lamp struct {
	source  *stage.Source
	lens    *lens
	palette []colour
	flux    float64
}

func newWorld(st *stage.Stage) *world {
	w := &world{lengthM: st.LengthM, widthM: st.WidthM, depthM: st.DepthM, rimM: st.DepthM + st.RimM,
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
	for _, b := range st.Boxes {
		if wet := b.ClipZ(0, st.DepthM); !wet.Empty() {
			w.wet = append(w.wet, wet)
		}
		if dry := b.ClipZ(st.DepthM, math.Inf(1)); !dry.Empty() {
			w.dry = append(w.dry, dry)
		}
	}
	w.hang(st)
	return w
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

// gap is the length of way to the far one of two planes, 0 and high, between which a photon is.
func gap(at, d, high float64) float64 {
	if d > 0 {
		return (high - at) / d
	}
	if d < 0 {
		return -at / d
	}
	return math.MaxFloat64
}

// firstBox is the length of way to the nearest box.
func firstBox(boxes []space.Box, p *photon) float64 {
	first := math.MaxFloat64
	for i := range boxes {
		b := &boxes[i]
		in, out := 0.0, first
		in, out = between(b.Min.X, b.Max.X, p.x, p.dx, in, out)
		in, out = between(b.Min.Y, b.Max.Y, p.y, p.dy, in, out)
		in, out = between(b.Min.Z, b.Max.Z, p.z, p.dz, in, out)
		if in < out {
			first = in
		}
	}
	return first
}

// between narrows a range of way to that within low and high along one axis; an empty range has in above out.
func between(low, high, at, d, in, out float64) (float64, float64) {
	if d == 0 {
		if at < low || at > high {
			return 1, 0
		}
		return in, out
	}
	a, b := (low-at)/d, (high-at)/d
	if a > b {
		a, b = b, a
	}
	return max(in, a), min(out, b)
}
