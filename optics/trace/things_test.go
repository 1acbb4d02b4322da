package trace

import (
	"math"
	"math/rand/v2"
	"testing"

	"fathomlux/optics/model"
	"fathomlux/optics/result"
	"fathomlux/optics/walls"
	"fathomlux/scene/form"
	"fathomlux/scene/longtest"
	"fathomlux/scene/space"
)

// cube is a tank of 1 m of water that neither absorbs nor scatters, with black walls and a black ground.
func cube(m *model.Model) (*world, *colour) {
	w := newTank(model.Tank{LengthM: 1, WidthM: 1}, 1, 1)
	m.Faces = model.Tank{LengthM: 1, WidthM: 1, Walls: [4]walls.Wall{diffuse(0), diffuse(0), diffuse(0), diffuse(0)}}.Upright(1)
	w.shaped = newShaped(m, 1)
	c := newColour(medium{}, medium{}, 1)
	return w, &c
}

// counted traces n photons and returns what lands on some place by the cells of a grid, in histories.
func counted(w *world, c *colour, on Place, g result.Grid, n int64, aim func(p *probe, q *photon)) []light {
	p := newProbe(w, c, photon{in: wet, entered: true})
	sheets, cells := w.sheetsOf([]Plane{{DepthM: 1, Grid: g, On: on}}, 1)
	sums := &planes{sheets: sheets, light: make([]light, cells), count: [2]bool{true, true}}
	p.tally = sums
	for i := range n {
		p.once(i, func(q *photon) { aim(p, q) })
	}
	return sums.light
}

// from lights the surface evenly along one direction.
func from(d space.Vector) func(p *probe, q *photon) {
	return func(p *probe, q *photon) {
		q.at, q.d = space.Point{X: p.random.unit(), Y: p.random.unit(), Z: 1}, d
	}
}

// TestSlopesGetTheCosine: P6. Under light from straight above a slope gets the level's illuminance times the cosine of
// its angle: the same lumens on a larger surface. Under light aslant it is the cosine of the angle of incidence.
func TestSlopesGetTheCosine(t *testing.T) {
	t.Parallel()
	const n = 40_000
	for _, rise := range []float64{0, 0.1, 0.4} {
		slope := form.Slope(1, 1, [4]float64{0, 0, rise, rise})
		g := result.NewGrid(1, 1, 0.5)
		area := g.StepXM * g.StepYM * slope.Stretch(space.Area{ToXM: 1, ToYM: 1})
		for _, d := range []space.Vector{{Z: -1}, {Y: 0.28, Z: -0.96}, {Y: -0.28, Z: -0.96}} {
			w, c := cube(&model.Model{Ground: &slope})
			cells := counted(w, c, OnGround, g, n, from(d))
			want := -slope.Normal(0.5, 0.5).Dot(d) / -d.Z // over the level illuminance of 1
			for i, v := range cells[2:] {                 // those at the back
				if d.Y < 0 {
					v = cells[i]
				}
				near(t, "illuminance", v.lux/n/area, want, 4*math.Sqrt(want/area/n))
			}
		}
	}
}

// TestThingsGetTheirProjection: light along one direction lands on a solid as on its outline seen from there. Of a
// cylinder pi r^2 cos on its top and 2 r h sin on its side, of an ellipsoid pi sqrt((bc x)^2 + (ac y)^2 + (ab z)^2), of a
// box each face times its cosine: closed forms.
func TestThingsGetTheirProjection(t *testing.T) {
	t.Parallel()
	const n = 60_000
	middle := space.Point{X: 0.5, Y: 0.5, Z: 0.35}
	for _, c := range []struct {
		kind form.Kind
		half space.Vector
		want func(d space.Vector) map[string]float64 // seen areas
	}{
		{form.Cylinder, space.Vector{X: 0.12, Y: 0.12, Z: 0.2}, func(d space.Vector) map[string]float64 {
			return map[string]float64{"top": math.Pi * 0.12 * 0.12 * -d.Z, "side": 0.24 * 0.4 * math.Hypot(d.X, d.Y), "underside": 0}
		}},
		{form.Ellipsoid, space.Vector{X: 0.25, Y: 0.15, Z: 0.1}, func(d space.Vector) map[string]float64 {
			return map[string]float64{"": math.Pi * math.Sqrt(math.Pow(0.015*d.X, 2)+math.Pow(0.025*d.Y, 2)+math.Pow(0.0375*d.Z, 2))}
		}},
		{form.Box, space.Vector{X: 0.1, Y: 0.15, Z: 0.2}, func(d space.Vector) map[string]float64 {
			return map[string]float64{"top": 0.06 * -d.Z, "left": 0.12 * max(d.X, 0), "front": 0.08 * max(d.Y, 0), "back": 0.08 * max(-d.Y, 0), "right": 0}
		}},
		{form.Wedge, space.Vector{X: 0.1, Y: 0.2, Z: 0.2}, func(d space.Vector) map[string]float64 {
			return map[string]float64{"slope": 0.08 * (d.Y - d.Z), "left": 0.08 * max(d.X, 0)}
		}},
		{form.Lying, space.Vector{X: 0.2, Y: 0.1, Z: 0.1}, func(d space.Vector) map[string]float64 {
			return map[string]float64{"": 0.08*math.Hypot(d.Y, d.Z) + 0.01*math.Pi*math.Abs(d.X)}
		}},
	} {
		for _, d := range []space.Vector{{Z: -1}, {X: 0.28, Z: -0.96}, {X: 0.1, Y: 0.2, Z: -math.Sqrt(0.95)}} {
			solid := form.NewSolid(c.kind, middle, c.half, 0)
			w, colour := cube(&model.Model{Solids: []model.Solid{{Pile: form.NewPile([]form.Solid{solid})}}})
			patches := solid.Patches(func(space.Point) bool { return true })
			got, all := map[string]float64{}, 0.0
			for i, v := range counted(w, colour, OnSolids, result.Grid{NX: len(patches), NY: 1, StepXM: 1, StepYM: 1}, n, from(d)) {
				got[patches[i].Face] += v.lux / n
				all += v.lux / n
			}
			got[""] = all
			for face, area := range c.want(d) {
				want := area / -d.Z
				near(t, form.Kinds[c.kind]+", "+face, got[face], want, four(want, n)+1e-9)
			}
		}
	}
}

// TestASphereOverAPlate: of what a small matt plate sends up, a sphere right over it gets (r/h)^2. Source: view factors
// of a differential planar element to a sphere, J. R. Howell's catalogue of configuration factors (id from memory: B-42).
func TestASphereOverAPlate(t *testing.T) {
	t.Parallel()
	const n = 60_000
	sphere := form.NewSolid(form.Ellipsoid, space.Point{X: 0.5, Y: 0.5, Z: 0.4}, space.Vector{X: 0.2, Y: 0.2, Z: 0.2}, 0)
	w, c := cube(&model.Model{Solids: []model.Solid{{Pile: form.NewPile([]form.Solid{sphere})}}})
	upper, lower := 0.0, 0.0
	patches := sphere.Patches(func(space.Point) bool { return true })
	for i, v := range counted(w, c, OnSolids, result.Grid{NX: len(patches), NY: 1, StepXM: 1, StepYM: 1}, n, func(p *probe, q *photon) {
		q.at = space.Point{X: 0.5, Y: 0.5}
		p.lambert(q, model.Ground)
	}) {
		if patches[i].Face == "top" {
			upper += v.lux / n
		} else {
			lower += v.lux / n
		}
	}
	near(t, "view factor", lower, 0.25, four(0.25, n))
	near(t, "upper half", upper, 0, 0)
}

// withForms adds a ground, things under water and above it, and a bare bottom pane to a random tank.
func withForms(s *setup, r *rand.Rand) *model.Model {
	m := s.build()
	m.Faces = s.Tank.Upright(m.DepthM)
	between := func(low, high float64) float64 { return low + (high-low)*r.Float64() }
	if r.IntN(3) > 0 {
		g := &form.Ground{LengthM: s.LengthM, WidthM: s.WidthM, NX: 2 + r.IntN(4), NY: 2 + r.IntN(4)}
		for range g.NX * g.NY {
			g.HeightsM = append(g.HeightsM, between(0, 0.4)*m.DepthM)
		}
		m.Ground = g
	} else {
		m.Faces[len(m.Faces)-1].Material = walls.Wall{Kind: walls.Film, Index: 1.52, Reflectance: between(0, 0.9), Lost: between(0, 0.1)}
	}
	top := m.DepthM + s.RimM
	if m.Cover != nil {
		top = min(top, m.DepthM+m.Cover.UndersideM)
	}
	for range 1 + r.IntN(3) {
		var pieces []form.Solid
		for range 1 + r.IntN(8) { // they may overlap, and stand out of the water
			half := space.Vector{X: between(0.01, 0.1), Y: between(0.01, 0.1), Z: between(0.01, 0.2) * top}
			at := space.Point{X: between(0, s.LengthM), Y: between(0, s.WidthM), Z: between(0, top-half.Z)}
			pieces = append(pieces, form.NewSolid(form.Kind(r.IntN(len(form.Kinds))), at, half, between(-3, 3)))
		}
		m.Solids = append(m.Solids, model.Solid{Pile: form.NewPile(pieces), Reflectance: between(0, 0.9)})
	}
	return m
}

// TestBalancesWithFormsClose: every lumen of random tanks with ground and things ends somewhere; what
// lands on things is what they keep over what they do not send back.
func TestBalancesWithFormsClose(t *testing.T) {
	t.Parallel()
	r := rand.New(rand.NewPCG(17, 3))
	for i := range longtest.Pick(4, 100) {
		s := anyModel(t, r, false)
		s.Boxes = nil
		m := withForms(s, r)
		n := 0
		for _, one := range m.Solids {
			for k := range one.Solids {
				n += one.Solids[k].PatchCount()
			}
		}
		o := Options{Photons: 1 << 13, Workers: 2, Planes: []Plane{{On: OnSolids, Grid: result.Grid{NX: n, NY: 1, StepXM: 1, StepYM: 1}},
			{DepthM: s.DepthM, On: OnGround, Grid: coarse(s)}}}
		a, err := Run(t.Context(), m, o)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "lumens", a.Balance.Sum(), a.Balance.Emitted, 1e-9*a.Balance.Emitted)
		kept, patch := 0.0, 0
		for _, one := range m.Solids {
			for k := range one.Solids {
				for range one.Solids[k].PatchCount() {
					kept += (1 - one.Reflectance) * a.Planes[0].Field.Illuminance[patch]
					patch++
				}
			}
		}
		chance := func(lm float64) float64 { // parts are sent back by chance
			return 4 * math.Sqrt(lm*a.Balance.Emitted/float64(o.Photons))
		}
		near(t, "kept by things", a.Balance.Obstacles, kept, chance(kept))
		if m.Ground != nil {
			landed := mean(a.Planes[1].Field.Illuminance) * s.LengthM * s.WidthM
			floor := (1 - s.FloorReflectance) * landed
			near(t, "kept by the ground", a.Balance.Floor, floor, chance(floor))
		}
		if t.Failed() {
			t.Fatalf("tank %d: %+v", i, a.Balance)
		}
	}
}

// TestASlopeOfZeroIsTheFloor: P5. A ground with heights of zero gives what the level floor gives: the same photons, which
// differ by rounding at a face alone.
func TestASlopeOfZeroIsTheFloor(t *testing.T) {
	t.Parallel()
	s := foyer(t)
	m := s.build()
	m.Faces = s.Tank.Upright(m.DepthM)
	o := Options{Photons: 1 << 15, Workers: 2, Planes: []Plane{{DepthM: s.DepthM, Grid: coarse(s)}}}
	level, err := Run(t.Context(), m, o)
	if err != nil {
		t.Fatal(err)
	}
	flat := form.Slope(s.LengthM, s.WidthM, [4]float64{})
	m.Ground, o.Planes[0].On = &flat, OnGround
	got, err := Run(t.Context(), m, o)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "mean", mean(got.Planes[0].Field.Illuminance), mean(level.Planes[0].Field.Illuminance), 1e-9*mean(level.Planes[0].Field.Illuminance))
	near(t, "floor", got.Balance.Floor, level.Balance.Floor, 1e-9*level.Balance.Floor)
}
