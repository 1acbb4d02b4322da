package form

import (
	"math"

	"fathomlux/scene/space"
)

// Skin is the surfaces of some solids in cells, finer than their patches: what lands on each is counted by its number,
// and read smoothly between them.
type Skin struct {
	solids []Solid
	sheets [][]sheet // by solid and face
	cells  []skinCell
}

// sheet is one face in cells: nv rows of nu.
type sheet struct {
	first, nu, nv int
	round         bool   // whether the last column is beside the first
	goesOn        *sheet // the other half of what is round: its first row is beside this one's; nil for none
	bothEnds      bool   // whether its last row is beside this one's last, too
}

// skinCell is the middle of a cell, its outward normal and its area.
type skinCell struct {
	at     space.Point
	normal space.Vector
	areaM2 float64
}

// mostAlong is the greatest number of cells along one side of a face.
const mostAlong = 48

// NewSkin cuts the surfaces of solids into cells of about cellM.
func NewSkin(solids []Solid, cellM float64) *Skin {
	k := &Skin{solids: solids}
	for i := range solids {
		var faces []sheet
		for j := range surfaces[solids[i].Kind] {
			faces = append(faces, k.cut(&solids[i], &surfaces[solids[i].Kind][j], cellM))
		}
		switch solids[i].Kind {
		case Ellipsoid:
			faces[0].goesOn, faces[1].goesOn = &faces[1], &faces[0]
		case Lying: // behind its ends
			faces[2].goesOn, faces[3].goesOn, faces[2].bothEnds, faces[3].bothEnds = &faces[3], &faces[2], true, true
		}
		k.sheets = append(k.sheets, faces)
	}
	return k
}

// cut cuts one face.
func (k *Skin) cut(s *Solid, f *surface, cellM float64) sheet {
	world := func(u, v float64) space.Point {
		p, _ := f.at(u, v)
		return s.world(p)
	}
	along := func(of func(t float64) space.Point) int {
		long, last := 0.0, of(0)
		for i := 1; i <= patchLines; i++ {
			next := of(float64(i) / patchLines)
			long, last = long+apartM(last, next), next
		}
		return int(min(max(math.Ceil(long/cellM), 2), mostAlong))
	}
	out := sheet{first: len(k.cells), round: apartM(world(0, 0.5), world(1, 0.5)) < touchM,
		nu: along(func(t float64) space.Point { return world(t, 0.3) }),
		nv: along(func(t float64) space.Point { return world(0.1, t) })}
	each := f.area / float64(out.nu*out.nv) * s.Half.X * s.Half.Y * s.Half.Z
	for i := range out.nu * out.nv {
		p, n := f.at((float64(i%out.nu)+0.5)/float64(out.nu), (float64(i/out.nu)+0.5)/float64(out.nv))
		x, y, z := n.X/s.Half.X, n.Y/s.Half.Y, n.Z/s.Half.Z
		k.cells = append(k.cells, skinCell{s.world(p), s.outward(n), each * math.Sqrt(x*x+y*y+z*z)})
	}
	return out
}

func apartM(a, b space.Point) float64 {
	return space.Vector{X: a.X - b.X, Y: a.Y - b.Y, Z: a.Z - b.Z}.Length()
}

// Cells is how many cells there are.
func (k *Skin) Cells() int { return len(k.cells) }

// uv is a place on a face in its cells: whole numbers are the edges of cells.
func (k *Skin) uv(solid, face int, at space.Point) (t *sheet, u, v float64) {
	s := &k.solids[solid]
	t = &k.sheets[solid][face]
	u, v = surfaces[s.Kind][face].of(s.place(at))
	return t, u * float64(t.nu), v * float64(t.nv)
}

// At returns the cell that holds a place on a face of a solid, see Solid.First.
func (k *Skin) At(solid, face int, at space.Point) int {
	t, u, v := k.uv(solid, face, at)
	return t.first + min(max(int(v), 0), t.nv-1)*t.nu + min(max(int(u), 0), t.nu-1)
}

// Between reads values of cells, which hold at their middles, at a place on a face of a solid.
func (k *Skin) Between(values []float64, solid, face int, at space.Point) float64 {
	t, u, v := k.uv(solid, face, at)
	v -= 0.5
	below := math.Floor(v)
	row := func(j int) float64 {
		t := t
		switch o := t.goesOn; {
		case o != nil && j < 0:
			t, j = o, 0
		case o != nil && o.bothEnds && j >= t.nv:
			t, j = o, o.nv-1
		}
		j = min(max(j, 0), t.nv-1)
		x := u - 0.5
		if !t.round {
			x = min(max(x, 0), float64(t.nu-1))
		}
		left := math.Floor(x)
		i := (int(left) + t.nu) % t.nu
		right := min(i+1, t.nu-1)
		if t.round {
			right = (i + 1) % t.nu
		}
		on := values[t.first+j*t.nu:]
		return on[i] + (x-left)*(on[right]-on[i])
	}
	return row(int(below))*(1-(v-below)) + row(int(below)+1)*(v-below)
}

// Density turns what has landed in the cells into its density, 1/m2, spread by a bell of a standard deviation over what
// is near on the same solid and faces alike.
func (k *Skin) Density(landed []float64, spreadM float64) []float64 {
	out := make([]float64, len(k.cells))
	for i := range k.sheets {
		from, to := k.sheets[i][0].first, len(k.cells)
		if i+1 < len(k.sheets) {
			to = k.sheets[i+1][0].first
		}
		for a := from; a < to; a++ {
			sum, area, here := 0.0, 0.0, &k.cells[a]
			for b := from; b < to; b++ {
				there := &k.cells[b]
				d := space.Vector{X: there.at.X - here.at.X, Y: there.at.Y - here.at.Y, Z: there.at.Z - here.at.Z}
				far2, alike := d.Dot(d)/(spreadM*spreadM), here.normal.Dot(there.normal)
				if far2 > 9 || alike <= 0 {
					continue
				}
				weight := math.Exp(-far2/2) * alike * alike * alike * alike
				sum, area = sum+float64(weight*landed[b]), area+float64(weight*there.areaM2)
			}
			out[a] = sum / area
		}
	}
	return out
}
