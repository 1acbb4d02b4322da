package direct

import (
	"unsafe"

	"fathomlux/optics/walls"
	"fathomlux/scene/space"
)

// Orders are the highest numbers of reflections counted along each axis: image strips run from -X to X and from -Y to
// Y.
type Orders struct{ X, Y int }

// A side pair is the two walls across one axis. A nil wall mirrors nothing.
type sidePair struct{ low, high *walls.Table }

// at returns the wall that stands at plane k of the unfolded axis: planes are one tank length apart, plane 0 is the
// low wall.
func (p sidePair) at(k int) *walls.Table {
	if k%2 == 0 {
		return p.low
	}
	return p.high
}

// crossings are the wall planes that a straight track meets, unfolded along one axis, on its way from a source to image
// strip m. Strip 0 is the tank itself; strip m lies m tank lengths along the axis, mirrored where m is odd.
type crossings struct {
	open  bool      // whether the strip can be reached at all
	entry float64   // signed distance of the plane by which a source outside the tank looks in, m; 0 for a source inside
	at    []float64 // signed distance of each mirroring plane from the source, nearest first, m
	walls []*walls.Table
}

// cross lists the crossings from a source at position from to strip m of a tank that spans 0 to length along the axis.
func cross(from, length float64, m int, pair sidePair) crossings {
	c := crossings{open: true}
	switch {
	case from < 0:
		c.open, c.entry = m >= 0, -from
	case from > length:
		c.open, c.entry = m <= 0, length-from
	}
	for k := 1; k <= m; k++ {
		c.meet(float64(k)*length-from, pair.at(k))
	}
	for k := 0; k > m; k-- {
		c.meet(float64(k)*length-from, pair.at(k))
	}
	return c
}

// meet appends one mirroring plane; a wall that mirrors nothing closes the strip.
func (c *crossings) meet(at float64, wall *walls.Table) {
	if wall == nil {
		c.open = false
	}
	c.at = append(c.at, at)
	c.walls = append(c.walls, wall)
}

// mirrors returns the share that the walls leave together; ok is false where that depends on the ray.
func (c *crossings) mirrors() (share float64, ok bool) {
	share = 1
	for _, w := range c.walls {
		one, ok := w.Constant()
		if !ok {
			return 0, false
		}
		share *= one
	}
	return share, true
}

// unfold returns where x of the tank lies in strip m, as x -> origin + sign*x.
func unfold(m int, length float64) (origin, sign float64) {
	if m%2 == 0 {
		return float64(m) * length, 1
	}
	return float64(m+1) * length, -1
}

// boxesTo returns the boxes as they are in the strips between the tank and strip (mx, my), worked out once. It is
// safe for several goroutines.
func (s *sum) boxesTo(mx, my int) []space.Box {
	if len(s.boxes) == 0 {
		return nil
	}
	if known, ok := s.strips.Load(strip{mx, my}); ok {
		return known.([]space.Box)
	}
	var all []space.Box
	for _, i := range between(mx) {
		for _, j := range between(my) {
			for _, b := range s.boxesIn(i, j) {
				all = joinBox(all, b)
			}
		}
	}
	known, _ := s.strips.LoadOrStore(strip{mx, my}, all)
	return known.([]space.Box)
}

// joinBox adds a box to a list, or makes one of the list longer by it, as a brace from wall to wall goes on in its
// mirror image: two that meet, or overlap, and differ along one of x and y alone are one.
func joinBox(list []space.Box, b space.Box) []space.Box {
	for i := range list {
		a := &list[i]
		alikeX, alikeY := a.Min.X == b.Min.X && a.Max.X == b.Max.X, a.Min.Y == b.Min.Y && a.Max.Y == b.Max.Y
		meet := a.Min.X <= b.Max.X && b.Min.X <= a.Max.X && a.Min.Y <= b.Max.Y && b.Min.Y <= a.Max.Y
		if (alikeX || alikeY) && meet && a.Min.Z == b.Min.Z && a.Max.Z == b.Max.Z {
			a.Min.X, a.Max.X = min(a.Min.X, b.Min.X), max(a.Max.X, b.Max.X)
			a.Min.Y, a.Max.Y = min(a.Min.Y, b.Min.Y), max(a.Max.Y, b.Max.Y)
			return list
		}
	}
	return append(list, b)
}

// boxesIn returns the boxes as they stand in one strip. In mirrored strips only what is inside the tank counts.
func (s *sum) boxesIn(mx, my int) []space.Box {
	if mx == 0 && my == 0 {
		return s.boxes
	}
	t := &s.engine.tank
	var all []space.Box
	for _, b := range s.boxes {
		b = t.Clip(b)
		b.Min.X, b.Max.X = mirrored(b.Min.X, b.Max.X, mx, t.LengthM)
		b.Min.Y, b.Max.Y = mirrored(b.Min.Y, b.Max.Y, my, t.WidthM)
		if !b.Empty() {
			all = append(all, b)
		}
	}
	return all
}

// strip is the number of an image strip along x and along y.
type strip struct{ mx, my int }

// between lists the strips from 0 to m.
func between(m int) []int {
	strips := []int{0}
	for i := 1; i <= max(m, -m); i++ {
		strips = append(strips, i*m/max(m, -m))
	}
	return strips
}

func mirrored(low, high float64, m int, length float64) (float64, float64) {
	origin, sign := unfold(m, length)
	if sign < 0 {
		return origin - high, origin - low
	}
	return origin + low, origin + high
}

// Work returns what one cell costs at most: one for each source in each of its image strips, and one for each wall
// that is crossed on the way from there.
func (e *Engine) Work() int64 {
	images, crossings := e.strips()
	return int64(len(e.model.Sources)) * (images + crossings)
}

// strips returns the number of image strips of one source, and that of the walls crossed on the ways from all of them.
func (e *Engine) strips() (images, crossings int64) {
	x, y := int64(e.orders.X), int64(e.orders.Y)
	return (2*x + 1) * (2*y + 1), x*(x+1)*(2*y+1) + y*(y+1)*(2*x+1)
}

// ViewBytes predicts the memory that the image strips of all sources take for one plane, in bytes. It grows with the
// square of the orders, and with obstacles with their fourth power, for each strip keeps the boxes of all strips on
// its way.
func (e *Engine) ViewBytes() int64 {
	var one view
	const crossing = 16 // a distance and a wall
	x, y := int64(e.orders.X), int64(e.orders.Y)
	images, _ := e.strips()
	// between each image and the tank, summed over the images, and each by itself
	strips := (x*x+3*x+1)*(y*y+3*y+1) + images
	var box space.Box
	boxes := strips * int64(len(e.model.BoxesFrom())) * int64(unsafe.Sizeof(box))
	// lists that grow have half as much room again
	own := images*int64(unsafe.Sizeof(one)) + (x*(x+1)+y*(y+1))*crossing*3/2
	return int64(len(e.model.Sources))*own + boxes*3/2
}
