package view

import (
	"math"
	"math/rand/v2"

	"fathomlux/optics/model"
	"fathomlux/optics/stack"
	"fathomlux/optics/trace"
	"fathomlux/optics/walls"
	"fathomlux/scene/space"
)

// shares of the room's light that is sent back by what is seen dimly: a bar of aluminium, what the tank stands on, the
// outside of a painted or covered wall, and a hood's outside.
const barShare, tableShare, outsideShare = 0.5, 0.25, 0.08

// air follows a line of sight through air, outside the tank or over its water.
func (r *ray) air(at space.Point, d space.Vector, p path) {
	if p.over() {
		return
	}
	next := r.inAir(at, d)
	if r.dieAhead(at, d, next.s, p) {
		return
	}
	to := moved(at, d, next.s)
	switch next.what {
	case nothing:
		r.room(p, 1)
	case bar:
		r.room(p, barShare)
	case table:
		r.room(p, tableShare)
	case box, hoodOutside:
		r.room(p, outsideShare)
	case hoodInside:
		r.hooded(p)
	case thing:
		r.room(p, r.Solids[next.on.solid].Reflectance)
		r.thing(to, &next.on, p)
	case surface:
		r.into(to, d, p)
	case coverPane:
		r.through(to, d, p)
	default:
		r.wallInAir(to, d, &r.panes[next.edge], p)
	}
}

// hooded is the inside of a hood: as bright as the room outside, or black where it reflects nothing.
func (r *ray) hooded(p path) {
	if h := r.Model.Hood; h != nil {
		r.room(p, h.Reflectance)
	}
}

// thing adds the light that a matt thing sends.
func (r *ray) thing(at space.Point, on *spot, p path) {
	share := r.Solids[on.solid].Reflectance / math.Pi
	r.matted(p, func(k int) float64 {
		return share * r.faces.Skins[on.solid].Between(r.faces.Things[on.solid][k], on.piece, on.face, at)
	})
}

// through goes on through the cover, and adds the room that it mirrors.
func (r *ray) through(at space.Point, d space.Vector, p path) {
	ts, tp, rs, rp := r.cover.Polarised(math.Abs(d.Z))
	r.room(p, (rs+rp)/2)
	r.air(at, d, p.times((ts+tp)/2))
}

// into goes on from the air into the water at the surface.
func (r *ray) into(at space.Point, d space.Vector, p path) {
	hidden := r.Floating.Hides(at.X, at.Y)
	r.room(p, hidden*outsideShare)
	p.weight *= 1 - hidden
	rs, rp := stack.Fresnel(1, r.index, math.Abs(d.Z))
	back := (rs + rp) / 2
	r.room(p, back)
	in := bent(d, space.Vector{Z: math.Copysign(1, d.Z)}, 1/r.index)
	r.water(at, in, p.times((1-back)/(r.index*r.index)))
}

// bent is a direction after refraction at a face whose normal n goes the way of the ray: the part along the face is
// ratio times what it was.
func bent(d, n space.Vector, ratio float64) space.Vector {
	cos := d.Dot(n)
	along := space.Vector{X: ratio * (d.X - cos*n.X), Y: ratio * (d.Y - cos*n.Y), Z: ratio * (d.Z - cos*n.Z)}
	k := math.Sqrt(max(0, 1-along.Dot(along)))
	return space.Vector{X: along.X + k*n.X, Y: along.Y + k*n.Y, Z: along.Z + k*n.Z}
}

// wallInAir goes on where a line of sight meets a wall from the air: into the water behind it, or into more air.
func (r *ray) wallInAir(at space.Point, d space.Vector, w *pane, p path) {
	n := w.normal(at, d)
	cos := math.Abs(d.Dot(n))
	outside := d.Dot(n) < 0
	wet := outside && at.Z < r.DepthM
	switch {
	case w.matt != nil || w.Reflectance > 0:
		r.room(p, outsideShare)
	case wet:
		back := w.InWater(math.Sqrt(cos*cos+r.index*r.index-1), r.index) // the same from both sides
		if r.room(p, back); r.Ground != nil && at.Z < r.Ground.HeightM(at.X, at.Y) {
			r.room(p.times(1-back), outsideShare) // the ground behind the pane
			return
		}
		r.water(at, bent(d, scaled(n, -1), 1/r.index), p.times((1-back)/(r.index*r.index)))
	default:
		back := w.InAir(cos)
		r.room(p, back)
		r.air(at, d, p.times(1-back))
	}
}

// water follows a line of sight under water.
func (r *ray) water(at space.Point, d space.Vector, p path) {
	if p.over() {
		return
	}
	r.wet = true
	next := r.inWater(at, d)
	if next.what == nothing { // on an edge
		return
	}
	to := moved(at, d, next.s)
	r.glowing(at, d, next.s, p)
	p.wayM += next.s
	switch next.what {
	case surface:
		r.outAtSurface(to, d, p)
	case ground:
		r.groundInWater(to, d, next.n, p)
	case thing:
		r.thing(to, &next.on, p)
	case leafSide:
		r.leafAt(to, d, r.plants[next.plant], next.leaf, p)
	case wall:
		r.wallInWater(to, d, &r.panes[next.edge], p)
	} // opaque boxes are black
}

// matted adds what a matt face sends along the line of sight: its luminance by kind.
func (r *ray) matted(p path, cd func(kind int) float64) {
	for k := range r.hues {
		r.see(r.hues[k].after(p.wayM), p.weight*cd(k))
	}
}

// outAtSurface is the underside of the surface: a mirror beyond the critical angle, a window within it.
func (r *ray) outAtSurface(at space.Point, d space.Vector, p path) {
	p.weight *= 1 - r.Floating.Hides(at.X, at.Y)
	rs, rp := stack.Fresnel(r.index, 1, d.Z)
	back := (rs + rp) / 2
	if back < 1 {
		out := p.times((1 - back) * r.index * r.index)
		out.weight *= r.left(p.wayM)
		r.air(at, bent(d, space.Vector{Z: 1}, r.index), out)
	}
	d.Z = -d.Z
	r.water(at, d, p.times(back))
}

// left is the share of light that a way in the water leaves, for what is seen through it.
func (r *ray) left(wayM float64) float64 {
	if len(r.hues) == 0 {
		return 1
	}
	return r.hues[0].after(wayM).Y
}

// groundInWater is the ground from within the water.
func (r *ray) groundInWater(at space.Point, d, n space.Vector, p path) {
	r.faceInWater(at, d, &inside{r.ground, r.groundMatt, n, func(k int) float64 {
		return lux(&r.faces.Floor[k], at.X, at.Y)
	}}, p)
}

// wallInWater is a wall from within the water.
func (r *ray) wallInWater(at space.Point, d space.Vector, w *pane, p path) {
	n := scaled(w.normal(at, d), -1)
	r.faceInWater(at, d, &inside{w.Wall, w.matt, n, func(k int) float64 { return r.wallLux(w, k, at) }}, p)
	cos := -d.Dot(n)
	if out2 := 1 - r.index*r.index*(1-cos*cos); w.matt == nil && out2 > 0 && w.Reflectance == 0 {
		// the room behind clear glass
		r.room(p, (1-w.InWater(cos*r.index, r.index))*r.index*r.index*r.left(p.wayM))
	}
}

// inside is a face of the tank from within the water: its normal to the inside and its illuminance by kind.
type inside struct {
	walls.Wall
	matt *walls.Matt
	n    space.Vector
	lux  func(kind int) float64
}

// faceInWater goes on at what a face mirrors, and adds what is matt of it.
func (r *ray) faceInWater(at space.Point, d space.Vector, f *inside, p path) {
	cos := -d.Dot(f.n)
	back := f.InWater(cos*r.index, r.index)
	if back > 0 {
		mirrored := space.Vector{X: d.X + 2*cos*f.n.X, Y: d.Y + 2*cos*f.n.Y, Z: d.Z + 2*cos*f.n.Z}
		r.water(at, mirrored, p.times(back))
	}
	if m := f.matt; m != nil {
		share := m.Share / math.Pi * spread(m, r.index, cos)
		r.matted(p, func(k int) float64 { return share * f.lux(k) })
	}
}

// spread is how much brighter than an even one a matt face is in a direction: film lights the critical cone alone.
func spread(m *walls.Matt, index, cos float64) float64 {
	switch {
	case m.Even():
		return 1
	case index*index*(1-cos*cos) >= 1:
		return 0
	}
	return index * index
}

// leafRadiusM is the radius of the round leaves that plants are drawn with; of very many they are larger, so that there
// are mostLeaves at most. Common practice, no published source: leaves of plants in tanks are 5 to 50 mm wide.
const leafRadiusM, mostLeaves = 0.008, 20000

// foliage is the leaves of one plant as discs at invented places: evenly spread, of all directions alike, and as much
// leaf area as the plant has, so that a line of sight meets as many in the mean as the law of leaves says.
type foliage struct {
	space.Box // about the leaves
	leaves    []leaf
	radiusM   float64
	n         [3]int  // cells of a grid along each axis
	cells     [][]int // leaves in each
	reflect   float64
	transmit  float64
}

type leaf struct {
	at space.Point
	n  space.Vector
}

// newFoliage makes the leaves of a plant, but for those that open tells lie in something.
func newFoliage(l *model.Leaves, open func(space.Point) bool) *foliage {
	size := [3]float64{l.Max.X - l.Min.X, l.Max.Y - l.Min.Y, l.Max.Z - l.Min.Z}
	area := l.DensityPerM * size[0] * size[1] * size[2]
	f := &foliage{radiusM: max(leafRadiusM, math.Sqrt(area/(math.Pi*mostLeaves))), reflect: l.Reflect,
		transmit: l.Transmit}
	r := f.radiusM
	f.Box = space.Box{Min: space.Point{X: l.Min.X - r, Y: l.Min.Y - r, Z: l.Min.Z - r},
		Max: space.Point{X: l.Max.X + r, Y: l.Max.Y + r, Z: l.Max.Z + r}}
	for i, s := range size {
		f.n[i] = max(1, int((s+2*r)/(2*r)))
	}
	f.cells = make([][]int, f.n[0]*f.n[1]*f.n[2])
	random := rand.New(rand.NewPCG(18, uint64(len(f.cells))))
	for range int(math.Round(area / (math.Pi * r * r))) {
		one := leaf{at: space.Point{X: l.Min.X + random.Float64()*size[0], Y: l.Min.Y + random.Float64()*size[1],
			Z: l.Min.Z + random.Float64()*size[2]}}
		z, turn := 2*random.Float64()-1, 2*math.Pi*random.Float64()
		sin, cos := math.Sincos(turn)
		one.n = space.Vector{X: math.Sqrt(1-z*z) * cos, Y: math.Sqrt(1-z*z) * sin, Z: z}
		if open(one.at) {
			f.add(one)
		}
	}
	return f
}

// add puts a leaf into all cells that it may reach into.
func (f *foliage) add(one leaf) {
	low, high := f.cell(one.at, -f.radiusM), f.cell(one.at, f.radiusM)
	for z := low[2]; z <= high[2]; z++ {
		for y := low[1]; y <= high[1]; y++ {
			for x := low[0]; x <= high[0]; x++ {
				at := (z*f.n[1]+y)*f.n[0] + x
				f.cells[at] = append(f.cells[at], len(f.leaves))
			}
		}
	}
	f.leaves = append(f.leaves, one)
}

// cell is that of a place moved by some way along each axis.
func (f *foliage) cell(at space.Point, by float64) (c [3]int) {
	for i, v := range [3][3]float64{{at.X, f.Min.X, f.Max.X}, {at.Y, f.Min.Y, f.Max.Y}, {at.Z, f.Min.Z, f.Max.Z}} {
		c[i] = min(max(int((v[0]+by-v[1])/(v[2]-v[1])*float64(f.n[i])), 0), f.n[i]-1)
	}
	return c
}

// first returns how far the first leaf is on a way of at most withinM, and its number; withinM and -1 where there is
// none.
func (f *foliage) first(at space.Point, d space.Vector, withinM float64) (way float64, number int) {
	way, number = withinM, -1
	box := model.Leaves{Box: f.Box}
	s, to := box.Span(at, d, withinM)
	// half a cell a step: a leaf reaches into all cells about it, so that none is passed by
	step := min((f.Max.X-f.Min.X)/float64(f.n[0]), (f.Max.Y-f.Min.Y)/float64(f.n[1]),
		(f.Max.Z-f.Min.Z)/float64(f.n[2])) / 2
	for last := -1; s < to; s += step {
		c := f.cell(moved(at, d, s), 0)
		cell := (c[2]*f.n[1]+c[1])*f.n[0] + c[0]
		if cell == last {
			continue
		}
		last = cell
		for _, i := range f.cells[cell] {
			if on := f.leaves[i].meet(at, d, f.radiusM); on > liftM && on < way {
				way, number = on, i
			}
		}
		if number >= 0 && way < s {
			break
		}
	}
	return way, number
}

// meet is how far a leaf is on a way, 0 where it is not met.
func (l *leaf) meet(at space.Point, d space.Vector, radiusM float64) float64 {
	off := space.Vector{X: l.at.X - at.X, Y: l.at.Y - at.Y, Z: l.at.Z - at.Z}
	s := off.Dot(l.n) / d.Dot(l.n)
	to := space.Vector{X: s*d.X - off.X, Y: s*d.Y - off.Y, Z: s*d.Z - off.Z}
	if !(to.Dot(to) <= radiusM*radiusM) {
		return 0
	}
	return s
}

// leafAt adds what a leaf sends back, and on from behind: both sides are matt.
func (r *ray) leafAt(at space.Point, d space.Vector, f *foliage, number int, p path) {
	n := f.leaves[number].n
	if n.Dot(d) > 0 {
		n = scaled(n, -1) // towards the eye
	}
	g := r.sight.glow
	if g == nil {
		return
	}
	c := g.about(at)
	for k := range r.hues {
		front, back := 0.0, 0.0
		for part := range g.flows[k] {
			flow := c.of(g.flows[k][part])
			a, b := bothSides(&flow, n)
			front, back = front+a, back+b
		}
		r.see(between(&r.hues[k].leaves, p.wayM), p.weight*(f.reflect*front+f.transmit*back)/math.Pi)
	}
}

// bothSides are the illuminances of a small face on the side of its normal and on the other. Their difference is that
// of the light's vector along the normal; their sum is half the scalar illuminance for light from all sides alike and
// all of it, times the cosine, for parallel light, and is taken between by the square of the mean cosine.
func bothSides(f *trace.Flow, n space.Vector) (front, back float64) {
	net := f.Net.Dot(n)
	if f.Lux <= 0 {
		return 0, 0
	}
	mean2 := min(f.Net.Dot(f.Net)/(f.Lux*f.Lux), 1)
	sum := f.Lux * (1 - mean2) / 2
	if mean2 > 0 {
		sum += math.Sqrt(mean2) * math.Abs(net)
	}
	return max(0, (sum-net)/2), max(0, (sum+net)/2)
}
