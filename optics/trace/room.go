package trace

import (
	"math"

	"fathomlux/optics/model"
	"fathomlux/scene/space"
)

// roomHistories tell the share of RoomLight to some 0.5 % of itself.
const roomHistories = 1 << 16

// RoomLight returns how much light a room that is equally bright on all sides of the tank gives the ground, in its mean
// over the level area and counting what is bounced: in parts of the illuminance that the room gives any face in the air.
// The rays are followed backwards, from the ground out through surface, cover and clear walls; of light that the ground
// would send out after Lambert, the share that gets out is this value over the square of the water's index, since
// radiance over that square stays the same along a ray. Source: the theorem of reciprocity, Helmholtz 1856; basic
// radiance, Nicodemus 1963 (from memory). Left out are what the panes of the walls absorb, dirt on them, and what the
// rails hide of the room. Absorption is that of the first source's light; the result is 0 where there is none.
func RoomLight(m *model.Model, seed uint64) float64 {
	w := newWorld(m, nil)
	if len(w.lamps) == 0 {
		return 0
	}
	var out light
	t := &tracer{world: w, usual: 1, tally: &planes{}, through: &out}
	for i, n := 0, uint64(0); i < roomHistories; n++ {
		t.random = stream(seed, int64(n))
		p, ok := t.fromGround()
		if !ok {
			continue
		}
		i++
		t.finish(&p)
	}
	return w.index * w.index * (out.lux + t.balance.Returned.lux) / roomHistories
}

// fromGround starts a history at a place of the ground, upwards after Lambert; ok is false for a place beside the tank
// or in something that stands there.
func (t *tracer) fromGround() (p photon, ok bool) {
	colour := &t.lamps[0].palette[t.random.bits()%colours]
	p = photon{w: 1, in: wet, rest: 1, met: true, entered: true, colour: colour, thinM: math.MaxFloat64}
	p.at = space.Point{X: t.random.unit() * t.LengthM, Y: t.random.unit() * t.WidthM, Z: onFaceM}
	if s := t.shaped; s != nil && s.ground != nil {
		p.at.Z += s.ground.HeightM(p.at.X, p.at.Y)
	}
	u := t.random.unit()
	sin, cos := around(t.random.unit())
	p.d = space.Vector{X: math.Sqrt(u) * cos, Y: math.Sqrt(u) * sin, Z: math.Sqrt(1 - u)}
	t.free(&p)
	return p, !t.beside(p.at, p.d) && !t.stands(p.at)
}

// stands tells whether something stands at a place under water.
func (t *tracer) stands(at space.Point) bool {
	if t.wet != nil && t.wet.Hold(at) {
		return true
	}
	if t.shaped != nil {
		for i := range t.shaped.solids {
			if t.shaped.solids[i].Holds(at) {
				return true
			}
		}
	}
	return false
}
