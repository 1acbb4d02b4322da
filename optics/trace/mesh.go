package trace

import (
	"math"
	"slices"

	"fathomlux/optics/model"
	"fathomlux/scene/space"
)

// axis cuts a length into cells. Edges rise from 0 to the length.
type axis struct {
	edges   []float64
	buckets []int32 // cell in which each of some even pieces of the length begins
	perM    float64 // pieces a metre
}

// Breaks nearer to each other than leastGapM are one; of more than mostBreaks those that are nearest to others go.
const (
	leastGapM  = 1e-3
	mostBreaks = 32
	bucketM    = 2e-3
)

// gradeOfEnds is where, in parts of a cell, the outermost cells of a graded axis are cut once more: light bends most in
// corners.
const gradeOfEnds = 0.3

// newAxis cuts a length into cells of about stepM, none of which lies on both sides of a break. A graded one has
// smaller cells at its ends and at breaks.
func newAxis(lengthM, stepM float64, breaks []float64, graded bool) axis {
	a := axis{edges: []float64{0}}
	for _, b := range append(thinned(breaks, lengthM), lengthM) {
		from := a.edges[len(a.edges)-1]
		n := pieces1(b-from, stepM)
		wide := (b - from) / float64(n)
		if graded && n > 2 {
			a.edges = append(a.edges, from+gradeOfEnds*wide)
		}
		for i := 1; i < n; i++ {
			a.edges = append(a.edges, from+float64(i)*wide)
		}
		if graded && n > 2 {
			a.edges = append(a.edges, b-gradeOfEnds*wide)
		}
		a.edges = append(a.edges, b)
	}
	n := pieces1(lengthM, bucketM)
	a.perM = float64(n) / lengthM
	cell := 0
	for i := range n {
		for at := float64(i) / a.perM; a.edges[cell+1] <= at; {
			cell++
		}
		a.buckets = append(a.buckets, int32(cell))
	}
	return a
}

// thinned returns the breaks within a length, rising, without those that are too near to others or to its ends.
func thinned(breaks []float64, lengthM float64) []float64 {
	sorted := slices.Sorted(slices.Values(breaks))
	for gap := leastGapM; ; gap *= 2 {
		var list []float64
		last := 0.0
		for _, b := range sorted {
			if b-last >= gap && lengthM-b >= gap {
				list, last = append(list, b), b
			}
		}
		if len(list) <= mostBreaks {
			return list
		}
	}
}

// cells returns the number of cells.
func (a *axis) cells() int { return len(a.edges) - 1 }

// at returns the cell that holds a place; places beyond the ends count to the outermost cells.
func (a *axis) at(v float64) int {
	i := int(a.buckets[min(max(int(v*a.perM), 0), len(a.buckets)-1)])
	for i < len(a.edges)-2 && a.edges[i+1] <= v {
		i++
	}
	return i
}

// middle and wide are the centre and the width of a cell.
func (a *axis) middle(i int) float64 { return 0.5 * (a.edges[i] + a.edges[i+1]) }
func (a *axis) wide(i int) float64   { return a.edges[i+1] - a.edges[i] }

// mesh is a rectangle in cells of two axes, x first.
type mesh struct{ x, y axis }

func (m *mesh) cells() int          { return m.x.cells() * m.y.cells() }
func (m *mesh) nodes() int          { return len(m.x.edges) * len(m.y.edges) }
func (m *mesh) at(x, y float64) int { return m.y.at(y)*m.x.cells() + m.x.at(x) }

// footShare is how wide the shadow of a box on a plane through it is, in parts of its height over the plane: rays under
// water lean by up to 49 deg, most by less.
const footShare = 0.8

// cutBox is a box that a level plane cuts, and how wide its shadow is on the plane.
type cutBox struct {
	space.Box
	footM float64
}

// cutBy returns the boxes that a level plane cuts, and as breaks along x and y their sides and the ends of their
// shadows.
func cutBy(boxes []space.Box, heightM float64) (cut []cutBox, x, y []float64) {
	for _, b := range boxes {
		if b.Min.Z <= heightM && heightM <= b.Max.Z {
			foot := footShare * (b.Max.Z - heightM)
			cut = append(cut, cutBox{b, foot})
			x = append(x, b.Min.X-foot, b.Min.X, b.Max.X, b.Max.X+foot)
			y = append(y, b.Min.Y-foot, b.Min.Y, b.Max.Y, b.Max.Y+foot)
		}
	}
	return cut, x, y
}

// awayM is how far a place of the plane is from the box.
func (b *cutBox) awayM(x, y float64) float64 {
	return max(b.Min.X-x, x-b.Max.X, b.Min.Y-y, y-b.Max.Y, 0)
}

// place is where a place lies on an axis: the node before it, and the share of the way to the next.
type place struct {
	node  int
	share float64
}

func (a *axis) place(v float64) place {
	i := a.at(v)
	return place{i, min(max((v-a.edges[i])/a.wide(i), 0), 1)}
}

// read reads between the nodes of a mesh. A cell never lies on both sides of an obstacle, so neither does what is read.
func (m *mesh) read(nodes []float64, x, y place) float64 {
	row := len(m.x.edges)
	at := nodes[y.node*row+x.node:]
	low, high := at[:2], at[row:row+2]
	return (1-y.share)*((1-x.share)*low[0]+x.share*low[1]) + y.share*((1-x.share)*high[0]+x.share*high[1])
}

// patch is light on a matt face about one node of a mesh: most at the node, and falling evenly to none at the next
// nodes. All of it lies in one medium: under water, in the air below the cover, or over it.
type patch struct {
	side    model.Side
	in      uint8 // where a photon is that leaves it
	u, v    tent
	reflect float64
}

// tent is the light along one axis, from a node to both sides; at the end of a face it has one side alone.
type tent struct{ nodeM, lowM, highM float64 }

// place turns a share of the light, from its low to its high end, into a place.
func (t tent) place(share float64) float64 {
	at := share*(t.lowM+t.highM) - t.lowM
	if at < 0 {
		return t.nodeM - t.lowM*(1-math.Sqrt(max(0, 1+at/t.lowM)))
	}
	return t.nodeM + t.highM*(1-math.Sqrt(max(0, 1-at/t.highM)))
}

// region is a rectangle of a face in one medium. Its nodes are patches, from the one numbered from.
type region struct {
	mesh
	from int
	lowV float64
	u, v masses // along x and y of the mesh
}

// patches are the nodes of the matt faces of a tank, and how to find those about a place.
type patches struct {
	list    []patch
	regions [model.Ground + 1][ended]region // by face and by where a photon is that lands there
}

// newPatches cuts the matt faces of a world into rectangles of about sideM, along the sides of boxes that touch them.
func newPatches(w *world, sideM float64, boxes []space.Box) *patches {
	p := &patches{}
	for side := range p.regions {
		side := model.Side(side)
		if w.faces[side].matt[wet] == nil {
			continue
		}
		if side == model.Ground {
			p.cut(w, side, wet, [2]float64{0, w.WidthM}, sideM, boxes)
			continue
		}
		ceiling := w.rimM
		if w.cover.present {
			ceiling = min(ceiling, w.cover.bottomM)
			p.cut(w, side, above, [2]float64{w.cover.topM, w.rimM}, sideM, boxes)
		}
		p.cut(w, side, wet, [2]float64{0, w.depthM}, sideM, boxes)
		p.cut(w, side, under, [2]float64{w.depthM, ceiling}, sideM, boxes)
	}
	return p
}

// cut adds the patches of one region of a face, over a range of heights, or of y on the ground.
func (p *patches) cut(w *world, side model.Side, in uint8, v [2]float64, sideM float64, boxes []space.Box) {
	if v[1]-v[0] <= leastGapM {
		return
	}
	var breaks [2][]float64
	for _, b := range boxes {
		if low, high, touches := w.touch(side, b); touches {
			breaks[0] = append(breaks[0], low[0], high[0])
			breaks[1] = append(breaks[1], low[1]-v[0], high[1]-v[0])
		}
	}
	longM := w.LengthM
	if side < model.Front {
		longM = w.WidthM
	}
	r := region{from: len(p.list), lowV: v[0], mesh: mesh{newAxis(longM, sideM, breaks[0], true),
		newAxis(v[1]-v[0], sideM, breaks[1], true)}}
	r.u, r.v = r.x.masses(), r.y.masses()
	p.regions[side][in] = r
	for iv := range r.y.edges {
		for iu := range r.x.edges {
			p.list = append(p.list, patch{side: side, in: in, reflect: w.faces[side].matt[in].Share, u: r.x.tent(iu, 0),
				v: r.y.tent(iv, r.lowV)})
		}
	}
}

// tent returns the light about a node.
func (a *axis) tent(node int, fromM float64) tent {
	t := tent{nodeM: fromM + a.edges[node]}
	if node > 0 {
		t.lowM = a.wide(node - 1)
	}
	if node < a.cells() {
		t.highM = a.wide(node)
	}
	return t
}

// touch tells where a box touches a face, in the coordinates of onFace.
func (w *world) touch(side model.Side, b space.Box) (low, high [2]float64, touches bool) {
	const near = leastGapM
	switch side {
	case model.Left:
		return [2]float64{b.Min.Y, b.Min.Z}, [2]float64{b.Max.Y, b.Max.Z}, b.Min.X < near
	case model.Right:
		return [2]float64{b.Min.Y, b.Min.Z}, [2]float64{b.Max.Y, b.Max.Z}, b.Max.X > w.LengthM-near
	case model.Front:
		return [2]float64{b.Min.X, b.Min.Z}, [2]float64{b.Max.X, b.Max.Z}, b.Min.Y < near
	case model.Back:
		return [2]float64{b.Min.X, b.Min.Z}, [2]float64{b.Max.X, b.Max.Z}, b.Max.Y > w.WidthM-near
	}
	return [2]float64{b.Min.X, b.Min.Y}, [2]float64{b.Max.X, b.Max.Y}, b.Min.Z < near
}

// pieces1 is into how many pieces of about sideM a length is cut.
func pieces1(longM, sideM float64) int { return max(1, int(math.Round(longM/sideM))) }

// onFace returns the place on a face at level coordinate u and height v, or at x and y on the ground.
func (w *world) onFace(side model.Side, u, v float64) space.Point {
	switch side {
	case model.Left:
		return space.Point{Y: u, Z: v}
	case model.Right:
		return space.Point{X: w.LengthM, Y: u, Z: v}
	case model.Front:
		return space.Point{X: u, Z: v}
	case model.Back:
		return space.Point{X: u, Y: w.WidthM, Z: v}
	}
	return space.Point{X: u, Y: v}
}

// land shares what lands at a place among the patches about it.
func (p *patches) land(on []light, side model.Side, in uint8, at space.Point, l light) {
	r := &p.regions[side][in]
	u, v := at.X, at.Z-r.lowV
	switch {
	case side == model.Ground:
		v = at.Y
	case side < model.Front:
		u = at.Y
	}
	iu, iv := r.x.at(u), r.y.at(v)
	u = min(max((u-r.x.edges[iu])/r.x.wide(iu), 0), 1)
	v = min(max((v-r.y.edges[iv])/r.y.wide(iv), 0), 1)
	row := len(r.x.edges)
	node := on[r.from+iv*row+iu:]
	node[0].addPart(l, (1-u)*(1-v))
	node[1].addPart(l, u*(1-v))
	node[row].addPart(l, (1-u)*v)
	node[row+1].addPart(l, u*v)
}

// fit turns shares of what has landed about nodes, in place, into the light of the patches whose sum is nearest to it
// by least squares: the projection of the method of finite elements, whose matrix of masses is that of two axes.
func (p *patches) fit(on []light) {
	for side := range p.regions {
		for in := range p.regions[side] {
			if r := &p.regions[side][in]; len(r.x.edges) > 0 {
				nu, nv := len(r.x.edges), len(r.y.edges)
				for iv := range nv {
					r.u.fit(on[r.from+iv*nu:], 1)
				}
				for iu := range nu {
					r.v.fit(on[r.from+iu:], nu)
				}
			}
		}
	}
}

// masses are the equations of patches.fit along one axis, of neighbours in a row, after elimination: what of the one
// before is taken off each, what stands on the diagonal and, of the next, beside it; and the mass of each node.
type masses struct{ factor, diagonal, beside, mass []float64 }

func (a *axis) masses() (m masses) {
	for i := range a.edges {
		t := a.tent(i, 0)
		factor, diagonal := 0.0, (t.lowM+t.highM)/3
		if i > 0 {
			factor = t.lowM / 6 / m.diagonal[i-1]
			diagonal -= factor * t.lowM / 6
		}
		m.factor, m.diagonal = append(m.factor, factor), append(m.diagonal, diagonal)
		m.beside, m.mass = append(m.beside, t.highM/6), append(m.mass, (t.lowM+t.highM)/2)
	}
	return m
}

// fit is patches.fit along one axis, for values that stand step apart.
func (m *masses) fit(values []light, step int) {
	n := len(m.mass)
	for i := 1; i < n; i++ {
		values[i*step].addPart(values[(i-1)*step], -m.factor[i])
	}
	for i := n - 1; i >= 0; i-- {
		v := &values[i*step]
		if i < n-1 {
			v.addPart(values[(i+1)*step], -m.beside[i])
		}
		*v = light{v.lux / m.diagonal[i], v.ppfd / m.diagonal[i]}
	}
	for i := range n {
		v := &values[i*step]
		*v = light{m.mass[i] * v.lux, m.mass[i] * v.ppfd}
	}
}
