package trace

import (
	"math"

	"fathomlux/optics/model"
)

// What a flight under water ends at, beside the four sides.
const (
	atFloor = ground + 1 + iota
	atSurface
	atParticle
	atBox
)

// swim follows a photon under water until it leaves or ends.
func (t *tracer) swim(p *photon) {
	for p.in == wet {
		s, what := (t.depthM-p.z)/p.dz, atSurface
		if p.dz < 0 {
			s, what = -p.z/p.dz, atFloor
		} else if p.dz == 0 {
			s = math.MaxFloat64
		}
		if sx, f := gap(p.x, p.dx, &t.acrossX); sx < s {
			s, what = sx, model.Left+f
		}
		if sy, f := gap(p.y, p.dy, &t.acrossY); sy < s {
			s, what = sy, model.Front+f
		}
		if p.freeM < s {
			s, what = p.freeM, atParticle
		}
		if len(t.wet.list) > 0 {
			if sb := t.wet.first(p, s); sb < s {
				s, what = sb, atBox
			}
		}
		if p.dz < 0 && t.count[p.rest] {
			t.score(p, s)
		}
		p.x += p.dx * s
		p.y += p.dy * s
		p.z += p.dz * s
		p.pathM += s
		p.freeM -= s
		p.flights++
		t.meetWet(p, what)
	}
}

// meetWet plays what a flight under water ended at.
func (t *tracer) meetWet(p *photon, what model.Side) {
	switch what {
	case atSurface:
		t.surfaceFromBelow(p)
	case atFloor:
		p.z = 0
		t.bounce(p, t.floor, ground, &t.books.Floor)
	case atParticle:
		t.scatter(p)
	case atBox:
		t.end(p, &t.books.Obstacles)
	default:
		t.wallWet(p, what)
	}
	if p.in == ended {
		return
	}
	if p.pathM > p.thinM {
		t.thin(p)
	}
	if p.flights > mostFlights {
		t.end(p, &t.books.Water)
	}
}

// turn puts a photon exactly on a side and mirrors its direction there; cos is that against the side's normal.
func (t *tracer) turn(p *photon, face model.Side) (cos float64) {
	switch face {
	case model.Left:
		p.x, p.dx = 0, math.Abs(p.dx)
		return p.dx
	case model.Right:
		p.x, p.dx = t.lengthM, -math.Abs(p.dx)
		return -p.dx
	case model.Front:
		p.y, p.dy = 0, math.Abs(p.dy)
		return p.dy
	default:
		p.y, p.dy = t.widthM, -math.Abs(p.dy)
		return -p.dy
	}
}

func (t *tracer) wallWet(p *photon, face model.Side) {
	cos := t.turn(p, face)
	w := &t.sides[face]
	if w.table == nil {
		t.bounce(p, w.share, face, &t.books.Walls)
		return
	}
	if kept := w.table.Water(cos * t.index); kept < 1 && t.random.unit() >= kept {
		t.side = face
		t.end(p, &t.books.Walls)
	}
}

// surfaceFromBelow mirrors a photon at the surface or lets it out into the air. Each polarisation counts as half.
func (t *tracer) surfaceFromBelow(p *photon) {
	p.z = t.depthM
	n, cos := t.index, p.dz
	out2 := 1 - n*n*(1-cos*cos)
	if out2 <= 0 {
		p.dz = -cos
		return
	}
	out := math.Sqrt(out2)
	t.polarise(p)
	if t.random.unit() < t.surface.reflect(out, cos, p.parallel) {
		p.dz = -cos
		return
	}
	p.dx, p.dy, p.dz = p.dx*n, p.dy*n, out
	p.in = under
}

// face is a flat face between air and an index of at least 1.
type face struct {
	inverse float64       // 1/index
	weights [2][2]float64 // of the cosines on both sides in Fresnel's equations, by polarisation
}

func newFace(index float64) face {
	return face{inverse: 1 / index, weights: [2][2]float64{{1, index}, {index, 1}}}
}

// beyond is the cosine behind the face of a ray with cosAir in the air.
func (f *face) beyond(cosAir float64) float64 {
	return math.Sqrt(1 - f.inverse*f.inverse*(1-cosAir*cosAir))
}

// reflect is the face's reflectance, from either side, for one polarisation: one of the two of stack.Fresnel.
func (f *face) reflect(cosAir, cosBeyond float64, parallel uint8) float64 {
	w := &f.weights[parallel&1]
	a, b := w[0]*cosAir, w[1]*cosBeyond
	r := (a - b) / (a + b)
	return r * r
}

// scatter turns a photon at a molecule or a particle.
func (t *tracer) scatter(p *photon) {
	if p.rest == 0 {
		p.rest = 1
		copies, weight := t.fork(p, 1)
		p.w = weight
		for range copies - 1 {
			c := *p
			t.deflect(&c)
			t.stack = append(t.stack, c)
		}
	}
	t.deflect(p)
}

// deflect draws who scatters, by how much, and the way to the next time.
func (t *tracer) deflect(p *photon) {
	c := p.colour
	var cos float64
	if c.molecular > 0 && t.random.unit() < c.molecular {
		p.micro *= c.byMolecule
		cos = t.moleculeCosine()
	} else {
		p.micro *= c.byParticle
		cos = particleCosine(t.asymmetry, t.random.unit())
	}
	sp, cp := around(t.random.unit())
	sin := math.Sqrt(max(0, 1-cos*cos))
	p.dx, p.dy, p.dz = turned(p.dx, p.dy, p.dz, sin*cp, sin*sp, cos)
	t.free(p)
}

// turned returns the direction with components a and b across d and c along it, of unit length.
func turned(dx, dy, dz, a, b, c float64) (x, y, z float64) {
	side2 := dx*dx + dy*dy
	if side2 < 1e-12 {
		if dz < 0 {
			return a, -b, -c
		}
		return a, b, c
	}
	side := math.Sqrt(side2)
	k := a / side
	x = dx*c + k*dx*dz - b*dy/side
	y = dy*c + k*dy*dz + b*dx/side
	z = dz*c - a*side
	f := 1.5 - 0.5*(x*x+y*y+z*z) // keeps rounding from growing over many scatterings
	return x * f, y * f, z * f
}
