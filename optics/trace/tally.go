package trace

import (
	"math"

	"fathomlux/optics/model"
	"fathomlux/optics/result"
	"fathomlux/optics/water"
	"fathomlux/scene/photometry"
)

// light is what lands in one cell: lumens and micromoles a second, in units of a history.
type light struct{ lux, ppfd float64 }

func (l *light) add(o light) { l.lux, l.ppfd = l.lux+o.lux, l.ppfd+o.ppfd }

// of returns the lumens (0) or the photons (1).
func (l *light) of(q int) float64 {
	if q == 0 {
		return l.lux
	}
	return l.ppfd
}

// addPart adds k times other light.
func (l *light) addPart(o light, k float64) { l.lux, l.ppfd = l.lux+k*o.lux, l.ppfd+k*o.ppfd }

// sheet is one plane to count on: where its cells stand in a list of light, module by module where these are kept
// apart, and the sums over batches.
type sheet struct {
	heightM    float64 // above the floor
	perX, perY float64 // cells a metre
	nx, ny     int
	from       int
	apart      int // cells from one module to the next, 0 where they are summed
	modules    int
	plane      Plane

	sums, own []exactLight // by cell of the whole, and by module and cell where they are kept apart
	squares   []exact      // of the lumens, by cell
	square    exact        // of the lumens of the whole plane
	batch     []light      // scratch
}

// sheetsOf lays planes out one after another and returns the number of cells of all.
func (w *world) sheetsOf(planes []Plane, modules int) (list []sheet, cells int) {
	for _, p := range planes {
		n := p.Grid.Cells()
		s := sheet{nx: p.Grid.NX, ny: p.Grid.NY, perX: 1 / p.Grid.StepXM, perY: 1 / p.Grid.StepYM, from: cells,
			modules: 1, plane: p,
			sums: make([]exactLight, n), squares: make([]exact, n), batch: make([]light, n)}
		// A flight's end does not count as crossed, its start does: a plane on the floor is lifted by a hair.
		s.heightM = min(max(w.depthM-p.DepthM, 1e-9*w.depthM), w.depthM)
		if p.PerModule {
			s.apart, s.modules = n, max(1, modules)
			s.own = make([]exactLight, n*s.modules)
		}
		list = append(list, s)
		cells += s.modules * n
	}
	return list, cells
}

// planes is the tally of what crosses sheets on its way down.
type planes struct {
	sheets []sheet
	count  [2]bool // whether crossings count: of the straight light, of the rest
	light  []light // of all sheets' cells
	flows  *flows  // nil where no light on its way is counted
}

func (t *planes) fly(p *photon, s float64, _ model.Side) {
	if t.flows != nil {
		t.flows.fly(p, s)
	}
	if !(p.d.Z < 0 && t.count[p.rest]) {
		return
	}
	low, perM := p.at.Z+p.d.Z*s, 1/p.d.Z
	for i := range t.sheets {
		h := &t.sheets[i]
		if h.heightM > p.at.Z || h.heightM <= low || h.plane.On != Level {
			continue
		}
		way := (h.heightM - p.at.Z) * perM
		path := p.pathM + way
		note(p, t.cell(p, h, p.at.X+p.d.X*way, p.at.Y+p.d.Y*way), path)
	}
}

// cell is that of a photon at a place of a sheet.
func (t *planes) cell(p *photon, h *sheet, x, y float64) *light {
	ix, iy := int(x*h.perX), int(y*h.perY)
	ix, iy = min(max(ix, 0), h.nx-1), min(max(iy, 0), h.ny-1)
	return &t.light[h.from+int(p.module)*h.apart+iy*h.nx+ix]
}

// note counts a photon in a cell after some path in the water.
func note(p *photon, cell *light, pathM float64) { cell.add(p.carries(pathM)) }

// carries is what the water has left of a photon's weight after some path in it.
func (p *photon) carries(pathM float64) light {
	return light{p.w * fade(p.colour.absorb*pathM), p.w * p.micro * fade(p.colour.photons*pathM)}
}

func (t *planes) land(p *photon, on Place, patch int) {
	for i := range t.sheets {
		switch h := &t.sheets[i]; {
		case h.plane.On != on:
		case on == OnSolids && patch < h.nx:
			note(p, &t.light[h.from+int(p.module)*h.apart+patch], p.pathM)
		case on == OnGround && t.count[p.rest]:
			note(p, t.cell(p, h, p.at.X, p.at.Y), p.pathM)
		}
	}
}

// landWall counts a photon that has come to a wall.
func (t *planes) landWall(p *photon, wall model.Side, f *face) {
	for i := range t.sheets {
		if h := &t.sheets[i]; h.plane.On == OnWall && h.plane.Wall == wall && t.count[p.rest] {
			along := (p.at.X-f.corner.X)*f.along.X + (p.at.Y-f.corner.Y)*f.along.Y
			note(p, t.cell(p, h, along, p.at.Z), p.pathM)
		}
	}
}

// landSkin counts a photon that has come to a solid.
func (t *planes) landSkin(p *photon, on *spot) {
	for i := range t.sheets {
		h := &t.sheets[i]
		if h.plane.On != OnSkin || !t.count[p.rest] {
			continue
		}
		first := h.from + int(p.module)*h.apart
		for _, skin := range h.plane.Skins[:on.solid] {
			first += skin.Cells()
		}
		note(p, &t.light[first+h.plane.Skins[on.solid].At(on.piece, on.face, p.at)], p.pathM)
	}
}

// add adds what one batch has counted.
func (s *sheet) add(batch []light) {
	n := s.nx * s.ny
	batch = batch[s.from:][:n*s.modules]
	whole := batch[:n]
	if s.own != nil {
		copy(s.batch, whole)
		whole = s.batch
		for m := 1; m < s.modules; m++ {
			for c, v := range batch[m*n:][:n] {
				whole[c].add(v)
			}
		}
	}
	for c := range s.own {
		s.own[c].add(batch[c])
	}
	all := 0.0
	for c, v := range whole {
		s.sums[c].add(v)
		s.squares[c].add(v.lux * v.lux)
		all += v.lux
	}
	s.square.add(all * all)
}

// each calls do with every sum.
func (s *sheet) each(do func(*exact)) {
	for _, list := range [][]exactLight{s.sums, s.own} {
		for c := range list {
			do(&list[c].lux)
			do(&list[c].ppfd)
		}
	}
	for c := range s.squares {
		do(&s.squares[c])
	}
	do(&s.square)
}

// deviation is the standard error of a sum over n batches, from the sum itself and the sum of squares.
func deviation(n int, sum, squares float64) float64 {
	if n < 2 {
		return math.Inf(1)
	}
	k := float64(n)
	return math.Sqrt(max(0, squares-sum*sum/k) * k / (k - 1))
}

// relativeError returns the root mean square of the cells' standard errors after n batches over the mean illuminance,
// 0 where that is 0. perHistory is the lumens of a history.
func (s *sheet) relativeError(n int, perHistory float64) float64 {
	var mean, variance float64
	for c, sum := range s.sums {
		lux := sum.lux.value()
		d := deviation(n, lux, s.squares[c].value())
		mean += lux
		variance += d * d
	}
	cells, area := float64(len(s.sums)), s.plane.Grid.StepXM*s.plane.Grid.StepYM
	mean = mean / cells * perHistory / area
	if mean > 0 {
		return math.Sqrt(variance/cells) * perHistory / area / mean
	}
	return 0
}

// light turns a sheet into an answer after n batches.
func (s *sheet) light(n int, perHistory float64) PlaneLight {
	g, cells := s.plane.Grid, len(s.sums)
	k := perHistory / (g.StepXM * g.StepYM)
	out := PlaneLight{Field: fieldOf(g, s.sums, k), ErrorLx: make([]float64, cells)}
	if n == 0 {
		return out
	}
	all := 0.0
	for c, v := range s.sums {
		lux := v.lux.value()
		out.ErrorLx[c] = k * deviation(n, lux, s.squares[c].value())
		all += lux
	}
	out.MeanErrorLx = k / float64(cells) * deviation(n, all, s.square.value())
	for m := range len(s.own) / cells {
		out.Modules = append(out.Modules, fieldOf(g, s.own[m*cells:][:cells], k))
	}
	return out
}

func fieldOf(g result.Grid, cells []exactLight, k float64) result.Field {
	f := result.Field{Grid: g, Illuminance: make([]float64, len(cells)), PPFD: make([]float64, len(cells))}
	for c := range cells {
		v := cells[c].value()
		f.Illuminance[c], f.PPFD[c] = k*v.lux, k*v.ppfd
	}
	return f
}

// colours is the number of equal parts into which the lumens of a spectrum, and likewise its photons, are cut by
// wavelength.
const colours = 64

// colour is one such part of the lumens with the same part of the photons. A history is traced with the lumens' water
// and pane; the photons follow the same path and weigh by how much likelier or less likely it was for them.
type colour struct {
	absorb    float64 // of the lumens, 1/m
	scatter   float64 // of the lumens, 1/m
	meanFreeM float64 // 1/scatter
	photons   float64 // what the photons lose of their weight for the lumens' path: their a + b less the lumens' b, 1/m

	molecular                 float64 // share of scatter that molecules do
	byMolecule, byParticle    float64 // photons' weight for one scattering: their b over the lumens'
	paneLumens, panePhotons   float64 // optical thickness of the cover at right angles
	microPerLumen, thinAfterM float64 // PPFD per lux before all losses; path after which a history is thinned out
}

// medium is what the water does to one wavelength, or to the mean of several.
type medium struct{ absorb, molecules, particles, pane float64 }

func (m medium) plus(o medium, weight float64) medium {
	return medium{m.absorb + weight*o.absorb, m.molecules + weight*o.molecules, m.particles + weight*o.particles,
		m.pane + weight*o.pane}
}

// newColour pairs the water of the lumens with that of the photons.
func newColour(lumens, photons medium, microPerLumen float64) colour {
	c := colour{
		absorb: lumens.absorb, scatter: lumens.molecules + lumens.particles,
		paneLumens: lumens.pane, panePhotons: photons.pane, microPerLumen: microPerLumen,
		byMolecule: over(photons.molecules, lumens.molecules), byParticle: over(photons.particles, lumens.particles),
	}
	c.photons = photons.absorb + photons.molecules + photons.particles - c.scatter
	if c.scatter > 0 {
		c.meanFreeM = 1 / c.scatter
		c.molecular = lumens.molecules / c.scatter
	}
	c.thinAfterM = thinAt / max(c.absorb, 1e-9)
	return c
}

// over is a/b, and 1 where it is never asked for.
func over(a, b float64) float64 {
	if b == 0 {
		return 1
	}
	return a / b
}

// palette cuts a spectrum into colours. Within a part, coefficients are means weighted with its lumens or its photons:
// parts are 2 to 8 nm wide where there is light.
func palette(s photometry.Spectrum, st *model.Model) []colour {
	nm, lumens, photons := s.Nodes()
	media := make([]medium, len(nm))
	for i := range nm {
		media[i] = mediumAt(nm[i], st)
	}
	byLumens, byPhotons := cutEven(media, lumens), cutEven(media, photons)
	list := make([]colour, colours)
	for k := range list {
		list[k] = newColour(byLumens[k], byPhotons[k], s.PPFDPerLux())
	}
	return list
}

func mediumAt(nm float64, st *model.Model) medium {
	m := medium{absorb: st.Water.AttenuationPerM(nm, water.Absorbed), molecules: st.Water.MolecularScatterPerM(nm),
		particles: st.Water.ParticleScatterPerM(nm)}
	if st.Cover != nil {
		m.pane = st.Cover.AbsorbPerM(nm) * st.Cover.ThicknessM
	}
	return m
}

// cutEven returns the means of media over parts of equal weight, in their order. A medium on a border counts in both
// parts with its shares.
func cutEven(media []medium, weights []float64) []medium {
	list := make([]medium, colours)
	room, k := 1.0/colours, 0
	for i, w := range weights {
		for w > 0 {
			take := min(w, room)
			if k == colours-1 {
				take = w // rounding
			}
			list[k] = list[k].plus(media[i], take)
			w -= take
			if room -= take; room <= 1e-15 && k < colours-1 {
				room, k = 1.0/colours, k+1
			}
		}
	}
	for i := range list {
		list[i] = medium{}.plus(list[i], colours)
	}
	return list
}
