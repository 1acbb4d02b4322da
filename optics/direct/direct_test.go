package direct

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/integrate/quad"

	"fathomlux/optics/beam"
	"fathomlux/optics/model"
	"fathomlux/optics/result"
	"fathomlux/optics/stack"
	"fathomlux/optics/walls"
	"fathomlux/scene/space"
)

// dry turns a tank into one without water: the plane at depth 0 lies in air, 1e-9 m of water on it.
func dry(s *setup) *setup {
	s.RimM += s.DepthM
	s.DepthM = 0
	return s
}

// airLux returns illuminance at a plane in air; the loss of 2 % at the water surface is undone ray by ray.
func airLux(t *testing.T, e *Engine, src *model.Source, x, y float64) float64 {
	t.Helper()
	c, _ := e.columns(0, e.model.HeightM(*src), 0)
	rho := math.Hypot(x-src.Position.X, y-src.Position.Y)
	return luxAt(t, e, x, y, 0) / c.Transmittance(rho/c.AirM)
}

func TestInverseSquareAndCosineCubed(t *testing.T) {
	// Source: inverse-square cosine law E = I cos^3(theta)/h^2 (any photometry text; A1 to A8 of the worked examples use it).
	s := dry(tank(t))
	s.Beams[0] = shape(t, beam.Shape{BeamRad: 120 * deg})
	src := hang(s, 0.6, 0.2, 0.5)
	e := engine(t, s)
	for _, x := range []float64{0.6, 0.7, 0.95, 1.19} {
		r := x - 0.6
		cos := 0.5 / math.Hypot(r, 0.5)
		intensity := 100 / math.Pi * cos // Lambertian: I0 = flux/pi
		near(t, "lux", airLux(t, e, src, x, 0.2), intensity*cos*cos*cos/0.25, 1e-5*100/math.Pi/0.25)
	}
}

func TestAxisLaw(t *testing.T) {
	// E on the axis is I*T/(h + t/n_g + d/n_w)^2: design formula, worked examples D2 and D9.
	s := tank(t)
	s.Cover = &model.Cover{UndersideM: 0.03, ThicknessM: 0.004, Index: 1.52, AbsorbPerM: func(float64) float64 { return 0 }}
	hang(s, 0.6, 0.2, 0.2)
	e := engine(t, s)
	n := s.Water.Index()
	surface := math.Pow((n-1)/(n+1), 2)
	apparent := 0.196 + 0.004/1.52 + 0.42/n
	want := s.Beams[0].PeakPerLumen() * 100 * 0.918318 * (1 - surface) / (apparent * apparent) // pane: C16
	near(t, "axis", luxAt(t, e, 0.6, 0.2, 0.42), want, 2e-6*want)
}

func TestOffAxisAgainstRayTubes(t *testing.T) {
	// The flux through a ring of the floor, by gonum's quadrature of intensity times transmittance over directions, against
	// the engine's illuminance integrated over the same ring: the landing equation and the spread are not shared.
	s := tank(t)
	s.LengthM, s.WidthM = 40, 40
	src := hang(s, 20, 20, 0.2)
	for _, angle := range []float64{40, 120} {
		s.Beams[0] = shape(t, beam.Shape{BeamRad: angle * deg})
		e := engine(t, s)
		c, _ := e.columns(0, 0.2, 0.42)
		land := func(theta float64) float64 { // Snell by hand
			n := s.Water.Index()
			return 0.2*math.Tan(theta) + 0.42*math.Tan(math.Asin(math.Sin(theta)/n))
		}
		for _, zone := range [][2]float64{{0, 10}, {20, 30}, {45, 60}, {70, 80}} {
			a, b := zone[0]*deg, zone[1]*deg
			want := quad.Fixed(func(theta float64) float64 {
				i := s.Beams[0].PerLumen(space.Vector{X: math.Sin(theta), Z: math.Cos(theta)}) * src.LeavingLm
				return i * c.Transmittance(math.Tan(theta)) * 2 * math.Pi * math.Sin(theta)
			}, a, b, 64, nil, 0)
			got := quad.Fixed(func(rho float64) float64 {
				return luxAt(t, e, 20+rho, 20, 0.42) * 2 * math.Pi * rho
			}, land(a), land(b), 64, nil, 0)
			peak := luxAt(t, e, 20, 20, 0.42) // tracks are good to measured.missShare of the highest value
			area := math.Pi * (land(b)*land(b) - land(a)*land(a))
			near(t, "ring flux", got, want, measured.missShare*peak*area+1e-6*want)
		}
	}
}

func TestWidePlaneKeepsTheFlux(t *testing.T) {
	// Energy: all light that passes the surface lands somewhere on a plane wide enough.
	s := tank(t)
	s.LengthM, s.WidthM = 6, 6
	hang(s, 3, 3, 0.2)
	e := engine(t, s)
	f := plane(t, e, 0.42, result.NewGrid(6, 6, 0.01))
	want := quad.Fixed(func(theta float64) float64 {
		c, _ := e.columns(0, 0.2, 0.42)
		return s.Beams[0].PerLumen(space.Vector{X: math.Sin(theta), Z: math.Cos(theta)}) * 100 * 2 * math.Pi * math.Sin(theta) * c.Transmittance(math.Tan(theta))
	}, 0, math.Pi/2, 200, nil, 0)
	near(t, "flux", flux(f), want, 1e-3*want)
	b := e.Balance()
	near(t, "flux balance: floor", b.Floor, want, 1e-3*want)
	near(t, "flux balance: sum", b.Sum(), b.Emitted, 1e-9*b.Emitted)
}

func TestMirrorTankKeepsItsFlux(t *testing.T) {
	// Identity of worked examples, section B: with perfect mirrors and no absorption the floor gets what enters the water.
	s := tank(t)
	s.Walls = mirrors(1)
	for _, angle := range []float64{25, 60, 120} {
		s.Beams[0] = shape(t, beam.Shape{BeamRad: angle * deg})
		s.Sources = nil
		hang(s, 0.3, 0.1, 0.05) // below the rim: no light spills
		hang(s, 1.0, 0.33, 0.05)
		e := engine(t, s)
		f := plane(t, e, 0.42, result.NewGrid(1.2, 0.4, 0.005))
		b := e.Balance()
		entered := b.Emitted - b.Surface - b.Spill
		near(t, "floor flux", flux(f), entered, 2e-3*entered)
		if b.Walls > 1e-9 || b.Spill > 0.002*b.Emitted {
			t.Errorf("%g deg: walls took %g lm, spill %g lm", angle, b.Walls, b.Spill)
		}
	}
}

func TestImagesAgainstBruteForce(t *testing.T) {
	// An independent unfolding: a ray is bounced between glass walls step by step in the tank itself, and the cell that it
	// lands in is compared with the engine by following each image's direction from the source.
	s := tank(t)
	s.Walls = glass
	s.Walls[model.Back] = walls.Wall{Kind: walls.Mirror, Reflectance: 0.9}
	s.Beams[0] = shape(t, beam.Shape{BeamRad: 100 * deg})
	src := hang(s, 0.25, 0.12, 0.15)
	e := engine(t, s)
	for _, at := range [][2]float64{{0.05, 0.05}, {0.6, 0.2}, {0.9, 0.39}, {0.3, 0.01}} {
		got := luxAt(t, e, at[0], at[1], 0.42)
		want := bruteForce(s, src, at[0], at[1], e.Orders())
		near(t, "lux", got, want, 2e-5*want)
	}
}

// bruteForce sums over images with its own bouncing: for each target image it solves the direction, then walks the ray in
// the real tank from wall to wall, multiplying each wall's reflectance by its real medium.
func bruteForce(s *setup, src *model.Source, x, y float64, o Orders) float64 {
	h := s.HeightM(*src)
	c := stack.Column{AirM: h, WaterM: s.DepthM, WaterIndex: s.Water.Index()}
	if s.Cover != nil {
		c.Pane = stack.Pane{ThicknessM: s.Cover.ThicknessM, Index: s.Cover.Index}
		c.AirM -= s.Cover.ThicknessM
	}
	var sum float64
	for mx := -o.X; mx <= o.X; mx++ {
		for my := -o.Y; my <= o.Y; my++ {
			tx := x + float64(mx)*s.LengthM
			if mx%2 != 0 {
				tx = float64(mx+1)*s.LengthM - x
			}
			ty := y + float64(my)*s.WidthM
			if my%2 != 0 {
				ty = float64(my+1)*s.WidthM - y
			}
			dx, dy := tx-src.Position.X, ty-src.Position.Y
			rho := math.Hypot(dx, dy)
			tan := c.SolveTan(rho, 0)
			cos := 1 / math.Sqrt(1+tan*tan)
			local := space.Vector{X: math.Sqrt(1 - cos*cos), Z: cos}
			e := src.LeavingLm * s.Beams[src.Beam].PerLumen(local) * c.Transmittance(tan) * c.Spread(tan)
			_, airM := c.Land(tan)
			sum += e * bounce(s, src, bounced{tan: tan, airM: airM, rhoM: rho}, [2]float64{dx / rho, dy / rho})
		}
	}
	return sum
}

// bounced is a ray as it is walked: its tangent in air, and its ways to the water and to the floor.
type bounced struct{ tan, airM, rhoM float64 }

// bounce walks a ray horizontally until its whole way is done and returns what the walls leave of it.
func bounce(s *setup, src *model.Source, r bounced, d [2]float64) float64 {
	h, tan, rho := s.HeightM(*src), r.tan, r.rhoM
	sin := tan / math.Sqrt(1+tan*tan)
	n := s.Water.Index()
	p := [2]float64{src.Position.X, src.Position.Y}
	size := [2]float64{s.LengthM, s.WidthM}
	sides := [2][2]model.Side{{model.Left, model.Right}, {model.Front, model.Back}}
	kept, done := 1.0, 0.0
	for {
		axis, step := -1, rho-done
		for a := range 2 {
			to := -1.0
			if d[a] > 0 {
				to = (size[a] - p[a]) / d[a]
			} else if d[a] < 0 {
				to = -p[a] / d[a]
			}
			if to > 1e-12 && to < step {
				axis, step = a, to
			}
		}
		if axis < 0 {
			return kept
		}
		done += step
		p[0], p[1] = p[0]+step*d[0], p[1]+step*d[1]
		side := sides[axis][0]
		if d[axis] > 0 {
			side = sides[axis][1]
		}
		air := r.airM
		cos := sin * math.Abs(d[axis])
		switch {
		case done < air && h-done/tan > s.RimM:
			return 0
		case done < air:
			kept *= s.Walls[side].InAir(cos)
		default:
			kept *= s.Walls[side].InWater(cos, n)
		}
		d[axis] = -d[axis]
	}
}

func TestPaneShiftsRays(t *testing.T) {
	t.Parallel()
	// Snell's law: sin 40 deg = 1.52 sin b, and a ray leaves a pane by its thickness times tan b further on.
	s := tank(t)
	s.Cover = &model.Cover{UndersideM: 0.02, ThicknessM: 0.01, Index: 1.52, AbsorbPerM: func(float64) float64 { return 0 }}
	hang(s, 0.6, 0.2, 0.15)
	r := &ray{bundle: &bundle{engine: engine(t, s)}, at: s.Sources[0].Position, lumens: 1,
		d: space.Vector{X: math.Sin(40 * deg), Z: -math.Cos(40 * deg)}}
	if !r.throughCover(s.Cover, 0) {
		t.Fatal("nothing gets through")
	}
	inside := math.Asin(math.Sin(40*deg) / 1.52)
	near(t, "place under the pane, m", r.at.X, 0.6+(0.15-0.03)*math.Tan(40*deg)+0.01*math.Tan(inside), 1e-12) // rounding
}

func TestNodesBetweenLieOnTheParabola(t *testing.T) {
	t.Parallel()
	// Middles that are read off neighbours are exact where these lie on a parabola.
	parabola := func(x float64) float64 { return 3 - 0.7*x + 0.11*x*x }
	var nodes []node
	for i := range 7 {
		v := parabola(float64(i))
		nodes = append(nodes, node{lux: v, ppfd: 2 * v, sin: v / 10, tan: 3 * v, water: v / 20})
	}
	for i, got := range (trackMaker{}).between(nodes, false) {
		v := parabola(float64(i) / 2)
		near(t, "lux", got.lux, v, 1e-12) // rounding
		near(t, "ppfd", got.ppfd, 2*v, 1e-12)
		near(t, "sin", got.sin, v/10, 1e-12)
		near(t, "tan", got.tan, 3*v, 1e-12)
		near(t, "water", got.water, v/20, 1e-12)
	}
}
