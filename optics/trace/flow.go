package trace

import (
	"math"

	"fathomlux/scene/space"
)

// Lattice is the box about the water in cells, NX by NY by NZ, in which the light on its way is counted. A cell has the
// index (iz*NY + iy)*NX + ix.
type Lattice struct {
	Size       space.Vector // of the box, whose lowest corner is the origin, m
	NX, NY, NZ int
}

// Cells is how many cells there are.
func (l *Lattice) Cells() int { return l.NX * l.NY * l.NZ }

// Flow is the light in a cell of the water: its scalar illuminance, which counts light from all sides alike, and the
// vector sum of the same, both in lx. The length of the vector over the scalar is the mean cosine about its direction.
type Flow struct {
	Lux float64
	Net space.Vector
}

// add adds lumens times metres along a direction.
func (f *Flow) add(k float64, d space.Vector) {
	f.Lux += k
	f.Net.X, f.Net.Y, f.Net.Z = f.Net.X+k*d.X, f.Net.Y+k*d.Y, f.Net.Z+k*d.Z
}

// flows is the tally of light on its way: of the straight light and of the rest.
type flows struct {
	*Lattice
	per   space.Vector // cells a metre
	cells [2][]Flow
}

func newFlows(l *Lattice) *flows {
	f := &flows{Lattice: l, per: space.Vector{X: float64(l.NX) / l.Size.X, Y: float64(l.NY) / l.Size.Y,
		Z: float64(l.NZ) / l.Size.Z}}
	for i := range f.cells {
		f.cells[i] = make([]Flow, l.Cells())
	}
	return f
}

func (f *flows) clear() {
	if f != nil {
		clear(f.cells[0])
		clear(f.cells[1])
	}
}

// add adds what other flows have counted.
func (f *flows) add(o *flows) {
	if f == nil {
		return
	}
	for part := range f.cells {
		for i := range f.cells[part] {
			to, from := &f.cells[part][i], &o.cells[part][i]
			to.Lux += from.Lux
			to.Net.X, to.Net.Y, to.Net.Z = to.Net.X+from.Net.X, to.Net.Y+from.Net.Y, to.Net.Z+from.Net.Z
		}
	}
}

// fly shares a way of s metres among the cells that it passes: lumens times metres over the volume of a cell are its
// scalar illuminance. Source of the estimator by lengths of track: J. Spanier, E. M. Gelbard 1969, Monte Carlo
// Principles and Neutron Transport Problems, chapter 2.
func (f *flows) fly(p *photon, s float64) {
	cells := f.cells[p.rest]
	x, ix, stepX := f.axis(p.at.X*f.per.X, p.d.X*f.per.X, f.NX)
	y, iy, stepY := f.axis(p.at.Y*f.per.Y, p.d.Y*f.per.Y, f.NY)
	z, iz, stepZ := f.axis(p.at.Z*f.per.Z, p.d.Z*f.per.Z, f.NZ)
	perX, perY, perZ := math.Abs(1/(p.d.X*f.per.X)), math.Abs(1/(p.d.Y*f.per.Y)), math.Abs(1/(p.d.Z*f.per.Z))
	for from := 0.0; ; {
		to := min(x, y, z, s)
		weight := p.w * fade(p.colour.absorb*(p.pathM+(from+to)/2)) * (to - from)
		cells[(iz*f.NY+iy)*f.NX+ix].add(weight, p.d)
		switch from = to; {
		case to >= s:
			return
		case to == x:
			if ix += stepX; ix < 0 || ix >= f.NX {
				ix, stepX, x = ix-stepX, 0, math.MaxFloat64
				continue
			}
			x += perX
		case to == y:
			if iy += stepY; iy < 0 || iy >= f.NY {
				iy, stepY, y = iy-stepY, 0, math.MaxFloat64
				continue
			}
			y += perY
		default:
			if iz += stepZ; iz < 0 || iz >= f.NZ {
				iz, stepZ, z = iz-stepZ, 0, math.MaxFloat64
				continue
			}
			z += perZ
		}
	}
}

// axis is where along a way the next edge of a cell is, in which cell of n the way begins, and where it goes.
func (f *flows) axis(at, d float64, n int) (way float64, cell, step int) {
	cell = min(max(int(at), 0), n-1)
	switch {
	case d > 0:
		return max(0, (float64(cell+1)-at)/d), cell, 1
	case d < 0:
		return max(0, (float64(cell)-at)/d), cell, -1
	}
	return math.MaxFloat64, cell, 0
}

// flowing turns what was counted into light.
func (r *run) flowing() (list [2][]Flow) {
	if r.flows == nil {
		return list
	}
	l := r.flows.Lattice
	k := r.perHistory() * float64(l.Cells()) / (l.Size.X * l.Size.Y * l.Size.Z)
	for part, cells := range r.flows.cells {
		for i := range cells {
			c := &cells[i]
			*c = Flow{k * c.Lux, space.Vector{X: k * c.Net.X, Y: k * c.Net.Y, Z: k * c.Net.Z}}
		}
		list[part] = cells
	}
	return list
}
