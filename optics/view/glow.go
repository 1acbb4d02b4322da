package view

import (
	"math"
	"slices"

	"fathomlux/optics/trace"
	"fathomlux/optics/water"
	"fathomlux/scene/colour"
	"fathomlux/scene/photometry"
	"fathomlux/scene/space"
)

// glow is the light that is on its way in the water, cell by cell, of which the water sends some into a line of sight.
type glow struct {
	*trace.Lattice
	per       space.Vector      // cells a metre
	open      []float64         // share of each cell that water fills, softened
	flows     [][2][]trace.Flow // by kind: of the straight light, and of the rest, softened
	asymmetry float64           // of particles
}

// glowStepM is about how far apart the places of a line of sight are at which the light on its way is taken.
const glowStepM = 0.05

// openPlaces is at how many places along each side it is looked whether a cell is open.
const openPlaces = 3

// newGlow is nil where nothing scatters.
func newGlow(w *sight) *glow {
	scatters := len(w.Leaves) > 0
	for k := range w.hues {
		scatters = scatters || w.hues[k].molecules[0].Y+w.hues[k].particles[0].Y > 0
	}
	l := w.faces.Water
	if !scatters || l == nil {
		return nil
	}
	g := &glow{Lattice: l, per: space.Vector{X: float64(l.NX) / l.Size.X, Y: float64(l.NY) / l.Size.Y,
		Z: float64(l.NZ) / l.Size.Z}, asymmetry: w.Water.Asymmetry()}
	for i := range l.Cells() {
		at, n := [3]int{i % l.NX, i / l.NX % l.NY, i / l.NX / l.NY}, 0
		for k := range openPlaces * openPlaces * openPlaces {
			sub := [3]int{k % openPlaces, k / openPlaces % openPlaces, k / openPlaces / openPlaces}
			in := func(axis int, per float64) float64 {
				return (float64(at[axis]) + (float64(sub[axis])+0.5)/openPlaces) / per
			}
			p := space.Point{X: in(0, g.per.X), Y: in(1, g.per.Y), Z: in(2, g.per.Z)}
			if w.fence.Holds(p, space.Vector{}) && !w.Filled(p) && (w.boxes == nil || !w.boxes.Hold(p)) {
				n++
			}
		}
		g.open = append(g.open, float64(n)/(openPlaces*openPlaces*openPlaces))
	}
	g.soften(w.faces.Flows)
	return g
}

// soften gives each cell the mean of it and of those beside it, by halves, along each axis in turn: traced light has
// grain.
func (g *glow) soften(flows [][2][]trace.Flow) {
	for _, kind := range flows {
		var own [2][]trace.Flow
		for part := range kind {
			own[part] = slices.Clone(kind[part])
			softened(g.Lattice, own[part], func(a, b, c trace.Flow) trace.Flow {
				mean := func(a, b, c float64) float64 { return a/4 + b/2 + c/4 }
				return trace.Flow{Lux: mean(a.Lux, b.Lux, c.Lux), Net: space.Vector{X: mean(a.Net.X, b.Net.X, c.Net.X),
					Y: mean(a.Net.Y, b.Net.Y, c.Net.Y), Z: mean(a.Net.Z, b.Net.Z, c.Net.Z)}}
			})
		}
		g.flows = append(g.flows, own)
	}
	softened(g.Lattice, g.open, func(a, b, c float64) float64 { return a/4 + b/2 + c/4 })
}

// softened applies a mean of three neighbours along each axis; what is beyond an end is as at the end.
func softened[T any](l *trace.Lattice, list []T, mean func(a, b, c T) T) {
	for _, axis := range [3][2]int{{1, l.NX}, {l.NX, l.NY}, {l.NX * l.NY, l.NZ}} {
		step, n := axis[0], axis[1]
		for i := range list {
			if i/step%n > 0 {
				continue
			}
			before := list[i]
			for k := range n {
				at := i + k*step
				after := list[min(at+step, i+(n-1)*step)]
				before, list[at] = list[at], mean(before, list[at], after)
			}
		}
	}
}

// corners are the eight cells about a place and how much each counts, without what is not water.
type corners struct {
	cell   [8]int
	weight [8]float64
}

func (g *glow) about(at space.Point) (c corners) {
	axis := func(v float64, n int) (low int, share float64) {
		v = min(max(v-0.5, 0), float64(n-1)-1e-9)
		low = int(v)
		return low, v - float64(low)
	}
	ix, u := axis(at.X*g.per.X, g.NX)
	iy, v := axis(at.Y*g.per.Y, g.NY)
	iz, t := axis(at.Z*g.per.Z, g.NZ)
	open := 0.0
	for k := range c.cell {
		x, y, z := k&1, k>>1&1, k>>2
		c.cell[k] = ((iz+z)*g.NY+iy+y)*g.NX + ix + x
		weight := 1.0
		for _, one := range [3]struct {
			far   int
			share float64
		}{{x, u}, {y, v}, {z, t}} {
			if one.far == 1 {
				weight *= one.share
			} else {
				weight *= 1 - one.share
			}
		}
		c.weight[k] = weight
		open += weight * g.open[c.cell[k]]
	}
	for k := range c.weight {
		c.weight[k] /= max(open, 1e-3)
	}
	return c
}

// of is the light on its way at a place.
func (c *corners) of(list []trace.Flow) (f trace.Flow) {
	for k, cell := range c.cell {
		from, weight := &list[cell], c.weight[k]
		f.Lux += weight * from.Lux
		f.Net.X, f.Net.Y, f.Net.Z = f.Net.X+weight*from.Net.X, f.Net.Y+weight*from.Net.Y, f.Net.Z+weight*from.Net.Z
	}
	return f
}

// moleculeBend is the weight of the square of the cosine in the phase function of molecules.
const moleculeBend = (1 - water.Depolarisation) / (1 + water.Depolarisation)

// sent are what molecules and particles send in a direction of the light on its way, for a coefficient of 1/m,
// cd/m2 for each metre of a line of sight.
type sent struct{ molecules, particles float64 }

func (s *sent) add(o sent) {
	s.molecules, s.particles = s.molecules+o.molecules, s.particles+o.particles
}

// lean is light on its way as a scattered ray needs it: its luminance if it went to all sides alike, its mean cosine
// about its direction, and the cosine between that and the direction to the eye.
func lean(f *trace.Flow, toEye space.Vector) (even, mean, cos float64) {
	net := f.Net.Length()
	if net > 0 {
		cos = min(max(f.Net.Dot(toEye)/net, -1), 1)
	}
	return f.Lux / (4 * math.Pi), min(net/max(f.Lux, math.SmallestNonzeroFloat64), 1), cos
}

// Cosines of the turns at which the rays of a cone are taken: 22.5 and 67.5 degrees, and as many on the other side.
const nearTurn, farTurn = 0.9238795325112867, 0.3826834323650898

// straightOn is what is sent of straight light, whose rays are taken to lie on a cone about their direction with the
// mean cosine that they have.
func (g *glow) straightOn(f *trace.Flow, toEye space.Vector) sent {
	even, mean, cos := lean(f, toEye)
	along, aside := mean*cos, math.Sqrt((1-mean*mean)*(1-cos*cos))
	particles := 0.0
	for _, turn := range [...]float64{nearTurn, farTurn, -farTurn, -nearTurn} {
		particles += henyey(g.asymmetry, along+aside*turn) / 4
	}
	return sent{even * molecular(along*along+aside*aside/2), even * particles}
}

// restOn is what is sent of light that was scattered or bounced before. Its directions are taken as spread about their
// mean after Henyey and Greenstein with the mean cosine that they have; scattering by their function once more
// multiplies the mean cosines, as both have powers of it as Legendre moments (addition theorem of spherical harmonics).
func (g *glow) restOn(f *trace.Flow, toEye space.Vector) sent {
	even, mean, cos := lean(f, toEye)
	square := (1 + mean*mean*(3*cos*cos-1)) / 3 // by the second moment
	return sent{even * molecular(square), even * henyey(g.asymmetry*mean, cos)}
}

// molecular is the phase function of molecules, 1 for all sides alike, for a mean square of the cosine.
func molecular(square float64) float64 { return 3 / (3 + moleculeBend) * (1 + moleculeBend*square) }

// henyey is the phase function of a mean cosine g, 1 for all sides alike. Source: L. G. Henyey, J. L. Greenstein 1941,
// Astrophysical Journal 93, 70-83.
func henyey(g, cos float64) float64 {
	k := 1 + g*g - 2*g*cos
	return (1 - g*g) / (k * math.Sqrt(k))
}

// glowing adds what the water sends into a line of sight on a way of s metres: the integral of the source
// function, weakened on the way to the eye (equation of radiative transfer).
func (r *ray) glowing(at space.Point, d space.Vector, s float64, p path) {
	if r.sight.glow == nil || r.glowTimes == 0 {
		return
	}
	g := r.sight.glow
	n := math.Ceil(s / glowStepM)
	step := s / n
	back := scaled(d, -1)
	for i := range int(n) {
		way := (float64(i) + 0.5) * step
		here := moved(at, d, way)
		c := g.about(here)
		weight := r.glowTimes * p.weight * step
		for k := range r.hues {
			h := &r.hues[k]
			straight, rest := c.of(g.flows[k][0]), c.of(g.flows[k][1])
			all := g.straightOn(&straight, back)
			all.add(g.restOn(&rest, back))
			r.see(between(&h.molecules, p.wayM+way), weight*all.molecules)
			r.see(between(&h.particles, p.wayM+way), weight*all.particles)
		}
	}
}

// Ways in the water for which hues are kept.
const (
	hueStepM = 0.1
	hueSteps = 40
)

// hues are the colours of the light of one kind by the way in the water: of 1 lm that sets out, its Y what is left; and
// of what molecules, particles and leaves send, its Y also the scattering coefficient, 1/m, or what leaves leave of it.
type hues struct{ straight, molecules, particles, leaves [hueSteps]colour.Tristimulus }

// Leaves reflect and let through most about greenNm, more than about it by a bell of greenWideNm over greenBase. Common
// practice, no published source: leaves are green.
const greenNm, greenWideNm, greenBase = 553, 38, 0.25

func leafGreen(nm float64) float64 {
	return greenBase + math.Exp(-0.5*math.Pow((nm-greenNm)/greenWideNm, 2))
}

func newHues(s photometry.Spectrum, body water.Body) (h hues) {
	green := s.LuminousShare(leafGreen)
	for i := range hueSteps {
		left := func(nm float64) float64 {
			return math.Exp(-body.AttenuationPerM(nm, water.Unscattered) * hueStepM * float64(i))
		}
		of := func(factor func(nm float64) float64) colour.Tristimulus {
			both := func(nm float64) float64 { return factor(nm) * left(nm) }
			share := s.LuminousShare(both)
			if share <= 0 {
				return colour.Tristimulus{}
			}
			return colour.Of(s.Filtered(both)).Times(share)
		}
		h.straight[i] = of(func(float64) float64 { return 1 })
		h.molecules[i], h.particles[i] = of(body.MolecularScatterPerM), of(body.ParticleScatterPerM)
		h.leaves[i] = of(func(nm float64) float64 { return leafGreen(nm) / green })
	}
	return h
}

// after is the colour after a way in the water, Y the share of the lumens that is left.
func (h *hues) after(wayM float64) colour.Tristimulus { return between(&h.straight, wayM) }

func between(list *[hueSteps]colour.Tristimulus, wayM float64) colour.Tristimulus {
	at := min(wayM/hueStepM, hueSteps-1.001)
	i := int(at)
	a, b, k := &list[i], &list[i+1], at-float64(i)
	return colour.Tristimulus{X: a.X + k*(b.X-a.X), Y: a.Y + k*(b.Y-a.Y), Z: a.Z + k*(b.Z-a.Z)}
}
