package trace

import (
	"slices"

	"fathomlux/optics/model"
	"fathomlux/scene/space"
)

// spread smooths one sheet: what lands in a cell is shared evenly among the places within a square about it. Walls
// mirror the square; cells inside an obstacle take no part.
type spread struct {
	nx, ny    int
	kernX     []float64 // weights of the cell itself and of its neighbours to one side
	kernY     []float64
	open      []bool    // nil where no obstacle stands in the plane
	openShare []float64 // of the square about a cell
	row       []light   // scratch
}

// newSpread returns nil where a square of sideM is no wider than a cell, so that nothing changes.
func newSpread(s sheet, sideM float64, things model.Obstacles) *spread {
	p := &spread{nx: s.nx, ny: s.ny, kernX: kernel(sideM * s.perX), kernY: kernel(sideM * s.perY),
		row: make([]light, max(s.nx, s.ny))}
	if len(p.kernX) == 1 && len(p.kernY) == 1 {
		return nil
	}
	if things == nil {
		return p
	}
	share := make([]light, s.nx*s.ny)
	for i := range share {
		centre := space.Point{X: (float64(i%s.nx) + 0.5) / s.perX, Y: (float64(i/s.nx) + 0.5) / s.perY, Z: s.heightM}
		p.open = append(p.open, !things.Hold(centre))
		if p.open[i] {
			share[i].lux = 1
		}
	}
	if !slices.Contains(p.open, false) {
		p.open = nil
		return p
	}
	p.passes(share)
	for _, v := range share {
		p.openShare = append(p.openShare, v.lux)
	}
	return p
}

// kernel returns the weights along one axis of a square that is wide cells long, from the middle outwards.
func kernel(wide float64) []float64 {
	list := []float64{1}
	if wide <= 1 {
		return list
	}
	list[0] = 1 / wide
	for k := 1; ; k++ {
		part := min(1, wide/2-(float64(k)-0.5))
		if part <= 1e-9 {
			return list
		}
		list = append(list, part/wide)
	}
}

// smooth shares out the light of one sheet's cells in place.
func (p *spread) smooth(cells []light) {
	if p == nil {
		return
	}
	p.passes(cells)
	for i := range p.openShare {
		k := 0.0
		if p.open[i] {
			k = 1 / p.openShare[i]
		}
		cells[i].lux *= k
		cells[i].ppfd *= k
	}
}

// passes smooths along x, then along y.
func (p *spread) passes(cells []light) {
	for iy := range p.ny {
		p.line(cells[iy*p.nx:], p.nx, 1, p.kernX)
	}
	for ix := range p.nx {
		p.line(cells[ix:], p.ny, p.nx, p.kernY)
	}
}

// line smooths n cells that stand step apart. All inner weights are the same, so that a running sum does: the outermost
// neighbours alone have a weight of their own.
func (p *spread) line(cells []light, n, step int, kern []float64) {
	reach := len(kern) - 1
	if reach == 0 {
		return
	}
	row := p.row[:n]
	for i := range row {
		row[i] = cells[i*step]
	}
	inner, outer := kern[0], kern[reach]
	var sum light // of the neighbours nearer than reach
	for k := -reach + 1; k < reach; k++ {
		v := row[mirrored(k, n)]
		sum.lux, sum.ppfd = sum.lux+v.lux, sum.ppfd+v.ppfd
	}
	for i := range n {
		a, b := row[mirrored(i-reach, n)], row[mirrored(i+reach, n)]
		// rounding
		cells[i*step] = light{max(0, inner*sum.lux+outer*(a.lux+b.lux)), max(0, inner*sum.ppfd+outer*(a.ppfd+b.ppfd))}
		gone := row[mirrored(i-reach+1, n)]
		sum.lux, sum.ppfd = sum.lux+b.lux-gone.lux, sum.ppfd+b.ppfd-gone.ppfd
	}
}

// mirrored folds an index back into 0 to n-1.
func mirrored(i, n int) int {
	for i < 0 || i >= n {
		if i < 0 {
			i = -1 - i
		} else {
			i = 2*n - 1 - i
		}
	}
	return i
}

// usefulSpread is the side of the square that soft light may be spread over: a tenth of the shorter side of the plan,
// at most.
func (w *world) usefulSpread(sideM float64) float64 {
	return min(sideM, min(w.LengthM, w.WidthM)/10)
}
