package view

import (
	"math"

	"fathomlux/optics/result"
	"fathomlux/scene"
	"fathomlux/scene/colour"
	"fathomlux/scene/space"
)

// glare finds the dies that an eye sees straight through the air, clear walls and the cover, as bright as they are, what
// screens would hide them, and the light that comes to the eye.
func (w *sight) glare(sc *scene.Scene, o Options) (g result.Glare) {
	look := unit(space.Vector{X: o.Toward.X - o.Eye.X, Y: o.Toward.Y - o.Eye.Y, Z: o.Toward.Z - o.Eye.Z})
	seats := sc.Seats()
	g.All = len(seats)
	heights := map[int]float64{}
	for i := range w.dies {
		l := &w.dies[i]
		c := l.source.Position
		d := space.Vector{X: c.X - o.Eye.X, Y: c.Y - o.Eye.Y, Z: c.Z - o.Eye.Z}
		far := d.Length()
		d = scaled(d, 1/max(far, liftM))
		_, cd := l.meet(o.Eye, d)
		share := w.open(o.Eye, d, far)
		if cd *= share; !(cd > 0) {
			continue
		}
		g.DiesLx += share * l.cd(scaled(d, -1)) / (far * far) * max(0, d.Dot(look))
		at := l.source.Module
		if n := len(g.Modules); n == 0 || g.Modules[n-1].Module != at {
			g.Modules = append(g.Modules, result.SeenModule{Module: at, DistanceM: far})
		}
		last := &g.Modules[len(g.Modules)-1]
		last.LuminanceCd = max(last.LuminanceCd, cd)
		rail := seats[at].Rail
		if n := len(g.Screens); n == 0 || g.Screens[n-1].Rail != rail {
			g.Screens = append(g.Screens, result.Screen{Rail: rail})
			heights[rail] = w.DepthM + sc.Rails[rail].AboveWaterM
		}
		s := &g.Screens[len(g.Screens)-1]
		s.HeightM = max(s.HeightM, screenM(&sc.Rails[rail], heights[rail], o.Eye, l))
	}
	g.TankLx = w.tankLx(o.Eye, look)
	return g
}

// open is the share of light that comes through the air from a way ahead, 0 where something opaque or water is between.
func (w *sight) open(at space.Point, d space.Vector, farM float64) float64 {
	if at.Z < w.DepthM && at.Z > 0 && w.fence.Holds(at, d) {
		return 0
	}
	r := &ray{sight: w}
	share := 1.0
	for range mostMet {
		next := r.inAir(at, d)
		if next.s >= farM-2*dieRadiusM {
			return share
		}
		to := moved(at, d, next.s)
		switch {
		case next.what == coverPane:
			ts, tp, _, _ := w.cover.Polarised(math.Abs(d.Z))
			share *= (ts + tp) / 2
		case next.what == wall && to.Z >= w.DepthM && w.panes[next.edge].matt == nil && w.panes[next.edge].Reflectance == 0:
			p := &w.panes[next.edge]
			share *= 1 - p.InAir(math.Abs(d.Dot(p.normal(to, d))))
		default:
			return 0
		}
		at, farM = to, farM-next.s
	}
	return 0
}

// screenM is how far below the emitting face, at some height over the floor, a screen at the edge of a rail that faces an
// eye has to reach to hide a die: to the line from the eye to the far edge of its opening, where that passes the screen.
// 0 where no screen at that edge is between them.
func screenM(r *scene.Rail, faceM float64, eye space.Point, l *die) float64 {
	sin, cos := math.Sincos(r.TurnRad)
	midX, midY := r.At(r.LeftM + r.LengthM/2)
	across := func(at space.Point) float64 { return (at.Y-midY)*cos - (at.X-midX)*sin } // from the rail's middle line
	from, die := across(eye), across(l.source.Position)
	edge := math.Copysign(r.Profile.WidthM/2, from)
	die -= math.Copysign(l.radiusM, from)
	if (from-edge)*(edge-die) <= 0 { // the eye is under the rail, or the die beyond its edge
		return 0
	}
	share := (edge - die) / (from - die) // of the way from the die to the eye
	return max(0, faceM-(l.source.Position.Z+share*(eye.Z-l.source.Position.Z)))
}

// tankLines is the number of lines of sight by which the light at the eye is found. They lie on a spiral whose turns are
// apart by the golden angle, so that they are even over the circle.
const tankLines = 1 << 13

var goldenAngle = math.Pi * (3 - math.Sqrt(5))

// tankLx is the illuminance of a face at an eye that looks some way, from all but the dies themselves and the room:
// pi times the mean luminance over directions that are as frequent as their cosine with that way (Lambert).
func (w *sight) tankLx(eye space.Point, look space.Vector) float64 {
	dark := *w
	dark.roomCd, dark.dies, dark.lamps = 0, nil, nil
	right := unit(space.Vector{X: look.Y, Y: -look.X, Z: 0})
	if math.Hypot(look.X, look.Y) < 1e-6 {
		right = space.Vector{X: 1}
	}
	up := space.Vector{X: right.Y * look.Z, Y: -right.X * look.Z, Z: right.X*look.Y - right.Y*look.X}
	var all colour.Tristimulus
	const n = tankLines
	for i := range n {
		sin2, turn := (float64(i)+0.5)/n, goldenAngle*float64(i)
		sin, cos := math.Sqrt(sin2), math.Sqrt(1-sin2)
		a, b := sin*math.Cos(turn), sin*math.Sin(turn)
		d := space.Vector{X: cos*look.X + a*right.X + b*up.X, Y: cos*look.Y + a*right.Y + b*up.Y,
			Z: cos*look.Z + a*right.Z + b*up.Z}
		r := &ray{sight: &dark, share: 1.0 / n, glowTimes: 1}
		r.from(eye, d, path{weight: 1})
		all = all.Plus(r.light)
	}
	return math.Pi * all.Y
}
