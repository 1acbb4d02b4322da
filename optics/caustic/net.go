package caustic

import (
	"context"
	"fmt"
	"math"

	"fathomlux/optics/model"
	"fathomlux/optics/parallel"
	"fathomlux/optics/result"
	"fathomlux/optics/stack"
	"fathomlux/optics/water"
	"fathomlux/scene/form"
	"fathomlux/scene/space"
	"fathomlux/scene/unit"
)

// Sizes of the mesh and of what is followed.
const (
	meshOfWave  = 18        // cells of the mesh a wave
	MostRays    = 8_000_000 // of all dies, in one moment
	dimmest     = 1e-5      // of a beam's peak, below which nothing is followed
	pieces      = 8         // of the dies, which are followed apart and added up in their order
	mostSplit   = 32        // parts into which a cell of the mesh is cut each way where its light is spread wide
	partsOfCell = 2.2       // such parts in a cell of the plane: fewer leave a raster
	flattest    = 0.05      // cosine to the vertical of rays that are not followed
	shadowParts = 4         // places each way by which a cell of the mesh finds how much of it is in shadow
)

// Plane is a level plane on which light is wanted.
type Plane struct {
	DepthM float64
	Grid   result.Grid
}

// Net is a tank's straight light through waves, ready for any moment.
type Net struct {
	model  *model.Model
	mesh   mesh
	planes []Plane
	index  float64
	walls  *form.Outline // of a tank that is no rectangle, else nil
	wet    []model.Obstacles
	lamps  []lamp
	Rays   int // that are followed at each moment
}

// lamp is one die: for a stretch of rows and columns of the mesh, the ray through each place of the mean surface.
type lamp struct {
	fromX, toX, fromY, toY int // both included
	rays                   []ray
	kept                   func(pathM float64) float64
}

// ray is a way to the side for each metre down, and the light that it stands for on the mean surface, of both
// polarisations behind the cover, lx or umol/m2/s.
type ray struct{ tx, ty, s, p float32 }

// New readies a model for waves of some length, in umol/m2/s where photons are asked for and else in lx. It is an error
// where there are too many rays.
func New(m *model.Model, waveM float64, planes []Plane, photons bool, workers int) (*Net, error) {
	box, err := m.Tank()
	if err != nil {
		box = m.Around()
	}
	n := &Net{model: m, mesh: newMesh(box.LengthM, box.WidthM, waveM/meshOfWave), planes: planes,
		index: m.Water.Index(), lamps: make([]lamp, len(m.Sources))}
	if rays := float64(n.mesh.places()) * float64(len(m.Sources)); rays > MostRays {
		return nil, fmt.Errorf("waves of %s take %s rays of all dies, more than the limit of %s; give water.ripple a "+
			"greater length", unit.Length.Say(waveM), unit.Count(rays), unit.Count(MostRays))
	}
	depths := make([]float64, len(planes))
	for i, p := range planes {
		depths[i] = p.DepthM
	}
	wet, dry, over := m.Layers(depths...)
	n.wet = []model.Obstacles{wet}
	if err != nil {
		o := m.Outline()
		n.walls = &o
	}
	air := sky{net: n, box: box, rimM: m.DepthM + box.WallsEndM(m.Cover), things: []model.Obstacles{dry, over}}
	_ = parallel.ForEach(context.Background(), workers, len(m.Sources), func(i int) { // without an end
		n.lamps[i] = n.lamp(&air, &m.Sources[i], photons)
	})
	for i := range n.lamps {
		n.Rays += len(n.lamps[i].rays)
	}
	return n, nil
}

// sky is what may stand between a die and the surface.
type sky struct {
	net    *Net
	box    model.Tank
	rimM   float64
	things []model.Obstacles
}

// open is the share of the light from a die to a place of the surface that nothing in the air and no leaf there stops.
func (s *sky) open(from, to space.Point) float64 {
	d := space.Vector{X: to.X - from.X, Y: to.Y - from.Y, Z: to.Z - from.Z}
	way := d.Length()
	d = space.Vector{X: d.X / way, Y: d.Y / way, Z: d.Z / way}
	for at, left := from, way; s.box.Outside(at); {
		on, side := s.box.NextWall(at, d, left)
		if side < 0 {
			break
		}
		at, left = space.Point{X: at.X + on*d.X, Y: at.Y + on*d.Y, Z: at.Z + on*d.Z}, left-on
		if enters, lost := s.box.AtWall(at, d, side, s.rimM); lost || !enters {
			return 0
		}
	}
	if s.net.blocked(s.things, from, d, way) || s.net.outside(to.X, to.Y) {
		return 0
	}
	return 1 - s.net.model.Floating.Hides(to.X, to.Y)
}

// around is the mean of open over the cell of the mesh about a place, so that shadows have no steps.
func (s *sky) around(from, to space.Point) (sum float64) {
	for j := range shadowParts {
		for i := range shadowParts {
			x := to.X + ((float64(i)+0.5)/shadowParts-0.5)*s.net.mesh.stepXM
			y := to.Y + ((float64(j)+0.5)/shadowParts-0.5)*s.net.mesh.stepYM
			sum += s.open(from, space.Point{X: min(max(x, 0), s.box.LengthM), Y: min(max(y, 0), s.box.WidthM), Z: to.Z})
		}
	}
	return sum / (shadowParts * shadowParts)
}

// blocked tells whether anything stands in a straight way.
func (n *Net) blocked(things []model.Obstacles, from space.Point, d space.Vector, way float64) bool {
	for _, t := range things {
		if t != nil && t.First(from, d, way) < way {
			return true
		}
	}
	for i := range n.model.Solids {
		if s, _ := n.model.Solids[i].First(from, d, way); s < way {
			return true
		}
	}
	return false
}

// outside tells whether a place is beyond walls that are no rectangle.
func (n *Net) outside(x, y float64) bool {
	return n.walls != nil && !n.walls.Holds(space.Point{X: x, Y: y})
}

// lamp follows the light of one die to the mean surface.
func (n *Net) lamp(air *sky, src *model.Source, photons bool) lamp {
	m, c, s := n.model, stack.Column{AirM: n.model.HeightM(*src)}, n.model.Spectra[src.Spectrum]
	scale := src.LeavingLm
	if photons {
		scale *= s.PPFDPerLux()
	}
	if v := m.Cover; v != nil {
		through := func(nm float64) float64 { return math.Exp(-v.AbsorbPerM(nm) * v.ThicknessM) }
		left := s.LuminousShare(through)
		if photons {
			left = s.PhotonShare(through)
		}
		c.AirM -= v.ThicknessM
		c.Pane = stack.Pane{ThicknessM: v.ThicknessM, Index: v.Index, AbsorbPerM: -math.Log(left) / v.ThicknessM,
			Hollow: v.Hollow, Scatter: v.Scatter}
		s = s.Filtered(through)
	}
	kept := m.Water.Table(s, water.Unscattered, 8*m.DepthM)
	l := lamp{kept: kept.Luminous, fromX: n.mesh.nx, fromY: n.mesh.ny, toX: -1, toY: -1}
	if photons {
		l.kept = kept.Photons
	}
	all := make([]ray, n.mesh.places())
	shape := m.Beams[src.Beam]
	for j := range n.mesh.ny + 1 {
		for i := range n.mesh.nx + 1 {
			at := space.Point{X: float64(i) * n.mesh.stepXM, Y: float64(j) * n.mesh.stepYM, Z: m.DepthM}
			x, y := at.X-src.Position.X, at.Y-src.Position.Y
			rho := math.Hypot(x, y)
			tan := c.SolveTan(rho, 0)
			cos := 1 / math.Sqrt(1+tan*tan)
			d := space.Vector{Z: -cos}
			if rho > 0 {
				d.X, d.Y = x/rho*tan*cos, y/rho*tan*cos
			}
			r := &all[j*(n.mesh.nx+1)+i]
			cos = max(cos, flattest)
			r.tx, r.ty = float32(d.X/cos), float32(d.Y/cos)
			light := shape.Fast(src.Frame.Local(d))
			if light < dimmest*shape.PeakPerLumen() || cos == flattest {
				continue
			}
			if light *= scale * c.Spread(tan) * air.around(src.Position, at); light == 0 {
				continue
			}
			ts, tp, _, _ := c.Pane.Polarised(cos)
			r.s, r.p = float32(light*ts/2), float32(light*tp/2)
			l.fromX, l.toX, l.fromY, l.toY = min(l.fromX, i), max(l.toX, i), min(l.fromY, j), max(l.toY, j)
		}
	}
	for j := l.fromY; j <= l.toY; j++ {
		l.rays = append(l.rays, all[j*(n.mesh.nx+1)+l.fromX:j*(n.mesh.nx+1)+l.toX+1]...)
	}
	return l
}

// Moment returns the light on the planes at a time, by cell. The same time gives the same bits for any number of
// workers.
func (n *Net) Moment(ctx context.Context, waves *Waves, timeS float64, workers int) ([][]float64, error) {
	s := &surface{n.mesh, make([]point, n.mesh.places())}
	if err := parallel.ForEach(ctx, workers, n.mesh.ny+1, func(j int) {
		waves.fill(n.mesh, timeS, j, s.points[j*(n.mesh.nx+1):][:n.mesh.nx+1])
	}); err != nil {
		return nil, err
	}
	parts := make([]*cells, pieces)
	err := parallel.ForEach(ctx, workers, pieces, func(i int) {
		parts[i] = newCells(n.planes)
		for k := i; k < len(n.lamps); k += pieces {
			n.follow(&n.lamps[k], s, parts[i])
		}
	})
	if err != nil {
		return nil, err
	}
	for _, p := range parts[1:] {
		parts[0].add(p)
	}
	return parts[0].light, nil
}

// landed is where a ray ends on a plane, and the light for which it stands.
type landed struct{ x, y, light float64 }

// follow spreads the light of one die.
func (n *Net) follow(l *lamp, s *surface, to *cells) {
	columns, rows, planes := l.toX-l.fromX+1, l.toY-l.fromY+1, len(n.planes)
	if columns < 2 || rows < 2 {
		return
	}
	ends := make([]landed, columns*rows*planes)
	for k := range l.rays {
		x, y := float64(l.fromX+k%columns)*s.stepXM, float64(l.fromY+k/columns)*s.stepYM
		n.refract(l, &l.rays[k], s, x, y, ends[k*planes:])
	}
	for p := range planes {
		at := func(i, j int) landed { return ends[(j*columns+i)*planes+p] }
		for j := range rows - 1 {
			for i := range columns - 1 {
				to.spread(p, s.stepXM*s.stepYM, patchOf(at, i, j, columns, rows))
			}
		}
	}
}

// refract takes a ray through the waves down to the planes.
func (n *Net) refract(l *lamp, r *ray, s *surface, x, y float64, to []landed) {
	m := n.model
	at, normal := s.meet(x, y, float64(r.tx), float64(r.ty))
	k := 1 / math.Sqrt(1+float64(r.tx)*float64(r.tx)+float64(r.ty)*float64(r.ty))
	d := space.Vector{X: float64(r.tx) * k, Y: float64(r.ty) * k, Z: -k}
	cos := -d.Dot(normal)
	light := 0.0
	if r.s+r.p > 0 && cos > 0 {
		rs, rp := stack.Fresnel(1, n.index, cos)
		light = float64(r.s)*(1-rs) + float64(r.p)*(1-rp)
	}
	turn := cos/n.index - math.Sqrt(1-(1-cos*cos)/(n.index*n.index))
	d = space.Vector{X: d.X/n.index + turn*normal.X, Y: d.Y/n.index + turn*normal.Y, Z: d.Z/n.index + turn*normal.Z}
	at.Z += m.DepthM
	for p := range n.planes {
		way := (m.DepthM - n.planes[p].DepthM - at.Z) / d.Z
		to[p] = landed{x: at.X + way*d.X, y: at.Y + way*d.Y}
		if light > 0 && !n.blocked(n.wet, at, d, way) && !n.outside(to[p].x, to[p].y) {
			to[p].light = light * l.kept(way) * m.LeavesPass(at, d, way)
		}
	}
}
