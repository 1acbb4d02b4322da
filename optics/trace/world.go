package trace

import (
	"math"

	"fathomlux/optics/model"
	"fathomlux/optics/walls"
	"fathomlux/scene/space"
)

// world is a model laid out for flights. Heights count from the floor, as in package space.
type world struct {
	lengthM, widthM, depthM float64
	rimM                    float64 // where walls end
	index                   float64 // of the water, relative to air
	sides                   [4]side
	floor                   float64 // diffuse reflectance
	cover                   cover
	acrossX, acrossY        [2]float64 // the high and the low plane across each axis
	surface                 face
	wet, dry, overCover     boxes // the boxes' parts under water, between water and cover or over open water, and over the cover
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
	source  *model.Source
	lens    *lens
	palette []colour
	flux    float64
}

// newWorld lays a model out as it is seen from some planes.
func newWorld(st *model.Model, planes []Plane) *world {
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
func (w *world) place(st *model.Model, planes []Plane) {
	depths := make([]float64, len(planes))
	for i, p := range planes {
		depths[i] = p.DepthM
	}
	for _, b := range st.BoxesFrom(depths...) {
		switch {
		case b.Max.Z <= w.depthM:
			w.wet.add(b)
		case w.cover.present && b.Min.Z >= w.cover.topM:
			w.overCover.add(b)
		default:
			w.dry.add(b)
		}
	}
}

// derive fills what follows from the measures and the indices.
func (w *world) derive() {
	w.acrossX[0], w.acrossY[0] = w.lengthM, w.widthM
	w.surface, w.cover.face = newFace(w.index), newFace(w.cover.index)
}

// hang makes the lamps.
func (w *world) hang(st *model.Model) {
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
func gap(at, d float64, across *[2]float64) (s float64, face model.Side) {
	down := math.Float64bits(d) >> 63
	return (across[down] - at) / d, model.Side(1 - down)
}

// boxes are some boxes, the box about them all, and which of them reach into each of some columns that cut that box along x.
type boxes struct {
	list    []space.Box
	all     space.Box
	columns [boxColumns][]space.Box
}

const boxColumns = 32

func (b *boxes) add(one space.Box) {
	b.list = append(b.list, one)
	b.all = b.list[0]
	for _, o := range b.list {
		b.all.Min.X, b.all.Min.Y, b.all.Min.Z = min(b.all.Min.X, o.Min.X), min(b.all.Min.Y, o.Min.Y), min(b.all.Min.Z, o.Min.Z)
		b.all.Max.X, b.all.Max.Y, b.all.Max.Z = max(b.all.Max.X, o.Max.X), max(b.all.Max.Y, o.Max.Y), max(b.all.Max.Z, o.Max.Z)
	}
	b.columns = [boxColumns][]space.Box{}
	for _, o := range b.list {
		for c := b.column(o.Min.X); c <= b.column(o.Max.X); c++ {
			b.columns[c] = append(b.columns[c], o)
		}
	}
}

// column returns the column of an x; those beside all boxes count to the outermost.
func (b *boxes) column(x float64) int {
	at := (x - b.all.Min.X) / (b.all.Max.X - b.all.Min.X) * boxColumns
	return int(min(max(at, 0), boxColumns-1))
}

// apart tells whether a box lies wholly to one side of a way, which runs between two corners.
func apart(b *space.Box, low, high *space.Point) bool {
	return low.Z > b.Max.Z || high.Z < b.Min.Z || low.X > b.Max.X || high.X < b.Min.X || low.Y > b.Max.Y || high.Y < b.Min.Y
}

// first is the length of way to the nearest box, of those that stand within s.
func (b *boxes) first(p *photon, s float64) float64 {
	first := math.MaxFloat64
	toX, toY, toZ := p.x+p.dx*s, p.y+p.dy*s, p.z+p.dz*s
	low := space.Point{X: min(p.x, toX), Y: min(p.y, toY), Z: min(p.z, toZ)}
	high := space.Point{X: max(p.x, toX), Y: max(p.y, toY), Z: max(p.z, toZ)}
	if apart(&b.all, &low, &high) {
		return first
	}
	perX, perY, perZ := 1/p.dx, 1/p.dy, 1/p.dz
	for c, last := b.column(low.X), b.column(high.X); c <= last; c++ {
		for i := range b.columns[c] {
			one := &b.columns[c][i]
			if apart(one, &low, &high) {
				continue
			}
			in, out := 0.0, first
			in, out = between(one.Min.X, one.Max.X, p.x, perX, in, out)
			in, out = between(one.Min.Y, one.Max.Y, p.y, perY, in, out)
			in, out = between(one.Min.Z, one.Max.Z, p.z, perZ, in, out)
			if in < out {
				first = in
			}
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
