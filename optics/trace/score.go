package trace

// light is what lands in one cell: lumens and micromoles a second, in units of a history.
type light struct{ lux, ppfd float64 }

// sheet is one plane and where its cells stand in a list of light, module by module where these are kept apart.
type sheet struct {
	heightM    float64 // above the floor
	perX, perY float64 // cells a metre
	nx, ny     int
	from       int
	apart      int // cells from one module to the next, 0 where they are summed
	modules    int
}

// sheetsOf lays planes out one after another and returns the number of cells of all.
func sheetsOf(planes []Plane, depthM float64, modules int) (list []sheet, cells int) {
	for _, p := range planes {
		s := sheet{nx: p.Grid.NX, ny: p.Grid.NY, perX: 1 / p.Grid.StepXM, perY: 1 / p.Grid.StepYM, from: cells, modules: 1}
		// A flight's end does not count as crossed, its start does: a plane on the floor is lifted by a hair.
		s.heightM = min(max(depthM-p.DepthM, 1e-9*depthM), depthM)
		if p.PerModule {
			s.apart, s.modules = p.Grid.Cells(), max(1, modules)
		}
		list = append(list, s)
		cells += s.modules * p.Grid.Cells()
	}
	return list, cells
}

// score counts the planes that a photon on its way down crosses on the next s metres.
func (t *tracer) score(p *photon, s float64) {
	low, perM := p.z+p.dz*s, 1/p.dz
	for i := range t.sheets {
		h := &t.sheets[i]
		if h.heightM > p.z || h.heightM <= low {
			continue
		}
		way := (h.heightM - p.z) * perM
		path := p.pathM + way
		ix := int((p.x + p.dx*way) * h.perX)
		iy := int((p.y + p.dy*way) * h.perY)
		ix, iy = min(max(ix, 0), h.nx-1), min(max(iy, 0), h.ny-1)
		cell := &t.light[h.from+int(p.module)*h.apart+iy*h.nx+ix]
		cell.lux += p.w * fade(p.colour.absorb*path)
		cell.ppfd += p.w * p.micro * fade(p.colour.photons*path)
	}
}
