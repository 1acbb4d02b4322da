package caustic

import (
	"math"

	"fathomlux/optics/result"
)

// cells is the light on planes.
type cells struct {
	planes []Plane
	light  [][]float64
}

func newCells(planes []Plane) *cells {
	c := &cells{planes: planes}
	for _, p := range planes {
		c.light = append(c.light, make([]float64, p.Grid.Cells()))
	}
	return c
}

func (c *cells) add(o *cells) {
	for p := range c.light {
		for i, v := range o.light[p] {
			c.light[p][i] += v
		}
	}
}

// patch is a cell of the mesh with those around it: where the corners land, by row and column. The cell itself lies
// between the middle ones.
type patch [4][4]landed

// patchOf takes a cell out of some columns and rows; beyond the outermost they go on evenly.
func patchOf(at func(i, j int) landed, i, j, columns, rows int) (q patch) {
	from := func(i, j int) landed {
		k := min(max(i, 0), columns-1)
		p := at(k, j)
		if k != i {
			in := at(k+(k-i), j)
			p.x, p.y = 2*p.x-in.x, 2*p.y-in.y
		}
		return p
	}
	for r := range q {
		row := min(max(j+r-1, 0), rows-1)
		for c := range q[r] {
			p := from(i+c-1, row)
			if row != j+r-1 {
				in := from(i+c-1, row+row-(j+r-1))
				p.x, p.y = 2*p.x-in.x, 2*p.y-in.y
			}
			q[r][c] = p
		}
	}
	return q
}

// cubics are the weights of four places in a row at each of n even places between the middle two of them, such that the
// stretch along the row has no steps. Source: E. Catmull, R. Rom 1974, A class of local interpolating splines.
var cubics = func() (all [mostSplit + 1][][4]float64) {
	for n := range all {
		for k := range n {
			t := (float64(k) + 0.5) / float64(n)
			all[n] = append(all[n], [4]float64{t * (-0.5 + t*(1-0.5*t)), 1 + t*t*(-2.5+1.5*t), t * (0.5 + t*(2-1.5*t)),
				t * t * (-0.5 + 0.5*t)})
		}
	}
	return all
}()

// spread lays the light of one cell of the mesh evenly between where its corners land; areaM2 is the cell's on the mean
// surface. What lands beside the plane has met a wall before.
func (c *cells) spread(plane int, areaM2 float64, q patch) {
	a, b, d, e := &q[1][1], &q[1][2], &q[2][1], &q[2][2]
	if a.light+b.light+d.light+e.light == 0 {
		return
	}
	g := c.planes[plane].Grid
	along, across := max(split(&g, a, b), split(&g, d, e)), max(split(&g, a, d), split(&g, b, e))
	part := areaM2 / float64(along*across) / (g.StepXM * g.StepYM)
	for j, w := range cubics[across] {
		v := (float64(j) + 0.5) / float64(across)
		var row [4]landed
		for k := range row {
			for r := range w {
				row[k].x += w[r] * q[r][k].x / g.StepXM
				row[k].y += w[r] * q[r][k].y / g.StepYM
			}
		}
		low, high := a.light+v*(d.light-a.light), b.light+v*(e.light-b.light)
		for i, u := range cubics[along] {
			x := u[0]*row[0].x + u[1]*row[1].x + u[2]*row[2].x + u[3]*row[3].x
			y := u[0]*row[0].y + u[1]*row[1].y + u[2]*row[2].y + u[3]*row[3].y
			c.drop(plane, x, y, part*(low+(float64(i)+0.5)/float64(along)*(high-low)))
		}
	}
}

// split is into how many parts the way between two places is cut, so that no raster of them is seen.
func split(g *result.Grid, a, b *landed) int {
	cells := math.Abs(b.x-a.x)/g.StepXM + math.Abs(b.y-a.y)/g.StepYM
	return min(int(partsOfCell*cells)+1, mostSplit)
}

// drop shares light out to the four cells whose middles are about a place, which is given in cells.
func (c *cells) drop(plane int, x, y, light float64) {
	g := c.planes[plane].Grid
	if !(x >= 0 && y >= 0 && x <= float64(g.NX) && y <= float64(g.NY)) {
		return
	}
	right, upper := int(x+0.5), int(y+0.5)
	u, v := x+0.5-float64(right), y+0.5-float64(upper)
	i, j := max(right-1, 0), max(upper-1, 0)*g.NX
	i2, j2 := min(right, g.NX-1), min(upper, g.NY-1)*g.NX
	to := c.light[plane]
	to[j+i] += light * (1 - u) * (1 - v)
	to[j+i2] += light * u * (1 - v)
	to[j2+i] += light * (1 - u) * v
	to[j2+i2] += light * u * v
}
