package trace

import (
	"math"
	"slices"

	"fathomlux/optics/model"
)

// turn is a way to lay a tank that is its own mirror image onto itself: where patches and cells of soft screens go. Of
// patches that go onto each other light is traced from the first alone, with the photons of all.
type turn struct{ patches, cells []int }

// findTurns lists the turns of a tank; the first leaves all where it is.
func (t *Transfer) findTurns() {
	x, y := t.model.Mirrors()
	for _, flips := range [][2]bool{{}, {true, false}, {false, true}, {true, true}} {
		if flips[0] && !x || flips[1] && !y {
			continue
		}
		one := turn{t.patches.turned(flips), t.soft.turned(flips)}
		if one.patches != nil && one.cells != nil {
			t.turns = append(t.turns, one)
		}
	}
}

// flipped is the number of one of some nodes or cells in a row, flipped or not.
func flipped(i, n int, flip bool) int {
	if flip {
		return n - 1 - i
	}
	return i
}

// flips tells whether an axis is its own mirror image.
func (a *axis) flips() bool {
	n := len(a.edges)
	for i := range a.edges {
		if math.Abs(a.edges[i]+a.edges[n-1-i]-a.edges[n-1]) > leastGapM/2 {
			return false
		}
	}
	return true
}

// turned returns where patches go where the tank is flipped along x or y, and nil where some are not where others were.
func (p *patches) turned(flips [2]bool) []int {
	to := make([]int, len(p.list))
	for side := range p.regions {
		other, u, v := model.Side(side), flips[0], flips[1]
		if other < model.Front {
			u = flips[1]
		}
		if other != model.Ground {
			v = false
			if across := flips[other/model.Front]; across {
				other ^= 1
			}
		}
		for in := range p.regions[side] {
			from, onto := &p.regions[side][in], &p.regions[other][in]
			nu, nv := len(from.x.edges), len(from.y.edges)
			if !slices.Equal(from.x.edges, onto.x.edges) || !slices.Equal(from.y.edges, onto.y.edges) ||
				u && !from.x.flips() || v && !from.y.flips() {
				return nil
			}
			for i := range nu * nv {
				to[from.from+i] = onto.from + flipped(i/nu, nv, v)*nu + flipped(i%nu, nu, u)
			}
		}
	}
	return to
}

// turned returns where cells go where the tank is flipped along x or y, and nil where some are not where others were.
func (s *screens) turned(flips [2]bool) []int {
	to := make([]int, s.cells)
	for i := range s.list {
		m := s.list[i].mesh
		if flips[0] && !m.x.flips() || flips[1] && !m.y.flips() {
			return nil
		}
		nx, ny := m.x.cells(), m.y.cells()
		for k := range nx * ny {
			to[s.list[i].from+k] = s.list[i].from + flipped(k/nx, ny, flips[1])*nx + flipped(k%nx, nx, flips[0])
		}
	}
	return to
}

// orbit lists the patches onto which a patch goes, each once; its own number comes first where it is the first.
func (t *Transfer) orbit(j int) (list []int) {
	for _, one := range t.turns {
		if to := one.patches[j]; !slices.Contains(list, to) {
			list = append(list, to)
		}
	}
	return list
}
