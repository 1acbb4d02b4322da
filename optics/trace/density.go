package trace

import (
	"context"
	"math"

	"gonum.org/v1/gonum/mat"

	"fathomlux/optics/model"
	"fathomlux/optics/parallel"
	"fathomlux/scene/form"
	"fathomlux/scene/space"
)

// density turns light that has landed in the cells of a mesh into its density at the nodes. At each node a polynomial
// of second order is fitted to the cells about it by weighted least squares, so that slopes and bends, and what lies
// at a wall, keep their value. Cells behind an obstacle take no part. Source of the method and of the weights: W. S.
// Cleveland, S. J. Devlin 1988, Journal of the American Statistical Association 83, 596-610.
type density struct {
	mesh   *mesh
	rows   [][]term      // by node
	areaM2 []float64     // by cell, 0 inside obstacles and outside the tank
	middle []space.Point // of that part of each cell
	boxes  []cutBox      // that the plane cuts
	fence  *form.Fence   // nil for an upright box
}

// term is what the light in one cell counts for the density at a node, 1/m2.
type term struct {
	cell   int32
	weight float64
}

// newDensity fits to the cells within reach of a node; boxes are those that the plane cuts.
func newDensity(m *mesh, far reach, boxes []cutBox, fence *form.Fence, filled *filling,
	workers int) *density {
	d := &density{mesh: m, rows: make([][]term, m.nodes()), areaM2: make([]float64, m.cells()),
		middle: make([]space.Point, m.cells()), boxes: boxes, fence: fence}
	for i := range d.areaM2 {
		ix, iy := i%m.x.cells(), i/m.x.cells()
		d.middle[i] = space.Point{X: m.x.middle(ix), Y: m.y.middle(iy)}
		if held(boxes, d.middle[i].X, d.middle[i].Y) {
			continue
		}
		if d.areaM2[i] = m.x.wide(ix) * m.y.wide(iy); fence != nil {
			area, mid := fence.Within(space.Area{FromXM: m.x.edges[ix], ToXM: m.x.edges[ix+1], FromYM: m.y.edges[iy],
				ToYM: m.y.edges[iy+1]})
			d.areaM2[i], d.middle[i] = area, space.Point{X: mid.XM, Y: mid.YM}
		}
		d.areaM2[i] *= filled.open(m, ix, iy)
	}
	_ = parallel.ForEach(context.Background(), workers, len(m.y.edges), func(iy int) {
		y := m.y.edges[iy]
		for ix, x := range m.x.edges {
			if !held(boxes, x, y) && (fence == nil || d.beside(ix, iy)) {
				d.rows[iy*len(m.x.edges)+ix] = d.fit(x, y, far.at(m, x, y, boxes))
			}
		}
	})
	return d
}

// filling is where ground and solids fill a plane of a model.
type filling struct {
	*model.Model
	depthM float64
}

// fill returns what fills a plane, nil where nothing does.
func (t *Transfer) fill(depthM float64) *filling {
	if m := t.model; m.Ground != nil && !m.OnGround(depthM) && m.Ground.HighestM() > m.DepthM-depthM || len(m.Solids) > 0 {
		return &filling{t.model, depthM}
	}
	return nil
}

// fillLines is at how many places along each side it is looked whether a cell is filled, and leastFree the least share of
// one that is free.
const (
	fillLines = 6
	leastFree = 0.05
)

// open is the share of a cell that is not filled.
func (f *filling) open(m *mesh, ix, iy int) float64 {
	if f == nil {
		return 1
	}
	free := 0
	for k := range fillLines * fillLines {
		x := m.x.edges[ix] + (float64(k%fillLines)+0.5)/fillLines*m.x.wide(ix)
		y := m.y.edges[iy] + (float64(k/fillLines)+0.5)/fillLines*m.y.wide(iy)
		if !f.Filled(f.Place(f.depthM, x, y)) {
			free++
		}
	}
	if share := float64(free) / (fillLines * fillLines); share > leastFree {
		return share
	}
	return 0
}

// beside tells whether any cell about a node is open.
func (d *density) beside(ix, iy int) bool {
	nx, ny := d.mesh.x.cells(), d.mesh.y.cells()
	for _, cell := range [4][2]int{{ix - 1, iy - 1}, {ix, iy - 1}, {ix - 1, iy}, {ix, iy}} {
		if x, y := cell[0], cell[1]; x >= 0 && x < nx && y >= 0 && y < ny && d.areaM2[y*nx+x] > 0 {
			return true
		}
	}
	return false
}

// reach is how far from a node cells count, away from walls and along one next to the node: farther there, for the
// cells on one side alone tell the light at a node with more noise, and it bends across a wall more than along it.
type reach struct{ usualM, wallM float64 }

// nextTo is how near to a wall a node is next to it, in parts of the usual reach.
const nextTo = 0.3

// at is the reach of a node along x and y: smaller in the shadows of boxes, where light bends most.
func (r reach) at(m *mesh, x, y float64, boxes []cutBox) [2]float64 {
	along := func(fromWallM float64) float64 {
		if fromWallM < nextTo*r.usualM {
			return r.wallM
		}
		return r.usualM
	}
	at := [2]float64{along(min(y, m.y.edges[m.y.cells()]-y)), along(min(x, m.x.edges[m.x.cells()]-x))}
	for i := range boxes {
		if away := boxes[i].awayM(x, y); away <= boxes[i].footM {
			foot := max(leastGapM, 1.5*boxes[i].footM)
			at = [2]float64{min(at[0], foot), min(at[1], foot)}
		}
	}
	return at
}

// held tells whether a place lies inside a box, not on its side.
func held(boxes []cutBox, x, y float64) bool {
	for _, b := range boxes {
		if x > b.Min.X+leastGapM/2 && x < b.Max.X-leastGapM/2 && y > b.Min.Y+leastGapM/2 && y < b.Max.Y-leastGapM/2 {
			return true
		}
	}
	return false
}

// between tells whether a box stands between two places of a plane.
func between(boxes []cutBox, ax, ay, bx, by float64) bool {
	for _, b := range boxes {
		in, out := 0.0, 1.0
		for _, c := range [2][4]float64{{ax, bx - ax, b.Min.X, b.Max.X}, {ay, by - ay, b.Min.Y, b.Max.Y}} {
			from, by, low, high := c[0], c[1], c[2]+leastGapM/4, c[3]-leastGapM/4
			switch {
			case by != 0:
				s, t := (low-from)/by, (high-from)/by
				in, out = max(in, min(s, t)), min(out, max(s, t))
			case from < low || from > high:
				out = -1
			}
		}
		if in < out {
			return true
		}
	}
	return false
}

// sample is a cell near a node: its number, its area, where its middle is as seen from the node in parts of the reach,
// and how much it counts.
type sample struct {
	cell             int32
	areaM2, x, y, by float64
}

// row is what each unknown of a polynomial counts at the middle of the cell.
func (s *sample) row() [6]float64 { return [6]float64{1, s.x, s.y, s.x * s.x, s.x * s.y, s.y * s.y} }

// fit returns the terms of one node: of the highest order of polynomial that the cells at hand determine.
func (d *density) fit(x, y float64, reach [2]float64) []term {
	m := d.mesh
	for ; ; reach = [2]float64{1.5 * reach[0], 1.5 * reach[1]} {
		near := d.near(x, y, reach)
		for _, unknowns := range []int{6, 3, 1} {
			if list := fitted(near, unknowns); list != nil {
				return list
			}
		}
		if reach[0] > 4*(m.x.edges[m.x.cells()]+m.y.edges[m.y.cells()]) {
			return nil // closed in by boxes
		}
	}
}

// near lists the open cells within a reach of a node.
func (d *density) near(x, y float64, reach [2]float64) (list []sample) {
	m := d.mesh
	for iy := m.y.at(y - reach[1]); iy <= m.y.at(y+reach[1]); iy++ {
		for ix := m.x.at(x - reach[0]); ix <= m.x.at(x+reach[0]); ix++ {
			i := iy*m.x.cells() + ix
			c, area := d.middle[i], d.areaM2[i]
			u, v := (c.X-x)/reach[0], (c.Y-y)/reach[1]
			r := math.Sqrt(u*u + v*v)
			if r >= 1 || area == 0 || d.apart(x, y, c) {
				continue
			}
			k := 1 - r*r*r
			list = append(list, sample{int32(i), area, u, v, k * k * k * area})
		}
	}
	return list
}

// apart tells whether a box or a wall stands between a node and the middle of a cell.
func (d *density) apart(x, y float64, c space.Point) bool {
	if d.fence != nil && !d.fence.Convex() {
		from, way := space.Point{X: x, Y: y}, space.Vector{X: c.X - x, Y: c.Y - y}
		if _, edge := d.fence.Next(from, way, 1, false); edge >= 0 {
			return true
		}
	}
	return between(d.boxes, x, y, c.X, c.Y)
}

// fitted returns what each cell counts for the value at the node of a polynomial with 6, 3 or 1 unknowns that is fitted
// to all of them, and nil where they do not determine it well.
func fitted(near []sample, unknowns int) []term {
	if len(near) < unknowns*3/2 {
		return nil
	}
	sums := make([]float64, unknowns*unknowns) // the upper half is read
	for _, s := range near {
		row := s.row()
		for i, a := range row[:unknowns] {
			for j := i; j < unknowns; j++ {
				sums[i*unknowns+j] += float64(s.by * a * row[j])
			}
		}
	}
	normal := mat.NewSymDense(unknowns, sums)
	var c mat.Cholesky
	if !c.Factorize(normal) || c.Cond() > mostCondition {
		return nil
	}
	first, unit := mat.NewVecDense(unknowns, nil), mat.NewVecDense(unknowns, nil)
	unit.SetVec(0, 1)
	if c.SolveVecTo(first, unit) != nil {
		return nil
	}
	list := make([]term, len(near))
	for i, s := range near {
		value, row := 0.0, s.row()
		for k, c := range first.RawVector().Data {
			value += float64(c * row[k])
		}
		list[i] = term{s.cell, s.by / s.areaM2 * value}
	}
	return list
}

// mostCondition is the condition number above which cells lie too much in one line to tell a polynomial from another.
const mostCondition = 1e4

// at returns the density at all nodes of what has landed in the cells: it may be a little below 0 in the dark, so that
// the densities of modules add up to that of all. Between the nodes it adds up to the light of the cells.
func (d *density) at(cells []float64) []float64 {
	out := make([]float64, len(d.rows))
	for i, row := range d.rows {
		v := 0.0
		for _, t := range row {
			v += t.weight * cells[t.cell]
		}
		out[i] = v
	}
	k := 0.0
	if landed, found := sum(cells), d.total(out); landed > 0 && found > 0 {
		k = landed / found
	}
	for i := range out {
		out[i] *= k
	}
	return out
}

// total adds up a density over the open cells.
func (d *density) total(nodes []float64) (sum float64) {
	nx := d.mesh.x.cells()
	for i, area := range d.areaM2 {
		at := i/nx*(nx+1) + i%nx
		sum += area / 4 * (nodes[at] + nodes[at+1] + nodes[at+nx+1] + nodes[at+nx+2])
	}
	return sum
}

func sum(list []float64) (sum float64) {
	for _, v := range list {
		sum += v
	}
	return sum
}
