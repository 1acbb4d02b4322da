package direct

import (
	"cmp"
	"math"
	"slices"

	"fathomlux/optics/model"
	"fathomlux/optics/result"
	"fathomlux/scene/space"
)

// OpenFactors are what the light of cells of which a part lies inside obstacles, or outside the tank, is multiplied with,
// to be the mean over the rest; nil where there are none. Parts are measured on some lines along each row, on one where
// no side of a box runs along it.
func OpenFactors(st *model.Model, depthM float64, g result.Grid, lines int) (list []float64) {
	cut, spans := cutBoxes(st, depthM), func(float64) []float64 { return []float64{0, math.Inf(1)} }
	if g.Points && !st.OnGround(depthM) || len(cut) == 0 && !st.Shaped() {
		return nil
	}
	if st.Shaped() {
		spans = st.Outline().Spans
	}
	list = make([]float64, g.Cells())
	within, n := make([][]float64, lines), lines // along each line of a row
	for i := range list {
		open, from := 0.0, float64(i%g.NX)*g.StepXM
		if row := float64(i/g.NX) * g.StepYM; i%g.NX == 0 && !st.Shaped() {
			if n = 1; alongRow(cut, row, row+g.StepYM) {
				n = lines
			}
		}
		for k := range n {
			y := (float64(i/g.NX) + (float64(k)+0.5)/float64(n)) * g.StepYM
			if i%g.NX == 0 {
				within[k] = spans(y)
			}
			for ends := within[k]; len(ends) > 1; ends = ends[2:] {
				if a, b := max(from, ends[0]), min(from+g.StepXM, ends[1]); a == from && b == from+g.StepXM {
					open += outside(cut, y, a, b) / float64(n)
				} else if a < b {
					open += outside(cut, y, a, b) * (b - a) / g.StepXM / float64(n)
				}
			}
		}
		list[i] = 1
		open *= Free(st, depthM, g, i)
		if open > 1e-9 {
			list[i] = 1 / open
		}
		if st.OnGround(depthM) { // what is counted is over level areas
			list[i] /= st.Ground.Stretch(cellOf(g, i))
		}
	}
	return list
}

// cellOf is the area of a cell.
func cellOf(g result.Grid, i int) space.Area {
	x, y := g.CentreX(i%g.NX), g.CentreY(i/g.NX)
	return space.Area{FromXM: x - g.StepXM/2, ToXM: x + g.StepXM/2, FromYM: y - g.StepYM/2, ToYM: y + g.StepYM/2}
}

// freeLines is at how many places along each side it is looked what fills a cell.
const freeLines = 5

// Free is the share of a cell of a plane that neither the ground nor solids of a model fill; of a point all or nothing.
func Free(m *model.Model, depthM float64, g result.Grid, i int) float64 {
	if len(m.Solids) == 0 && (m.Ground == nil || m.OnGround(depthM)) {
		return 1
	}
	lines := freeLines
	if g.Points {
		lines = 1
	}
	a, free := cellOf(g, i), 0
	for k := range lines * lines {
		u, v := (float64(k%lines)+0.5)/float64(lines), (float64(k/lines)+0.5)/float64(lines)
		if !m.Filled(m.Place(depthM, a.FromXM+u*g.StepXM, a.FromYM+v*g.StepYM)) {
			free++
		}
	}
	return float64(free) / float64(lines*lines)
}

// cutBoxes are the boxes that a plane cuts below their tops.
func cutBoxes(st *model.Model, depthM float64) (cut []space.Box) {
	for _, b := range st.BoxesFrom(depthM) {
		if z := st.DepthM - depthM; b.Min.Z <= z && z <= b.Max.Z {
			cut = append(cut, b)
		}
	}
	slices.SortFunc(cut, func(a, b space.Box) int { return cmp.Compare(a.Min.X, b.Min.X) })
	return cut
}

// outside is which share of the way along x from one place to another lies outside boxes, sorted by where they begin.
func outside(boxes []space.Box, y, fromM, toM float64) float64 {
	out, at := 0.0, fromM
	for _, b := range boxes {
		if b.Min.Y <= y && y <= b.Max.Y && b.Max.X > at && b.Min.X < toM {
			out += max(0, b.Min.X-at)
			at = min(b.Max.X, toM)
		}
	}
	return (out + max(0, toM-at)) / (toM - fromM)
}

// Scale multiplies light cell by cell.
func Scale(f result.Field, factors []float64) {
	for i, k := range factors {
		f.Illuminance[i] *= k
		f.PPFD[i] *= k
	}
}
